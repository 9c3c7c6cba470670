//! Why: while a job from nothing is still being taken apart, "put back" would be untrue. It is
//! taken apart until somebody says that all is off, or the first thing goes home.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

use std::sync::Arc;

use lastbolt_files::Source;
use lastbolt_job::view::{Phase, Sheet};
use lastbolt_job::{Case, Picture, from_nothing, paper, read_case};
use lastbolt_ledger::{Accepted, Event, EventId, Log, More, Verb};

fn nothing() -> Arc<Case> {
    let files = from_nothing("Bramble saw", "bearing").unwrap();
    let sources = [Source::new("machine.toml", files.machine), Source::new("job.toml", files.job)];
    Arc::new(read_case(&sources).map(|read| read.case).unwrap())
}

fn picture(base: Arc<Case>, entries: &[(Verb, Option<&str>, &str)]) -> Picture {
    let mut log = Log::default();
    for (verb, thing, more) in entries {
        let number = log.last_seq() + 1;
        let id = EventId::new(&format!("e{number}")).unwrap();
        let mut event = Event::new(id, "phone", number, number - 1, 0, verb.clone());
        if *verb == Verb::TakeBack {
            event.of = Some(EventId::new(thing.unwrap()).unwrap());
        } else {
            event.thing = thing.map(str::to_owned);
        }
        event.more = (!more.is_empty()).then(|| More::from_text(more).unwrap());
        assert_eq!(log.accept(event, 0), Accepted::New(number));
    }
    Picture::of(base, log.records().to_vec(), None, 20_000)
}

const TRAY: &str = r#"{"part":{"name":"tray"},"ties":[{"kind":"nut","count":3}]}"#;

#[test]
fn taking_apart_goes_on_until_it_is_over() {
    let took = || (Verb::Took, None, TRAY);
    let all_off = || (Verb::AllOff, None, "");
    let goes_on: [&[_]; 4] = [
        &[],
        &[took()],
        &[took(), (Verb::Slack, Some("tray nuts"), "")],
        &[took(), all_off(), (Verb::TakeBack, Some("e2"), "")],
    ];
    for entries in goes_on {
        let screen = picture(nothing(), entries).screen(0);
        assert_eq!(screen.phase, Phase::TakeApart, "{entries:?}");
        assert_eq!(screen.heading, "Take apart");
        assert!(screen.more_may_come_off);
    }
    let screen = picture(nothing(), &[took()]).screen(0);
    let counts: Vec<&str> = screen.counts.iter().map(|count| count.text.as_str()).collect();
    assert_eq!(counts, ["nuts: 3 off", "parts: 1 off"]);
    assert_eq!(screen.next.unwrap().line.thing, "tray", "what goes home first is known");
    let over: [&[_]; 3] = [
        &[took(), all_off()],
        &[took(), (Verb::On, Some("tray"), "")],
        &[took(), (Verb::Home, Some("tray"), "")],
    ];
    for entries in over {
        let screen = picture(nothing(), entries).screen(0);
        assert_ne!(screen.phase, Phase::TakeApart, "{entries:?}");
        assert!(!screen.more_may_come_off);
    }
    let counts = picture(nothing(), &[took(), all_off()]).screen(0).counts;
    assert!(counts.iter().any(|count| count.text == "nuts 0 of 3"), "{counts:?}");
}

/// A file that says what is to come off has the last word.
#[test]
fn a_file_knows_when_all_is_off() {
    let text = include_str!("data/starter.toml");
    let read = read_case(&[Source::new("machine.toml", text)]).map(|read| read.case);
    let screen = picture(Arc::new(read.unwrap()), &[(Verb::Took, None, TRAY)]).screen(0);
    assert!(!screen.more_may_come_off);
}

/// What is written for the owner claims nothing that only words said one was after.
#[test]
fn the_owner_is_not_told_that_it_was_done() {
    for entries in [&[][..], &[(Verb::Took, None, TRAY), (Verb::AllOff, None, "")]] {
        let paper = paper(&picture(nothing(), entries), Sheet::Owner, 0);
        let headings: Vec<&str> = paper.sections.iter().map(|s| s.heading.as_str()).collect();
        assert!(!headings.contains(&"What was done"), "{headings:?}");
    }
}
