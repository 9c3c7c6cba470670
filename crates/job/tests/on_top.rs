//! Why: what no file knows is met on every real job. It has to go home again in an order that
//! fits what the file does know, and a second job on a machine recorded from nothing starts with
//! everything known.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

use std::sync::Arc;

use lastbolt_files::Source;
use lastbolt_job::{Case, Picture, read_case};
use lastbolt_ledger::{Accepted, Event, EventId, Log, More, Verb};

fn starter() -> Arc<Case> {
    let text = include_str!("data/starter.toml");
    Arc::new(read_case(&[Source::new("machine.toml", text)]).map(|read| read.case).unwrap())
}

fn picture(base: Arc<Case>, entries: &[(Verb, Option<&str>, &str)]) -> Picture {
    let mut log = Log::default();
    for (verb, thing, more) in entries {
        let number = log.last_seq() + 1;
        let id = EventId::new(&format!("e{number}")).unwrap();
        let mut event = Event::new(id, "phone", number, number - 1, 0, verb.clone());
        event.thing = thing.map(str::to_owned);
        event.spot = Some("above".to_owned());
        event.more = (!more.is_empty()).then(|| More::from_text(more).unwrap());
        assert_eq!(log.accept(event, 0), Accepted::New(number));
    }
    Picture::of(base, log.records().to_vec(), None, 20_000)
}

fn list(picture: &Picture) -> Vec<String> {
    let screen = picture.screen(0);
    let next = screen.next.map(|card| card.line).into_iter();
    let all = next.chain(screen.next_to_that).chain(screen.rest);
    all.map(|line| format!("{} {}", line.verb.word(), line.thing)).collect()
}

/// A bracket under a cover that the file does not know goes home before the tray.
#[test]
fn what_the_file_does_not_know_goes_home_in_between() {
    let bracket = r#"{"part":{"name":"bracket"},"ties":[{"kind":"nut","count":2}]}"#;
    let with = picture(starter(), &[(Verb::Off, Some("cover"), ""), (Verb::Took, None, bracket)]);
    let list = list(&with);
    let at = |what: &str| list.iter().position(|line| line == what);
    let (nuts, tray) = (at("make bracket nuts"), at("on cover"));
    assert!(at("on bracket") < nuts && nuts < tray && tray.is_some(), "{list:?}");
    let gate = with.gate(lastbolt_job::view::DayGate::FirstStart, 0);
    assert!(gate.lines.iter().any(|line| line.line.thing == "bracket nuts"), "{gate:?}");
    // Without the tray off before it, the bracket waits for nothing.
    let alone = picture(starter(), &[(Verb::Took, None, bracket)]);
    let machine = &alone.case.model.machine;
    let part = machine.parts.iter().find(|part| part.id.name() == "bracket").unwrap();
    assert!(part.ways.as_ref().unwrap()[0].clear.is_empty());
}

/// A handful of a part that the file knows is that part and its own fixings, none entered twice.
#[test]
fn a_known_part_is_that_part() {
    let shield = r#"{"part":{"name":"starter"},"ties":[{"kind":"screw","count":2}]}"#;
    let with = picture(starter(), &[(Verb::Took, None, shield)]);
    let names: Vec<&str> = with.case.model.machine.ties.iter().map(|t| t.id.name()).collect();
    let before = starter();
    assert_eq!(names.len(), before.model.machine.ties.len(), "{names:?}");
    let open = |name: &str| with.now.live.open.has(with.case.kernel.find(name).unwrap());
    assert!(open("starter") && open("starter screws"));
}
