//! Why: the sender sends until it is answered, so every event comes several times; it must count
//! once, and nothing wrong may get into a list from which nothing is ever removed.

mod common;

use common::{event, log};
use lastbolt_ledger::{
    Accepted, Event, EventError, EventId, Log, LogError, Recorded, Refusal, TAKE_BACK_DEPTH_MAX,
    Verb,
};

#[test]
fn the_same_event_counts_once() {
    let mut log = log(&["a undo plug", "a off cover"]);
    let again = log.records()[0].event.clone();
    assert_eq!(log.accept(again.clone(), 9999), Accepted::Same(1));
    assert_eq!(log.len(), 2);
    assert_eq!(log.records()[0].recorded_at_ms, 2000, "the first time stays");

    let other = Event { thing: Some("hose".into()), ..again };
    let refused = log.accept(other, 9999);
    let expect = Refusal::OtherContent { id: EventId::new("e1").unwrap(), seq: 1 };
    assert_eq!(refused, Accepted::Refused(expect));
    assert_eq!(log.records()[0].event.thing.as_deref(), Some("plug"));
}

/// Every field is content: a difference in any of them is another event.
#[test]
fn every_field_is_content() {
    let first = event("a undo plug spot=s tool=t person=p note=n pieces=1", 1);
    let id = |text: &str| EventId::new(text).unwrap();
    let changed = [
        Event { sender: "b".into(), ..first.clone() },
        Event { count: 7, ..first.clone() },
        Event { seen: 7, ..first.clone() },
        Event { said_at_ms: 7, ..first.clone() },
        Event { verb: Verb::Make, ..first.clone() },
        Event { thing: None, ..first.clone() },
        Event { spot: None, ..first.clone() },
        Event { tool: None, ..first.clone() },
        Event { person: None, ..first.clone() },
        Event { note: None, ..first.clone() },
        Event { pieces: Some(2), ..first.clone() },
        Event { of: Some(id("e0")), ..first.clone() },
    ];
    for other in changed {
        let mut log = Log::default();
        assert_eq!(log.accept(first.clone(), 0), Accepted::New(1));
        let answer = log.accept(other, 0);
        assert!(matches!(answer, Accepted::Refused(Refusal::OtherContent { .. })), "{answer:?}");
    }
}

#[track_caller]
fn refused(line: &str, expect: &EventError) {
    let answer = Log::default().accept(event(line, 1), 0);
    assert_eq!(answer, Accepted::Refused(Refusal::Event(expect.clone())));
    let sentence = expect.to_string();
    assert!(sentence.ends_with('.') && sentence.len() > 20, "{sentence}");
}

#[test]
fn what_is_refused() {
    let verb = |text: &str| Verb::read(text);
    refused("a polish cover", &EventError::UnknownVerb { word: "polish".into() });
    refused("a undo", &EventError::ThingMissing { verb: verb("undo") });
    refused("a looked", &EventError::ThingMissing { verb: verb("looked") });
    refused("a gate note=hurry", &EventError::ThingMissing { verb: verb("gate") });
    refused("a settled plug", &EventError::NoteMissing { verb: verb("settled") });
    refused("a said", &EventError::NoteMissing { verb: verb("said") });
    refused("a first_start", &EventError::NoteMissing { verb: verb("first_start") });
    refused("a undo plug pieces=0", &EventError::BadPieces);
    refused("a undo plug pieces=10001", &EventError::BadPieces);
    refused("a off cover pieces=1", &EventError::PiecesNotWanted { verb: verb("off") });
    refused("a take_back", &EventError::OfMissing);
    refused("a take_back id=x of=x", &EventError::TakesBackItself);
    refused("a undo plug of=e0", &EventError::OfNotWanted { verb: verb("undo") });
    refused("a moved", &EventError::MovedNowhere);
    refused("a moved plug spot=below", &EventError::ThingNotWanted { verb: verb("moved") });
    refused("a undo plug at=253402300800000", &EventError::TimeOutOfRange);
    refused("a undo plug at=-62135596800001", &EventError::TimeOutOfRange);
    refused("a undo plug seen=9007199254740992", &EventError::NumberTooLarge { field: "seen" });
    refused("a undo plug count=9007199254740992", &EventError::NumberTooLarge { field: "count" });
}

#[track_caller]
fn refused_text(change: impl FnOnce(&mut Event), expect: EventError) {
    let mut sent = event("a undo plug", 1);
    change(&mut sent);
    assert_eq!(sent.check(), Err(expect));
}

#[test]
fn texts_have_limits() {
    let long = || Some("ж".repeat(201));
    refused_text(|e| e.thing = long(), EventError::TooLong { field: "thing", most: 200 });
    refused_text(|e| e.spot = long(), EventError::TooLong { field: "place", most: 200 });
    refused_text(|e| e.tool = long(), EventError::TooLong { field: "tool", most: 200 });
    refused_text(|e| e.person = long(), EventError::TooLong { field: "person", most: 200 });
    refused_text(
        |e| e.sender = "x".repeat(201),
        EventError::TooLong { field: "sender", most: 200 },
    );
    refused_text(|e| e.sender = " ".into(), EventError::Blank { field: "sender" });
    refused_text(|e| e.thing = Some(String::new()), EventError::Blank { field: "thing" });
    refused_text(
        |e| e.thing = Some("a\nb".into()),
        EventError::ControlCharacter { field: "thing" },
    );
    refused_text(
        |e| e.note = Some("x".repeat(2001)),
        EventError::TooLong { field: "note", most: 2000 },
    );
    refused_text(|e| e.note = Some("a\0b".into()), EventError::ControlCharacter { field: "note" });
    let mut fits = event("a undo plug", 1);
    fits.thing = Some("ж".repeat(200));
    fits.note = Some(format!("{}\n", "ж".repeat(1999)));
    assert_eq!(fits.check(), Ok(()));
    for bad in ["", "a b", "ä", "a/b", &"x".repeat(65)] {
        assert_eq!(EventId::new(bad), Err(EventError::BadId), "{bad:?}");
    }
    assert!(EventId::new(&"x".repeat(64)).is_ok());
}

#[test]
fn a_take_back_names_what_is_there() {
    let mut log = log(&["a undo plug"]);
    let refused = log.accept(event("a take_back of=e7", 2), 0);
    let expect = Refusal::NothingToTakeBack { of: EventId::new("e7").unwrap() };
    assert_eq!(refused, Accepted::Refused(expect));
    assert_eq!(log.accept(event("a take_back of=e1", 2), 0), Accepted::New(2));
    assert_eq!(log.accept(event("a take_back of=e1", 3), 0), Accepted::New(3));
}

#[test]
fn back_and_forth_has_a_limit() {
    let mut log = log(&["a undo plug"]);
    for seq in 2..=u64::from(TAKE_BACK_DEPTH_MAX) + 1 {
        let line = format!("a take_back of=e{}", seq - 1);
        assert_eq!(log.accept(event(&line, seq), 0), Accepted::New(seq));
    }
    let next = log.last_seq() + 1;
    let line = format!("a take_back of=e{}", next - 1);
    let answer = log.accept(event(&line, next), 0);
    assert!(matches!(answer, Accepted::Refused(Refusal::TakenBackTooOften { .. })), "{answer:?}");
}

/// What a newer version recorded stays in the list as it is; only what is sent is judged.
#[test]
fn verbs_of_a_newer_version_are_kept() {
    let newer = event("a polish cover note=bright", 1);
    let stored = vec![Recorded { seq: 1, recorded_at_ms: 5, event: newer.clone() }];
    let mut log = Log::from_records(stored).unwrap();
    assert_eq!(log.records()[0].event.verb.as_str(), "polish");
    assert_eq!(log.accept(newer, 9), Accepted::Same(1));
    assert_eq!(log.accept(event("a take_back of=e1", 2), 9), Accepted::New(2));
}

#[test]
fn a_stored_list_with_a_gap_or_a_double_is_no_log() {
    let record =
        |seq: u64, id: u64| Recorded { seq, recorded_at_ms: 0, event: event("a undo plug", id) };
    let gap = Log::from_records(vec![record(1, 1), record(3, 3)]);
    assert_eq!(gap.err(), Some(LogError::NumbersBroken { expected: 2, found: 3 }));
    let double = Log::from_records(vec![record(1, 1), record(2, 1)]);
    assert_eq!(double.err(), Some(LogError::IdTwice { seq: 2 }));
}

#[test]
fn forgetting_makes_room_for_the_same_event() {
    let mut log = log(&["a undo plug", "a off cover"]);
    log.forget_after(1);
    assert_eq!(log.last_seq(), 1);
    assert_eq!(log.accept(event("a off cover", 2), 7), Accepted::New(2));
    assert_eq!(log.since(1).len(), 1);
    assert_eq!(log.since(99).len(), 0);
}
