//! Why each thing of a plan comes off: what is named really needs it, and all that needs it is
//! named.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::collections::BTreeSet;

use lastbolt_checker::{Action as Word, Order, Step as Line, Wishes, verify};
use lastbolt_files::Source;
use lastbolt_job::{Case, JobModel, around, read_case, why};
use lastbolt_machine::{At, Direction, Kernel, Kind, Set, ThingNo};
use lastbolt_order::{Action, Ask, Forbids, Plan, Step, Wish, plan, why_not};
use lastbolt_testkit::{Size, layered_machine, random_machine, ruled_machine};

/// Every demo and every example, by its name.
fn cases() -> Vec<(String, Case)> {
    let root = format!("{}/../..", env!("CARGO_MANIFEST_DIR"));
    let read = |path: &str| Source::new(path, std::fs::read(format!("{root}/{path}")).unwrap());
    let mut all = Vec::new();
    for demo in ["kelp", "tarn", "tussock"] {
        let files = ["machine", "job"].map(|file| read(&format!("demo/{demo}/{file}.toml")));
        all.push((demo.to_owned(), read_case(&files).unwrap().case));
    }
    for folder in ["crates/lastbolt/tests/data/examples", "crates/job/tests/data"] {
        for file in std::fs::read_dir(format!("{root}/{folder}")).unwrap() {
            let name = file.unwrap().file_name().into_string().unwrap();
            if name.ends_with(".toml")
                && let Ok(read) = read_case(&[read(&format!("{folder}/{name}"))])
            {
                all.push((name, read.case));
            }
        }
    }
    assert!(all.len() > 20, "{}", all.len());
    all
}

/// Made machines with every feature, those among them that can be done.
fn made() -> Vec<(String, Case)> {
    let mut all = Vec::new();
    for seed in 0..120 {
        let make = if seed % 2 == 0 { random_machine } else { ruled_machine };
        all.push((format!("small {seed}"), make(seed, &Size::default())));
    }
    all.extend((0..4).map(|seed| (format!("layered {seed}"), layered_machine(seed, 40))));
    let case = |(name, (machine, job))| {
        let model = JobModel { machine, job, ..JobModel::default() };
        (name, Case::new(model).unwrap())
    };
    all.into_iter().map(case).collect()
}

fn planned(case: &Case) -> Option<Plan> {
    plan(&case.kernel, &Ask { nodes: 2_000, ..Ask::default() }).plan().cloned()
}

/// The things with a step that is refused once `left` is never stepped; every other step is done,
/// allowed or not. An own reading, apart from the one that explains.
fn refused_without(kernel: &Kernel, plan: &Plan, left: ThingNo) -> BTreeSet<ThingNo> {
    let forbids = Forbids::of(kernel, &kernel.open_at_start);
    let (mut open, mut started) = (kernel.open_at_start.clone(), kernel.no_things());
    let mut refused = BTreeSet::new();
    let strip = plan.strip.iter().map(|step| (Direction::Strip, step));
    let build = plan.build.iter().map(|step| (Direction::Build, step));
    for (direction, step) in strip.chain(build).filter(|(_, step)| step.thing != left) {
        let way = &kernel.ways(step.thing, direction)[step.way];
        let goes = match direction {
            Direction::Strip => kernel.open_is_allowed(step.thing, way, &open),
            Direction::Build if step.action == Action::Start => {
                kernel.start_is_allowed(step.thing, way, &open, &started)
            }
            Direction::Build => kernel.close_is_allowed(step.thing, way, &open, &started),
        };
        if !goes || !forbids.allow(kernel, direction, step.thing, &open, &started) {
            refused.insert(step.thing);
        }
        match step.action {
            Action::Off | Action::Undo | Action::Prep => {
                open.add(step.thing);
            }
            Action::Start => {
                started.add(step.thing);
            }
            _ => {
                open.remove(step.thing);
                started.remove(step.thing);
            }
        }
    }
    refused
}

/// What an explanation says needs a thing: the things that wait for it.
type Explain = fn(&Kernel, &Plan, ThingNo) -> BTreeSet<ThingNo>;

fn told(kernel: &Kernel, plan: &Plan, thing: ThingNo) -> BTreeSet<ThingNo> {
    let lines = around(kernel, plan, thing).after;
    lines.iter().map(|line| kernel.find(line.thing.as_deref().unwrap()).unwrap()).collect()
}

/// A wrong twin: what the steps' own manners and fixings name, and nothing else.
fn told_by_names_only(kernel: &Kernel, plan: &Plan, thing: ThingNo) -> BTreeSet<ThingNo> {
    let steps = plan.strip.iter().map(|step| (Direction::Strip, step));
    let steps = steps.chain(plan.build.iter().map(|step| (Direction::Build, step)));
    let names = |(direction, step): &(Direction, &Step)| {
        let way = &kernel.ways(step.thing, *direction)[step.way];
        let named = way.clear.iter().chain(&way.needs).chain(&kernel.thing(step.thing).needs);
        let holds = *direction == Direction::Strip
            && kernel.thing(step.thing).ties.contains(&thing)
            && !kernel.thing(step.thing).stays.contains(&thing);
        named.copied().any(|named| named == thing) || holds
    };
    steps.filter(names).map(|(_, step)| step.thing).collect()
}

/// What the plan opens and nobody asked for.
fn opened(kernel: &Kernel, plan: &Plan) -> Set {
    plan.off.minus(&kernel.open_at_start).minus(&kernel.targets)
}

/// The first thing of a plan whose explanation is not what really refuses to go without it.
fn first_wrong(case: &Case, plan: &Plan, explain: Explain) -> Option<String> {
    let kernel = &case.kernel;
    opened(kernel, plan).iter().find_map(|thing| {
        let truth = refused_without(kernel, plan, thing);
        let told = explain(kernel, plan, thing);
        let idle = told.is_empty() && !is_for_the_minutes(case, plan, thing);
        (truth != told || idle).then(|| {
            let names = |set: &BTreeSet<ThingNo>| -> Vec<String> {
                set.iter().map(|&t| kernel.name(t).to_owned()).collect()
            };
            format!("{}: told {:?}, is {:?}", kernel.name(thing), names(&told), names(&truth))
        })
    })
}

/// Whether nothing refuses to go without a thing, and it takes as many minutes without.
fn is_for_the_minutes(case: &Case, plan: &Plan, thing: ThingNo) -> bool {
    let order = order_without(&case.kernel, plan, thing);
    let verdict = verify(&case.model.machine, &case.model.job, &Wishes::default(), &order);
    verdict.account().is_none_or(|account| account.minutes >= plan.minutes)
}

#[test]
fn all_that_needs_it_is_named_and_nothing_else() {
    let mut looked_at = 0;
    for (name, case) in cases().into_iter().chain(made()) {
        let Some(plan) = planned(&case) else { continue };
        assert_eq!(first_wrong(&case, &plan, told), None, "{name}");
        looked_at += opened(&case.kernel, &plan).len();
    }
    assert!(looked_at > 400, "{looked_at}");
}

/// The twin that only looks at what is named is found out, on demos and on made machines.
#[test]
fn a_twin_that_looks_at_names_only_is_found_out() {
    for mut all in [cases(), made()] {
        all.retain(|(_, case)| {
            let plan = planned(case);
            plan.is_some_and(|plan| first_wrong(case, &plan, told_by_names_only).is_some())
        });
        assert!(!all.is_empty());
    }
}

/// Each chain goes from what was asked for to the thing, and the independent checker refuses the
/// order without the thing at a step that the explanation names.
#[test]
fn chains_begin_with_what_was_asked_for_and_the_checker_agrees() {
    for (name, case) in cases() {
        let Some(plan) = planned(&case) else { continue };
        let kernel = &case.kernel;
        for thing in plan.off.minus(&kernel.open_at_start).iter() {
            let lines = why(kernel, &plan, thing);
            let text = &lines.first().unwrap().text;
            assert!(text.contains("asked for"), "{name}, {}: {text}", kernel.name(thing));
            let last = lines.last().unwrap().thing.clone().unwrap();
            assert_eq!(last, kernel.name(thing), "{name}");
        }
        for thing in opened(kernel, &plan).iter() {
            let order = order_without(kernel, &plan, thing);
            let verdict = verify(&case.model.machine, &case.model.job, &Wishes::default(), &order);
            let Some(reason) = verdict.reason() else {
                // Another manner from the same place with the same tool, which takes longer.
                let minutes = verdict.account().unwrap().minutes;
                assert!(minutes > plan.minutes, "{name}, {}", kernel.name(thing));
                continue;
            };
            let step = reason.step.unwrap_or_else(|| panic!("{name}: {}", reason.text));
            let list = if reason.phase == lastbolt_checker::Phase::Strip {
                &order.strip
            } else {
                &order.build
            };
            let at = kernel.find(&list[step].id).unwrap();
            let told = told(kernel, &plan, thing);
            assert!(told.contains(&at), "{name}, {}: {}", kernel.name(thing), reason.text);
        }
    }
}

/// The plan with all steps of one thing left out, as the checker reads it.
fn order_without(kernel: &Kernel, plan: &Plan, left: ThingNo) -> Order {
    let line = |step: &Step| {
        let spot = step.spot.map(|spot| kernel.spots[spot.0].as_str());
        let tool = step.tool.map(|tool| kernel.tools[tool.0].as_str());
        let word = Word::from_word(step.action.word()).unwrap();
        Line::new(word, kernel.name(step.thing), spot, tool)
    };
    let lines = |steps: &[Step]| -> Vec<Line> {
        steps.iter().filter(|step| step.thing != left).map(line).collect()
    };
    let mut build = lines(&plan.build);
    let look =
        plan.leak_look.map(|at| plan.build[..at].iter().filter(|step| step.thing != left).count());
    if let Some(at) = look {
        build.insert(at, Line::new(Word::Look, "leak look", None, None));
    }
    Order { strip: lines(&plan.strip), build, strip_only: false }
}

/// Kinds are what the demos are made of: each is needed somewhere by way of something else.
#[test]
fn conditions_fixings_and_parts_are_all_explained() {
    let mut kinds = BTreeSet::new();
    for (_, case) in cases() {
        let Some(plan) = planned(&case) else { continue };
        let wrong = |&thing: &ThingNo| {
            let kernel = &case.kernel;
            told(kernel, &plan, thing) != told_by_names_only(kernel, &plan, thing)
        };
        kinds.extend(
            opened(&case.kernel, &plan)
                .iter()
                .filter(wrong)
                .map(|thing| case.kernel.thing(thing).kind),
        );
    }
    assert!(kinds.contains(&Kind::Part) && kinds.contains(&Kind::Prep), "{kinds:?}");
}

/// A refusal follows few links: of the reasons why a lid has to come off the shortest is told, and
/// what is worked on at the bench only says why its carrier has to leave.
#[test]
fn a_refusal_is_short() {
    let text = r#"
machine = "m"
fixed = ["frame"]
[spot.stand]
[part.lid]
[part.case]
[part.wheel]
rides = "case"
ways = [{ from = "bench" }]
[tie."near screw"]
kind = "screw"
joins = ["case", "frame"]
ways = [{ clear = ["lid"] }]
[tie.dowel]
kind = "dowel"
joins = ["case", "frame"]
ways = [{ clear = ["near screw"] }]
[tie.tube]
kind = "push-in"
joins = ["case", "frame"]
ways = [{ clear = ["dowel"] }]
[job]
renew = ["wheel"]
"#;
    let kernel = read_case(&[Source::new("m.toml", text)]).unwrap().case.kernel;
    let why = |name: &str| -> Vec<String> {
        let wish = Wish::Leave(kernel.find(name).unwrap());
        let because = why_not(&kernel, &[(wish, At::default())], &Ask::default());
        because.into_iter().map(|because| because.text).collect()
    };
    assert_eq!(
        why("lid"),
        [
            "\"lid\" is to be left alone.",
            "\"wheel\" comes off or goes back at the bench only.",
            "\"near screw\" holds what it joins.",
            "\"near screw\" can only be reached with \"lid\" off first.",
        ]
    );
    assert_eq!(
        why("case"),
        ["\"case\" is to be left alone.", "\"wheel\" comes off or goes back at the bench only.",]
    );
    assert_eq!(why("wheel"), ["\"wheel\" is to be left alone, and was asked for."]);
}
