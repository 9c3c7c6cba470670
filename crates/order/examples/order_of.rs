//! Prints what the planner makes of a machine file and a job file, with its times, for work on
//! the planner.

use std::time::Instant;

use lastbolt_files::{Source, read_job, read_machine};
use lastbolt_machine::{Extra, FileNo, compile};
use lastbolt_order::{Ask, Hands, plan};

#[allow(clippy::print_stdout, reason = "it is run by hand")]
fn main() {
    let names: Vec<String> = std::env::args().skip(1).collect();
    let sources: Vec<Source> = names
        .iter()
        .map(|n| Source::new(n.clone(), std::fs::read(n).expect("the file can be read")))
        .collect();
    let (machine, problems) = read_machine(&sources, FileNo(0));
    println!("{problems:?}");
    let job = if sources.len() > 1 {
        read_job(&sources, FileNo(1)).0.job
    } else {
        machine.job.clone().unwrap_or_default()
    };
    let kernel = compile(&machine, &job, &Extra::default()).expect("the names are known");
    let start = Instant::now();
    let stop = || start.elapsed().as_secs() > 400;
    // Two threads, none of which asks the clock.
    let hands: &Hands = &|_, first, second| {
        std::thread::scope(|scope| {
            scope.spawn(|| first(&|| false));
            second(&|| false);
        });
    };
    let strip_only = std::env::var("STRIP").is_ok();
    let answer =
        plan(&kernel, &Ask { strip_only, stop: &stop, nodes: 20_000_000, hands, ..Ask::default() });
    match answer.plan() {
        Some(p) => println!(
            "{} (bound {}) proved {} strip {} build {} nodes {}",
            p.minutes,
            p.bound,
            p.proved,
            p.strip.len(),
            p.build.len(),
            p.nodes
        ),
        None => println!("{answer:?}"),
    }
    println!("{:?}", start.elapsed());
}
