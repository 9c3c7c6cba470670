//! How far the plain reverse of a record gets, and how far somebody who knows every rule of the
//! hidden machine but no minutes, tools and distances: one line a seed.
//! `cargo run -p lastbolt-testkit --example truth_reverse -- SEEDS STYLE`

#![allow(clippy::print_stdout, reason = "it prints a table")]

#[path = "../tests/truth_common/mod.rs"]
mod truth_common;

use lastbolt_machine::model::Back;
use lastbolt_machine::{Machine, Ref, Way};
use lastbolt_testkit::truth::wrong::{Free, Reverse};
use lastbolt_testkit::truth::{
    Asking, Case, Choice, Engine, Entry, Manner, PutBack, Question, Strip, Style, Tally,
    hidden_machine, run,
};

/// An engine that was told an order.
struct Told(Vec<String>);

impl Engine for Told {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        let ties = entry.ties.iter().map(|tie| tie.truth.clone());
        Ok(entry.part.iter().cloned().chain(ties).collect())
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        Ok(Vec::new())
    }

    fn answer(&mut self, _: &Question, _: Choice) -> Result<(), String> {
        Ok(())
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        let order = self.0.clone();
        let looks = order.windows(2).map(|two| (two[0].clone(), two[1].clone())).collect();
        Ok(PutBack { order, looks })
    }
}

/// The machine without what a record does not say: everything is done from where it was undone.
fn without_numbers(machine: &Machine, strip: &Strip) -> Machine {
    let mut plain = machine.clone();
    let bare = |id: &Ref, ways: &mut Vec<Way>| {
        let opened = strip.things().find(|opened| opened.thing == id.value);
        for way in ways {
            (way.minutes, way.tool, way.feel) = (None, None, false);
            way.from = opened.map_or(way.from.clone(), |o| o.spot.as_ref().map(Ref::bare));
        }
    };
    for part in &mut plain.parts {
        part.ways.iter_mut().for_each(|ways| bare(&part.id, ways));
        if let Back::Ways(back) = &mut part.back {
            bare(&part.id, back);
        }
    }
    for tie in &mut plain.ties {
        tie.ways.iter_mut().for_each(|ways| bare(&tie.id, ways));
        if let Back::Ways(back) = &mut tie.back {
            bare(&tie.id, back);
        }
    }
    for spot in &mut plain.spots {
        spot.reach = None;
    }
    plain
}

/// Who knows every rule but no numbers.
fn knows_the_rules(seeds: u64, manner: Manner) -> Tally {
    let mut tally = Tally::new(format!("rules known, {manner:?}"));
    for seed in 0..seeds {
        let machine = hidden_machine(seed);
        let strip = truth_common::stripped(&machine, seed, manner);
        let best = truth_common::planned(&machine, &strip).best;
        let mut engine =
            Told(truth_common::planned(&without_numbers(&machine, &strip), &strip).order);
        let case = Case { machine: &machine, strip: &strip, best };
        tally.runs.push(run(&case, Style::SinceLast, Asking::OneByOne, &mut engine));
    }
    tally
}

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let seeds = words.get(1).and_then(|word| word.parse().ok()).unwrap_or(20);
    let style = words.get(2).map_or("since", String::as_str);
    let style = Style::ALL.into_iter().find(|known| known.word() == style);
    for manner in [Manner::Anyhow, Manner::Orderly] {
        println!("{}\n{}", Tally::head(), knows_the_rules(seeds, manner).row());
        for style in Style::ALL.into_iter().filter(|known| style.is_none_or(|s| s == *known)) {
            for (name, make) in [
                ("reverse", (|| Box::new(Reverse::default()) as Box<dyn Engine>) as fn() -> _),
                ("free", || Box::new(Free::default()) as Box<dyn Engine>),
            ] {
                let mut tally = Tally::new(format!("{name}, {}, {manner:?}", style.word()));
                for seed in 0..seeds {
                    let run =
                        truth_common::one(seed, manner, style, Asking::OneByOne, &mut *make());
                    println!("{seed:>4} {}", run.line());
                    tally.runs.push(run);
                }
                println!("{}\n{}", Tally::head(), tally.row());
            }
        }
    }
}
