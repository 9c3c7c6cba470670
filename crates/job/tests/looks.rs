//! Last looks, gates and the record.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use lastbolt_job::view::{GateReason, PromptKind, RecordKind, StepVerb, TagFill};
use lastbolt_job::{FIRST_START, what_holds};
use lastbolt_ledger::Verb;
use lastbolt_machine::Minutes;

use support::{Story, case};

fn until(story: &mut Story, step: &str) {
    for _ in 0..100 {
        if story.list().first().is_some_and(|first| first == step) {
            return;
        }
        story.presses(1);
    }
    panic!("{step} never came");
}

fn fill(story: &Story, thing: &str) -> TagFill {
    let screen = story.screen();
    let line = screen.things.iter().find(|t| t.thing == thing).unwrap();
    line.tag.expect("a tag").fill
}

/// Before the first cover goes on the list stops for a look at what it covers; not before.
#[test]
fn a_look_stands_before_the_cover() {
    let mut story = Story::new("starter");
    until(&mut story, "look sensor plug");
    let card = story.screen().next.unwrap();
    let prompt = card.prompt.unwrap();
    assert_eq!(prompt.kind, PromptKind::LastLook);
    assert_eq!(prompt.before.as_deref(), Some("starter"));
    assert!(prompt.text.contains("Look, push, tug"), "{}", prompt.text);
    assert_eq!(fill(&story, "sensor plug"), TagFill::Half);
    story.presses(1);
    assert_eq!(fill(&story, "sensor plug"), TagFill::Filled);
    let list = story.list();
    assert!(!list.contains(&"look sensor plug".to_owned()), "{list:?}");
    assert_eq!(story.screen().next.unwrap().line.verb, StepVerb::On);
}

/// A look passed by stays shown with what reaching it costs: once the starter is on, getting it
/// off again and on (1 + 1 minutes, and what holds it) more than the way home without.
#[test]
fn a_look_passed_by_is_shown_with_its_cost() {
    let mut story = Story::new("starter");
    until(&mut story, "look sensor plug");
    story.does(Verb::PassedBy, "sensor plug");
    let looks = story.screen().passed_looks;
    assert_eq!(looks.len(), 1);
    assert_eq!(looks[0].costs, Some(Minutes::ZERO), "{}", looks[0].text);
    story.presses(1);
    let looks = story.screen().passed_looks;
    assert_eq!(looks[0].costs, Some(Minutes::whole(2)), "{}", looks[0].text);
    assert_eq!(looks[0].text, "Sensor plug: not looked at; reaching it costs about 2 min");
    story.finishes();
    let costs = story.screen().passed_looks[0].costs.unwrap();
    assert!(costs > Minutes::whole(10), "shield, cable and screws too: {costs}");
    let gate = story.gate();
    assert_eq!(gate.heading, "Not yet: 1 open");
    assert_eq!(gate.lines[0].reason, GateReason::NotLookedAt);
    // Looked at after all: settled.
    story.does(Verb::Looked, "sensor plug");
    assert_eq!(story.gate().heading, "All home");
    assert!(story.screen().passed_looks.is_empty());
}

/// The twin of the above: whoever looks has nothing of the kind on the screen.
#[test]
fn a_look_done_is_not_shown() {
    let mut story = Story::new("starter");
    story.finishes();
    assert!(story.screen().passed_looks.is_empty());
    assert_eq!(story.gate().heading, "All home");
    assert!(story.log.records().iter().any(|r| r.event.verb == Verb::Looked));
}

/// A cover put on without an answer to the look is as little looked at as one passed by.
#[test]
fn a_cover_on_without_an_answer_is_not_looked_at() {
    let mut story = Story::new("starter");
    until(&mut story, "look sensor plug");
    story.does(Verb::On, "starter");
    assert_eq!(story.screen().passed_looks.len(), 1);
}

/// What is made behind its cover has no last look: the prompt is at the making.
#[test]
fn made_unseen_prompts_at_once() {
    let text = "fixed = ['block', 'loom']\n[spot.below]\n[part.cover]\n[tie.plug]\n\
                joins = ['loom', 'block']\nkind = 'plug'\nhidden_by = ['cover']\n\
                ways = [{ from = 'below', minutes = 1, feel = true }]\n[job]\noff = ['plug']\n";
    let mut story = Story::of(case(&format!("machine = 'm'\n{text}")));
    story.presses(1);
    let card = story.screen().next.unwrap();
    assert_eq!(card.line.verb, StepVerb::Make);
    assert_eq!(card.prompt.unwrap().kind, PromptKind::MadeUnseen);
    story.presses(1);
    assert_eq!(story.gate().heading, "All home");
    // The twin whose cover is off has a last look instead.
    let twin = text.replace("off = ['plug']", "off = ['plug', 'cover']");
    let mut twin = Story::of(case(&format!("machine = 'm'\n{twin}")));
    until(&mut twin, "make plug");
    assert_eq!(twin.screen().next.unwrap().prompt, None);
    twin.presses(1);
    assert_eq!(twin.list()[0], "look plug");
}

/// The gate catches the one connection left off, with its place; passing needs a reason and the
/// reason is kept; opening something again asks anew.
#[test]
fn the_gate_catches_what_was_left_off() {
    let mut story = Story::new("starter");
    until(&mut story, "make top hose");
    story.does(Verb::On, "cover");
    let quiet = story.quiet();
    assert!(
        quiet.iter().any(|text| {
            text.contains("The cover is on and the top hose behind it is still off")
                && text.contains("has to come off again")
        }),
        "{quiet:?}"
    );
    let gate = story.gate();
    let line = gate.lines.iter().find(|l| l.line.thing == "top hose").unwrap();
    assert_eq!(line.reason, GateReason::Off);
    let place = line.line.place.as_deref().unwrap();
    assert_eq!(place, "between block and loom, from above, behind cover");
    story.says(Verb::Gate, Some(FIRST_START), "only to move it out of the rain");
    let passed = story.gate().passed.unwrap();
    assert_eq!(passed.reason.as_deref(), Some("only to move it out of the rain"));
    assert_eq!(passed.person.as_deref(), Some("Wren"));
    assert!(story.gate().heading.starts_with("Not yet"), "passing makes nothing home");
    story.does(Verb::Off, "cover");
    assert_eq!(story.gate().passed, None);
    assert_eq!(story.record().gates.len(), 1, "the record keeps it");
    story.finishes();
    assert_eq!(story.gate().heading, "All home");
}

/// "What still holds it?" names what stands against it, with place and tool, and one level more.
#[test]
fn what_still_holds_it() {
    let story = Story::new("starter");
    let holds = what_holds(&story.case, &story.now, "starter").unwrap();
    assert_eq!(holds.heading, "What still holds the starter: 3 things");
    let of =
        |name: &str| holds.lines.iter().find(|l| l.thing.as_deref() == Some(name)).expect(name);
    let screws = of("starter screws");
    assert_eq!(
        screws.text,
        "Starter screws (2 screws): still made (from below, socket 13, about 4 min)"
    );
    assert_eq!(screws.from.as_deref(), Some("below"));
    let cable = of("starter cable");
    let inner: Vec<_> = cable.inner.iter().filter_map(|l| l.thing.as_deref()).collect();
    assert_eq!(inner, ["battery isolated", "shield"]);
    assert!(of("shield").inner.is_empty());
    assert_eq!(what_holds(&story.case, &story.now, "ashtray"), None);
    // Going back: the plug must be made before the starter covers it.
    let mut story = story;
    until(&mut story, "make sensor plug");
    let holds = what_holds(&story.case, &story.now, "starter").unwrap();
    assert_eq!(holds.lines.len(), 1);
    assert_eq!(holds.lines[0].thing.as_deref(), Some("sensor plug"));
    assert!(holds.lines[0].text.contains("would be covered"), "{}", holds.lines[0].text);
}

/// The record tells everything once: what was done with tag and tool, what was taken back, notes,
/// what was not measured, minutes by stage.
#[test]
fn the_record() {
    let mut story = Story::new("starter");
    story.presses(1);
    let seq = story.log.last_seq();
    story.takes_back(seq);
    story.says(Verb::Said, Some("starter"), "nose chewed");
    until(&mut story, "make starter screws");
    story.does(Verb::NotMeasured, "starter screws");
    story.finishes();
    story.says(Verb::FirstStart, None, "cranks at once");
    let record = story.record();
    assert_eq!(record.lines.len(), story.log.records().len());
    assert_eq!(record.lines[0].taken_back_by, Some(2));
    assert_eq!(record.lines[1].kind, RecordKind::TakenBack);
    assert_eq!(record.notes.len(), 1);
    assert_eq!(record.first_starts[0].text, "First start: cranks at once");
    let not_measured: Vec<_> = record.not_measured.iter().map(|l| l.thing.as_str()).collect();
    assert_eq!(not_measured, ["starter screws"]);
    assert!(record.leftovers.is_empty());
    assert_eq!(record.people, ["Wren"]);
    let screws = record.lines.iter().find(|l| l.text == "Starter screws: 2 screws out").unwrap();
    assert_eq!(screws.tool.as_deref(), Some("socket 13"));
    assert!(screws.tag.is_some());
    let bought: Vec<_> = record.renewed.iter().map(|b| b.what.as_str()).collect();
    assert_eq!(bought, ["starter", "starter gasket"]);
    assert!(record.stages.iter().all(|s| s.worked.is_some()));
    let planned: Minutes = record.stages.iter().map(|s| s.planned).sum();
    assert!(planned > Minutes::whole(20), "{planned}");
}

/// Tags are given once and never again, whatever happens to the list.
#[test]
fn tags_stay() {
    let mut story = Story::new("starter");
    let before = story.now.kept.tags.clone();
    assert!(before.len() >= 7, "{before:?}");
    story.does(Verb::Undo, "sensor plug");
    story.does(Verb::Off, "starter");
    story.finishes();
    for (thing, number) in &before {
        assert_eq!(story.now.kept.tags.get(thing), Some(number), "{thing}");
    }
    let numbers: std::collections::BTreeSet<_> = story.now.kept.tags.values().collect();
    assert_eq!(numbers.len(), story.now.kept.tags.len(), "no number twice");
}
