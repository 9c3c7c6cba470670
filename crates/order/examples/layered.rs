//! Prints what the planner makes of seeded layered machines: `layered SIZE FIRST LAST SECONDS
//! ALTERNATIVES`, the last of them per cent of the fixings and parts with several ways that keep
//! them all (100).
use lastbolt_machine::{Extra, compile};
use lastbolt_order::{Ask, plan};
use lastbolt_testkit::layered_machine;
use std::time::{Duration, Instant};
#[allow(clippy::print_stdout, reason = "it is run by hand")]
fn main() {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>().expect("a number"));
    let actions = args.next().unwrap_or(110) as usize;
    let first = args.next().unwrap_or(0);
    let last = args.next().unwrap_or(12);
    let seconds = args.next().unwrap_or(10);
    let alternatives = args.next().unwrap_or(100);
    let mut all = Vec::new();
    let mut gaps = Vec::new();
    let mut proved = 0;
    for seed in first..last {
        let (machine, job) = layered_machine(seed, actions);
        let mut kernel = compile(&machine, &job, &Extra::default()).expect("it is legal");
        for (number, thing) in kernel.things.iter_mut().enumerate() {
            // A fixed share, spread over the machine.
            if (number as u64 * 37 + seed) % 100 >= alternatives {
                thing.ways.truncate(1);
                thing.back.truncate(1);
            }
        }
        let start = Instant::now();
        let stop = || start.elapsed() > Duration::from_secs(seconds);
        let answer = plan(&kernel, &Ask { stop: &stop, nodes: 50_000_000, ..Ask::default() });
        let s = start.elapsed().as_secs_f64();
        all.push(s);
        match answer.plan() {
            Some(p) => {
                proved += u32::from(p.proved);
                gaps.push(100.0 * (p.minutes.0 - p.bound.0) as f64 / p.minutes.0 as f64);
                println!(
                    "{actions} {seed}: {} bound {} {} nodes {} {s:.3}",
                    p.minutes,
                    p.bound,
                    if p.proved { "proved" } else { "-" },
                    p.nodes
                );
            }
            None => println!("{actions} {seed}: {answer:?} {s:.3}"),
        }
    }
    all.sort_by(f64::total_cmp);
    gaps.sort_by(f64::total_cmp);
    println!(
        "{actions}: proved {proved} of {} median {:.3} most {:.3} worst gap {:.1} %",
        all.len(),
        all[all.len() / 2],
        all[all.len() - 1],
        gaps.last().copied().unwrap_or(f64::NAN)
    );
}
