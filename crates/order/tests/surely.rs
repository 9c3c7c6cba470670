//! What every order surely takes is never above the least, from wherever a machine stands; and it
//! says something.

mod common;

use lastbolt_machine::{JobSpec, Kernel, Machine, Minutes, ThingNo};
use lastbolt_order::{Action, Answer, Ask, Plan, plan, surely};
use lastbolt_testkit::{Size, layered_machine, random_machine, ruled_machine};

use common::compiled;

/// The kernel as it stands once the first steps of a plan are done, and one more far too early.
fn later(kernel: &Kernel, plan: &Plan, done: usize, early: Option<ThingNo>) -> Kernel {
    let mut later = kernel.clone();
    for (at, step) in plan.strip.iter().chain(&plan.build).take(done).enumerate() {
        if at < plan.strip.len() {
            later.open_at_start.add(step.thing);
        } else if step.action != Action::Start {
            later.open_at_start.remove(step.thing);
            // What was asked for was met at the turn.
            later.targets = later.no_things();
        }
        later.spot_at_start = step.spot.or(later.spot_at_start);
        later.tool_at_start = step.tool.or(later.tool_at_start);
    }
    if let Some(thing) = early {
        later.open_at_start.add(thing);
    }
    later
}

/// The proved least minutes.
fn least(kernel: &Kernel) -> Option<Minutes> {
    match plan(kernel, &Ask::default()) {
        Answer::Possible(plan) if plan.proved => Some(plan.minutes),
        _ => None,
    }
}

fn made(seed: u64) -> (Machine, JobSpec) {
    match seed % 3 {
        0 => random_machine(seed, &Size::default()),
        1 => ruled_machine(seed, &Size::default()),
        _ => layered_machine(seed, 20),
    }
}

#[test]
fn what_an_order_surely_takes_is_never_above_the_least() {
    let (mut seen, mut share) = (0, 0.0);
    // The twin: the least before minus what was done, allowed or not.
    let mut twin_is_above = 0;
    for seed in 0..900 {
        let (machine, job) = made(seed);
        let kernel = compiled(&machine, &job);
        let Answer::Possible(first) = plan(&kernel, &Ask::default()) else { continue };
        let (strip, build) = (first.strip.len(), first.build.len());
        for done in [0, strip / 2, strip, strip + build / 2] {
            for early in [None, first.strip.get(done + 2).map(|step| step.thing)] {
                let stands = later(&kernel, &first, done, early);
                let Some(least) = least(&stands) else { continue };
                let surely = surely(&stands);
                assert!(surely <= least, "seed {seed}, {done} done, {early:?}: {surely} {least}");
                seen += 1;
                share += (surely.as_number() + 1e-9) / (least.as_number() + 1e-9);
                let steps = first.strip.iter().take(done);
                let mut took: Minutes = steps.map(|step| step.minutes + step.change).sum();
                if let Some(step) = early.and_then(|_| first.strip.get(done + 2)) {
                    took += step.minutes + step.change;
                }
                twin_is_above += u32::from(first.minutes - took > least);
            }
        }
    }
    assert!(seen > 2000, "only {seen} were compared");
    let share = 100.0 * share / f64::from(seen);
    assert!(share > 50.0, "it is {share:.1} per cent of the least on average");
    assert!(twin_is_above > 20, "the twin is above the least only {twin_is_above} times");
}
