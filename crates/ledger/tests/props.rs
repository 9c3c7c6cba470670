//! Why: a sender repeats itself, answers get lost, people take things back; whatever the mixture,
//! each event counts once. Wrong twins at the end show that the tests can fail.

mod common;

use common::bare;
use lastbolt_ledger::{Accepted, Event, EventId, Log, Recorded, State, Verb};
use proptest::prelude::*;
use proptest::test_runner::{TestCaseError, TestRunner};

const THINGS: [&str; 3] = ["plug", "hose", "cover"];
const VERBS: [Verb; 9] = [
    Verb::Undo,
    Verb::Make,
    Verb::Slack,
    Verb::ByHand,
    Verb::NotMeasured,
    Verb::Start,
    Verb::Looked,
    Verb::PassedBy,
    Verb::Finished,
];

/// One sent event in numbers: who, verb (the last number is a take-back), thing, seen, which one
/// is taken back, time said.
type Sent = (usize, usize, usize, u64, usize, i64);

fn sent() -> impl Strategy<Value = Vec<Sent>> {
    let one = (0..3usize, 0..VERBS.len() + 3, 0..THINGS.len(), 0..20u64, 0..20usize, 0..50i64);
    prop::collection::vec(one, 1..20)
}

fn events(sent: &[Sent]) -> Vec<Event> {
    let id = |at: usize| EventId::new(&format!("e{at}")).expect("an id");
    let one = |(at, &(who, verb, thing, seen, of, said_at_ms)): (usize, &Sent)| {
        let sender = ["ida", "per", "uma"][who];
        let new = |verb| Event::new(id(at), sender, at as u64, seen, said_at_ms, verb);
        match VERBS.get(verb) {
            Some(known) => Event { thing: Some(THINGS[thing].into()), ..new(known.clone()) },
            None if at > 0 => Event { of: Some(id(of % at)), ..new(Verb::TakeBack) },
            None => Event { thing: Some(THINGS[thing].into()), ..new(Verb::Undo) },
        }
    };
    sent.iter().enumerate().map(one).collect()
}

fn accept_all<'a>(events: impl IntoIterator<Item = &'a Event>) -> Log {
    let mut log = Log::default();
    for event in events {
        let answer = log.accept(event.clone(), 0);
        assert!(!matches!(answer, Accepted::Refused(_)), "{answer:?}");
    }
    log
}

fn config() -> ProptestConfig {
    ProptestConfig { cases: 3000, failure_persistence: None, ..ProptestConfig::default() }
}

/// Repeats: after each event, some that were sent before are sent again.
fn with_repeats(events: &[Event], repeats: &[(usize, usize)]) -> Vec<Event> {
    let mut line = Vec::new();
    for (at, event) in events.iter().enumerate() {
        line.push(event.clone());
        for (after, which) in repeats {
            if after % events.len() == at {
                line.push(events[which % (at + 1)].clone());
            }
        }
    }
    line
}

fn repeats() -> impl Strategy<Value = Vec<(usize, usize)>> {
    prop::collection::vec((0..20usize, 0..20usize), 0..20)
}

/// The property that a fold must have, for the right one and for twins.
fn repeats_change_nothing(
    runner: &mut TestRunner,
    fold: impl Fn(&[Event]) -> State,
) -> Result<(), String> {
    runner
        .run(&(sent(), repeats()), |(sent, repeats)| {
            let events = events(&sent);
            let repeated = with_repeats(&events, &repeats);
            if bare(fold(&events)) == bare(fold(&repeated)) {
                Ok(())
            } else {
                Err(TestCaseError::fail("repeats changed the state"))
            }
        })
        .map_err(|error| error.to_string())
}

#[test]
fn repeats_change_nothing_in_the_fold() {
    let right = |events: &[Event]| State::fold(accept_all(events).records());
    assert_eq!(repeats_change_nothing(&mut TestRunner::new(config()), right), Ok(()));
}

/// The wrong twin that takes in whatever comes.
fn without_ids(events: &[Event]) -> State {
    let record = |(at, event): (usize, &Event)| Recorded {
        seq: at as u64 + 1,
        recorded_at_ms: 0,
        event: event.clone(),
    };
    State::fold(&events.iter().enumerate().map(record).collect::<Vec<_>>())
}

#[test]
fn a_fold_without_ids_is_rejected() {
    let verdict = repeats_change_nothing(&mut TestRunner::new(config()), without_ids);
    assert!(verdict.is_err(), "the test lets a wrong fold through");
}

/// The property that phones with wrong clocks change nothing, for the right fold and for twins.
fn clocks_change_nothing(
    runner: &mut TestRunner,
    fold: impl Fn(&[Event]) -> State,
) -> Result<(), String> {
    runner
        .run(&(sent(), -40..40i64), |(sent, wrong_ms)| {
            let right = events(&sent);
            let mut shifted = right.clone();
            for event in shifted.iter_mut().filter(|event| event.sender == "per") {
                event.said_at_ms += wrong_ms;
            }
            let (a, b) = (fold(&right), fold(&shifted));
            let stand = |state: &State| {
                state.marks.iter().map(|(t, m)| (t.clone(), m.standing)).collect::<Vec<_>>()
            };
            if stand(&a) == stand(&b) && a.finished == b.finished {
                Ok(())
            } else {
                Err(TestCaseError::fail("a clock changed the state"))
            }
        })
        .map_err(|error| error.to_string())
}

#[test]
fn clocks_change_nothing_in_the_fold() {
    let right = |events: &[Event]| State::fold(accept_all(events).records());
    assert_eq!(clocks_change_nothing(&mut TestRunner::new(config()), right), Ok(()));
}

/// The wrong twin in which the last said time wins.
fn by_time_said(events: &[Event]) -> State {
    let mut records = accept_all(events).records().to_vec();
    records.sort_by_key(|recorded| recorded.event.said_at_ms);
    State::fold(&records)
}

#[test]
fn the_last_said_time_wins_is_rejected() {
    let verdict = clocks_change_nothing(&mut TestRunner::new(config()), by_time_said);
    assert!(verdict.is_err(), "the test lets a wrong fold through");
}

/// The slow, obvious meaning of take-backs, word by word: among the first `upto` records, one
/// stands unless a later take-back of it stands that had an effect, which is that the one it
/// names stood when it came.
fn stands(records: &[Recorded], upto: usize, at: usize) -> bool {
    !(at + 1..upto).any(|later| {
        records[later].event.of.as_ref() == Some(&records[at].event.id)
            && stands(records, later, at)
            && stands(records, upto, later)
    })
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn each_event_is_recorded_once(sent in sent(), repeats in repeats()) {
        let events = events(&sent);
        let log = accept_all(&with_repeats(&events, &repeats));
        let kept: Vec<_> = log.records().iter().map(|r| r.event.clone()).collect();
        prop_assert_eq!(kept, events);
        prop_assert!(log.records().iter().zip(1..).all(|(r, seq)| r.seq == seq));
    }

    #[test]
    fn taking_the_last_back_gives_the_state_before(sent in sent()) {
        let mut events = events(&sent);
        let last = events.pop().unwrap();
        let before = State::fold(accept_all(&events).records());
        let id = EventId::new("back").unwrap();
        let mut back = Event::new(id, "ida", 99, 0, 0, Verb::TakeBack);
        back.of = Some(last.id.clone());
        events.extend([last, back]);
        let after = State::fold(accept_all(&events).records());
        prop_assert_eq!(bare(before), bare(after));
    }

    #[test]
    fn withdrawn_is_what_the_slow_way_says(
        sent in prop::collection::vec((9..12usize, 0..14usize), 1..14)
    ) {
        // Nearly all take-backs, of nearly anything.
        let sent: Vec<Sent> = sent.iter().map(|&(verb, of)| (0, verb, 0, 0, of, 0)).collect();
        let log = accept_all(&events(&sent));
        let records = log.records();
        let slow: Vec<u64> = (0..records.len())
            .filter(|&at| !stands(records, records.len(), at))
            .map(|at| records[at].seq)
            .collect();
        let fast: Vec<u64> = State::fold(records).withdrawn.into_iter().collect();
        prop_assert_eq!(fast, slow);
    }
}
