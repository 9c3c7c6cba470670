//! Why: a joint's card is followed with the wrench in hand. Its rounds must be the maker's and no
//! others, its wrench one that can do it, one tap a round, and nothing kept of a joint that was
//! opened again.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

mod support;
#[path = "support/tale.rs"]
mod tale;

use lastbolt_files::Source;
use lastbolt_job::view::{JointCard, JointTap};
use lastbolt_job::{Case, HeldText, joint, read_case};
use lastbolt_ledger::{More, Verb};
use tale::Tale;

const MACHINE: &str = r#"
machine = "Bramble press"
fixed = ["frame"]
[part.head]
ways = [{ minutes = 1 }]
[tie."head screws"]
kind = "screw"
count = 4
joins = ["head", "frame"]
ways = [{ tool = "socket 13", minutes = 4 }]
[tie."head screws".tighten]
thread = "M8"
stages = ["by hand", "rocked once", "20 N·m crosswise", "40 N·m"]
at = [[0, 0], [80, 0], [80, 80.5], [0, 80.5]]
[tie."odd screws"]
kind = "screw"
count = 2
joins = ["head", "frame"]
ways = [{ minutes = 2 }]
tighten = { stages = ["40 N·m / 25 lbf·ft"] }
[tie."stretch screws"]
kind = "screw"
count = 3
joins = ["head", "frame"]
ways = [{ minutes = 2 }]
tighten = { stages = ["30 N·m", "90°"] }
[tie."loud screws"]
kind = "screw"
count = 2
joins = ["head", "frame"]
ways = [{ minutes = 2 }]
tighten = { thread = "M8", class = "8.8", stages = ["250 N·m"] }
[job]
off = ["head"]
"#;

const GARAGE: &str = r#"
[wrench.short]
range = "5-25 N·m"
class = "II A"
step = 0.5
length = "300 mm"
[wrench.long]
range = [20, 200]
unit = "N·m"
class = "II A"
step = 1
length = 400
[adapter."crow foot 13"]
length = "40 mm"
"#;

fn case() -> Case {
    let sources = [Source::new("machine.toml", MACHINE), Source::new("garage.toml", GARAGE)];
    read_case(&sources).map(|read| read.case).unwrap()
}

fn begun() -> Tale {
    let mut tale = Tale::of(case());
    for thing in ["head screws", "odd screws", "stretch screws", "loud screws"] {
        tale.does(Verb::Undo, thing);
    }
    tale.does(Verb::Off, "head");
    tale.does(Verb::On, "head");
    tale
}

fn card(tale: &Tale, thing: &str) -> JointCard {
    joint(&tale.picture, thing, None, 0).unwrap()
}

fn main_tap(card: &JointCard) -> JointTap {
    card.taps.iter().find(|tap| tap.main).unwrap().clone()
}

fn take(tale: &mut Tale, tap: &JointTap) {
    for said in &tap.records {
        tale.says(said, None);
    }
}

#[test]
fn rounds_are_the_makers() {
    let card = card(&begun(), "head screws");
    let texts: Vec<&str> = card.rounds.iter().map(|round| round.text.as_str()).collect();
    assert_eq!(texts, ["by hand", "20 N·m crosswise", "40 N·m"], "none is invented");
    assert_eq!(card.rounds[1].before, ["rocked once"]);
    assert_eq!(card.rounds[2].wrenches[0].name, "long");
    assert_eq!(card.rounds[2].wrenches[0].setting, "40 N·m");
    assert!(card.rounds[2].refused.iter().any(|line| line.starts_with("short: ")));
    let heads = card.drawing.unwrap().drawing.heads;
    let numbers: Vec<usize> = heads.iter().map(|head| head.number).collect();
    assert_eq!(numbers, [1, 3, 2, 4], "across, not around");
}

/// One tap a round; the last closes the joint. A broken-off round goes on where it stopped, and a
/// joint that is opened again begins anew.
#[test]
fn one_tap_a_round() {
    let mut tale = begun();
    for round in 0..3 {
        let now = card(&tale, "head screws");
        assert_eq!(now.next, Some(round));
        if round == 2 {
            let mut event = tale.event(Verb::Round, Some("head screws"));
            event.pieces = Some(3);
            event.more = Some(More { round: Some(3), ..More::default() });
            tale.accept(event);
            let broken = card(&tale, "head screws");
            assert_eq!(broken.next, Some(2), "a round that was broken off is not done");
            assert_eq!(broken.rounds[2].done.as_ref().unwrap().pieces, Some(3));
            let strokes = |number| {
                let heads = &broken.drawing.as_ref().unwrap().drawing.heads;
                heads.iter().find(|head| head.number == number).unwrap().strokes.len()
            };
            assert_eq!((strokes(3), strokes(4)), (3, 2));
        }
        let now = card(&tale, "head screws");
        take(&mut tale, &main_tap(&now));
    }
    assert_eq!(card(&tale, "head screws").stands, "home");
    assert!(card(&tale, "head screws").taps.is_empty());
    tale.does(Verb::Undo, "head screws");
    let again = card(&tale, "head screws");
    assert_eq!((again.next, again.rounds[0].done.is_some()), (Some(0), false));
}

/// By hand is an honest answer: the joint is home and listed as not measured.
#[test]
fn by_hand_is_kept_as_not_measured() {
    let mut tale = begun();
    let first = main_tap(&card(&tale, "head screws"));
    take(&mut tale, &first);
    let second = main_tap(&card(&tale, "head screws"));
    take(&mut tale, &second);
    let by_hand = card(&tale, "head screws").taps.into_iter().find(|tap| !tap.main).unwrap();
    assert_eq!(by_hand.text, "By hand, not measured");
    take(&mut tale, &by_hand);
    assert_eq!(card(&tale, "head screws").stands, "home, not measured");
    let record = tale.picture.record();
    assert_eq!(record.not_measured.len(), 1);
}

/// Values that do not agree keep the joint closed until somebody says which holds.
#[test]
fn a_twin_that_differs_is_asked_about() {
    let mut tale = begun();
    let shut = card(&tale, "odd screws");
    assert!(shut.taps.is_empty() && shut.asks.iter().any(|ask| !ask.settled));
    let sizes = tale.picture.day(0);
    assert!(sizes.find("joint.value.1", Some("odd screws")).is_some(), "asked at size-up too");
    let tap = shut.asks[0].taps[0].clone();
    assert_eq!(tap.text, "40 N·m holds");
    tale.says(&tap.said, None);
    let open = card(&tale, "odd screws");
    assert_eq!(open.rounds[0].wrenches[0].setting, "40 N·m");
    assert!(!open.taps.is_empty() && open.asks[0].settled);
}

#[test]
fn an_adapter_changes_the_setting() {
    let tale = begun();
    let held = HeldText { adapter: "crow foot 13".into(), degrees: 0.0 };
    let ahead = joint(&tale.picture, "head screws", Some(&held), 0).unwrap();
    // 40 / (440 / 400) = 36.36: the nearest mark is 36.
    assert_eq!(ahead.rounds[2].wrenches[0].setting, "36 N·m");
    let across = HeldText { adapter: "40 mm".into(), degrees: 90.0 };
    let across = joint(&tale.picture, "head screws", Some(&across), 0).unwrap();
    assert_eq!(across.rounds[2].wrenches[0].setting, "40 N·m");
    let nothing = HeldText { adapter: "rubbish".into(), degrees: 90.0 };
    let nothing = joint(&tale.picture, "head screws", Some(&nothing), 0).unwrap();
    assert!(nothing.troubles.iter().any(|line| line.contains("rubbish")), "{:?}", nothing.troubles);
}

/// Turned by an angle and nothing said: new screws are asked for, and no further round.
#[test]
fn screws_turned_by_an_angle_are_asked_about() {
    let tale = begun();
    let card = card(&tale, "stretch screws");
    let ask = card.asks.iter().find(|ask| ask.id == "joint.screws").unwrap();
    assert!(!ask.settled && ask.detail[0].contains("new ones"));
    assert!(card.after_lines.iter().any(|line| line.starts_with("No further round")));
    let plain = self::card(&tale, "head screws");
    assert!(!plain.after_lines.iter().any(|line| line.starts_with("No further round")));
    assert!(plain.asks.is_empty());
    // Where its holes are known it says how many rounds even the screws out, as an estimate.
    let estimate = |card: &JointCard| {
        let line = card.estimate.as_deref().unwrap_or_default();
        line.starts_with("About 2") && line.contains("estimate")
    };
    assert!(estimate(&plain), "{:?}", plain.estimate);
    assert!(!estimate(&card) && !estimate(&self::card(&tale, "odd screws")));
}

/// A decimal sign one place off is asked about, with what may have been meant; the joint stays
/// usable, since the maker's value wins. A value that can be right is not asked about.
#[test]
fn a_wrong_decimal_sign_is_asked_about() {
    let tale = begun();
    let loud = card(&tale, "loud screws");
    let ask = loud.asks.iter().find(|ask| ask.id == "joint.doubt.1").unwrap();
    assert!(ask.detail[0].contains("25 N·m"), "{:?}", ask.detail);
    assert!(!loud.taps.is_empty(), "it keeps nothing shut");
    assert!(loud.doubts.iter().any(|line| line.contains("% of the proof load")));
    let quiet = card(&tale, "head screws");
    assert!(quiet.asks.iter().all(|ask| !ask.id.starts_with("joint.doubt.")), "{:?}", quiet.asks);
}
