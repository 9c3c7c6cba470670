//! What may not change when the question is put in other words: names, the order of the file,
//! the unit of minutes, a further and dearer manner. On machines with every feature, bearing
//! fixings, open time and the leak look among them; a planner that goes by names, by the order of
//! the file, by minutes of its own or by the last manner written is found out.

mod common;

use lastbolt_files::{Source, read_machine};
use lastbolt_machine::kernel::{BENCH, Changes};
use lastbolt_machine::{FileNo, JobSpec, Kernel, KernelWay, Level, Machine, Minutes, SpotNo};
use lastbolt_order::{Answer, Ask, Plan, plan};
use lastbolt_testkit::{Size, random_machine, ruled_machine, to_toml};

use common::compiled;

/// How many machines each is tried on.
const SEEDS: u64 = 600;

type Planner = fn(&Kernel) -> Option<Minutes>;

fn made(seed: u64) -> (Machine, JobSpec) {
    let make = if seed.is_multiple_of(4) { random_machine } else { ruled_machine };
    make(seed, &Size::default())
}

fn found(kernel: &Kernel) -> Option<Box<Plan>> {
    match plan(kernel, &Ask { nodes: 50_000, ..Ask::default() }) {
        Answer::Possible(plan) if plan.proved => Some(plan),
        _ => None,
    }
}

fn least(kernel: &Kernel) -> Option<Minutes> {
    found(kernel).map(|plan| plan.minutes)
}

/// Leaves each thing one of its manners.
fn with_one_way(
    kernel: &Kernel,
    chosen: impl Fn(&Kernel, &[KernelWay]) -> Option<KernelWay>,
) -> Kernel {
    let mut fewer = kernel.clone();
    for thing in &mut fewer.things {
        for ways in [&mut thing.ways, &mut thing.back] {
            *ways = chosen(kernel, ways).into_iter().collect();
        }
    }
    fewer
}

/// The wrong planner that goes by the names of places.
fn by_name(kernel: &Kernel) -> Option<Minutes> {
    least(&with_one_way(kernel, |kernel, ways| {
        let name = |way: &&KernelWay| way.spot.map(|spot| kernel.spots[spot.0].clone());
        ways.iter().min_by_key(name).cloned()
    }))
}

/// The wrong planner that goes by the order of the file.
fn by_number(kernel: &Kernel) -> Option<Minutes> {
    least(&with_one_way(kernel, |_, ways| ways.iter().min_by_key(|way| way.spot).cloned()))
}

/// The wrong planner that takes the last manner written.
fn by_last(kernel: &Kernel) -> Option<Minutes> {
    least(&with_one_way(kernel, |_, ways| ways.last().cloned()))
}

/// The wrong planner that has minutes of its own for a change of tool.
fn by_own_minutes(kernel: &Kernel) -> Option<Minutes> {
    let mut usual = kernel.clone();
    usual.tool_changes = Changes::from_fn(kernel.tool_changes.size(), |_, _| Minutes(500));
    least(&usual)
}

/// The wrong planner that forgets what only forbids.
fn without_rules(kernel: &Kernel) -> Option<Minutes> {
    let mut free = kernel.clone();
    for thing in &mut free.things {
        (thing.bears, thing.open_minutes, thing.after_leak_look) = (false, None, false);
    }
    least(&free)
}

/// On how many machines a planner says the right thing of both, and on how many not.
fn judge(
    planner: Planner,
    change: impl Fn(u64, &Machine, &JobSpec) -> Option<Kernel>,
    holds: impl Fn(Option<Minutes>, Option<Minutes>) -> bool,
) -> (u64, u64) {
    let (mut right, mut wrong) = (0, 0);
    for seed in 0..SEEDS {
        let (machine, job) = made(seed);
        let Some(changed) = change(seed, &machine, &job) else { continue };
        let (before, after) = (planner(&compiled(&machine, &job)), planner(&changed));
        *(if holds(before, after) { &mut right } else { &mut wrong }) += 1;
    }
    (right, wrong)
}

/// The planner is right on all of them and the twin is found out.
fn holds_and_can_fail(
    twin: Planner,
    change: impl Fn(u64, &Machine, &JobSpec) -> Option<Kernel>,
    holds: impl Fn(Option<Minutes>, Option<Minutes>) -> bool,
) {
    let (right, wrong) = judge(least, &change, &holds);
    assert_eq!(wrong, 0, "{right} were right");
    assert!(right > SEEDS / 2, "only {right} were compared");
    let (_, wrong) = judge(twin, &change, &holds);
    assert!(wrong > 5, "the twin is found out on {wrong} machines only");
}

/// The machines would not tell if the rules that only forbid did not matter on many of them.
#[test]
fn the_rules_that_only_forbid_matter_on_many_of_these_machines() {
    let (mut bearing, mut all) = (0, 0);
    for seed in 0..SEEDS {
        let (machine, job) = made(seed);
        let kernel = compiled(&machine, &job);
        let with = least(&kernel);
        all += u64::from(with != without_rules(&kernel));
        let mut light = kernel.clone();
        light.things.iter_mut().for_each(|thing| thing.bears = false);
        bearing += u64::from(with != least(&light));
    }
    assert!(bearing > 10 && all > 40, "bearing fixings matter on {bearing}, the rules on {all}");
}

/// Other names, in any script and in another order of the alphabet.
#[test]
fn names_do_not_matter() {
    let renamed = |_, machine: &Machine, job: &JobSpec| {
        let mut text = to_toml(machine, job);
        let kinds = [("part", "ñ δ"), ("tie", "螺"), ("prep", "é"), ("spot", "ж"), ("tool", "ß")];
        for (kind, other) in kinds {
            for number in 0..10 {
                let name = format!("{other}{} {number}", 9 - number);
                text = text.replace(&format!("{kind} {number}"), &name);
            }
        }
        Some(parsed(&text))
    };
    holds_and_can_fail(by_name, renamed, |before, after| before == after);
}

fn parsed(text: &str) -> Kernel {
    let (machine, problems) = read_machine(&[Source::new("m.toml", text)], FileNo(0));
    let error = problems.iter().find(|problem| problem.level == Level::Error);
    assert!(error.is_none(), "{error:?} in\n{text}");
    let job = machine.job.clone().expect("the job stands in it");
    compiled(&machine, &job)
}

/// Things and manners of the file in another order.
#[test]
fn the_order_of_the_file_does_not_matter() {
    let reversed = |_, machine: &Machine, job: &JobSpec| {
        let mut other = machine.clone();
        other.parts.reverse();
        other.ties.reverse();
        other.preps.reverse();
        other.spots.reverse();
        let parts = other.parts.iter_mut().map(|part| &mut part.ways);
        let ties = other.ties.iter_mut().map(|tie| &mut tie.ways);
        parts.chain(ties).flatten().for_each(|ways| ways.reverse());
        Some(compiled(&other, job))
    };
    holds_and_can_fail(by_number, reversed, |before, after| before == after);
    let (_, wrong) = judge(by_last, reversed, |before, after| before == after);
    assert!(wrong > 5, "the twin that takes the last manner is found out on {wrong} only");
}

/// Three times the minutes of everything: three times the least.
#[test]
fn the_unit_of_minutes_does_not_matter() {
    let scaled = |_, machine: &Machine, job: &JobSpec| {
        let mut kernel = compiled(machine, job);
        let by_three = |minutes: Minutes| Minutes(minutes.0 * 3);
        for thing in &mut kernel.things {
            thing.open_minutes = thing.open_minutes.map(by_three);
            for way in thing.ways.iter_mut().chain(&mut thing.back) {
                way.minutes = by_three(way.minutes);
            }
        }
        for changes in [&mut kernel.spot_changes, &mut kernel.tool_changes] {
            *changes = Changes::from_fn(changes.size(), |a, b| by_three(changes.between(a, b)));
        }
        Some(kernel)
    };
    let thrice = |before: Option<Minutes>, after: Option<Minutes>| {
        before.map(|minutes| Minutes(minutes.0 * 3)) == after
    };
    holds_and_can_fail(by_own_minutes, scaled, thrice);
}

/// A further manner of doing something that takes longer never makes the job longer, and never
/// impossible.
#[test]
fn a_dearer_alternative_never_raises_the_least() {
    let with_more = |seed: u64, machine: &Machine, job: &JobSpec| {
        let mut kernel = compiled(machine, job);
        let in_place = kernel.spots.len().saturating_sub(1).max(1);
        let at = usize::try_from(seed).ok()? % kernel.things.len();
        let thing = &mut kernel.things[at];
        for ways in [&mut thing.ways, &mut thing.back] {
            let Some(mut more) = ways.first().cloned() else { continue };
            more.minutes += Minutes::whole(3);
            // From another place, where it is not at the bench (what lies there stays there).
            if let Some(spot) = more.spot.filter(|spot| *spot != BENCH) {
                more.spot = Some(SpotNo(1 + spot.0 % in_place));
            }
            ways.push(more);
        }
        Some(kernel)
    };
    let never_more = |before: Option<Minutes>, after: Option<Minutes>| {
        before.is_none_or(|before| after.is_some_and(|after| after <= before))
    };
    holds_and_can_fail(by_last, with_more, never_more);
}

/// The minutes that are reported are those of the steps; the twin leaves out the changes.
#[test]
fn reported_minutes_are_the_sum_of_the_steps() {
    let (mut seen, mut twin_is_wrong) = (0, 0);
    for seed in 0..SEEDS {
        let (machine, job) = made(seed);
        let Some(plan) = found(&compiled(&machine, &job)) else { continue };
        let steps = || plan.strip.iter().chain(&plan.build);
        assert_eq!(steps().map(|s| s.minutes + s.change).sum::<Minutes>(), plan.minutes);
        assert!(plan.bound <= plan.least && plan.least <= plan.minutes);
        twin_is_wrong += u64::from(steps().map(|s| s.minutes).sum::<Minutes>() != plan.minutes);
        seen += 1;
    }
    assert!(seen > SEEDS / 2 && twin_is_wrong > 20, "{seen}, {twin_is_wrong}");
}
