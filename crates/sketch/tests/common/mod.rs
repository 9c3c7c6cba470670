//! Records written as lines of words, for the tests.
#![allow(dead_code, reason = "each test file uses a part of it")]
#![allow(clippy::unwrap_used, reason = "for tests: the lines are written in the tests")]

use lastbolt_ledger::{Accepted, Event, EventId, Log, More, Recorded, Verb};

/// Makes an event: `VERB [THING]`, then `key=value` with spot, note, pieces, of, more (JSON).
pub(crate) fn event(line: &str, number: u64) -> Event {
    let mut fields = line.split(" | ");
    let mut head = fields.next().unwrap().splitn(2, ' ');
    let verb = Verb::read(head.next().unwrap());
    let id = EventId::new(&format!("e{number}")).unwrap();
    let mut event = Event::new(id, "test", number, number - 1, 1000 * number as i64, verb);
    event.thing = head.next().map(str::to_owned);
    for field in fields {
        let (key, value) = field.split_once('=').unwrap();
        let text = Some(value.to_owned());
        match key {
            "spot" => event.spot = text,
            "note" => event.note = text,
            "pieces" => event.pieces = Some(value.parse().unwrap()),
            "of" => event.of = Some(EventId::new(value).unwrap()),
            "more" => event.more = Some(More::from_text(value).unwrap()),
            other => panic!("no key {other}"),
        }
    }
    event
}

/// Accepts lines; each must be new.
pub(crate) fn records(lines: &[&str]) -> Vec<Recorded> {
    let mut log = Log::default();
    for line in lines {
        let number = log.last_seq() + 1;
        assert_eq!(log.accept(event(line, number), 2000), Accepted::New(number), "{line}");
    }
    log.records().to_vec()
}
