//! The demo jobs from the first tick to the gate.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::time::Instant;

use lastbolt_files::Source;
use lastbolt_job::view::GateReason;
use lastbolt_job::{Case, FIRST_START, read_case};
use lastbolt_ledger::Verb;
use lastbolt_machine::Minutes;

use support::Story;

fn demo(name: &str) -> Case {
    let folder = format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"));
    let file = |name: &str| Source::new(name, std::fs::read(format!("{folder}/{name}")).unwrap());
    read_case(&[file("machine.toml"), file("job.toml")]).expect("it checks clean").case
}

/// The whole Kelp job with one action out of order, one look passed by and one connection left
/// off, which the gate catches with its place.
#[test]
fn the_whole_kelp_job() {
    let mut story = Story::of(demo("kelp"));
    // Out of order: the shift cap's fit well before its turn. Nothing else moves.
    let before = story.list();
    assert_ne!(before[0], "undo shift cap fit");
    story.does(Verb::Undo, "shift cap fit");
    let expect: Vec<String> =
        before.iter().filter(|step| *step != "undo shift cap fit").cloned().collect();
    assert_eq!(story.list(), expect);
    // A look passed by.
    until(&mut story, "look shift clamp screw");
    story.does(Verb::PassedBy, "shift clamp screw");
    // A connection left off.
    until(&mut story, "make cowl latches");
    // What made it ready ends last; here before the latches.
    for step in story.list() {
        if let Some(thing) = step.strip_prefix("end ") {
            story.does(Verb::End, thing);
        }
    }
    let gate = story.gate();
    let reasons: Vec<_> = gate.lines.iter().map(|l| (l.line.thing.as_str(), l.reason)).collect();
    assert_eq!(
        reasons,
        [("cowl latches", GateReason::Off), ("shift clamp screw", GateReason::NotLookedAt)]
    );
    assert_eq!(gate.heading, "Not yet: 2 open");
    let place = gate.lines[0].line.place.as_deref();
    assert_eq!(place, Some("between cowl and powerhead, from stand"));
    // Cap off and on again, with its fit: 0.2 + 0.5 + 0.2 + 0.3, a change to the screwdriver
    // and back again as far as the plan needs one.
    let costs = gate.lines[1].costs.unwrap();
    assert!((Minutes(1200)..=Minutes(2200)).contains(&costs), "{costs}");
    story.says(Verb::Gate, Some(FIRST_START), "only turned by hand");
    story.finishes();
    story.does(Verb::Looked, "shift clamp screw");
    let gate = story.gate();
    assert_eq!((gate.heading.as_str(), gate.lines.len()), ("All home", 0));
    let record = story.record();
    assert_eq!(record.gates.len(), 1);
    assert!(record.leftovers.is_empty() && record.looks_passed_by.is_empty());
    let fluid = record.renewed.iter().find(|b| b.what == "propeller split pin");
    assert!(fluid.is_none(), "the propeller stayed on");
}

fn until(story: &mut Story, step: &str) {
    for _ in 0..200 {
        if story.list().first().is_some_and(|first| first == step) {
            return;
        }
        story.presses(1);
    }
    panic!("{step} never came");
}

/// A larger job too: ticks in order and out of order, and the end is the gate.
#[test]
fn a_larger_job_to_its_end() {
    for name in ["kelp", "tussock"] {
        let mut story = Story::of(demo(name));
        assert_eq!(story.now.kept.no_order, Vec::<String>::new(), "{name}");
        story.presses(12);
        let later = story.list()[6].clone();
        let (_, thing) = later.split_once(' ').unwrap();
        let draft = lastbolt_job::draft(&story.case, &story.now, thing, None).unwrap();
        let event = story.event(draft.verb, Some(thing));
        let start = Instant::now();
        story.accept(event);
        println!("{name}: {later} out of order took {:?}", start.elapsed());
        let start = Instant::now();
        let presses = story.finishes();
        println!("{name}: {presses} ticks took {:?}", start.elapsed());
        let left: Vec<_> = story.gate().lines.into_iter().map(|l| l.line.text).collect();
        assert_eq!(left, Vec::<String>::new(), "{name}");
    }
}
