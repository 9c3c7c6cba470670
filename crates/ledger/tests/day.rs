//! Why: what is asked and answered around the work must count as it was said last, go away when
//! it is taken back, and rounds of a joint must not outlive its being opened.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

use lastbolt_ledger::{Event, EventId, More, Recorded, State, Verb};

fn say(records: &mut Vec<Recorded>, verb: Verb, fill: impl FnOnce(&mut Event)) -> String {
    let seq = records.len() as u64 + 1;
    let id = EventId::new(&format!("e{seq}")).unwrap();
    let mut event = Event::new(id, "desk", seq, seq - 1, 1000, verb);
    fill(&mut event);
    event.check().unwrap();
    records.push(Recorded { seq, recorded_at_ms: 1, event });
    format!("e{seq}")
}

fn tick(records: &mut Vec<Recorded>, answer: &str) -> String {
    say(records, Verb::Ticked, |event| {
        event.note = Some(answer.to_owned());
        event.more = Some(More { point: Some("road.level".to_owned()), ..More::default() });
    })
}

fn level(records: &[Recorded]) -> Option<String> {
    let key = ("road.level".to_owned(), None);
    State::fold(records).ticks.get(&key).map(|tick| tick.answer.clone())
}

#[test]
fn the_last_answer_that_stands_counts() {
    let mut all = Vec::new();
    tick(&mut all, "low");
    let second = tick(&mut all, "right");
    assert_eq!(level(&all).as_deref(), Some("right"));
    say(&mut all, Verb::TakeBack, |event| event.of = EventId::new(&second).ok());
    assert_eq!(level(&all).as_deref(), Some("low"));
}

#[test]
fn rounds_are_lost_when_the_joint_is_opened() {
    let mut all = Vec::new();
    let round = |all: &mut Vec<Recorded>, number| {
        say(all, Verb::Round, |event| {
            event.thing = Some("cover screws".to_owned());
            event.more = Some(More { round: Some(number), ..More::default() });
        })
    };
    round(&mut all, 1);
    round(&mut all, 2);
    assert_eq!(State::fold(&all).rounds["cover screws"].len(), 2);
    let opened = say(&mut all, Verb::Undo, |e| e.thing = Some("cover screws".to_owned()));
    assert!(State::fold(&all).rounds.is_empty());
    say(&mut all, Verb::TakeBack, |event| event.of = EventId::new(&opened).ok());
    assert_eq!(State::fold(&all).rounds["cover screws"].len(), 2, "it never was opened");
}

#[test]
fn standing_ends_when_it_is_taken_up() {
    let mut all = Vec::new();
    say(&mut all, Verb::LeftStanding, |e| e.note = Some("on stands".to_owned()));
    assert_eq!(State::fold(&all).left.unwrap().text.as_deref(), Some("on stands"));
    say(&mut all, Verb::Resumed, |_| {});
    let state = State::fold(&all);
    assert!(state.left.is_none() && state.resumed.unwrap().left.seq == 1);
}

#[test]
fn what_is_not_said_in_full_is_refused() {
    let bare = |verb: Verb| {
        let mut event = Event::new(EventId::new("x").unwrap(), "desk", 1, 0, 0, verb);
        (event.thing, event.note) = (Some("screws".to_owned()), Some("words".to_owned()));
        event.check()
    };
    for verb in [Verb::Noted, Verb::Ticked, Verb::Round] {
        assert!(bare(verb.clone()).is_err(), "{verb} says too little");
    }
    assert_eq!(bare(Verb::LeftStanding), Ok(()));
}
