//! How far the plain reverse of a record gets: one line a seed.
//! `cargo run -p lastbolt-testkit --example truth_reverse -- SEEDS STYLE`

#![allow(clippy::print_stdout, reason = "it prints a table")]

#[path = "../tests/truth_common/mod.rs"]
mod truth_common;

use lastbolt_testkit::truth::wrong::{Free, Reverse};
use lastbolt_testkit::truth::{Asking, Engine, Manner, Style, Tally};

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let seeds = words.get(1).and_then(|word| word.parse().ok()).unwrap_or(20);
    let style = words.get(2).map_or("since", String::as_str);
    let style = Style::ALL.into_iter().find(|known| known.word() == style);
    println!("{}", Tally::head());
    for manner in [Manner::Anyhow, Manner::Orderly] {
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
