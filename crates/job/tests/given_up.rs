//! A job that is given up claims nothing, and what was agreed with something open stays said.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;
#[path = "support/tale.rs"]
mod tale;

use lastbolt_job::view::{DayGate, DayStage, Paper, QuietKind, Sheet};
use lastbolt_job::{FIRST_START, NOTHING_CLAIMED, paper, with_open};
use lastbolt_ledger::{GIVEN_UP, More, Verb};

use support::case;
use tale::Tale;

/// Invented: a filter behind a flap, with a fluid, a hose and a cover.
const MACHINE: &str = r#"
machine = "Dunlin dredger"
fixed = ["hull"]
[prep."coolant out"]
ways = [{ minutes = 5 }]
back = [{ minutes = 5 }]
fluid = { name = "coolant", litres = 2 }
[part.flap]
[tie."flap screws"]
kind = "screw"
count = 4
joins = ["flap", "hull"]
[part.filter]
ways = [{ clear = ["flap"], minutes = 1 }]
[tie."filter hose"]
kind = "hose"
joins = ["filter", "hull"]
needs = ["coolant out"]
renew = ["hose clip"]
ways = [{ clear = ["flap"], minutes = 1 }]
[job]
renew = ["filter"]
"#;

fn tale() -> Tale {
    Tale::of(case(MACHINE))
}

fn gives_up(tale: &mut Tale, why: Option<&str>) -> u64 {
    let mut event = tale.event(Verb::Finished, None);
    event.note = why.map(str::to_owned);
    event.more = Some(More { kind: Some(GIVEN_UP.to_owned()), ..More::default() });
    tale.accept(event)
}

fn text(paper: &Paper) -> String {
    let lines = paper.sections.iter().flat_map(|section| {
        let lines = section.lines.iter().map(|line| format!("{}|{}", line.text, line.detail));
        std::iter::once(section.heading.clone()).chain(lines)
    });
    paper.big.iter().cloned().chain(lines).collect::<Vec<_>>().join("\n")
}

fn sheet(tale: &Tale, sheet: Sheet) -> String {
    text(&paper(&tale.picture, sheet, tale.ms))
}

/// Whatever is off or home: no gate of it is clear, no heading says that all is home, no sheet says
/// that something was renewed. Taken back, it is as it was.
#[test]
fn what_is_given_up_claims_nothing() {
    for steps in [0, 3, 99] {
        let mut tale = tale();
        for _ in 0..steps {
            if tale.screen().next.is_none() {
                break;
            }
            tale.presses();
        }
        let before = tale.gate_before(DayGate::FirstStart);
        let way_back = sheet(&tale, Sheet::WayBack);
        let seq = gives_up(&mut tale, Some("no filter to be had"));
        for which in [DayGate::FirstStart, DayGate::Road] {
            let gate = tale.gate_before(which);
            assert!(!gate.is_clear() && !gate.is_home() && gate.passed.is_none(), "{gate:?}");
            assert!(gate.title().starts_with("Given up: "), "{}", gate.title());
            assert!(gate.points.is_empty(), "nothing is asked: {:?}", gate.points);
        }
        let screen = tale.screen();
        assert_eq!(screen.heading, "Given up");
        assert_eq!(screen.given_up.as_deref(), Some("no filter to be had"));
        let owner = sheet(&tale, Sheet::Owner);
        assert!(owner.contains("Given up: no filter to be had"), "{owner}");
        assert!(owner.contains(NOTHING_CLAIMED) && owner.contains("|not done"), "{owner}");
        assert!(!owner.contains("renewed"), "{owner}");
        let standing = sheet(&tale, Sheet::Standing);
        assert!(standing.starts_with("Do not start.\nGiven up."), "{standing}");
        assert_eq!(sheet(&tale, Sheet::WayBack), way_back, "the way back is whole on paper");
        let record = tale.picture.record();
        assert_eq!(record.given_up.as_deref(), Some("no filter to be had"));
        assert_eq!(record.lines.last().unwrap().text, "Job given up: no filter to be had");
        tale.takes_back(seq);
        assert_eq!(tale.gate_before(DayGate::FirstStart), before, "as it was");
    }
}

#[test]
fn it_goes_on_and_no_reason_is_needed() {
    let mut tale = tale();
    gives_up(&mut tale, None);
    assert_eq!(tale.screen().given_up.as_deref(), Some(""));
    assert_eq!(tale.picture.record().lines[0].text, "Job given up");
    let reopened = tale.event(Verb::Reopened, None);
    tale.accept(reopened);
    assert_eq!(tale.screen().given_up, None);
    // The twin: handed over is not given up.
    let handed_over = tale.event(Verb::Finished, None);
    tale.accept(handed_over);
    assert_eq!((tale.screen().given_up, tale.screen().heading.as_str()), (None, "Done"));
}

/// The owner reads "renewed" and "new" only of what was off and is home again.
#[test]
fn the_owner_reads_what_was_done_and_no_more() {
    let mut tale = tale();
    let done = |tale: &Tale| sheet(tale, Sheet::Owner).contains("Filter renewed");
    assert!(!done(&tale), "nothing was done yet");
    tale.until("undo filter hose");
    tale.presses();
    let new = |tale: &Tale| tale.picture.record().renewed.len();
    assert_eq!(new(&tale), 0, "the hose is off: nothing new is on it");
    tale.finishes();
    assert!(done(&tale) && new(&tale) == 2, "{:?}", tale.picture.record().renewed);
}

fn agreed(tale: &Tale) -> Option<String> {
    let quiet = tale.screen().quiet.into_iter();
    quiet.filter(|quiet| quiet.kind == QuietKind::PassedOpen).map(|quiet| quiet.text).next()
}

/// A gate passed with checks open says so at once, and until each of them is settled.
#[test]
fn what_was_agreed_with_something_open_stays_said() {
    let mut tale = tale();
    tale.finishes();
    let asked = tale.gate_before(DayGate::FirstStart).points.len();
    assert!(asked > 1, "something is asked before it");
    assert_eq!(agreed(&tale), None, "nobody has agreed to anything");
    tale.does(Verb::Gate, FIRST_START);
    let said = agreed(&tale).unwrap();
    assert!(said.starts_with(&format!("First start agreed with {asked} not checked: ")), "{said}");
    let gate = tale.gate_before(DayGate::FirstStart);
    assert_eq!(with_open(&gate), Some(said));
    assert_eq!(tale.picture.record().not_checked.len(), asked);
    // One after the other is settled: then nothing is said any more.
    while let Some(point) = tale.gate_before(DayGate::FirstStart).points.first().cloned() {
        assert!(agreed(&tale).is_some(), "until all of it is settled");
        let said = point.taps[0].said.clone();
        tale.says(&said, Some("looked"));
    }
    assert_eq!(agreed(&tale), None);
    assert!(tale.picture.record().not_checked.is_empty());
    let day = tale.picture.day(tale.ms);
    assert!(day.stage(DayStage::Road).is_some());
}

/// Started without an answer: what it is too late to ask for is still said, until it is answered.
#[test]
fn what_was_not_checked_before_the_first_start_does_not_vanish_with_it() {
    let mut tale = tale();
    tale.finishes();
    let asked = tale.gate_before(DayGate::FirstStart).points;
    tale.does(Verb::Gate, FIRST_START);
    let mut started = tale.event(Verb::FirstStart, None);
    started.note = Some("runs".to_owned());
    tale.accept(started);
    let said = agreed(&tale).unwrap();
    assert!(said.contains(&format!("{} not checked", asked.len())), "{said}");
    let gate = tale.gate_before(DayGate::FirstStart);
    assert!(gate.is_clear() && gate.title() != "All home", "{}", gate.title());
    for point in &asked {
        assert!(agreed(&tale).is_some(), "until all of it is answered");
        let said = point.taps[0].said.clone();
        tale.says(&said, Some("looked"));
    }
    assert_eq!(agreed(&tale), None);
    assert_eq!(tale.gate_before(DayGate::FirstStart).title(), "All home");
}

/// With parts off it says what is open, and goes when it is closed again.
#[test]
fn a_gate_passed_over_something_that_is_off() {
    let mut tale = tale();
    tale.until("on flap");
    tale.does(Verb::Gate, FIRST_START);
    let said = agreed(&tale).unwrap();
    let open = tale.gate_before(DayGate::FirstStart).lines.len();
    assert!(said.contains(&format!("{open} open")) && said.contains("flap"), "{said}");
    tale.finishes();
    assert!(!agreed(&tale).unwrap().contains("open and"), "the flap is home");
    // The twin: a gate that was not passed says nothing, however much is open.
    let mut other = Tale::of(case(MACHINE));
    other.until("on flap");
    assert_eq!(agreed(&other), None);
}

/// What is still off when a job is given up is not used: nothing of it falls due. What is home is.
#[test]
fn only_what_is_home_falls_due() {
    let with_due = MACHINE.replace(
        "kind = \"screw\"\ncount = 4",
        "kind = \"screw\"\ncount = 4\nnote = \"Due: flap screws again after 10 hours\"",
    );
    let due = |home: bool| {
        let mut tale = Tale::of(case(&with_due));
        tale.until(if home { "on flap" } else { "undo filter hose" });
        if home {
            tale.finishes();
        }
        gives_up(&mut tale, None);
        lastbolt_job::due_of(&tale.picture.base, &tale.picture.records, tale.ms).len()
    };
    assert_eq!((due(false), due(true)), (0, 1));
}
