//! The solvable ones of the first random machines.

use lastbolt_checker::Wishes;
use lastbolt_machine::{JobSpec, Machine};
use lastbolt_testkit::{Size, Slow, SlowError, random_machine, slow_plan_within, to_toml};

/// How many machines are made.
pub(crate) const MACHINES: u64 = 600;

/// The solvable ones of the first random machines, with a best order.
pub(crate) fn solved(machines: u64) -> Vec<(u64, Machine, JobSpec, Slow)> {
    let mut solved = Vec::new();
    for seed in 0..machines {
        let (machine, job) = random_machine(seed, &Size::default());
        match slow_plan_within(&machine, &job, &Wishes::default(), false, 20_000) {
            Ok(Some(slow)) => solved.push((seed, machine, job, slow)),
            Ok(None) | Err(SlowError::TooMany) => {}
            Err(SlowError::Refused(reason)) => {
                panic!("seed {seed}: {reason:?}\n{}", to_toml(&machine, &job))
            }
        }
    }
    solved
}
