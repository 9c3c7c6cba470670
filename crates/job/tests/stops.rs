//! Stop, break, change: left standing, interrupted, something broke, another helper, what falls
//! due.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;
#[path = "support/tale.rs"]
mod tale;

use std::sync::Arc;

use lastbolt_job::view::{DayGate, JointHow, Paper, Sheet, StepLine};
use lastbolt_job::{branches, broke_taps, due_of, hand_over_of, paper};
use lastbolt_ledger::{More, Verb};
use support::MINUTE;
use tale::Tale;

/// Invented: a heavy rotor in a frame that stands raised, sump oil drained, a hose, a lid on top.
const ROTOR: &str = r#"
machine = "Plover mill"
fixed = ["frame"]
note = "Due: look for drips after a day. Then nothing."
[spot.above]
[spot.below]
needs = ["mill raised"]
cautions = ["raised: nobody under it"]
[prep."mill raised"]
ways = [{ minutes = 4 }]
back = [{ minutes = 4, note = "not without the rotor: tail-heavy" }]
cautions = ["rated stands on a hard floor"]
[prep."sump oil drained"]
ways = [{ from = "below", minutes = 3 }]
back = [{ from = "below", minutes = 3 }]
wait = 20
fluid = { name = "sump oil", litres = 2 }
ask = "what came out?"
[part."lid"]
ways = [{ from = "above", minutes = 1 }]
[tie."lid clips"]
kind = "clip"
count = 4
joins = ["lid", "frame"]
[part."rotor"]
kg = 41
needs = ["sump oil drained"]
ways = [{ from = "below", clear = ["lid"], minutes = 5 }]
[tie."rotor studs"]
kind = "nut"
count = 3
joins = ["rotor", "frame"]
tighten = { stages = ["40 N·m"] }
hidden_by = ["lid"]
ways = [{ from = "above", clear = ["lid"], tool = "socket 17", minutes = 2 }]
note = "Due: nuts again after 10 hours"
[tie."oil hose"]
kind = "hose"
joins = ["rotor", "frame"]
ways = [{ from = "below", feel = true, minutes = 1 }]
[job]
renew = ["rotor"]
complaint = ["grinds"]
decided = ["bearing gone"]
"#;

/// The same in a stranger's words: nothing is called raised, drained or heavy.
const STRANGE: &str = r#"
machine = "Otterbox"
fixed = ["shell"]
[part."drum"]
ways = [{ minutes = 1 }]
[tie."pegs"]
kind = "wedge"
count = 2
joins = ["drum", "shell"]
[job]
off = ["drum"]
"#;

fn rotor() -> Tale {
    Tale::of(support::case(ROTOR))
}

fn sheet(tale: &Tale, sheet: Sheet) -> Paper {
    paper(&tale.picture, sheet, tale.ms)
}

/// The lines under a heading.
fn under(paper: &Paper, heading: &str) -> Vec<String> {
    let section = paper.sections.iter().find(|section| section.heading == heading);
    let lines = section.into_iter().flat_map(|section| &section.lines);
    lines.map(|line| format!("{} | {}", line.text, line.detail)).collect()
}

fn noted(tale: &mut Tale, kind: &str, thing: Option<&str>, text: &str) -> u64 {
    let mut event = tale.event(Verb::Noted, thing);
    event.note = Some(text.to_owned());
    event.more = Some(More { kind: Some(kind.to_owned()), ..More::default() });
    tale.accept(event)
}

fn ticked(tale: &mut Tale, point: &str, thing: Option<&str>, answer: &str) -> u64 {
    let mut event = tale.event(Verb::Ticked, thing);
    event.note = Some(answer.to_owned());
    event.more = Some(More { point: Some(point.to_owned()), ..More::default() });
    tale.accept(event)
}

fn left(tale: &mut Tale, how: &str) -> u64 {
    let mut event = tale.event(Verb::LeftStanding, None);
    event.note = Some(how.to_owned());
    event.person = Some("Wren".to_owned());
    tale.accept(event)
}

/// What of stopping and breaking keeps the first start back.
fn open_before_the_start(tale: &Tale) -> Vec<String> {
    let points = tale.gate_before(DayGate::FirstStart).points.into_iter();
    let ours = points.filter(|it| it.id.starts_with("broke.") || it.id.starts_with("break."));
    ours.map(|point| point.text).collect()
}

fn names(lines: &[StepLine]) -> Vec<&str> {
    lines.iter().map(|line| line.thing.as_str()).collect()
}

#[test]
fn the_sheet_says_why_not_to_start() {
    let mut tale = rotor();
    let untouched = sheet(&tale, Sheet::Standing);
    assert_eq!(untouched.big, ["Do not start yet."]);
    tale.until("off rotor");
    let before = sheet(&tale, Sheet::Standing).big;
    assert!(!before.iter().any(|line| line == "No rotor." || line == "Tail heavy."), "{before:?}");
    tale.presses();
    tale.fact("rotor studs", "bag", "7");
    left(&mut tale, "rotor on the floor, sling off");
    let paper = sheet(&tale, Sheet::Standing);
    let wanted =
        ["Do not start.", "No rotor.", "No lid.", "No sump oil.", "Raised.", "Tail heavy."];
    assert_eq!(paper.big, wanted);
    assert_eq!(under(&paper, "How it was left"), ["rotor on the floor, sling off | Wren"]);
    assert_eq!(under(&paper, "Where the bags are"), ["Bag 7: rotor studs (3 nuts) | "]);
    assert_eq!(under(&paper, "Openings"), ["Oil hose | open, not capped"]);
    let force = under(&paper, "Drained, isolated, raised");
    assert!(force.contains(&"rated stands on a hard floor | ".to_owned()), "{force:?}");
    assert_eq!(under(&paper, "Still running").len(), 1);
    ticked(&mut tale, "ready.wait", Some("sump oil drained"), "over");
    assert_eq!(under(&sheet(&tale, Sheet::Standing), "Still running").len(), 0, "it is over");
    // What is put into the opening stands there; what is finger-tight stands in large letters.
    tale.taps_on("oil hose", "Cap on");
    let capped = under(&sheet(&tale, Sheet::Standing), "Openings");
    assert_eq!(capped, ["Oil hose | cap on"]);
    tale.does(Verb::On, "rotor");
    tale.does(Verb::ByHand, "rotor studs");
    let big = sheet(&tale, Sheet::Standing).big;
    assert!(big.contains(&"Not everything is tight.".to_owned()), "{big:?}");
    assert!(!big.iter().any(|line| line == "No rotor." || line == "Tail heavy."), "{big:?}");
}

/// A stranger's words and a job from nothing: what is off is said, nothing is made up.
#[test]
fn a_strangers_machine_and_none_at_all_have_a_sheet() {
    let mut tale = Tale::of(support::case(STRANGE));
    tale.until("off drum");
    tale.presses();
    assert_eq!(sheet(&tale, Sheet::Standing).big, ["Do not start.", "No drum."]);
    assert_eq!(broke_taps("wedge", "pegs").len(), 4, "three words and your own");
    let seq = noted(&mut tale, "broke", Some("pegs"), "swollen");
    let branch = &branches(&tale.picture, tale.ms)[0];
    assert_eq!((branch.broke.seq, branch.broke.text.as_str()), (seq, "Pegs: swollen"));
    assert_eq!(names(&branch.stops), ["pegs"]);

    let mut tale = Tale::nothing();
    assert_eq!(sheet(&tale, Sheet::Standing).big, ["Do not start yet."]);
    tale.took(Some("guard"), &[("screw", 4)]);
    assert_eq!(sheet(&tale, Sheet::Standing).big, ["Do not start.", "No guard."]);
    noted(&mut tale, "broke", Some("guard screws"), "thread torn");
    let branch = branches(&tale.picture, tale.ms).remove(0);
    assert_eq!(branch.broke.text, "Guard screws: thread torn");
    assert!(!tale.gate().is_clear());
    for sheet in Sheet::ALL {
        assert!(!paper(&tale.picture, sheet, tale.ms).machine.is_empty());
    }
}

/// After a break the last steps are shown, and what goes home first wants a second look.
#[test]
fn a_break_asks_for_a_second_look() {
    let mut tale = rotor();
    tale.until("on rotor");
    tale.ms += 40 * MINUTE;
    assert!(tale.picture.stops(tale.ms).is_empty(), "forty minutes are no break");
    tale.ms += 6 * MINUTE;
    let stops = tale.picture.stops(tale.ms);
    assert_eq!(stops.last.len(), 3, "{stops:?}");
    assert_eq!(stops.last[2].text, "Rotor off");
    assert!(stops.looks.is_empty(), "nothing was done since");
    tale.presses();
    let stops = tale.picture.stops(tale.ms);
    assert_eq!((stops.last.len(), stops.looks.len()), (0, 1), "{stops:?}");
    let point = &stops.looks[0];
    assert!(point.text.starts_with("Rotor on: the first step after a break of"), "{point:?}");
    assert!(point.detail[0].contains("Rotor off"), "{point:?}");
    tale.finishes();
    assert_eq!(open_before_the_start(&tale), std::slice::from_ref(&point.text));
    ticked(&mut tale, &point.id, point.thing.as_deref(), "looked again");
    assert_eq!(open_before_the_start(&tale), Vec::<String>::new());

    // The wrong twin: the same steps without the break ask nothing.
    let mut even = rotor();
    even.until("on rotor");
    even.finishes();
    assert_eq!(open_before_the_start(&even), Vec::<String>::new());
}

#[test]
fn a_job_taken_up_again_shows_how_it_was_left() {
    let mut tale = rotor();
    tale.until("off rotor");
    left(&mut tale, "sling tight");
    let stops = tale.picture.stops(tale.ms);
    assert_eq!(stops.left.as_ref().map(|left| left.text.as_str()), Some("sling tight"));
    assert_eq!(stops.last.len(), 3);
    let resumed = tale.event(Verb::Resumed, None);
    tale.accept(resumed);
    let stops = tale.picture.stops(tale.ms);
    assert!(stops.left.is_none() && stops.last.len() == 3, "until something is done: {stops:?}");
    tale.presses();
    assert!(tale.picture.stops(tale.ms).last.is_empty());
    // Whoever goes on without a word has taken it up too.
    left(&mut tale, "again");
    tale.presses();
    assert!(tale.picture.stops(tale.ms).left.is_none());
    assert!(under(&sheet(&tale, Sheet::Standing), "How it was left").is_empty());
}

/// A nut that does not move stops what is held by it, and only that, until somebody says how it
/// was settled.
#[test]
fn what_broke_stops_what_needs_it() {
    let mut tale = rotor();
    tale.until("undo rotor studs");
    let broke = noted(&mut tale, "broke", Some("rotor studs"), "seized");
    let branch = branches(&tale.picture, tale.ms).remove(0);
    let (stops, goes_on) = (names(&branch.stops), names(&branch.goes_on));
    assert!(stops.contains(&"rotor studs") && stops.contains(&"rotor"), "{stops:?}");
    assert!(goes_on.contains(&"oil hose") || !tale.list().contains(&"undo oil hose".into()));
    assert!(!goes_on.contains(&"rotor"), "the wrong twin, only the joint itself: {goes_on:?}");
    let waits = |line: &StepLine| branch.stops.iter().any(|other| other.text == line.text);
    assert!(!branch.goes_on.iter().any(waits), "{stops:?} {goes_on:?}");
    assert_eq!(branch.minutes, None, "nobody said how long");
    ticked(&mut tale, &format!("broke.minutes.{broke}"), Some("rotor studs"), "1 to 3 h");
    noted(&mut tale, "borrow", Some("rotor studs"), "nut splitter");
    noted(&mut tale, "borrow", Some("lid"), "something else");
    let branch = branches(&tale.picture, tale.ms).remove(0);
    assert_eq!(branch.minutes.as_deref(), Some("1 to 3 h"));
    assert_eq!(branch.said, ["Borrow: nut splitter"]);
    tale.finishes();
    assert_eq!(open_before_the_start(&tale), ["Rotor studs: seized. How was it settled?"]);
    assert_eq!(tale.picture.stops(tale.ms).broken.len(), 1);
    // Passed by at the first start, it is asked again before the road.
    let mut passed = tale.event(Verb::Gate, Some(lastbolt_job::FIRST_START));
    passed.note = Some("to hear it turn".to_owned());
    let passed = tale.accept(passed);
    let road = tale.gate_before(DayGate::Road).points;
    assert!(road.iter().any(|point| point.id == format!("broke.{broke}")), "{road:?}");
    tale.takes_back(passed);
    ticked(&mut tale, &format!("broke.{broke}"), Some("rotor studs"), "split, new nut");
    assert_eq!(open_before_the_start(&tale), Vec::<String>::new());
    assert!(branches(&tale.picture, tale.ms).is_empty());
    assert_eq!(tale.picture.record().broken, ["Rotor studs: seized; settled: split, new nut"]);
    tale.takes_back(broke);
    assert!(tale.picture.record().broken.is_empty());
}

/// A stud that breaks when it goes home stops the cover over it.
#[test]
fn what_broke_on_the_way_back_is_not_covered() {
    let mut tale = rotor();
    tale.until("make rotor studs");
    noted(&mut tale, "broke", Some("rotor studs"), "stud broke");
    let branch = branches(&tale.picture, tale.ms).remove(0);
    let stops = names(&branch.stops);
    assert!(stops.contains(&"lid") && stops.contains(&"rotor studs"), "{stops:?}");
}

#[test]
fn the_next_helper_is_told_what_is_half_done() {
    let mut tale = rotor();
    tale.until("undo oil hose");
    tale.presses();
    let mut event = tale.event(Verb::Moved, None);
    event.person = Some("Kit".to_owned());
    event.note = Some(lastbolt_job::TAKEN_OVER.to_owned());
    let at = tale.ms;
    tale.accept(event);
    tale.does(Verb::Slack, "rotor studs");
    let over = hand_over_of(&tale.picture, tale.ms);
    assert_eq!((over.since_ms, over.person.as_deref()), (Some(at), Some("Kit")));
    assert_eq!(over.names, ["Kit"]);
    let half = under(&over.paper, "Half done");
    assert!(half.iter().any(|line| line.starts_with("Rotor studs (3 nuts): slack")), "{half:?}");
    assert!(under(&over.paper, "Done by feel").is_empty(), "the hose was before Kit took over");
    assert_eq!(under(&over.paper, "Done last, the last one last").len(), 5);
    tale.does(Verb::Make, "oil hose");
    let mut by_feel = tale.event(Verb::Undo, Some("oil hose"));
    by_feel.spot = Some("below".to_owned());
    tale.accept(by_feel);
    let over = hand_over_of(&tale.picture, tale.ms);
    assert_eq!(under(&over.paper, "Done by feel").len(), 1, "{:?}", over.paper);
}

/// What falls due outlives the job; "not yet" asks again, "forget it" keeps the reason.
#[test]
fn what_falls_due_is_asked_after_the_job() {
    let mut tale = rotor();
    let due = |tale: &Tale| {
        let points = due_of(&tale.picture.base, &tale.picture.records, tale.ms);
        points.into_iter().map(|point| point.text).collect::<Vec<_>>()
    };
    assert!(due(&tale).is_empty(), "nothing was opened");
    tale.until("make rotor studs");
    let second = |tale: &Tale| {
        let road = tale.gate_before(DayGate::Road);
        let asked = road.points.into_iter().find(|point| point.id == "second.by-hand");
        asked.map(|point| (point.thing, point.settled))
    };
    assert_eq!(second(&tale), None, "the wrong twin asks of every joint");
    tale.does(Verb::NotMeasured, "rotor studs");
    assert_eq!(second(&tale), Some((Some("rotor studs".to_owned()), false)));
    ticked(&mut tale, "second.by-hand", Some("rotor studs"), "found tight by another");
    assert!(second(&tale).is_none_or(|(_, done)| done), "it was looked at");
    tale.finishes();
    let mut recheck = tale.event(Verb::Noted, None);
    recheck.note = Some("wheels".to_owned());
    let more =
        More { kind: Some("recheck".into()), due: Some("after 50 km".into()), ..More::default() };
    recheck.more = Some(more);
    let seq = tale.accept(recheck);
    let finished = tale.event(Verb::Finished, None);
    tale.accept(finished);
    let all = [
        "Wheels, after 50 km",
        "Look for drips after a day",
        "Nuts again after 10 hours",
        "Rotor studs: tightness not measured. Measure it.",
    ];
    assert_eq!(due(&tale), all);
    let owner = under(&sheet(&tale, Sheet::Owner), "What falls due");
    assert_eq!(owner.len(), 4, "{owner:?}");
    let point = format!("due.{seq}");
    ticked(&mut tale, &point, None, "not yet");
    assert_eq!(due(&tale).len(), 4, "the wrong twin takes any answer for the end of it");
    ticked(&mut tale, &point, None, "sold");
    ticked(&mut tale, "due.measure", Some("rotor studs"), "done");
    assert_eq!(due(&tale), all[1..3]);
    let again = Arc::clone(&tale.picture.base);
    assert_eq!(due_of(&again, &[], 0), []);
}

#[test]
fn the_record_tells_joints_apart() {
    let mut tale = rotor();
    tale.until("make rotor studs");
    let joints = |tale: &Tale| tale.picture.record().joints;
    assert!(joints(&tale).is_empty(), "it is not home yet");
    tale.presses();
    assert_eq!(joints(&tale)[0].how, JointHow::NotSaid);
    let mut round = tale.event(Verb::Round, Some("rotor studs"));
    round.more = Some(More {
        round: Some(1),
        wrench: Some("long one".into()),
        setting: Some("40 N·m".into()),
        ..More::default()
    });
    tale.accept(round);
    assert_eq!(joints(&tale)[0].how, JointHow::Measured);
    assert_eq!(joints(&tale)[0].rounds, ["round 1: 40 N·m, long one"]);
    let mut round = tale.event(Verb::Round, Some("rotor studs"));
    round.more = Some(More { round: Some(2), by_hand: true, ..More::default() });
    tale.accept(round);
    assert_eq!(joints(&tale)[0].how, JointHow::NotMeasured);
}

#[test]
fn lists_are_split_into_sheets() {
    let mut tale = rotor();
    let text = |tale: &Tale, of: Sheet| {
        let lines = sheet(tale, of).sections.into_iter().flat_map(|section| section.lines);
        lines.map(|line| line.text).collect::<Vec<_>>().join("|")
    };
    assert!(text(&tale, Sheet::WayIn).contains("Rotor off"));
    assert!(!text(&tale, Sheet::WayIn).contains("Rotor on"));
    assert!(text(&tale, Sheet::WayBack).contains("Rotor on"));
    assert!(text(&tale, Sheet::WayIn).contains("raised: nobody under it"), "cautions stand there");
    noted(&mut tale, "buy", None, "rags");
    assert!(text(&tale, Sheet::ToBuy).contains("Rags|Rotor"), "{}", text(&tale, Sheet::ToBuy));
    assert!(text(&tale, Sheet::ToBuy).contains("Sump oil"));
    tale.until("on rotor");
    assert_eq!(sheet(&tale, Sheet::WayIn).sections, []);
}
