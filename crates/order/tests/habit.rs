//! The order as a mechanic would do it: legal, within the tolerance, the same set, tidier.

mod common;

use std::collections::BTreeMap;

use lastbolt_checker::{Wishes, verify};
use lastbolt_machine::{JobSpec, Kernel, Machine, Minutes};
use lastbolt_order::{Ask, Habit, Plan, Tolerance, plan, tidy, untidiness};
use lastbolt_testkit::{Size, layered_machine, random_machine, ruled_machine};

use common::{compiled, to_check};

type Made = (String, Machine, JobSpec);

/// Hundreds of machines: small ones with every feature, with the rules that only forbid, larger.
fn machines() -> impl Iterator<Item = Made> {
    let small = (0..300).map(|seed| ("random", seed, random_machine(seed, &Size::default())));
    let ruled = (0..400).map(|seed| ("ruled", seed, ruled_machine(seed, &Size::default())));
    let layered = (0..30).map(|seed| ("layered", seed, layered_machine(seed, 40)));
    let all = small.chain(ruled).chain(layered);
    all.map(|(name, seed, (machine, job))| (format!("{name} {seed}"), machine, job))
}

fn found(kernel: &Kernel) -> Option<Plan> {
    plan(kernel, &Ask { nodes: 3_000, ..Ask::default() }).plan().cloned()
}

/// What is wrong with an order that was made from another, in one word; nothing if all is well.
fn fault(
    (_, machine, job): &Made,
    kernel: &Kernel,
    (before, after): (&Plan, &Plan),
    tolerance: Tolerance,
) -> Option<&'static str> {
    let verdict = verify(machine, job, &Wishes::default(), &to_check(kernel, after, false));
    let Some(account) = verdict.account() else { return Some("refused") };
    if account.minutes != after.minutes {
        return Some("minutes");
    }
    if after.minutes > tolerance.most(before.least) {
        return Some("too long");
    }
    if after.off != before.off || after.least > before.least {
        return Some("another answer");
    }
    None
}

/// The checker takes every order, its minutes are right and within the tolerance of the least,
/// the same comes off, and where it is another order it reads better or takes no longer.
#[test]
fn every_tidied_order_is_legal_and_within_the_tolerance() {
    let mut tidier = BTreeMap::new();
    for made in machines() {
        let kernel = compiled(&made.1, &made.2);
        let Some(before) = found(&kernel) else { continue };
        for tolerance in [Tolerance::NONE, Tolerance::USUAL, Tolerance(12_500)] {
            let habit = Habit { tolerance, ..Habit::default() };
            let after = tidy(&kernel, before.clone(), &habit);
            let fault = fault(&made, &kernel, (&before, &after), tolerance);
            assert_eq!(fault, None, "{} with {tolerance:?}", made.0);
            let (old, new) = (untidiness(&kernel, &before), untidiness(&kernel, &after));
            assert!(new <= old || after.minutes < before.minutes, "{}: {old} to {new}", made.0);
            *tidier.entry(tolerance).or_insert(0) += usize::from(new < old);
        }
    }
    assert!(tidier.values().all(|&count| count > 100), "tidier only {tidier:?}");
    assert!(tidier[&Tolerance(12_500)] > tidier[&Tolerance::NONE], "{tidier:?}");
}

/// A pass that forgets what hides what, or what bears, is refused by the checker.
#[test]
fn a_pass_that_ignores_a_rule_is_rejected() {
    type Forget = fn(&mut Kernel);
    let twins: [(&str, Forget); 3] = [
        ("hidden", |kernel| kernel.things.iter_mut().for_each(|it| it.hidden_by.clear())),
        ("bears", |kernel| kernel.things.iter_mut().for_each(|it| it.bears = false)),
        ("look", |kernel| kernel.things.iter_mut().for_each(|it| it.after_leak_look = false)),
    ];
    let mut refused = BTreeMap::new();
    // What is hidden is seldom in the way of tidying: more of them.
    let more = (300..1500).map(|seed| random_machine(seed, &Size::default()));
    let ruled = (400..1200).map(|seed| ruled_machine(seed, &Size::default()));
    let more = more.chain(ruled).map(|(machine, job)| ("one more".to_owned(), machine, job));
    for made in machines().chain(more) {
        let kernel = compiled(&made.1, &made.2);
        let Some(before) = found(&kernel) else { continue };
        for (name, forget) in twins {
            let mut blind = kernel.clone();
            forget(&mut blind);
            let habit = Habit { tolerance: Tolerance(12_500), ..Habit::default() };
            let after = tidy(&blind, before.clone(), &habit);
            let seen = fault(&made, &kernel, (&before, &after), Tolerance(12_500));
            *refused.entry(name).or_insert(0) += usize::from(seen == Some("refused"));
        }
    }
    for (name, _) in twins {
        assert!(refused[name] >= 3, "\"{name}\" was refused only {} times", refused[name]);
    }
}

/// A pass that lets minutes grow past what was asked for is seen.
#[test]
fn a_pass_that_takes_too_long_is_rejected() {
    let mut seen = 0;
    for made in machines() {
        let kernel = compiled(&made.1, &made.2);
        let Some(before) = found(&kernel) else { continue };
        let habit = Habit { tolerance: Tolerance(100_000), ..Habit::default() };
        let after = tidy(&kernel, before.clone(), &habit);
        let fault = fault(&made, &kernel, (&before, &after), Tolerance::USUAL);
        seen += usize::from(fault == Some("too long"));
    }
    assert!(seen >= 5, "it was seen only {seen} times");
}

/// The same question has the same answer, and with no tolerance the least stays.
#[test]
fn same_order_every_time_and_none_dearer_without_tolerance() {
    for seed in 0..10 {
        let (machine, job) = layered_machine(seed, 50);
        let kernel = compiled(&machine, &job);
        let Some(before) = found(&kernel) else { continue };
        let habit = Habit { tolerance: Tolerance::NONE, ..Habit::default() };
        let once = tidy(&kernel, before.clone(), &habit);
        assert_eq!(once, tidy(&kernel, before.clone(), &habit), "seed {seed}");
        assert!(once.minutes <= before.minutes && once.least == once.minutes, "seed {seed}");
    }
}

#[test]
fn the_most_is_so_many_per_cent_above_the_least() {
    assert_eq!(Tolerance::USUAL.most(Minutes::whole(100)), Minutes::whole(103));
    assert_eq!(Tolerance::NONE.most(Minutes(7)), Minutes(7));
    assert_eq!(Tolerance(2_500).most(Minutes(1)), Minutes(1));
}
