//! The truth test seed by seed, for tuning: one line a hidden machine, then a table.
//!
//! `cargo run -p lastbolt-job --example truth -- SEEDS [STYLE|all] [anyhow|orderly|all] [FIRST]
//! [hidden|layered|workshop|demo]` with STYLE one of since, holding, alone, rough, and DEMO=FILE
//! for a machine file; LOUD=1 prints questions and orders, SPLIT=1 where minutes go, ONE=1 asks
//! for the list again after each answer, SHY=1 answers "don't know" to what is long.

#![allow(clippy::print_stdout, reason = "it prints a table")]

#[path = "../../testkit/tests/truth_common/mod.rs"]
mod truth_common;
#[path = "../tests/truth_engine/mod.rs"]
mod truth_engine;

use lastbolt_files::{Source, read_machine};
use lastbolt_machine::{Extra, FileNo, JobSpec, Machine, SpotNo, compile};
use lastbolt_testkit::truth::{
    Asking, Case, Choice, Engine, Entry, Judge, Manner, PutBack, Question, Strip, Style, Tally,
    believable_machine, hidden_machine, plain_machine, run, strip, workshop_machine,
};
use lastbolt_testkit::{Rng, to_toml};
use truth_engine::Lastbolt;

/// Says what it hears.
struct Loud(Lastbolt);

impl Engine for Loud {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        let names = self.0.took(entry)?;
        let truth: Vec<&str> = entry.ties.iter().map(|tie| tie.truth.as_str()).collect();
        println!("     took {:?} {truth:?} from {:?} = {names:?}", entry.part, entry.spot);
        Ok(names)
    }

    fn all_off(&mut self) -> Result<(), String> {
        self.0.all_off()
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        self.0.questions()
    }

    fn answer(&mut self, question: &Question, choice: Choice) -> Result<(), String> {
        let Question { kind, these, those, .. } = question;
        println!("     {kind} {these:?} / {those:?}: {}", choice.word());
        self.0.answer(question, choice)
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        self.0.put_back()
    }
}

/// Hears "don't know" to all questions about whole orders and about what goes with parts.
struct Shy(Lastbolt);

impl Engine for Shy {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        self.0.took(entry)
    }

    fn all_off(&mut self) -> Result<(), String> {
        self.0.all_off()
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        self.0.questions()
    }

    fn answer(&mut self, question: &Question, choice: Choice) -> Result<(), String> {
        let is_hard = matches!(question.kind.as_str(), "in_turn" | "with");
        self.0.answer(question, if is_hard { Choice::Unknown } else { choice })
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        self.0.put_back()
    }
}

/// The demo machine that the word DEMO names, as far as it can be told.
fn demo(_: u64) -> Machine {
    let path = std::env::var("DEMO").expect("DEMO=FILE");
    let text = std::fs::read(&path).expect("a machine file");
    let sources = [Source::new(path, text)];
    plain_machine(&read_machine(&sources, FileNo(0)).0)
}

/// Believable machines of the size that the test plays.
fn layered(seed: u64) -> Machine {
    believable_machine(seed, 55)
}

/// Says where minutes go, here and in the best order: ways, walks, tools.
fn split(machine: &Machine, strip: &Strip, run: &lastbolt_testkit::truth::Run, best: &[String]) {
    let judge = Judge::new(machine, strip);
    let kernel = compile(machine, &strip.job(), &Extra::default()).expect("a legal machine");
    for (what, order) in [("ours", run.order.as_slice()), ("best", best)] {
        let Ok(judged) = judge.order(order) else { continue };
        let named = |names: &[String], name: &Option<String>| {
            name.as_ref().and_then(|name| names.iter().position(|known| known == name))
        };
        let (mut spot, mut walks, mut number) = (kernel.spot_at_start, 0, 0);
        let mut ways = 0;
        for step in &judged.steps {
            ways += step.minutes.map_or(0, |minutes| minutes.0);
            let next = named(&kernel.spots, &step.from).map(SpotNo);
            let change = kernel.spot_change(spot, next).0;
            if std::env::var_os("LOUD").is_some() {
                println!("       {what} {} {:?} {:?}", step.id, step.from, step.minutes);
            }
            walks += change;
            number += usize::from(change > 0);
            spot = next.or(spot);
        }
        let tools = judged.minutes.0 - ways - walks;
        println!(
            "     {what}: ways {:.1} walks {:.1} ({number}) tools {:.1}",
            ways as f64 / 1000.0,
            walks as f64 / 1000.0,
            tools as f64 / 1000.0
        );
    }
}

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let word = |at: usize, default: &str| words.get(at).cloned().unwrap_or(default.to_owned());
    let seeds: u64 = word(1, "20").parse().unwrap_or(20);
    let (style, manner) = (word(2, "all"), word(3, "all"));
    let first: u64 = word(4, "0").parse().unwrap_or(0);
    let loud = std::env::var_os("LOUD").is_some();
    let one = std::env::var_os("ONE").is_some();
    let asking = if one { Asking::OneByOne } else { Asking::ByTheList };
    let make: fn(u64) -> Machine = match word(5, "hidden").as_str() {
        "layered" => layered,
        "demo" => demo,
        "workshop" => workshop_machine,
        _ => hidden_machine,
    };
    let mut rows = Vec::new();
    for chosen in [Manner::Anyhow, Manner::Orderly] {
        let called = format!("{chosen:?}").to_lowercase();
        if manner != "all" && manner != called {
            continue;
        }
        for chosen_style in Style::ALL {
            if style != "all" && style != chosen_style.word() {
                continue;
            }
            let mut tally = Tally::new(format!("{}, {called}", chosen_style.word()));
            for seed in first..first + seeds {
                let machine = make(seed);
                let mut rng = Rng::new(seed ^ 0x5eed);
                let Some(strip) = strip(&machine, chosen, &mut rng) else {
                    println!("{seed:>4} does not come apart in that order");
                    continue;
                };
                let planned = truth_common::planned(&machine, &strip);
                let case = Case { machine: &machine, strip: &strip, best: planned.best };
                if loud {
                    println!("{}", to_toml(&machine, &JobSpec::default()));
                }
                let run = if std::env::var_os("SHY").is_some() {
                    run(&case, chosen_style, asking, &mut Shy(Lastbolt::new()))
                } else if loud {
                    run(&case, chosen_style, asking, &mut Loud(Lastbolt::new()))
                } else {
                    run(&case, chosen_style, asking, &mut Lastbolt::new())
                };
                println!("{seed:>4} {}", run.line());
                if std::env::var_os("SPLIT").is_some() {
                    split(&machine, &strip, &run, &planned.order);
                }
                if loud {
                    println!("     order {:?}\n     best  {:?}", run.order, planned.order);
                }
                tally.runs.push(run);
            }
            rows.push(tally.row());
        }
    }
    println!("{}", Tally::head());
    rows.iter().for_each(|row| println!("{row}"));
}
