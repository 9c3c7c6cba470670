//! Records written as lines of words, for the tests.
#![allow(dead_code, reason = "each test file uses a part of it")]
#![allow(clippy::unwrap_used, reason = "for tests: the lines are written in the tests")]

use lastbolt_ledger::{Accepted, Event, EventId, Log, State, Verb};

/// Reads one line into an event: `SENDER VERB [THING] [key=value ...]`, with the keys `id`,
/// `seen`, `spot`, `tool`, `person`, `note`, `pieces`, `of`, `at`. The id is `e` and the number
/// that it will get unless said otherwise; the sender has seen everything unless said otherwise.
pub(crate) fn event(line: &str, next_seq: u64) -> Event {
    let mut words = line.split_whitespace();
    let sender = words.next().expect("a sender");
    let verb = Verb::read(words.next().expect("a verb"));
    let id = EventId::new(&format!("e{next_seq}")).unwrap();
    let mut event = Event::new(id, sender, next_seq, next_seq - 1, 1000, verb);
    for word in words {
        let Some((key, value)) = word.split_once('=') else {
            event.thing = Some(word.to_owned());
            continue;
        };
        let text = Some(value.to_owned());
        match key {
            "id" => event.id = EventId::new(value).unwrap(),
            "seen" => event.seen = value.parse().unwrap(),
            "at" => event.said_at_ms = value.parse().unwrap(),
            "count" => event.count = value.parse().unwrap(),
            "spot" => event.spot = text,
            "tool" => event.tool = text,
            "person" => event.person = text,
            "note" => event.note = text,
            "pieces" => event.pieces = Some(value.parse().unwrap()),
            "of" => event.of = Some(EventId::new(value).unwrap()),
            other => panic!("no key {other}"),
        }
    }
    event
}

/// Accepts lines; each must be new.
pub(crate) fn log(lines: &[&str]) -> Log {
    let mut log = Log::default();
    for line in lines {
        let next = log.last_seq() + 1;
        assert_eq!(log.accept(event(line, next), 2000), Accepted::New(next), "{line}");
    }
    log
}

/// Folds lines.
pub(crate) fn fold(lines: &[&str]) -> State {
    State::fold(log(lines).records())
}

/// Leaves out of a state what says only how many records there were.
pub(crate) fn bare(mut state: State) -> State {
    state.last_seq = 0;
    state.withdrawn.clear();
    state
}
