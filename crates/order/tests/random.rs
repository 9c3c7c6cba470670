//! The planner against trying everything: thousands of random small machines with every feature.

mod common;

use lastbolt_checker::{Order, Wishes, verify};
use lastbolt_machine::{FileNo, JobSpec, Machine};
use lastbolt_order::{Answer, Ask, plan};
use lastbolt_testkit::wrong::{greedy_ways, plain_reversal, separate_directions, smallest_off_set};
use lastbolt_testkit::{
    Size, SlowError, layered_machine, random_machine, ruled_machine, slow_plan_within, to_toml,
};

use common::{compiled, to_check};

type Maker = fn(u64, &Size) -> (Machine, JobSpec);

fn check(make: Maker, seed: u64, strip_only: bool) -> Option<bool> {
    check_one(make(seed, &Size::default()), seed, strip_only)
}

fn check_one((machine, job): (Machine, JobSpec), seed: u64, strip_only: bool) -> Option<bool> {
    let wishes = Wishes::default();
    let slow = match slow_plan_within(&machine, &job, &wishes, strip_only, 40_000) {
        Ok(slow) => slow,
        Err(SlowError::TooMany) => return None,
        Err(SlowError::Refused(reason)) => panic!("seed {seed}: {reason:?}"),
    };
    let kernel = compiled(&machine, &job);
    let ask = Ask { strip_only, ..Ask::default() };
    let file = || to_toml(&machine, &job);
    match (plan(&kernel, &ask), slow) {
        (Answer::Possible(plan), Some(slow)) => {
            let order = to_check(&kernel, &plan, strip_only);
            let verdict = verify(&machine, &job, &wishes, &order);
            let account = verdict.account();
            assert!(account.is_some(), "seed {seed}: {:?}\n{}", verdict.reason(), file());
            assert_eq!(account.map(|a| a.minutes), Some(plan.minutes), "seed {seed}\n{}", file());
            assert!(plan.proved, "seed {seed} is not proved\n{}", file());
            assert_eq!(plan.minutes, slow.minutes, "seed {seed}, {:?}\n{}", slow.order, file());
            Some(true)
        }
        (Answer::Impossible(_), None) => Some(false),
        (answer, slow) => panic!("seed {seed}: {answer:?} against {slow:?}\n{}", file()),
    }
}

/// The planner's minutes equal those of trying everything, and the checker accepts every order.
#[test]
fn equals_trying_everything() {
    let (mut possible, mut impossible) = (0, 0);
    // Beyond the first ones, those that a planner with one rule too few got wrong.
    let once_wrong = [15928, 10399, 79098, 28846, 203_598];
    for seed in (0..3000).chain(once_wrong) {
        match check(random_machine, seed, false) {
            Some(true) => possible += 1,
            Some(false) => impossible += 1,
            None => {}
        }
    }
    assert!(possible > 1000, "only {possible} were possible");
    assert!(impossible > 20, "only {impossible} were impossible");
}

/// The same with the rules that only forbid orders.
#[test]
fn equals_trying_everything_with_bearing_open_time_and_leak_look() {
    let (mut possible, mut impossible) = (0, 0);
    // Beyond the first ones, those that a planner with one reading too few got wrong.
    let once_wrong = [
        12717, 12894, 14355, 15944, 18237, 18655, 26081, 27652, 36604, 58066, 79558, 94319, 202_087,
    ];
    for seed in (0..2000).chain(once_wrong) {
        match check(ruled_machine, seed, false) {
            Some(true) => possible += 1,
            Some(false) => impossible += 1,
            None => {}
        }
    }
    assert!(possible > 500, "only {possible} were possible");
    assert!(impossible > 20, "only {impossible} were impossible");
}

/// A plug found open by either of two conditions: with the second one made, the first may end
/// before the plug is home (R11).
const HELD_BY_EITHER: &str = r#"
machine = "rig"
fixed = ["block"]
[spot.above]
[spot.below]
[between]
"above / below" = 5
[prep.first]
ways = [{ from = "below", minutes = 1 }]
back = [{ from = "below", minutes = 1 }]
[prep.second]
ways = [{ from = "below", minutes = 0.5 }]
back = [{ from = "above", minutes = 0.5 }]
[tie.plug]
joins = ["block"]
ways = [
    { from = "above", minutes = 1, needs = ["first"] },
    { from = "above", minutes = 1, needs = ["second"] },
]
back = [{ from = "above", minutes = 1 }]
[job]
already = ["plug", "first"]
at = "below"
"#;

/// A cover that waits for the leak look, on by what is open and to be left alone: its condition
/// stays in force until that is home, and only then the look is due.
const LEFT_ALONE_UNDER_A_COVER: &str = r#"
machine = "rig"
fixed = ["block"]
[spot.above]
[prep.drained]
ways = [{ from = "above", minutes = 1 }]
back = [{ from = "above", minutes = 1 }]
[part.cover]
ways = [{ from = "above", minutes = 1 }]
after = "leak look"
[tie.clip]
joins = ["cover", "block"]
ways = [{ from = "above", minutes = 1, needs = ["drained"] }]
back = [{ from = "above", minutes = 1 }]
[job]
already = ["clip", "drained", "cover"]
leave_alone = ["clip"]
"#;

/// What no made machine comes to: each equals trying everything, and is possible.
#[test]
fn equals_trying_everything_where_conditions_hold_what_is_open() {
    for (number, text) in [HELD_BY_EITHER, LEFT_ALONE_UNDER_A_COVER].into_iter().enumerate() {
        let sources = [lastbolt_files::Source::new("rig.toml", text)];
        let (machine, problems) = lastbolt_files::read_machine(&sources, FileNo(0));
        assert!(problems.is_empty(), "{problems:?}");
        let job = machine.job.clone().expect("it has a job");
        assert_eq!(check_one((machine, job), number as u64, false), Some(true), "{text}");
    }
}

/// Takes one rule out of a machine.
type Forget = fn(&mut Machine);

/// A planner that leaves one of these rules out does not pass: its orders are refused by that
/// rule, or it finds one where there is none.
#[test]
fn planners_without_one_of_the_rules_are_rejected() {
    let wishes = Wishes::default();
    let mut refused = std::collections::BTreeMap::new();
    for seed in 0..600 {
        let (machine, job) = ruled_machine(seed, &Size::default());
        let twins: [(&str, Forget); 3] = [
            ("R23", |m| m.ties.iter_mut().for_each(|tie| tie.bears = false)),
            ("R24", |m| {
                m.parts.iter_mut().for_each(|part| part.open_minutes = None);
                m.ties.iter_mut().for_each(|tie| tie.open_minutes = None);
            }),
            ("R28", |m| m.parts.iter_mut().for_each(|part| part.after = None)),
        ];
        for (rule, forget) in twins {
            let mut without = machine.clone();
            forget(&mut without);
            let kernel = compiled(&without, &job);
            let answer = plan(&kernel, &Ask::default());
            let Some(order) = answer.plan().map(|plan| to_check(&kernel, plan, false)) else {
                continue;
            };
            if let Some(reason) = verify(&machine, &job, &wishes, &order).reason() {
                assert_eq!(reason.rule, rule, "seed {seed}: {reason:?}");
                *refused.entry(rule).or_insert(0) += 1;
            }
        }
    }
    for rule in ["R23", "R24", "R28"] {
        let times = refused.get(rule).copied().unwrap_or(0);
        assert!(times >= 5, "a planner without {rule} was refused only {times} times");
    }
}

/// The same for taking apart alone.
#[test]
fn equals_trying_everything_when_only_stripped() {
    let possible =
        |make: Maker| (50000..50600).filter(|&seed| check(make, seed, true) == Some(true)).count();
    assert!(possible(random_machine) > 300);
    assert!(possible(ruled_machine) > 200);
}

/// Deliberately wrong planners do not pass: each is refused by the checker, or dearer than the
/// least, on many machines.
#[test]
fn wrong_planners_are_rejected() {
    type Wrong = fn(&Machine, &JobSpec, &Wishes) -> Option<Order>;
    let wrong: [(&str, Wrong); 4] = [
        ("plain reversal", plain_reversal),
        ("greedy ways", greedy_ways),
        ("each direction alone", separate_directions),
        ("smallest set", smallest_off_set),
    ];
    let wishes = Wishes::default();
    for (name, planner) in wrong {
        let mut rejected = 0;
        for seed in 0..300 {
            let (machine, job) = random_machine(seed, &Size::default());
            let answer = plan(&compiled(&machine, &job), &Ask::default());
            let Some(best) = answer.plan() else { continue };
            let passes = planner(&machine, &job, &wishes).is_some_and(|order| {
                let verdict = verify(&machine, &job, &wishes, &order);
                verdict.account().is_some_and(|account| account.minutes == best.minutes)
            });
            rejected += usize::from(!passes);
        }
        assert!(rejected >= 5, "\"{name}\" was rejected only {rejected} times");
    }
}

/// An impossible job comes with reasons.
#[test]
fn reasons_are_given_where_there_is_no_order() {
    let mut seen = 0;
    for seed in 0..400 {
        let (machine, job) = random_machine(seed, &Size::default());
        if let Answer::Impossible(because) = plan(&compiled(&machine, &job), &Ask::default()) {
            assert!(!because.is_empty(), "seed {seed}: no reason\n{}", to_toml(&machine, &job));
            seen += 1;
        }
    }
    assert!(seen > 10, "only {seen} were impossible");
}

/// The limits are kept and the bound is honest: with few states the order given is legal, never
/// below the least, and the bound never above it.
#[test]
fn bounds_are_honest_within_few_states() {
    let mut unproved = 0;
    for seed in 0..60 {
        let (machine, job) = layered_machine(seed, 40);
        let kernel = compiled(&machine, &job);
        let all = plan(&kernel, &Ask::default());
        let few = plan(&kernel, &Ask { nodes: 60, ..Ask::default() });
        let (Some(all), Some(few)) = (all.plan(), few.plan()) else { continue };
        assert!(few.bound <= all.minutes, "seed {seed}: the bound is above an order");
        assert!(few.minutes >= all.bound, "seed {seed}: an order is below the bound");
        let verdict = verify(&machine, &job, &Wishes::default(), &to_check(&kernel, few, false));
        assert_eq!(verdict.account().map(|a| a.minutes), Some(few.minutes), "seed {seed}");
        unproved += usize::from(!few.proved);
    }
    assert!(unproved > 5, "only {unproved} were cut short");
}

/// The same question gets the same answer.
#[test]
fn same_plan_every_time() {
    for seed in 0..40 {
        let (machine, job) = layered_machine(seed, 30);
        let kernel = compiled(&machine, &job);
        let ask = Ask { nodes: 500, ..Ask::default() };
        assert_eq!(plan(&kernel, &ask), plan(&kernel, &ask), "seed {seed}");
    }
}

/// Above the exact range there is still a legal order, with an honest bound, however few states
/// may be looked at.
#[test]
fn large_machines_get_an_order() {
    for (seed, actions) in [(0, 110), (3, 110), (1, 160), (2, 240)] {
        let (machine, job) = layered_machine(seed, actions);
        let kernel = compiled(&machine, &job);
        let answer = plan(&kernel, &Ask { nodes: 200, ..Ask::default() });
        let best = answer.plan().unwrap_or_else(|| panic!("no order for {seed}, {actions}"));
        let verdict = verify(&machine, &job, &Wishes::default(), &to_check(&kernel, best, false));
        assert_eq!(verdict.account().map(|a| a.minutes), Some(best.minutes), "seed {seed}");
        assert!(best.bound <= best.minutes);
    }
}
