//! What has happened can always be recorded: every verb, on every state of every sort of thing, in
//! any order, late, by somebody else. It is taken, shown, and shown until it is settled.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;
#[path = "support/tale.rs"]
mod tale;

use lastbolt_job::KeptPlan;
use lastbolt_job::view::{Gate, GateReason};
use lastbolt_ledger::{Event, EventId, FACTS, More, TookPart, TookTie, Verb};
use tale::Tale;

/// A hose under a cover, a group of screws, a condition; the guard is entered on the job.
const MACHINE: &str = r#"
machine = "cover, hose, screws"
fixed = ["block", "loom"]
together = [["upper screws", "lower screws"]]
[spot.above]
[prep."battery isolated"]
ways = [{ from = "above", minutes = 2 }]
back = [{ from = "above", minutes = 2 }]
[part."cover"]
ways = [{ from = "above", minutes = 1 }]
[tie."hose"]
kind = "hose"
joins = ["block", "loom"]
needs = ["battery isolated"]
ways = [{ from = "above", clear = ["cover"], minutes = 1 }]
hidden_by = ["cover"]
[tie."upper screws"]
kind = "screw"
count = 4
joins = ["block", "loom"]
ways = [{ from = "above", minutes = 3 }]
[tie."lower screws"]
kind = "screw"
count = 2
joins = ["block", "loom"]
[job]
off = ["hose"]
"#;
const THINGS: [&str; 7] = [
    "cover",
    "hose",
    "upper screws",
    "battery isolated",
    "guard",
    "guard screws",
    "what nobody knows",
];

/// A job with something of everything in the record, so that each verb has what it can name.
fn begun() -> Tale {
    let mut tale = Tale::of(support::case(MACHINE));
    tale.took(Some("guard"), &[("screw", 2)]);
    tale.drops("screw");
    let mut rag = tale.event(Verb::PutIn, Some("guard"));
    rag.note = Some("rag".to_owned());
    tale.accept(rag);
    tale
}

/// An event with everything that its verb wants, late and by somebody who had seen nothing.
fn late(tale: &mut Tale, verb: &Verb, thing: &str) -> Event {
    let own = |id: &str| Some(EventId::new(id).unwrap());
    let mut event = tale.event(verb.clone(), Some(thing));
    (event.sender, event.seen, event.said_at_ms) = ("other phone".to_owned(), 0, 1);
    let mut more = More::default();
    match verb {
        Verb::Gate => event.thing = Some("first start".to_owned()),
        Verb::Moved => (event.thing, event.spot) = (None, Some("above".to_owned())),
        Verb::TakeBack => event.of = own("e1"),
        Verb::Found | Verb::NotFound => event.of = own("e2"),
        Verb::TakenOut => event.of = own("e3"),
        Verb::Split => event.pieces = Some(1),
        Verb::Corrected => event.pieces = Some(3),
        Verb::Merged => more.into = Some("guard screws".to_owned()),
        Verb::Took => {
            event.thing = None;
            more.part = Some(TookPart { name: Some(thing.to_owned()), ..TookPart::default() });
            more.ties = vec![TookTie { kind: "nut".to_owned(), ..TookTie::default() }];
        }
        Verb::Fact => more.fact = Some(FACTS[0].to_owned()),
        Verb::Answered => {
            (more.kind, more.these) = (Some("seen".to_owned()), vec![thing.to_owned()]);
        }
        Verb::Expected => (event.pieces, more.kind) = (Some(3), Some("screw".to_owned())),
        Verb::Photo | Verb::Private => more.photo = Some("a".repeat(64)),
        Verb::Noted => more.kind = Some("broke".to_owned()),
        Verb::Ticked => more.point = Some("road.level".to_owned()),
        Verb::Round => more.round = Some(2),
        Verb::Pin => (more.photo, more.x, more.y) = (Some("a".repeat(64)), Some(1), Some(2)),
        _ => {}
    }
    event.more = Some(more).filter(|more| !more.is_empty());
    let says = verb.needs_note() && *verb != Verb::PutIn;
    event.note = says.then(|| "no".to_owned()).or(event.note);
    if *verb == Verb::PutIn {
        event.note = Some("cap".to_owned());
    }
    event
}

/// Looks at everything that is shown; each part of it must be there to be read.
fn look(tale: &Tale, said: &str) {
    let screen = tale.screen();
    assert!(screen.minutes_left.0 >= 0, "{said}");
    let lines = tale.picture.record().lines;
    let last = lines.last().unwrap();
    assert_eq!(last.seq, tale.log.last_seq(), "{said}: it stands in the record");
    assert!(!last.text.is_empty() && !last.text.contains("does not know"), "{said}: {last:?}");
    let kept = &tale.picture.now.kept;
    assert_eq!(KeptPlan::from_text(&kept.to_text()).as_ref(), Some(kept), "{said}");
    for quiet in &screen.quiet {
        let twice = screen.quiet.iter().filter(|other| other.text == quiet.text).count();
        assert_eq!(twice, 1, "{said}: said twice: {}", quiet.text);
    }
    for stage in tale.picture.day(0).stages {
        assert!(stage.open() <= stage.points().count(), "{said}");
    }
    let gate = tale.gate();
    let count = gate.lines.len() + gate.matters.len() + gate.points.len();
    let heading = if count == 0 { "All home".to_owned() } else { format!("Not yet: {count} open") };
    assert_eq!(gate.heading, heading, "{said}");
}

/// Every verb after every other, about every sort of thing.
#[test]
fn everything_can_be_recorded_after_anything() {
    for thing in THINGS {
        for first in &Verb::ALL {
            let mut tale = begun();
            let event = late(&mut tale, first, thing);
            tale.accept(event);
            look(&tale, &format!("{first} {thing}"));
            // Each on top of the ones before: a record as nobody would wish it.
            for second in Verb::ALL.iter().filter(|_| Verb::ALL.iter().take(8).any(|v| v == first))
            {
                let event = late(&mut tale, second, thing);
                tale.accept(event);
                look(&tale, &format!("{first}, .. {second} {thing}"));
            }
        }
    }
}

/// How a thing stands after a verb, whatever was said of it before: the last word counts.
const STANDS: [(&str, Verb, &str); 15] = [
    ("cover", Verb::Off, "off"),
    ("cover", Verb::On, "home"),
    ("hose", Verb::Undo, "off"),
    ("hose", Verb::Slack, "slack"),
    ("hose", Verb::Make, "home"),
    ("hose", Verb::NotMeasured, "home, not measured"),
    ("upper screws", Verb::Undo, "off"),
    ("upper screws", Verb::Slack, "slack"),
    ("upper screws", Verb::ByHand, "in by hand"),
    ("upper screws", Verb::Start, "started"),
    ("upper screws", Verb::Tighten, "home"),
    ("upper screws", Verb::NotMeasured, "home, not measured"),
    ("battery isolated", Verb::Prep, "in force"),
    ("battery isolated", Verb::End, "not in force"),
    ("guard", Verb::Off, "off"),
];

#[test]
fn the_last_word_counts_and_stays_until_settled() {
    for (thing, before, _) in &STANDS {
        for (_, verb, stands) in STANDS.iter().filter(|(of, ..)| of == thing) {
            let mut tale = begun();
            tale.does(before.clone(), thing);
            let event = late(&mut tale, verb, thing);
            tale.accept(event);
            assert_eq!(tale.stands(thing), *stands, "{before} then {verb}");
            tale.fact("cover", "sits", "anyhow");
            let closed = matches!(*stands, "home" | "home, not measured" | "not in force");
            assert_eq!(!asks(&tale.gate(), thing), closed, "{before}, {verb}: the gate");
            let counted = tale.screen().counts.iter().any(|c| c.text.contains(stands));
            let between = !closed && !matches!(*stands, "off" | "in force");
            assert!(!between || counted, "{stands} is named in the counts");
        }
    }
}

fn asks(gate: &Gate, thing: &str) -> bool {
    gate.lines.iter().any(|l| l.line.thing == thing && l.reason != GateReason::NotLookedAt)
}

/// The wrong twin: a gate that asks only for what is off lets what is slack, started or in by
/// hand through.
#[test]
fn a_gate_that_asks_only_for_what_is_off_is_found_out() {
    let only_off =
        |gate: &Gate| gate.lines.iter().filter(|line| line.reason == GateReason::Off).count();
    for (thing, verb) in [
        ("hose", Verb::Slack),
        ("upper screws", Verb::ByHand),
        ("upper screws", Verb::Start),
        ("upper screws", Verb::Slack),
    ] {
        let mut tale = Tale::of(support::case(MACHINE));
        tale.does(verb.clone(), thing);
        assert_eq!(only_off(&tale.gate()), 0, "the twin sees nothing");
        assert!(asks(&tale.gate(), thing), "{verb} {thing}");
        assert!(tale.screen().still_off.text.starts_with("not finished: "), "{verb}");
    }
}

/// Each state between can be said with one tap on the sheet of the thing (R25).
#[test]
fn states_between_are_one_tap_on_the_sheet() {
    for (thing, verbs) in [
        ("hose", &[Verb::Slack][..]),
        ("upper screws", &[Verb::Slack, Verb::NotMeasured]),
        ("guard screws", &[Verb::Slack, Verb::NotMeasured, Verb::ByHand]),
    ] {
        let tale = begun();
        let lines = tale.screen().things;
        let line = lines.iter().find(|line| line.thing == thing).unwrap();
        for verb in verbs {
            let count = line.buttons.iter().filter(|b| b.draft.verb == *verb).count();
            assert_eq!(count, 1, "{verb} {thing}: {:?}", line.buttons);
        }
    }
}

/// What is slack is made for the planner, with a step that tightens it, the minutes of its way
/// back, and what has to come off to reach it; the step goes when it is done (R25).
#[test]
fn what_is_slack_is_tightened_in_the_list() {
    let mut tale = Tale::of(support::case(&MACHINE.replace("off = [\"hose\"]", "")));
    let minutes = |tale: &Tale| tale.screen().minutes_left.0;
    assert_eq!((tale.list().len(), minutes(&tale)), (0, 0));
    tale.does(Verb::Slack, "upper screws");
    assert_eq!(tale.list(), ["tighten upper screws"]);
    assert_eq!(minutes(&tale), 3000);
    tale.does(Verb::Slack, "hose");
    let list = tale.list();
    let at = |step: &str| list.iter().position(|s| s == step).unwrap_or_else(|| panic!("{list:?}"));
    assert!(at("off cover") < at("tighten hose") && at("tighten hose") < at("on cover"));
    assert!(at("prep battery isolated") < at("tighten hose"));
    assert!(at("tighten hose") < at("end battery isolated"));
    tale.finishes();
    assert!(tale.gate().is_clear(), "{:?}", tale.gate().lines);
    assert_eq!(tale.stands("hose"), "home");
}

/// In by hand and started are undone for the planner: they are made, not tightened.
#[test]
fn what_is_in_by_hand_is_still_to_be_made() {
    let mut tale = Tale::of(support::case(&MACHINE.replace("off = [\"hose\"]", "")));
    tale.does(Verb::ByHand, "lower screws");
    assert_eq!(tale.list(), ["start lower screws", "tighten lower screws"]);
    tale.does(Verb::Start, "lower screws");
    assert_eq!(tale.list(), ["tighten lower screws"]);
    assert_eq!(tale.screen().still_off.text, "not finished: 2 screws started");
    tale.does(Verb::Tighten, "lower screws");
    assert_eq!(tale.list(), Vec::<String>::new());
}

/// Hung aside clears the space without opening what stays, for a part whose file says nothing of
/// it: nothing is then not recorded, and the hose is not asked for.
#[test]
fn hung_aside_opens_nothing() {
    let text =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/hung_aside.toml"));
    let text = text.unwrap().replace("stays = [\"brake hose\"]", "");
    let mut tale = Tale::of(support::case(&text));
    assert!(tale.list().contains(&"undo brake hose".to_owned()), "the file knows no other way");
    tale.until("off wheel");
    tale.presses();
    tale.does(Verb::Undo, "caliper screws");
    tale.taps_on("caliper", "Caliper hung aside");
    assert_eq!(tale.stands("caliper"), "hung aside");
    assert_eq!(tale.stands("brake hose"), "home");
    assert!(tale.screen().not_recorded.is_empty());
    assert!(tale.screen().still_off.text.contains("1 part hung aside"));
    assert!(!tale.list().iter().any(|step| step.contains("brake hose")), "{:?}", tale.list());
    tale.until("off disc");
    tale.finishes();
    assert!(tale.gate().is_clear());
}
