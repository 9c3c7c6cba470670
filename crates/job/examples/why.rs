//! Scratch: why.
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "scratch")]
#[path = "../../testkit/tests/truth_common/mod.rs"]
mod truth_common;
#[path = "../tests/truth_engine/mod.rs"]
mod truth_engine;

use lastbolt_machine::model::{Back, PairTable};
use lastbolt_machine::{Machine, Minutes, Sited, At, Way};
use lastbolt_testkit::layered_machine;
use lastbolt_testkit::truth::*;
use std::collections::BTreeMap;
use truth_engine::Lastbolt;

struct Spy { inner: Lastbolt, kinds: BTreeMap<String, (usize, usize)>, names: BTreeMap<String, String>, log: Vec<(Question, Choice)> }
impl Engine for Spy {
    fn took(&mut self, e: &Entry) -> Result<Vec<String>, String> {
        let n = self.inner.took(e)?;
        for (t, n) in e.part.iter().chain(e.ties.iter().map(|t| &t.truth)).zip(&n) { self.names.insert(t.clone(), n.clone()); }
        Ok(n)
    }
    fn all_off(&mut self) -> Result<(), String> { self.inner.all_off() }
    fn questions(&mut self) -> Result<Vec<Question>, String> { self.inner.questions() }
    fn answer(&mut self, q: &Question, c: Choice) -> Result<(), String> {
        let k = self.kinds.entry(q.kind.clone()).or_default();
        if c == Choice::Yes { k.0 += 1 } else { k.1 += 1 }
        self.log.push((q.clone(), c));
        self.inner.answer(q, c)
    }
    fn put_back(&mut self) -> Result<PutBack, String> { self.inner.put_back() }
}
fn layered(seed: u64) -> Machine {
    let (mut machine, _) = layered_machine(seed, 55);
    machine.preps.clear();
    machine.ties.iter_mut().for_each(|tie| tie.needs.clear());
    machine.parts.iter_mut().for_each(|part| part.needs.clear());
    machine
}
fn counts(j: &Judged, start: (Option<String>, Option<String>)) -> (usize, usize, i64) {
    let (mut s, mut t) = start; let (mut w, mut tc, mut m) = (0, 0, 0);
    for st in &j.steps {
        if st.from.is_some() { if s.is_some() && s != st.from { w += 1 } s = st.from.clone(); }
        if st.tool.is_some() { if t.is_some() && t != st.tool { tc += 1 } t = st.tool.clone(); }
        m += st.minutes.map_or(0, |m| m.0);
    }
    (w, tc, m)
}
fn back_ways(m: &Machine, x: &str) -> Vec<Way> {
    let f = |w: &Option<Vec<Way>>, b: &Back| match b { Back::Ways(b) => b.clone(), _ => w.clone().unwrap_or_else(|| vec![Way::default()]) };
    if let Some(p) = m.parts.iter().find(|p| p.id.name() == x) { return f(&p.ways, &p.back) }
    if let Some(p) = m.ties.iter().find(|p| p.id.name() == x) { return f(&p.ways, &p.back) }
    vec![]
}
fn main() {
    let w: Vec<String> = std::env::args().collect();
    let n: u64 = w[1].parse().unwrap();
    let first: u64 = w[2].parse().unwrap();
    let loud = std::env::var("LOUD").is_ok();
    let make: fn(u64) -> Machine = if w[3] == "layered" { layered } else { hidden_machine };
    let style = Style::ALL.into_iter().find(|s| s.word() == w[4]).unwrap();
    let manner = if w[5] == "anyhow" { Manner::Anyhow } else { Manner::Orderly };
    let (mut legal, mut near, mut cn) = (0, 0, 0);
    for seed in first..first + n {
        let m = make(seed);
        let strip = truth_common::stripped(&m, seed, manner);
        let planned = truth_common::planned(&m, &strip);
        let mut bare = m.clone();
        bare.tool_change = PairTable { default: Some(Sited::new(Minutes(0), At::default())), ..Default::default() };
        bare.ties.iter_mut().for_each(|t| { t.ways.iter_mut().flatten().for_each(|w| w.tool = None); if let Back::Ways(b) = &mut t.back { b.iter_mut().for_each(|w| w.tool = None) } });
        let bare_order = truth_common::planned(&bare, &strip).order;
        let judge = Judge::new(&m, &strip);
        let st = || { let j = strip.job(); (j.at.map(|a| a.value), j.holding.map(|a| a.value)) };
        let ceiling = judge.order(&bare_order).ok();
        let mut spy = Spy { inner: Lastbolt::new(), kinds: BTreeMap::new(), names: BTreeMap::new(), log: vec![] };
        let case = Case { machine: &m, strip: &strip, best: planned.best };
        let run = run(&case, style, Asking::ByTheList, &mut spy);
        let best = judge.order(&planned.order).ok();
        legal += usize::from(run.is_legal());
        near += usize::from(run.dearer().is_some_and(|d| d <= 100));
        let pc = |j: &Judged| (j.minutes.0 - planned.best.minutes.0) as f64 * 100.0 / planned.best.minutes.0 as f64;
        let c = ceiling.as_ref().map_or(99.0, pc);
        cn += usize::from(c <= 10.0);
        println!("{seed:>4} {} | ceiling {c:+.1}% | best {:?} ours {:?} ceil {:?} | kinds(yes,no) {:?}", run.line(),
            best.as_ref().map(|b| counts(b, st())), run.verdict.as_ref().ok().map(|b| counts(b, st())), ceiling.as_ref().map(|b| counts(b, st())), spy.kinds);
        if !run.is_legal() {
            // all violations
            let pos: BTreeMap<&str, usize> = run.order.iter().enumerate().map(|(i, s)| (s.as_str(), i)).collect();
            let rec: Vec<String> = strip.things().map(|o| o.thing.clone()).collect();
            let rp = |x: &str| rec.iter().position(|r| r == x).unwrap_or(999);
            let said = |kind: &str, x: &str, y: &str| -> String {
                let (nx, ny) = (&spy.names[x], &spy.names[y]);
                spy.log.iter().filter(|(q, _)| q.kind == kind && q.these.contains(nx) && q.those.contains(ny)).map(|(q, c)| format!("{}x{}={}", q.these.len(), q.those.len(), c.word())).collect::<Vec<_>>().join(",")
            };
            for x in &run.order {
                let ws = back_ways(&m, x);
                let tie = m.ties.iter().find(|t| t.id.name() == x);
                let hid: Vec<String> = tie.map(|t| t.hidden_by.iter().map(|h| h.value.clone()).collect()).unwrap_or_default();
                let blocked = |w: &Way| -> Vec<String> { w.clear.iter().filter(|c| pos.get(c.name()).is_some_and(|p| *p < pos[x.as_str()])).map(|c| c.value.clone()).collect() };
                let bl: Vec<Vec<String>> = ws.iter().map(blocked).collect();
                let hb: Vec<String> = hid.iter().filter(|h| pos.get(h.as_str()).is_some_and(|p| *p < pos[x.as_str()])).cloned().collect();
                if bl.iter().all(|b| !b.is_empty()) {
                    let d: Vec<String> = bl.iter().flatten().map(|y| format!("{y}@{} [{}]", rp(y), said("reach", x, y))).collect();
                    println!("       {x}@{} blocked by {d:?} ({} ways)", rp(x), ws.len());
                }
                for h in hb { println!("       {x}@{} hidden by {h}@{} [{}]", rp(x), rp(&h), said("reach", x, &h)); }
                if let Some(t) = tie { for j in &t.joins { if pos.get(j.name()).is_some_and(|p| *p > pos[x.as_str()]) {
                    println!("       {x}@{} made before {}@{} which it holds [{}]", rp(x), j.name(), rp(j.name()), said("holds", x, j.name()));
                } } }
            }
        }
        if loud {
            println!("{}", lastbolt_testkit::to_toml(&spy.inner.machine(), &Default::default()));
            for (q, c) in &spy.log { println!("     {} {:?} / {:?}: {}", q.kind, q.these, q.those, c.word()); }
            let rec: Vec<String> = strip.things().map(|o| format!("{}<{}", o.thing, o.spot.clone().unwrap_or_default())).collect();
            println!("     rec {rec:?}\n     ours {:?}\n     best {:?}", run.order, planned.order);
        }
    }
    println!("legal {legal} near {near} ceiling near {cn} of {n}");
}
