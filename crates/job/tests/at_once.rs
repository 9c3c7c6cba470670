//! A list at once after each action, without the planner; a better one follows.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use lastbolt_job::{Case, JobModel, bring_up, draft};
use lastbolt_ledger::{Accepted, Verb};
use lastbolt_testkit::layered_machine;

use support::{NODES, Story};

/// Whether every step of the list is taken by the screen's own rules, one after the other.
fn goes_to_its_end(story: &mut Story) -> bool {
    for _ in 0..story.now.kept.steps.len() {
        let Some(step) = story.now.kept.steps.first().cloned() else { break };
        let kernel = &story.case.kernel;
        let thing = kernel.find(&step.thing).unwrap();
        let (live, seen) = (&story.now.live, story.now.live.open.minus(&story.now.live.started));
        let it = kernel.thing(thing);
        let goes = match step.verb.word() {
            "off" | "undo" | "prep" => it.ways.iter().any(|way| kernel.holds(thing, way, &seen)),
            "start" => true,
            _ => it
                .back
                .iter()
                .any(|way| kernel.close_is_allowed(thing, way, &live.open, &live.started)),
        };
        if !goes {
            return false;
        }
        let verb = match step.verb.word() {
            "off" => Verb::Off,
            "on" => Verb::On,
            "undo" => Verb::Undo,
            "make" => Verb::Make,
            "start" => Verb::Start,
            "tighten" => Verb::Tighten,
            "prep" => Verb::Prep,
            _ => Verb::End,
        };
        take(story, verb, &step.thing, 0);
    }
    story.now.kept.steps.is_empty()
}

fn take(story: &mut Story, verb: Verb, thing: &str, nodes: u64) {
    let draft = draft(&story.case, &story.now, thing, Some(verb)).unwrap();
    let mut event = story.event(draft.verb, Some(thing));
    (event.spot, event.tool) = (draft.spot, draft.tool);
    let Accepted::New(_) = story.log.accept(event, story.ms) else { panic!("refused") };
    let kept = story.now.kept.clone();
    story.now = bring_up(&story.case, story.log.records(), Some(kept), nodes);
}

/// After each single action done too early there is a list at once, and it goes; in order nothing
/// is left to the planner, so that the list is the final one. A list that ignores what happened
/// does not go.
#[test]
fn there_is_a_list_at_once_and_it_goes() {
    let (machine, job) = layered_machine(3, 24);
    let case = Case::new(JobModel { machine, job, ..JobModel::default() }).unwrap();
    let mut story = Story::of(case);
    let (mut mended, mut without, mut ignored) = (0, 0, 0);
    while let Some(next) = story.now.kept.steps.first().cloned() {
        for step in story.now.kept.steps.clone().iter().skip(1) {
            let verb = match step.verb.word() {
                "on" => Verb::On,
                "off" => Verb::Off,
                _ => continue,
            };
            if step.thing == next.thing {
                continue;
            }
            let mut early = story.clone();
            take(&mut early, verb, &step.thing, 0);
            assert!(early.now.kept.is_stopgap);
            if !early.now.kept.no_order.is_empty() {
                without += 1;
                continue;
            }
            let mut twin = early.clone();
            twin.now.kept.steps.clone_from(&story.now.kept.steps);
            twin.now.kept.steps.retain(|s| s.thing != step.thing || s.verb != step.verb);
            ignored += u32::from(!goes_to_its_end(&mut twin));
            assert!(goes_to_its_end(&mut early), "{} too early", step.thing);
            mended += 1;
        }
        let kept = story.now.kept.clone();
        let verb = match next.verb.word() {
            "off" => Verb::Off,
            "on" => Verb::On,
            "undo" => Verb::Undo,
            "make" => Verb::Make,
            "prep" => Verb::Prep,
            _ => Verb::End,
        };
        let mut searched = story.clone();
        take(&mut story, verb.clone(), &next.thing, 0);
        take(&mut searched, verb, &next.thing, NODES);
        let is_same = story.now.kept.steps == searched.now.kept.steps;
        assert!(story.now.kept.is_stopgap || is_same, "{}", next.thing);
        assert!(story.now.kept.steps.len() < kept.steps.len());
        story.now = searched.now;
    }
    assert!(mended > 50 && without * 4 < mended, "{mended} mended, {without} without");
    assert!(ignored > 10, "the twin that ignores what happened failed only {ignored} times");
}
