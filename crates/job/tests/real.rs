//! Where the machine really is: targets, take-backs, states between, things never recorded.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use lastbolt_job::view::{GateReason, Phase};
use lastbolt_ledger::Verb;

use support::Story;

/// A target is met by the first record that satisfies it, and stays met when the part goes back
/// on; withdrawing that record un-meets it (R18).
#[test]
fn a_target_is_met_and_unmet() {
    let mut story = Story::new("hung_aside");
    story.presses(4);
    assert_eq!(story.screen().phase, Phase::TakeApart);
    let off = story.does(Verb::Off, "disc");
    assert_eq!(story.now.live.met, [Some(off)]);
    assert_eq!(story.screen().phase, Phase::PutBack);
    story.does(Verb::On, "disc");
    assert_eq!(story.now.live.met, [Some(off)], "still met with the disc on again");
    assert!(!story.list().contains(&"off disc".to_owned()));
    story.takes_back(off);
    assert_eq!(story.now.live.met, [None], "the record that met it was taken back");
    assert!(story.list().contains(&"off disc".to_owned()));
}

/// Taking back the last record gives the list of before; taking that back gives it again.
#[test]
fn a_take_back_undoes_the_fold() {
    for name in ["starter", "together", "rider_bench"] {
        let mut story = Story::new(name);
        story.presses(3);
        let (list, live) = (story.list(), story.now.live.clone());
        story.presses(1);
        let seq = story.log.last_seq();
        assert_ne!(story.list(), list, "{name}");
        let back = story.takes_back(seq);
        assert_eq!(story.list(), list, "{name}");
        assert_eq!((&story.now.live.open, &story.now.live.met), (&live.open, &live.met), "{name}");
        story.takes_back(back);
        assert_eq!(story.list(), list[1..], "{name}: done again");
    }
}

/// A part recorded off whose screws never were: they count as undone and are listed as not
/// recorded until somebody says, also after the part is home again (R18).
#[test]
fn what_was_never_recorded_is_listed_until_somebody_says() {
    let mut story = Story::new("starter");
    for (verb, thing) in
        [(Verb::Off, "shield"), (Verb::Prep, "battery isolated"), (Verb::Undo, "starter cable")]
    {
        story.does(verb, thing);
    }
    story.does(Verb::Off, "starter");
    assert!(story.is_open("starter screws"));
    let listed = |story: &Story| {
        story.screen().not_recorded.iter().map(|n| n.thing.clone()).collect::<Vec<_>>()
    };
    assert_eq!(listed(&story), ["starter screws"]);
    assert!(story.quiet().iter().any(|text| text.contains("never recorded")));
    story.does(Verb::On, "starter");
    assert_eq!(listed(&story), ["starter screws"], "still not said");
    let gate = story.gate();
    let line = gate.lines.iter().find(|l| l.line.thing == "starter screws").unwrap();
    assert_eq!(line.reason, GateReason::NotRecorded);
    story.does(Verb::Make, "starter screws");
    assert_eq!(listed(&story), Vec::<String>::new());
    assert!(!story.is_open("starter screws"));
}

/// Slack and in by hand are open for gates and counts, slack made and in by hand undone for
/// planning (R25).
#[test]
fn states_between_count_as_open() {
    let mut story = Story::new("starter");
    let home = story.screen();
    assert!(!home.things.iter().any(|t| t.open));
    story.does(Verb::Slack, "top hose");
    assert!(!story.is_open("top hose"), "slack is made for planning");
    assert_eq!(story.screen().still_off.text, "not finished: 1 hose slack");
    story.finishes();
    assert_eq!(story.gate().heading, "All home");

    let mut story = Story::new("starter");
    while story.is_open("starter screws") || !story.now.live.disturbed.has(no(&story)) {
        story.presses(1);
        if story.list().first().is_some_and(|step| step == "make starter screws") {
            break;
        }
    }
    story.does(Verb::ByHand, "starter screws");
    assert!(story.is_open("starter screws"), "in by hand is undone for planning");
    let gate = story.gate();
    let line = gate.lines.iter().find(|l| l.line.thing == "starter screws").unwrap();
    assert_eq!(line.reason, GateReason::ByHand);
    assert_eq!(story.list()[0], "make starter screws", "and is still to be made");
}

fn no(story: &Story) -> lastbolt_machine::ThingNo {
    story.case.kernel.find("starter screws").unwrap()
}

/// A slackened fixing that nothing else asks to be undone is listed to be tightened, and is gone
/// from the list once it is.
#[test]
fn a_slack_fixing_is_to_be_tightened() {
    let mut story = Story::new("hung_aside");
    story.does(Verb::Slack, "brake hose");
    assert!(story.list().contains(&"tighten brake hose".to_owned()));
    story.finishes();
    assert_eq!(story.gate().heading, "All home");
    let mut twin = Story::new("hung_aside");
    twin.finishes();
    assert!(!twin.log.records().iter().any(|r| r.event.verb == Verb::Tighten));
}

/// Some of the pieces: the count says how many, and the rest is still to do.
#[test]
fn pieces_are_counted() {
    let mut story = Story::new("starter");
    let mut event = story.event(Verb::Undo, Some("starter screws"));
    event.pieces = Some(1);
    story.accept(event);
    assert!(!story.is_open("starter screws"), "one screw still holds it");
    let screen = story.screen();
    let screws = screen.counts.iter().find(|c| c.kind == "screws").unwrap();
    assert_eq!((screws.done, screws.all), (1, 2));
    assert!(story.list().contains(&"undo starter screws".to_owned()));
    assert!(screen.still_off.text.contains("1 screw"), "{}", screen.still_off.text);
}

/// What the machine file does not know is kept, said, and changes nothing.
#[test]
fn unknown_names_are_said() {
    let mut story = Story::new("hidden");
    let list = story.list();
    let event = story.event(Verb::Undo, Some("ashtray"));
    story.accept(event);
    assert_eq!(story.list(), list);
    assert!(story.quiet().iter().any(|text| text.contains("ashtray")));
}
