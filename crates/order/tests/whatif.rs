//! What ifs against trying everything: wishes with their reasons, further targets, ways in.

mod common;

use std::cell::Cell;

use lastbolt_checker::{Wishes, verify};
use lastbolt_machine::{At, JobSpec, Kernel, Kind, Machine, Minutes, Ref, SpotNo, ThingNo, ToolNo};
use lastbolt_machine::{Part, Sited, Spot, Way};
use lastbolt_order::{
    Answer, Ask, Plan, WayIn, Wish, are_materially_different, more_also, plan, plan_also,
    plan_also_soon, plan_to_gap, plan_under, under, ways_in, why_not,
};
use lastbolt_testkit::{
    Size, layered_machine, random_machine, ruled_machine, slow_plan_within, to_toml,
};

use common::{compiled, to_check};

fn made(seed: u64) -> (Machine, JobSpec) {
    let make = if seed.is_multiple_of(2) { random_machine } else { ruled_machine };
    make(seed, &Size::default())
}

/// Least minutes by trying everything: outer `None` where there are too many states.
fn slow(machine: &Machine, job: &JobSpec) -> Option<Option<Minutes>> {
    let found = slow_plan_within(machine, job, &Wishes::default(), false, 20_000).ok()?;
    Some(found.map(|slow| slow.minutes))
}

/// The job that renews one thing more.
fn also(job: &JobSpec, kernel: &Kernel, thing: ThingNo) -> JobSpec {
    let mut job = job.clone();
    let list = match kernel.thing(thing).kind {
        Kind::Prep => &mut job.bring,
        Kind::Part | Kind::Tie => &mut job.renew,
    };
    list.push(Ref::bare(kernel.name(thing)));
    job
}

/// A planner of "and that too"; the wrong twin forgets that going back may need more than coming
/// off.
type Also = fn(&Kernel, &Plan, &Ask<'_>) -> Answer;

fn without_back_ways(kernel: &Kernel, _: &Plan, ask: &Ask<'_>) -> Answer {
    let mut kernel = kernel.clone();
    for thing in &mut kernel.things {
        if !thing.by_itself {
            thing.back = thing.ways.clone();
        }
    }
    plan(&kernel, ask)
}

/// For how many further targets the extra minutes are as by trying everything, and for how many
/// they are not.
fn extra_minutes(planner: Also, nodes: u64) -> (usize, usize) {
    let (mut right, mut wrong) = (0, 0);
    for seed in 0..250 {
        let (machine, job) = made(seed);
        let kernel = compiled(&machine, &job);
        let ask = Ask::default();
        let Answer::Possible(base) = plan(&kernel, &ask) else { continue };
        let Some(Some(least)) = slow(&machine, &job) else { continue };
        for thing in kernel.all().filter(|&t| !kernel.thing(t).is_set_up).take(4) {
            if kernel.open_at_start.has(thing) {
                continue;
            }
            let job = also(&job, &kernel, thing);
            let Some(slow) = slow(&machine, &job) else { continue };
            let with = compiled(&machine, &job);
            let answer = planner(&with, &base, &Ask { nodes, ..ask });
            let found = more_also(&with, &answer, &base, false);
            let is_right = match (slow, found) {
                (Some(minutes), Some(found)) if nodes > 1_000 => {
                    found.proved && found.minutes == Some(minutes - least)
                }
                (Some(minutes), Some(found)) => {
                    let at_most = found.at_most.is_none_or(|most| most >= minutes - least);
                    at_most && found.at_least <= minutes - least
                }
                (None, None) => true,
                (None, Some(found)) => nodes <= 1_000 && found.at_most.is_none(),
                (Some(_), None) => false,
            };
            let is_legal = answer.plan().is_none_or(|plan| {
                let verdict =
                    verify(&machine, &job, &Wishes::default(), &to_check(&with, plan, false));
                verdict.account().map(|account| account.minutes) == Some(plan.minutes)
            });
            *(if is_right && is_legal { &mut right } else { &mut wrong }) += 1;
        }
    }
    (right, wrong)
}

/// Extra minutes equal trying everything with it minus trying everything without it.
#[test]
fn extra_minutes_equal_trying_everything() {
    let (right, wrong) = extra_minutes(plan_also, 2_000_000);
    assert_eq!(wrong, 0, "{right} were right");
    assert!(right > 300, "only {right} were compared");
    let (_, wrong) = extra_minutes(without_back_ways, 2_000_000);
    assert!(wrong > 10, "a planner that ignores back ways was wrong only {wrong} times");
}

/// With no states to look at, what is said is still true: at least and at most hold.
#[test]
fn extra_minutes_are_honest_when_not_proved() {
    let (right, wrong) = extra_minutes(plan_also, 0);
    assert_eq!(wrong, 0, "{right} were right");
    assert!(right > 300, "only {right} were compared");
}

/// What is counted as surely added: own minutes of everything new, the wrong twin.
fn all_new_minutes(kernel: &Kernel, base: &Plan) -> Minutes {
    let least = |ways: &[lastbolt_machine::KernelWay]| {
        ways.iter().map(|way| way.minutes).min().unwrap_or(Minutes::ZERO)
    };
    let one = |thing: ThingNo| {
        let it = kernel.thing(thing);
        let back = if it.by_itself { Minutes::ZERO } else { least(&it.back) };
        least(&it.ways) + back
    };
    kernel.targets.minus(&base.off).iter().map(one).sum()
}

/// Where the base is not proved, what is surely added still holds and is often more than nothing;
/// the twin that takes everything new for nobody's says too much.
#[test]
fn what_is_surely_added_is_never_too_much() {
    let (mut more_than_nothing, mut too_much) = (0, 0);
    for seed in 0..250 {
        let (machine, job) = made(seed);
        let kernel = compiled(&machine, &job);
        let Answer::Possible(base) = plan(&kernel, &Ask::default()) else { continue };
        let Some(Some(least)) = slow(&machine, &job) else { continue };
        let unproved = Plan { bound: Minutes::ZERO, proved: false, ..*base.clone() };
        for thing in kernel.all().filter(|&t| !kernel.thing(t).is_set_up && !base.off.has(t)) {
            let job = also(&job, &kernel, thing);
            let Some(Some(slow)) = slow(&machine, &job) else { continue };
            let with = compiled(&machine, &job);
            let answer = plan_also_soon(&with, &unproved, &Ask { nodes: 1, ..Ask::default() });
            let found = more_also(&with, &answer, &unproved, false).expect("it is possible");
            assert!(found.at_least <= slow - least, "seed {seed}, {}", kernel.name(thing));
            more_than_nothing += u32::from(found.at_least > Minutes::ZERO);
            too_much += u32::from(all_new_minutes(&with, &base) > slow - least);
        }
    }
    assert!(more_than_nothing > 50, "{more_than_nothing}");
    assert!(too_much > 3, "the twin says too much only {too_much} times");
}

/// What a larger machine gets put into its order without any search is legal, and never below
/// what is proved.
#[test]
fn further_targets_of_larger_machines_are_put_in() {
    let (mut put_in, mut asked) = (0, 0);
    for seed in 0..6 {
        let (machine, job) = layered_machine(seed, 60);
        let kernel = compiled(&machine, &job);
        let Answer::Possible(base) = plan(&kernel, &Ask { nodes: 2_000, ..Ask::default() }) else {
            continue;
        };
        let others: Vec<ThingNo> = kernel.all().filter(|&t| !base.off.has(t)).collect();
        for &thing in others.iter().filter(|t| !kernel.thing(**t).is_set_up).take(8) {
            asked += 1;
            let job = also(&job, &kernel, thing);
            let with = compiled(&machine, &job);
            let answer = plan_also(&with, &base, &Ask { nodes: 0, ..Ask::default() });
            let Some(plan) = answer.plan() else { continue };
            let verdict = verify(&machine, &job, &Wishes::default(), &to_check(&with, plan, false));
            assert_eq!(verdict.account().map(|a| a.minutes), Some(plan.minutes), "seed {seed}");
            assert!(plan.bound <= plan.minutes && plan.minutes >= base.bound, "seed {seed}");
            put_in += 1;
        }
    }
    assert!(put_in * 10 > asked * 7, "only {put_in} of {asked} were put in");
}

/// Each part that a real job leaves on can be renewed too, put in without any search: those that
/// go on with sealant beside something hidden among them. The checker accepts every order; it
/// refuses them where sealant sets sooner.
#[test]
fn every_part_of_a_real_machine_is_put_in() {
    let folder = format!("{}/../../demo/tarn", env!("CARGO_MANIFEST_DIR"));
    let file = |name: &str| {
        let read = std::fs::read(format!("{folder}/{name}"));
        lastbolt_files::Source::new(name, read.expect("the demo can be read"))
    };
    let sources = [file("machine.toml"), file("job.toml")];
    let machine = lastbolt_files::read_machine(&sources, lastbolt_machine::FileNo(0)).0;
    let job = lastbolt_files::read_job(&sources, lastbolt_machine::FileNo(1)).0.job;
    let kernel = compiled(&machine, &job);
    let Answer::Possible(base) = plan(&kernel, &Ask { nodes: 3_000, ..Ask::default() }) else {
        panic!("it is possible")
    };
    let mut sooner = machine.clone();
    for part in &mut sooner.parts {
        part.open_minutes =
            part.open_minutes.take().map(|_| Sited::new(Minutes(500), At::default()));
    }
    let mut refused = 0;
    for part in kernel.all().filter(|&t| kernel.thing(t).kind == Kind::Part && !base.off.has(t)) {
        let job = also(&job, &kernel, part);
        let with = compiled(&machine, &job);
        let answer = plan_also(&with, &base, &Ask { nodes: 0, ..Ask::default() });
        let plan = answer.plan().unwrap_or_else(|| panic!("{} is not put in", kernel.name(part)));
        let order = to_check(&with, plan, false);
        let verdict = verify(&machine, &job, &Wishes::default(), &order);
        assert_eq!(verdict.account().map(|a| a.minutes), Some(plan.minutes));
        refused += u32::from(verify(&sooner, &job, &Wishes::default(), &order).account().is_none());
    }
    assert!(refused > 0, "no order lays sealant");
}

/// Every wish that could be made on a machine, some at a time.
fn some_wishes(kernel: &Kernel, seed: u64) -> Vec<(Wish, At)> {
    let leave = kernel.all().map(Wish::Leave);
    let tools = (0..kernel.tools.len()).map(|n| Wish::Without(ToolNo(n)));
    let spots = (0..kernel.spots.len()).map(|n| Wish::NotFrom(SpotNo(n)));
    let all: Vec<Wish> = leave.chain(tools).chain(spots).collect();
    let step = usize::try_from(seed % 3).unwrap_or(0) + 2;
    let from = usize::try_from(seed % 5).unwrap_or(0);
    let chosen = all.into_iter().skip(from).step_by(step).take(4);
    chosen.map(|wish| (wish, At { line: 7, column: 1, ..At::default() })).collect()
}

/// The same wishes as a job file has them.
fn as_written(job: &JobSpec, kernel: &Kernel, wishes: &[(Wish, At)]) -> JobSpec {
    let mut job = job.clone();
    for (wish, _) in wishes {
        match *wish {
            Wish::Leave(thing) => job.leave_alone.push(Ref::bare(kernel.name(thing))),
            Wish::Without(tool) => job.without_tools.push(Ref::bare(&*kernel.tools[tool.0])),
            Wish::NotFrom(spot) => job.not_from.push(Ref::bare(&*kernel.spots[spot.0])),
        }
    }
    job
}

/// Under wishes the plan is that of trying everything under them; where there is none, the
/// reasons name wishes of which none can be left out.
#[test]
fn wishes_equal_trying_everything() {
    let (mut possible, mut impossible, mut wished) = (0, 0, 0);
    for seed in 0..400 {
        let (machine, job) = made(seed);
        let kernel = compiled(&machine, &job);
        let wishes = some_wishes(&kernel, seed);
        let Some(slow) = slow(&machine, &as_written(&job, &kernel, &wishes)) else { continue };
        let ask = Ask::default();
        match (plan_under(&kernel, &wishes, &ask), slow) {
            (Answer::Possible(plan), Some(minutes)) => {
                assert_eq!(plan.minutes, minutes, "seed {seed}\n{}", to_toml(&machine, &job));
                possible += 1;
            }
            (Answer::Impossible(because), None) => {
                assert!(!because.is_empty(), "seed {seed}: no reason");
                impossible += 1;
                wished += usize::from(none_can_be_left_out(&kernel, &wishes, &because, seed));
            }
            (answer, slow) => panic!("seed {seed}: {answer:?} against {slow:?}"),
        }
    }
    assert!(possible > 40, "only {possible} were possible");
    assert!(impossible > 40, "only {impossible} were impossible");
    assert!(wished > 30, "only {wished} were impossible because of wishes");
}

/// Checks the wishes among the reasons: together they forbid every order, and without any one of
/// them there is one; `true` if there are any.
fn none_can_be_left_out(
    kernel: &Kernel,
    wishes: &[(Wish, At)],
    because: &[lastbolt_order::Because],
    seed: u64,
) -> bool {
    let ask = Ask::default();
    let is_named = |(wish, at): &&(Wish, At)| {
        because.iter().any(|reason| reason.at == *at && names(kernel, *wish, &reason.text))
    };
    let named: Vec<Wish> = wishes.iter().filter(is_named).map(|(wish, _)| *wish).collect();
    let is_impossible = |wishes: &[Wish]| {
        matches!(plan(&under(kernel.clone(), wishes), &ask), Answer::Impossible(_))
    };
    assert!(is_impossible(&named), "seed {seed}: {because:?} are not enough");
    for left_out in 0..named.len() {
        let mut fewer = named.clone();
        fewer.remove(left_out);
        assert!(!is_impossible(&fewer), "seed {seed}: one of {because:?} is not needed");
    }
    !named.is_empty()
}

fn names(kernel: &Kernel, wish: Wish, text: &str) -> bool {
    match wish {
        Wish::Leave(thing) => {
            text.starts_with(&format!("\"{}\" is to be left alone", kernel.name(thing)))
        }
        Wish::Without(tool) => {
            text == format!("There is no \"{}\" to work with.", kernel.tools[tool.0])
        }
        Wish::NotFrom(spot) => {
            text == format!("Nothing is to be done from \"{}\".", kernel.spots[spot.0])
        }
    }
}

/// Nothing is said against what is possible.
#[test]
fn no_reasons_where_there_is_an_order() {
    for seed in 0..60 {
        let (machine, job) = made(seed);
        let kernel = compiled(&machine, &job);
        let ask = Ask::default();
        if plan(&kernel, &ask).plan().is_some() {
            assert_eq!(why_not(&kernel, &[], &ask), Vec::new(), "seed {seed}");
        }
    }
}

/// Ways in: legal, the first of least minutes, each the best under what it rules out, none with
/// all that another takes.
#[test]
fn ways_in_differ_materially() {
    let ask = Ask::default();
    let mut several = 0;
    for seed in 0..500 {
        let (machine, job) = made(seed);
        let kernel = compiled(&machine, &job);
        let Answer::Possible(best) = plan(&kernel, &ask) else { continue };
        let ways = ways_in(&kernel, &best, &ask).ways;
        assert!(are_materially_different(&ways), "seed {seed}");
        assert_eq!(ways[0].plan.minutes, best.minutes, "seed {seed}");
        for way in &ways {
            let wishes: Vec<(Wish, At)> =
                way.ruled_out.iter().map(|wish| (*wish, At::default())).collect();
            let job = as_written(&job, &kernel, &wishes);
            let order = to_check(&way.kernel, &way.plan, false);
            let verdict = verify(&machine, &job, &Wishes::default(), &order);
            let minutes = verdict.account().map(|account| account.minutes);
            assert_eq!(minutes, Some(way.plan.minutes), "seed {seed}\n{}", to_toml(&machine, &job));
            if let Some(Some(least)) = slow(&machine, &job) {
                assert_eq!(way.plan.minutes, least, "seed {seed}: {:?}", way.ruled_out);
            }
        }
        several += usize::from(ways.len() > 1);
    }
    assert!(several > 20, "only {several} had more than one way in");
}

/// A part that is reached behind any one of four covers, each from another side: the three
/// shortest ways in are given.
#[test]
fn three_ways_in_at_most() {
    let sides = [("left", 5), ("right", 9), ("front", 7), ("rear", 20)];
    let way = |side: &str, clear: Vec<Ref>, minutes: i64| Way {
        from: Some(Ref::bare(side)),
        clear,
        minutes: Some(Sited::new(Minutes::whole(minutes), At::default())),
        ..Way::default()
    };
    let part = |name: String, ways: Vec<Way>| Part {
        id: Ref::bare(name),
        ways: Some(ways),
        ..Part::default()
    };
    let cover = |side: &str| format!("{side} cover");
    let covers = sides.iter().map(|(side, _)| part(cover(side), vec![way(side, vec![], 1)]));
    let pump = sides.iter().map(|(side, m)| way(side, vec![Ref::bare(cover(side))], *m));
    let mut parts: Vec<Part> = covers.collect();
    parts.push(part("pump".to_owned(), pump.collect()));
    let spot = |(side, _): &(&str, i64)| Spot { id: Ref::bare(*side), ..Spot::default() };
    let spots = sides.iter().map(spot).collect();
    let machine = Machine { parts, spots, ..Machine::default() };
    let job = JobSpec { renew: vec![Ref::bare("pump")], ..JobSpec::default() };
    let kernel = compiled(&machine, &job);
    let Answer::Possible(best) = plan(&kernel, &Ask::default()) else { panic!("it is possible") };
    let found = ways_in(&kernel, &best, &Ask::default());
    assert!(!found.is_all);
    let ways = found.ways;
    let minutes: Vec<Minutes> = ways.iter().map(|way| way.plan.minutes).collect();
    // Twice the cover, twice the pump.
    assert_eq!(minutes, [12, 16, 20].map(Minutes::whole));
    assert!(are_materially_different(&ways));
}

/// A pump behind covers: by each of these manners, with the minutes that it then takes, some of the
/// covers come off.
fn behind_covers(manners: &[(&[&str], i64)]) -> Kernel {
    let way = |clear: &[&str], minutes: i64| Way {
        clear: clear.iter().map(|cover| Ref::bare(*cover)).collect(),
        minutes: Some(Sited::new(Minutes::whole(minutes), At::default())),
        ..Way::default()
    };
    let part = |name: &str, ways: Vec<Way>| Part {
        id: Ref::bare(name),
        ways: Some(ways),
        ..Part::default()
    };
    let pump = manners.iter().map(|(clear, minutes)| way(clear, *minutes)).collect();
    let mut parts = vec![part("pump", pump)];
    parts.extend(["l", "m", "k", "n", "q"].map(|cover| part(cover, vec![way(&[], 1)])));
    let machine = Machine { parts, ..Machine::default() };
    compiled(&machine, &JobSpec { renew: vec![Ref::bare("pump")], ..JobSpec::default() })
}

/// The third way in shares a cover with the first, and without either cover of the first alone
/// the second is the shortest: two have to be ruled out. With two manners it is known that there
/// is no third way in; not where there was no time to look.
#[test]
fn a_third_way_in_is_found_behind_the_second() {
    let manners: [(&[&str], i64); 3] = [(&["l", "m"], 5), (&["k", "n"], 9), (&["l", "q"], 20)];
    let find = |kernel: &Kernel, stop: &dyn Fn() -> bool| {
        let Answer::Possible(best) = plan(kernel, &Ask::default()) else { panic!("possible") };
        ways_in(kernel, &best, &Ask { stop, ..Ask::default() })
    };
    let minutes = |found: &lastbolt_order::WaysIn| -> Vec<Minutes> {
        found.ways.iter().map(|way| way.plan.minutes).collect()
    };
    let three = find(&behind_covers(&manners), &|| false);
    assert_eq!(minutes(&three), [14, 22, 44].map(Minutes::whole));
    let two = find(&behind_covers(&manners[..2]), &|| false);
    assert_eq!(minutes(&two), [14, 22].map(Minutes::whole));
    assert!(two.is_all);
    assert!(!find(&behind_covers(&manners[..2]), &|| true).is_all);
}

/// What is ruled out in every possible combination finds no way in that takes no more than it must
/// and was not given, where it is said that there is none; a list cut short does not pass.
#[test]
fn no_further_way_in_is_said_truly() {
    let ask = Ask::default();
    let (mut said, mut cut_short) = (0, 0);
    for seed in 0..300 {
        let (machine, job) = made(seed);
        let kernel = compiled(&machine, &job);
        let Answer::Possible(best) = plan(&kernel, &ask) else { continue };
        let found = ways_in(&kernel, &best, &ask);
        let Some(every) = every_way_in(&kernel).filter(|_| found.is_all) else { continue };
        let covers = |chosen: &[WayIn]| {
            every.iter().all(|takes| chosen.iter().any(|c| !c.takes().differs_from(takes)))
        };
        assert!(covers(&found.ways), "seed {seed}\n{}", to_toml(&machine, &job));
        cut_short += u32::from(!covers(&found.ways[..1]));
        said += 1;
    }
    assert!(said > 60, "it was said only {said} times");
    assert!(cut_short > 5, "a list of the first alone passes but {cut_short} times");
}

/// What the ways in take that take no more than they must; none where there is too much to try.
fn every_way_in(kernel: &Kernel) -> Option<Vec<lastbolt_order::Takes>> {
    let is_free = |t: &ThingNo| {
        kernel.thing(*t).kind == Kind::Part
            && !kernel.targets.has(*t)
            && !kernel.open_at_start.has(*t)
    };
    let spots = (0..kernel.spots.len()).map(|spot| Wish::NotFrom(SpotNo(spot)));
    let all: Vec<Wish> = kernel.all().filter(is_free).map(Wish::Leave).chain(spots).collect();
    if all.len() > 6 {
        return None;
    }
    let mut every = Vec::new();
    for chosen in 0..1_u32 << all.len() {
        let wishes = all.iter().enumerate().filter(|(at, _)| chosen >> at & 1 == 1);
        let wishes: Vec<Wish> = wishes.map(|(_, wish)| *wish).collect();
        let under = under(kernel.clone(), &wishes);
        if let Answer::Possible(plan) = plan(&under, &Ask::default()) {
            every.push(WayIn { ruled_out: wishes, kernel: under, plan: *plan }.takes());
        }
    }
    let is_more = |takes: &lastbolt_order::Takes| {
        every.iter().any(|other| other != takes && other.is_within(takes))
    };
    Some(every.iter().filter(|takes| !is_more(takes)).cloned().collect())
}

/// A list in which one way in only takes something more than another is refused; so is one in
/// the wrong order, or with the same one twice.
#[test]
fn ways_in_with_a_subset_are_rejected() {
    let ask = Ask::default();
    let mut refused = 0;
    for seed in 0..120 {
        let (machine, job) = made(seed);
        let kernel = compiled(&machine, &job);
        let Answer::Possible(best) = plan(&kernel, &ask) else { continue };
        let first = WayIn { ruled_out: Vec::new(), kernel: kernel.clone(), plan: *best.clone() };
        assert!(!are_materially_different(&[first.clone(), first.clone()]), "seed {seed}");
        let is_more = |&t: &ThingNo| kernel.thing(t).kind == Kind::Part && !best.off.has(t);
        let Some(thing) = kernel.all().find(is_more) else { continue };
        let with = compiled(&machine, &also(&job, &kernel, thing));
        let Answer::Possible(plan) = plan_also(&with, &best, &Ask { nodes: 0, ..ask }) else {
            continue;
        };
        let padded = WayIn { ruled_out: Vec::new(), kernel: with, plan: *plan };
        assert!(!are_materially_different(&[first.clone(), padded.clone()]), "seed {seed}");
        assert!(!are_materially_different(&[padded, first]), "seed {seed}");
        refused += 1;
    }
    assert!(refused > 20, "only {refused} lists were looked at");
}

/// With a gap the search ends as soon as the bound is near enough, and says so truly.
#[test]
fn a_gap_ends_the_search() {
    let mut sooner = 0;
    for seed in 0..8 {
        let (machine, job) = layered_machine(seed, 60);
        let kernel = compiled(&machine, &job);
        let ask = Ask { nodes: 16_000, ..Ask::default() };
        let looked_at = Cell::new(0);
        let search = |ask: &Ask<'_>| {
            looked_at.set(looked_at.get() + ask.nodes);
            plan(&kernel, ask)
        };
        let wide = plan_to_gap(&ask, 30.0, &search);
        let few = looked_at.replace(0);
        let Some(wide) = wide.plan() else { continue };
        let gap = (wide.minutes - wide.bound).as_number() * 100.0;
        let near = gap <= 30.0 * wide.minutes.as_number();
        assert!(near || few >= 16_000, "seed {seed}: it ended too soon");
        sooner += usize::from(near && few < 16_000);
        let all = plan_to_gap(&ask, 0.0, &search);
        assert_eq!(all, plan(&kernel, &ask), "seed {seed}: no gap is the plain search");
    }
    assert!(sooner > 3, "only {sooner} ended sooner");
}
