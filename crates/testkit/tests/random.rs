//! Random machines: the slow planner's orders pass the checker, changed orders do not pass
//! unnoticed, planners with a mistake are caught.

mod common;

use common::{MACHINES, solved};
use lastbolt_checker::{Order, Step, Verdict, Walker, Wishes, verify};
use lastbolt_machine::model::Back;
use lastbolt_machine::{JobSpec, Level, Machine, Minutes, validate};
use lastbolt_testkit::{Rng, Size, layered_machine, random_machine, slow_plan, to_toml, wrong};

#[test]
fn best_orders_pass_and_changed_orders_do_not_pass_unnoticed() {
    let mut refused_mutants = 0;
    let mut passed_mutants = 0;
    let solved = solved(MACHINES);
    assert!(solved.len() as u64 > MACHINES / 2, "only {} can be solved", solved.len());
    for (seed, machine, job, slow) in &solved {
        let verdict = verify(machine, job, &Wishes::default(), &slow.order);
        let told = || format!("seed {seed}: {verdict:?}\n{}", to_toml(machine, job));
        let account = verdict.account().unwrap_or_else(|| panic!("{}", told()));
        assert_eq!(account.minutes, slow.minutes, "{}", told());
        assert!(slow.off_sets.contains(&account.off), "{}", told());
        assert!(account.elapsed >= account.minutes, "{}", told());
        let mut rng = Rng::new(*seed);
        for _ in 0..12 {
            let Some(mutant) = mutated(&slow.order, &mut rng) else { continue };
            match verify(machine, job, &Wishes::default(), &mutant) {
                Verdict::Refused(_) => refused_mutants += 1,
                Verdict::Accepted(account) => {
                    passed_mutants += 1;
                    assert!(account.minutes >= slow.minutes, "seed {seed} beats the best");
                }
            }
        }
    }
    assert!(refused_mutants > 1000, "{refused_mutants} refused");
    assert!(passed_mutants > 100, "{passed_mutants} passed");
}

/// Minutes and changes that a step states must be the recomputed ones, to the thousandth.
#[test]
fn wrong_minutes_are_refused() {
    for (seed, machine, job, slow) in solved(80) {
        for number in 0..slow.order.strip.len() {
            let mut order = slow.order.clone();
            let step = &mut order.strip[number];
            step.minutes = step.minutes.map(|minutes| minutes + Minutes(1));
            let verdict = verify(&machine, &job, &Wishes::default(), &order);
            let reason = verdict.reason().unwrap_or_else(|| panic!("seed {seed}"));
            assert_eq!((reason.rule, reason.step), ("R16", Some(number)), "seed {seed}");
            let mut order = slow.order.clone();
            let step = &mut order.strip[number];
            step.change = step.change.map(|change| change + Minutes(1));
            let verdict = verify(&machine, &job, &Wishes::default(), &order);
            let reason = verdict.reason().unwrap_or_else(|| panic!("seed {seed}"));
            assert_eq!((reason.rule, reason.step), ("R15", Some(number)), "seed {seed}");
        }
    }
}

/// An order in which two steps are swapped, one is left out or done twice, or a way is changed;
/// minutes are not stated, so that only the rules speak.
fn mutated(order: &Order, rng: &mut Rng) -> Option<Order> {
    let mut mutant = order.clone();
    let all = mutant.strip.iter_mut().chain(&mut mutant.build);
    all.for_each(|step| (step.minutes, step.change) = (None, None));
    let in_strip = rng.percent(50);
    let steps = if in_strip { &mut mutant.strip } else { &mut mutant.build };
    if steps.is_empty() {
        return None;
    }
    let (one, other) = (rng.below(steps.len()), rng.below(steps.len()));
    match rng.below(4) {
        0 if one != other => steps.swap(one, other),
        1 => {
            steps.remove(one);
        }
        2 => steps.insert(other, steps[one].clone()),
        3 => steps[one].from = Some("bench".to_owned()),
        _ => return None,
    }
    Some(mutant)
}

/// Every order that a walker can go is an order that the checker accepts, at the same cost: the
/// two do not drift apart.
#[test]
fn walks_at_random_pass_the_checker() {
    let mut finished = 0;
    for seed in 0..MACHINES {
        let (machine, job) = random_machine(seed, &Size::default());
        let wishes = Wishes::default();
        let mut walker = Walker::new(&machine, &job, &wishes).expect("legal");
        let mut rng = Rng::new(seed);
        let mut order = Order::default();
        for _ in 0..100 {
            if walker.targets_hold() && !walker.is_building() && rng.percent(40) {
                walker.turn().expect("targets hold");
            }
            let steps = walker.legal_steps();
            let Some(step) = rng.pick(&steps).cloned() else {
                if walker.is_building() || walker.turn().is_err() {
                    break;
                }
                continue;
            };
            walker.apply(&step).unwrap_or_else(|reason| panic!("seed {seed}: {reason:?}"));
            let part = if walker.is_building() { &mut order.build } else { &mut order.strip };
            part.push(step);
        }
        if walker.finished() {
            finished += 1;
            let verdict = verify(&machine, &job, &wishes, &order);
            let account = verdict.account().unwrap_or_else(|| panic!("seed {seed}: {verdict:?}"));
            assert_eq!(account.minutes, walker.cost(), "seed {seed}");
        }
    }
    assert!(finished > 40, "{finished}");
}

#[test]
fn wrong_planners_are_caught_often() {
    type Planner = fn(&Machine, &JobSpec, &Wishes) -> Option<Order>;
    let planners: [(&str, Planner); 4] = [
        ("plain_reversal", wrong::plain_reversal),
        ("greedy_ways", wrong::greedy_ways),
        ("separate_directions", wrong::separate_directions),
        ("smallest_off_set", wrong::smallest_off_set),
    ];
    let solved = solved(120);
    for (name, planner) in planners {
        let (mut caught, mut right) = (0, 0);
        for (seed, machine, job, slow) in &solved {
            let order = planner(machine, job, &Wishes::default());
            let verdict = order.map(|order| verify(machine, job, &Wishes::default(), &order));
            match verdict.as_ref().and_then(Verdict::account) {
                Some(account) if account.minutes == slow.minutes => right += 1,
                Some(account) => {
                    assert!(account.minutes > slow.minutes, "{name} beats the best: {seed}");
                    caught += 1;
                }
                None => caught += 1,
            }
        }
        assert!(caught > 0, "{name} was never caught");
        assert!(right > 0, "{name} is never right: it proves little");
    }
}

/// What the maker makes is legal by the same rules that users' files pass (R22). What can never be
/// taken apart is an error in a file too, and then the slow planner must not be able to either.
#[test]
fn random_machines_are_legal_files() {
    let mut never = 0;
    for seed in 0..MACHINES {
        let (machine, job) = random_machine(seed, &Size::default());
        let problems = validate(&machine, Some(&job));
        for error in problems.iter().filter(|problem| problem.level == Level::Error) {
            let told = || format!("seed {seed}: {error:?}\n{}", to_toml(&machine, &job));
            assert!(["circle", "never-opens"].contains(&error.kind), "{}", told());
            let slow = slow_plan(&machine, &job, &Wishes::default(), true).expect("small");
            assert!(slow.is_none(), "{}", told());
            never += 1;
        }
    }
    assert!(never > 10, "{never}");
    for (seed, actions) in [(1, 20), (2, 200), (3, 600)] {
        let (machine, job) = layered_machine(seed, actions);
        let problems = validate(&machine, Some(&job));
        let error = problems.iter().find(|problem| problem.level == Level::Error);
        assert!(error.is_none(), "{actions}: {error:?}");
    }
}

/// The larger machines are what they say: read by the checker, of about the size asked for, and
/// everything goes back.
#[test]
fn layered_machines_go_apart_and_together() {
    for (seed, actions) in [(1, 20), (2, 60), (3, 200), (4, 600)] {
        let (machine, job) = layered_machine(seed, actions);
        let mut walker = Walker::new(&machine, &job, &Wishes::default()).expect("legal");
        let mut order = Order::default();
        while !walker.targets_hold() {
            let step = walker.legal_steps().into_iter().next();
            let step = step.unwrap_or_else(|| panic!("{actions}: stuck"));
            walker.apply(&step).expect("legal");
            order.strip.push(step);
        }
        let things = machine.parts.len() + machine.ties.len() + machine.preps.len();
        assert!(things.abs_diff(actions) <= 12, "{actions}: {things}");
        assert!(order.strip.len() * 10 >= actions * 8, "{actions}: {}", order.strip.len());
        walker.turn().expect("targets hold");
        let pressing = |step: &Step| {
            let tie = machine.ties.iter().find(|tie| tie.id.name() == step.id);
            tie.is_some_and(|tie| !tie.hidden_by.is_empty() || tie.back != Back::Unstated)
        };
        while !walker.finished() {
            // Backwards, but nothing waits until it is hidden or has no room left.
            let steps = walker.legal_steps();
            let last = order
                .strip
                .iter()
                .rev()
                .find(|opened| !order.build.iter().any(|closed| closed.id == opened.id));
            let is_last = |step: &&Step| last.is_some_and(|last| last.id == step.id);
            let step = steps.iter().find(|step| pressing(step)).or(steps.iter().find(is_last));
            let step = step.unwrap_or_else(|| panic!("{actions}: {last:?} stays off")).clone();
            walker.apply(&step).expect("legal");
            order.build.push(step);
        }
        let verdict = verify(&machine, &job, &Wishes::default(), &order);
        assert_eq!(verdict.account().map(|account| account.minutes), Some(walker.cost()));
    }
}
