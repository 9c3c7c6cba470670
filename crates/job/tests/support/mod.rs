//! A job told event by event.
#![allow(dead_code, reason = "each test file uses a part of it")]
#![allow(unreachable_pub, reason = "shared by several test files")]

use lastbolt_files::Source;
use lastbolt_job::view::{Gate, RecordView, Screen};
use lastbolt_job::{Case, Now, bring_up, draft, gate, read_case, record, screen};
use lastbolt_ledger::{Accepted, Event, EventId, Log, Verb};

pub const NODES: u64 = 100_000;
/// A minute in milliseconds.
pub const MINUTE: i64 = 60_000;

pub fn data(name: &str) -> Case {
    let path = format!("{}/tests/data/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    case(&std::fs::read_to_string(path).unwrap())
}

pub fn case(text: &str) -> Case {
    read_case(&[Source::new("machine.toml", text)]).map(|read| read.case).unwrap()
}

#[derive(Clone)]
pub struct Story {
    pub case: Case,
    pub log: Log,
    pub now: Now,
    pub ms: i64,
}

impl Story {
    pub fn of(case: Case) -> Self {
        let now = bring_up(&case, &[], None, NODES);
        Self { case, log: Log::default(), now, ms: 0 }
    }

    pub fn new(name: &str) -> Self {
        Self::of(data(name))
    }

    pub fn event(&mut self, verb: Verb, thing: Option<&str>) -> Event {
        let count = self.log.last_seq() + 1;
        self.ms += MINUTE;
        let id = EventId::new(&format!("e{count}")).unwrap();
        let mut event = Event::new(id, "phone", count, count - 1, self.ms, verb);
        event.person = Some("Wren".to_owned());
        event.thing = thing.map(str::to_owned);
        event
    }

    pub fn accept(&mut self, event: Event) -> u64 {
        let Accepted::New(seq) = self.log.accept(event, self.ms) else { panic!("refused") };
        let kept = self.now.kept.clone();
        self.now = bring_up(&self.case, self.log.records(), Some(kept), NODES);
        seq
    }

    /// Records a verb about a thing, with the place and tool that would be taken by default.
    pub fn does(&mut self, verb: Verb, thing: &str) -> u64 {
        let draft = draft(&self.case, &self.now, thing, Some(verb.clone())).unwrap();
        let mut event = self.event(verb, Some(thing));
        event.spot = draft.spot;
        event.tool = draft.tool;
        self.accept(event)
    }

    /// Records a verb with a note.
    pub fn says(&mut self, verb: Verb, thing: Option<&str>, note: &str) -> u64 {
        let mut event = self.event(verb, thing);
        event.note = Some(note.to_owned());
        self.accept(event)
    }

    /// Takes back the record with this number.
    pub fn takes_back(&mut self, seq: u64) -> u64 {
        let of = self.log.records()[usize::try_from(seq).unwrap() - 1].event.id.clone();
        let mut event = self.event(Verb::TakeBack, None);
        event.of = Some(of);
        self.accept(event)
    }

    /// Presses the main button of the screen `times` times.
    pub fn presses(&mut self, times: usize) {
        for _ in 0..times {
            let screen = self.screen();
            let next = screen.next.expect("nothing left to do");
            let draft = next.buttons[0].draft.clone();
            let mut event = self.event(draft.verb, Some(&draft.thing));
            event.spot = draft.spot;
            event.tool = draft.tool;
            self.accept(event);
        }
    }

    /// Presses the main button until nothing is left; gives how often.
    pub fn finishes(&mut self) -> usize {
        for times in 0..500 {
            if self.screen().next.is_none() {
                return times;
            }
            self.presses(1);
        }
        panic!("the list never ends");
    }

    pub fn screen(&self) -> Screen {
        screen(&self.case, self.log.records(), &self.now, self.ms)
    }

    pub fn gate(&self) -> Gate {
        gate(&self.case, self.log.records(), &self.now)
    }

    pub fn record(&self) -> RecordView {
        record(&self.case, self.log.records(), &self.now)
    }

    /// The list as "verb thing".
    pub fn list(&self) -> Vec<String> {
        let screen = self.screen();
        let next = screen.next.map(|card| card.line);
        let all = next.into_iter().chain(screen.next_to_that).chain(screen.rest);
        all.map(|line| format!("{} {}", line.verb.word(), line.thing)).collect()
    }

    pub fn quiet(&self) -> Vec<String> {
        self.screen().quiet.into_iter().map(|quiet| quiet.text).collect()
    }

    pub fn is_open(&self, thing: &str) -> bool {
        self.now.live.open.has(self.case.kernel.find(thing).unwrap())
    }
}
