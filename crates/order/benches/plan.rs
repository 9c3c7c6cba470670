//! How large a machine is proved, and how soon: seeded layered machines of several sizes, each
//! with the same limit of states. `cargo bench -p lastbolt-order` prints the table of
//! `docs/performance.md`.

use std::time::{Duration, Instant};

use lastbolt_machine::{Extra, compile};
use lastbolt_order::{Ask, plan};
use lastbolt_testkit::layered_machine;

/// Machines of each size.
const MACHINES: u64 = 12;
/// Longest time for one machine.
const LONGEST: Duration = Duration::from_secs(10);

#[allow(clippy::print_stdout, reason = "a bench prints its table")]
fn main() {
    println!("actions | machines | proved | median s | most s | worst gap %");
    for actions in [20, 40, 60, 80, 110, 160, 240] {
        let mut seconds = Vec::new();
        let (mut proved, mut gap) = (0, 0.0_f64);
        for seed in 0..MACHINES {
            let (machine, job) = layered_machine(seed, actions);
            let kernel = compile(&machine, &job, &Extra::default()).expect("it is legal");
            let start = Instant::now();
            let stop = || start.elapsed() > LONGEST;
            let answer = plan(&kernel, &Ask { stop: &stop, nodes: 5_000_000, ..Ask::default() });
            seconds.push(start.elapsed().as_secs_f64());
            match answer.plan() {
                Some(plan) if plan.proved => proved += 1,
                Some(plan) => {
                    let least = plan.bound.as_number();
                    gap = gap.max((plan.minutes.as_number() - least) / least * 100.0);
                }
                None => gap = f64::INFINITY,
            }
        }
        seconds.sort_by(f64::total_cmp);
        let (median, most) = (seconds[seconds.len() / 2], seconds[seconds.len() - 1]);
        println!("{actions} | {MACHINES} | {proved} | {median:.3} | {most:.3} | {gap:.1}");
    }
}
