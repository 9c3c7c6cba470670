//! Records as they are: things never entered, entered twice, named wrongly. The way back still
//! works, what can be found is asked about, and nothing is claimed that is not known.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;
#[path = "support/tale.rs"]
mod tale;

use lastbolt_job::view::MatterKind;
use lastbolt_ledger::Verb;
use tale::{Tale, texts};

/// Stripped by the handful: ten parts with 30 fixings, of which six were never entered (those of
/// the hood and of the bracket), the tray was entered twice by the other phone, two screws too,
/// and the air box was written "airbx" when it went home.
fn stripped() -> Tale {
    let mut tale = Tale::nothing();
    tale.spot = Some("above");
    tale.expects("nut", 7);
    tale.took(Some("hood"), &[]);
    tale.ms += 20 * support::MINUTE;
    tale.took(Some("tray"), &[("nut", 3), ("clip", 1), ("earth", 1)]);
    tale.sender = "other phone";
    tale.took(Some("tray"), &[("nut", 3), ("clip", 1), ("earth", 1)]);
    tale.sender = "phone";
    tale.ms += 20 * support::MINUTE;
    tale.took(Some("air box"), &[("screw", 4), ("clamp", 1)]);
    tale.ms += 20 * support::MINUTE;
    tale.took(None, &[("screw", 2)]);
    tale.took(None, &[("screw", 2)]);
    tale.ms += 20 * support::MINUTE;
    tale.took(Some("bracket"), &[]);
    tale.took(Some("left cover"), &[("screw", 4)]);
    tale.took(Some("right cover"), &[("screw", 4)]);
    tale.took(Some("pump"), &[("screw", 3), ("hose", 2)]);
    tale
}

#[test]
fn the_way_back_still_works() {
    let mut tale = stripped();
    tale.does(Verb::AllOff, "saw");
    assert!(tale.screen().next.is_some());
    assert!(tale.quiet().iter().all(|text| !text.contains("No order")), "{:?}", tale.quiet());
    tale.finishes();
    let gate = tale.gate();
    assert!(gate.is_clear(), "{:?}", gate.lines);
}

#[test]
fn doubles_and_gaps_are_asked_about() {
    let mut tale = stripped();
    let matters = tale.screen().matters;
    let remarks = texts(&matters.remarks);
    let wanted = [
        "Tray and tray 2, within 2 minutes: the same, entered twice?",
        "Screws 1 (2 screws) and screws 2 (2 screws), within 2 minutes: the same, entered twice?",
        "Hood came off, and nothing that held it is recorded",
    ];
    for text in wanted {
        assert!(remarks.contains(&text), "{text} is not in {remarks:?}");
    }
    // The two covers are alike and are two; four screws each are nothing to ask about.
    assert!(!remarks.iter().any(|text| text.contains("cover")), "{remarks:?}");
    assert_eq!(texts(&matters.counted), ["Nuts above: 7 expected, 6 recorded"]);

    let all = |tale: &Tale| tale.screen().matters.remarks;
    let lines = all(&tale);
    let twice: Vec<_> = lines.iter().filter(|l| l.kind == MatterKind::Twice).cloned().collect();
    tale.taps(&twice[..1], "Entered twice", None);
    assert_eq!(tale.stands("tray 2"), "not there");
    let lines = all(&tale);
    let screws: Vec<_> = lines.iter().filter(|l| l.text.starts_with("Screws")).cloned().collect();
    tale.taps(&screws, "Another one", None);
    let bare: Vec<_> =
        lines.iter().filter(|l| l.kind == MatterKind::NothingHeld).cloned().collect();
    let settled = tale.taps(&bare[..1], "Nothing held it", None);
    let left = all(&tale);
    assert!(!texts(&left).iter().any(|text| text.starts_with("Hood")));
    assert!(!texts(&left).iter().any(|text| text.starts_with("Screws 1")));
    // Taken back, it is asked about again.
    tale.takes_back(settled);
    assert!(texts(&all(&tale)).iter().any(|text| text.starts_with("Hood")));
}

/// Striking out the second of a pair leaves nothing to put back twice.
#[test]
fn what_was_entered_twice_goes_home_once() {
    let mut tale = stripped();
    for _ in 0..10 {
        let lines = tale.screen().matters.remarks;
        if !lines.iter().any(|line| line.kind == MatterKind::Twice) {
            break;
        }
        tale.taps(&lines, "Entered twice", None);
    }
    let nuts: u32 =
        tale.screen().things.iter().filter(|line| line.kind == "nut").map(|line| line.pieces).sum();
    assert_eq!(nuts, 3, "{:?}", tale.screen().things);
    tale.does(Verb::AllOff, "saw");
    tale.finishes();
    assert!(tale.gate().is_clear());
}

/// A wrong name at the way home: said, not refused, and one tap says what was meant.
#[test]
fn a_wrong_name_is_asked_about() {
    let mut tale = stripped();
    tale.does(Verb::AllOff, "saw");
    tale.does(Verb::On, "air bx");
    assert_eq!(tale.stands("air box"), "off");
    let lines = tale.screen().matters.remarks;
    let line = lines.iter().find(|line| line.kind == MatterKind::NoSuchThing).unwrap();
    assert_eq!(line.text, "\"air bx\" is recorded, and no thing is called so");
    tale.taps(&lines, "It is the air box", None);
    assert_eq!(tale.stands("air box"), "home");
    let lines = tale.screen().matters.remarks;
    assert!(!lines.iter().any(|line| line.kind == MatterKind::NoSuchThing), "{lines:?}");
    assert!(!tale.quiet().iter().any(|text| text.contains("air bx")));
}

/// The same on a machine that a file knows.
#[test]
fn a_wrong_name_on_a_known_machine() {
    let mut tale = Tale::new("starter");
    tale.does(Verb::Undo, "top hoze");
    let lines = tale.screen().matters.remarks;
    tale.taps(&lines, "It is the top hose", None);
    assert_eq!(tale.stands("top hose"), "off");
    assert!(tale.screen().matters.remarks.is_empty());
    tale.does(Verb::Undo, "something else entirely");
    let lines = tale.screen().matters.remarks;
    assert_eq!(lines[0].taps.len(), 1, "nothing near: nothing is claimed");
    tale.taps(&lines, "Leave it so", None);
    assert!(tale.screen().matters.remarks.is_empty());
}

/// The wrong twin of the whole test: an honest record has nothing to ask about.
#[test]
fn an_honest_record_is_left_in_peace() {
    let mut tale = Tale::nothing();
    tale.spot = Some("above");
    for (at, name) in ["hood", "left guard", "right guard", "", "", "tray"].iter().enumerate() {
        let count = u32::try_from(at).unwrap() % 2 + 2;
        tale.took(Some(name), &[("screw", count), ("clip", 1)]);
    }
    tale.took(None, &[("earth", 1)]);
    tale.took(None, &[("earth", 1)]);
    assert_eq!(texts(&tale.screen().matters.remarks), Vec::<&str>::new());
    tale.expects("earths", 2);
    assert_eq!(texts(&tale.screen().matters.counted), Vec::<&str>::new());
    assert_eq!(tale.quiet(), Vec::<String>::new());
}

/// A part and what held it are one entry: neither was in the other's way, nothing is missing.
#[test]
fn a_handful_is_not_in_its_own_way() {
    let mut tale = Tale::new("starter");
    tale.took(Some("box"), &[("hose", 1), ("screw", 2)]);
    assert_eq!(tale.quiet(), Vec::<String>::new());
    let mut tale = Tale::new("starter");
    tale.does(Verb::Off, "shield");
    tale.does(Verb::Prep, "battery isolated");
    tale.took(Some("starter"), &[("cable", 1)]);
    // The screws of the starter were not in the handful: that is still asked.
    assert!(tale.quiet().iter().any(|text| text.contains("starter screws")), "{:?}", tale.quiet());
    assert!(!tale.quiet().iter().any(|text| text.contains("starter cable")), "{:?}", tale.quiet());
}
