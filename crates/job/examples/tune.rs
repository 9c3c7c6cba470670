#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "it prints a table")]
//! x
#[path = "../../testkit/tests/truth_common/mod.rs"]
mod truth_common;
#[path = "../tests/truth_engine/mod.rs"]
mod truth_engine;

use lastbolt_machine::{Machine, Minutes};
use lastbolt_testkit::truth::*;
use std::collections::BTreeMap;
use std::sync::{
    Arc, Mutex,
    atomic::{AtomicUsize, Ordering},
};

struct Loud(truth_engine::Lastbolt, bool);
impl Engine for Loud {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        let names = self.0.took(entry)?;
        if self.1 {
            let truth: Vec<String> =
                entry.ties.iter().map(|t| format!("{}{}", t.truth, t.kind)).collect();
            println!("     took {:?} {truth:?} from {:?} = {names:?}", entry.part, entry.spot);
        }
        Ok(names)
    }
    fn all_off(&mut self) -> Result<(), String> {
        self.0.all_off()
    }
    fn questions(&mut self) -> Result<Vec<Question>, String> {
        self.0.questions()
    }
    fn answer(&mut self, q: &Question, c: Choice) -> Result<(), String> {
        if self.1 {
            println!("   {} {:?} | {:?} -> {}", q.kind, q.these, q.those, c.word());
        }
        self.0.answer(q, c)
    }
    fn put_back(&mut self) -> Result<PutBack, String> {
        let t = std::time::Instant::now();
        let r = self.0.put_back();
        if self.1 {
            println!("   plan {:?}", t.elapsed());
        }
        r
    }
}

fn machine(generator: &str, seed: u64) -> Machine {
    if let Some(n) = generator.strip_prefix("lay") {
        let (mut m, _) = lastbolt_testkit::layered_machine(seed, n.parse().unwrap_or(55));
        m.preps.clear();
        for t in &mut m.ties {
            t.needs.clear();
        }
        for t in &mut m.parts {
            t.needs.clear();
        }
        m
    } else {
        hidden_machine(seed)
    }
}

struct Ceil {
    machine: Machine,
    strip: Strip,
    names: Vec<String>,
}
impl Engine for Ceil {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        let names: Vec<String> =
            entry.part.iter().cloned().chain(entry.ties.iter().map(|t| t.truth.clone())).collect();
        self.names.extend(names.clone());
        Ok(names)
    }
    fn questions(&mut self) -> Result<Vec<Question>, String> {
        Ok(vec![])
    }
    fn answer(&mut self, _: &Question, _: Choice) -> Result<(), String> {
        Ok(())
    }
    fn put_back(&mut self) -> Result<PutBack, String> {
        let p = truth_common::planned(&self.machine, &self.strip);
        Ok(PutBack { order: p.order, looks: vec![] })
    }
}
fn ceil(m: &Machine, strip: &Strip, all_ways: bool) -> Ceil {
    use lastbolt_machine::model::Back;
    let mut m = m.clone();
    m.tool_change = Default::default();
    for s in &mut m.spots {
        s.setup = None;
        s.pack = None;
        s.reach = None;
    }
    m.between = Default::default();
    let mut strip = strip.clone();
    strip.opened.retain(|o| o.action != lastbolt_checker::Action::Prep);
    let m2 = m.clone();
    let homey = std::env::var("CEIL").ok().as_deref() == Some("home");
    let fix = |ways: &mut Vec<lastbolt_machine::Way>, id: &str| {
        let part = m2.ties.iter().find(|t| t.id.name() == id).and_then(|t| {
            t.joins.iter().find_map(|j| {
                strip.opened.iter().find(|o| {
                    o.thing == j.value && m2.parts.iter().any(|p| p.id.name() == j.name())
                })
            })
        });
        if let Some(o) = part.filter(|_| homey) {
            if ways.iter().any(|w| w.from.as_ref().map(|f| f.name().to_owned()) == o.spot) {
                for w in ways.iter_mut() {
                    let home = w.from.as_ref().map(|f| f.name().to_owned()) == o.spot;
                    w.minutes = Some(lastbolt_machine::Sited::new(
                        Minutes(if home { 1000 } else { 3000 }),
                        Default::default(),
                    ));
                    w.tool = None;
                }
                return;
            }
        }
        let spot = strip.opened.iter().find(|o| o.thing == id).and_then(|o| o.spot.clone());
        let has = ways.iter().any(|w| w.from.as_ref().map(|f| f.name().to_owned()) == spot);
        if has && !all_ways {
            ways.retain(|w| w.from.as_ref().map(|f| f.name().to_owned()) == spot);
        }
        for w in ways {
            w.minutes = None;
            w.tool = None;
        }
    };
    for p in &mut m.parts {
        let id = p.id.name().to_owned();
        if let Some(w) = &mut p.ways {
            fix(w, &id);
        }
        if let Back::Ways(w) = &mut p.back {
            fix(w, &id);
        }
    }
    for p in &mut m.ties {
        let id = p.id.name().to_owned();
        if let Some(w) = &mut p.ways {
            fix(w, &id);
        }
        if let Back::Ways(w) = &mut p.back {
            fix(w, &id);
        }
    }
    Ceil { machine: m, strip, names: vec![] }
}

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let w = |n: usize, d: &str| words.get(n).cloned().unwrap_or(d.to_owned());
    let seeds: u64 = w(1, "20").parse().unwrap();
    let styles = w(2, "holding");
    let gens = w(3, "lay55,hid");
    let only: Option<u64> = words.get(4).and_then(|w| w.parse().ok());
    let first: u64 = std::env::var("FIRST").ok().and_then(|w| w.parse().ok()).unwrap_or(0);
    let manners = std::env::var("MANNER").unwrap_or("ao".into());
    let asking = if std::env::var("ONE").is_ok() { Asking::OneByOne } else { Asking::ByTheList };
    let path = "/tmp/t/engine/best.cache";
    let text = std::fs::read_to_string(path).unwrap_or_default();
    let mut cache: BTreeMap<String, (i64, i64)> = BTreeMap::new();
    for l in text.lines() {
        let p: Vec<&str> = l.split(' ').collect();
        if p.len() == 3 {
            cache.insert(p[0].into(), (p[1].parse().unwrap(), p[2].parse().unwrap()));
        }
    }
    let cache = Arc::new(Mutex::new(cache));
    let mut jobs = vec![];
    for g in gens.split(',') {
        for style in Style::ALL {
            if !styles.split(',').any(|s| s == style.word()) {
                continue;
            }
            for m in [Manner::Anyhow, Manner::Orderly] {
                if !manners.contains(if m == Manner::Anyhow { 'a' } else { 'o' }) {
                    continue;
                }
                for seed in first..first + seeds {
                    if only.is_none_or(|o| o == seed) {
                        jobs.push((g.to_owned(), style, m, seed));
                    }
                }
            }
        }
    }
    let results: Arc<Mutex<BTreeMap<usize, (String, Run)>>> = Arc::default();
    let next = AtomicUsize::new(0);
    let threads: usize = std::env::var("THREADS").ok().and_then(|w| w.parse().ok()).unwrap_or(2);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let at = next.fetch_add(1, Ordering::SeqCst);
                    let Some((g, style, m, seed)) = jobs.get(at).cloned() else { return };
                    let mach = machine(&g, seed);
                    let strip = truth_common::stripped(&mach, seed, m);
                    let key = format!("{g}/{m:?}/{seed}");
                    let known = cache.lock().unwrap().get(&key).copied();
                    let best = match known {
                        Some((a, b)) => Best { minutes: Minutes(a), bound: Minutes(b) },
                        None => {
                            let p = truth_common::planned(&mach, &strip).best;
                            cache.lock().unwrap().insert(key, (p.minutes.0, p.bound.0));
                            p
                        }
                    };
                    if only.is_some() {
                        println!("{}", lastbolt_testkit::to_toml(&mach, &Default::default()));
                    }
                    let t = std::time::Instant::now();
                    let mut e = Loud(truth_engine::Lastbolt::new(), only.is_some());
                    let c = Case { machine: &mach, strip: &strip, best };
                    let run = match std::env::var("CEIL").ok().as_deref() {
                        Some("all" | "home") => {
                            run(&c, style, asking, &mut ceil(&mach, &strip, true))
                        }
                        Some(_) => run(&c, style, asking, &mut ceil(&mach, &strip, false)),
                        None => run(&c, style, asking, &mut e),
                    };
                    let el = t.elapsed();
                    if only.is_some() {
                        println!("order {:?}", run.order);
                        if let Ok(j) = &run.verdict {
                            for s in &j.steps {
                                println!(
                                    "   {:?} {} {:?} {:?} {:?}",
                                    s.action, s.id, s.from, s.tool, s.minutes
                                );
                            }
                        }
                        let p = truth_common::planned(&mach, &strip);
                        println!("best {:?}", p.order);
                    }
                    let count = |steps: &[lastbolt_checker::Step]| {
                        let (mut n, mut l) = (0, None);
                        for s in steps {
                            if s.from.is_some() && s.from != l {
                                n += 1;
                                l = s.from.clone();
                            }
                        }
                        n
                    };
                    let walks = run.verdict.as_ref().map(|j| count(&j.steps)).unwrap_or(0);
                    results.lock().unwrap().insert(
                        at,
                        (
                            format!(
                                "{g} {} {m:?} {seed:>3} walks {walks} {:.1}s {}",
                                style.word(),
                                el.as_secs_f32(),
                                run.line()
                            ),
                            run,
                        ),
                    );
                }
            });
        }
    });
    let mut rows: Vec<(String, Tally)> = vec![];
    for (at, (line, run)) in results.lock().unwrap().iter() {
        let (g, style, m, _) = &jobs[*at];
        if std::env::var("QUIET").is_err() {
            println!("{line}");
        }
        let name = format!("{g} {} {m:?}", style.word());
        if rows.last().is_none_or(|r| r.0 != name) {
            rows.push((name.clone(), Tally::new(name)));
        }
        rows.last_mut().unwrap().1.runs.push(run.clone());
    }
    println!("{}", Tally::head());
    for r in &rows {
        println!("{} back-only {}", r.1.row(), r.1.missed(&Bars::default()).join("; "));
    }
    let text: Vec<String> =
        cache.lock().unwrap().iter().map(|(k, v)| format!("{k} {} {}", v.0, v.1)).collect();
    std::fs::write(path, text.join("\n")).unwrap();
}
