//! A job told entry by entry, with what no file knows drawn from the record.
#![allow(dead_code, reason = "each test file uses a part of it")]
#![allow(unreachable_pub, reason = "shared by several test files")]

use std::sync::Arc;

use lastbolt_files::Source;
use lastbolt_job::view::{DayGate, Gate, MatterLine, Said, Screen};
use lastbolt_job::{Case, Picture, from_nothing, read_case};
use lastbolt_ledger::{Accepted, Event, EventId, Log, More, Stands, TookPart, TookTie, Verb};

use super::support::{MINUTE, NODES, data};

pub struct Tale {
    pub log: Log,
    pub picture: Picture,
    pub ms: i64,
    pub sender: &'static str,
    pub spot: Option<&'static str>,
}

impl Tale {
    pub fn of(case: Case) -> Self {
        let picture = Picture::of(Arc::new(case), Vec::new(), None, NODES);
        Self { log: Log::default(), picture, ms: 0, sender: "phone", spot: None }
    }

    pub fn new(name: &str) -> Self {
        Self::of(data(name))
    }

    /// A job that begins with nothing.
    pub fn nothing() -> Self {
        let files = from_nothing("Bramble saw", "").unwrap();
        let sources =
            [Source::new("machine.toml", files.machine), Source::new("job.toml", files.job)];
        Self::of(read_case(&sources).unwrap().case)
    }

    pub fn event(&mut self, verb: Verb, thing: Option<&str>) -> Event {
        let count = self.log.last_seq() + 1;
        self.ms += MINUTE;
        let id = EventId::new(&format!("e{count}")).unwrap();
        let mut event = Event::new(id, self.sender, count, count - 1, self.ms, verb);
        event.thing = thing.map(str::to_owned);
        event.spot = self.spot.map(str::to_owned);
        event
    }

    /// Records an event; it must be taken.
    pub fn accept(&mut self, event: Event) -> u64 {
        event.check().unwrap();
        let verb = event.verb.clone();
        let Accepted::New(seq) = self.log.accept(event, self.ms) else { panic!("refused: {verb}") };
        let new = self.log.records().last().cloned().into_iter().collect();
        self.picture = self.picture.and(new, NODES);
        seq
    }

    pub fn does(&mut self, verb: Verb, thing: &str) -> u64 {
        let event = self.event(verb, Some(thing));
        self.accept(event)
    }

    /// Keeps something in words.
    pub fn noted(&mut self, kind: &str, thing: Option<&str>, text: &str) -> u64 {
        let mut event = self.event(Verb::Noted, thing);
        event.note = Some(text.to_owned());
        event.more = Some(More { kind: Some(kind.to_owned()), ..More::default() });
        self.accept(event)
    }

    pub fn says(&mut self, said: &Said, note: Option<&str>) -> u64 {
        let mut event = self.event(said.verb.clone(), None);
        said.fill(&mut event);
        if event.note.is_none() {
            event.note = note.map(str::to_owned);
        }
        self.accept(event)
    }

    /// Records a handful: "tray" with 3 nuts and 1 clip; a blank name is none.
    pub fn took(&mut self, part: Option<&str>, ties: &[(&str, u32)]) -> u64 {
        let mut event = self.event(Verb::Took, None);
        let named = |name: &str| Some(name.to_owned()).filter(|name| !name.is_empty());
        let tie = |(kind, count): &(&str, u32)| TookTie {
            kind: (*kind).to_owned(),
            count: Some(*count),
            name: None,
            stands: Stands::Off,
        };
        event.more = Some(More {
            part: part.map(|name| TookPart { name: named(name), ..TookPart::default() }),
            ties: ties.iter().map(tie).collect(),
            ..More::default()
        });
        self.accept(event)
    }

    /// Says a fact about a thing.
    pub fn fact(&mut self, thing: &str, fact: &str, text: &str) -> u64 {
        let mut event = self.event(Verb::Fact, Some(thing));
        event.more = Some(More { fact: Some(fact.to_owned()), ..More::default() });
        event.note = Some(text.to_owned());
        self.accept(event)
    }

    /// Says that something fell.
    pub fn drops(&mut self, kind: &str) -> u64 {
        let mut event = self.event(Verb::Dropped, None);
        event.more = Some(More { kind: Some(kind.to_owned()), ..More::default() });
        self.accept(event)
    }

    /// Counts pieces before the first bolt.
    pub fn expects(&mut self, kind: &str, pieces: u32) -> u64 {
        let mut event = self.event(Verb::Expected, None);
        event.more = Some(More { kind: Some(kind.to_owned()), ..More::default() });
        event.pieces = Some(pieces);
        self.accept(event)
    }

    /// Taps the button of that text on one of the lines.
    pub fn taps(&mut self, lines: &[MatterLine], text: &str, note: Option<&str>) -> u64 {
        let tap = lines.iter().flat_map(|line| &line.taps).find(|tap| tap.text == text);
        let said = tap.unwrap_or_else(|| panic!("no button \"{text}\": {lines:?}")).said.clone();
        self.says(&said, note)
    }

    /// Taps the button of that text on the sheet of a thing.
    pub fn taps_on(&mut self, thing: &str, text: &str) -> u64 {
        let line = self.screen().things.into_iter().find(|line| line.thing == thing).unwrap();
        let tap = line.taps.iter().find(|tap| tap.text == text);
        let said = tap.unwrap_or_else(|| panic!("no \"{text}\": {line:?}")).said.clone();
        self.says(&said, None)
    }

    pub fn takes_back(&mut self, seq: u64) -> u64 {
        let of = self.log.records()[usize::try_from(seq).unwrap() - 1].event.id.clone();
        let mut event = self.event(Verb::TakeBack, None);
        event.of = Some(of);
        self.accept(event)
    }

    /// Presses the main button until the first step is the wanted one ("on air box").
    pub fn until(&mut self, step: &str) {
        for _ in 0..200 {
            if self.list().first().is_some_and(|first| first == step) {
                return;
            }
            self.presses();
        }
        panic!("{step} never comes: {:?}", self.list());
    }

    /// Presses the main button of the step, whatever is to come out first.
    pub fn presses(&mut self) {
        let next = self.screen().next.expect("nothing left to do");
        let draft = next.buttons[0].draft.clone();
        let mut event = self.event(draft.verb, Some(&draft.thing));
        event.spot = draft.spot;
        event.tool = draft.tool;
        self.accept(event);
    }

    /// Presses the main button until nothing is left.
    pub fn finishes(&mut self) {
        for _ in 0..300 {
            if self.screen().next.is_none() {
                return;
            }
            self.presses();
        }
        panic!("the list never ends: {:?}", self.list());
    }

    pub fn screen(&self) -> Screen {
        self.picture.screen(self.ms)
    }

    /// The gate before the first start, without what the day asks.
    pub fn gate(&self) -> Gate {
        let picture = &self.picture;
        lastbolt_job::gate(&picture.case, &picture.records, &picture.now)
    }

    /// A gate with what the day asks before it.
    pub fn gate_before(&self, gate: DayGate) -> Gate {
        self.picture.gate(gate, self.ms)
    }

    /// Answers a point of the day by the button of that text, or in these words.
    pub fn ticks(&mut self, id: &str, thing: Option<&str>, answer: &str) -> u64 {
        let day = self.picture.day(self.ms);
        let point = day.find(id, thing).unwrap_or_else(|| panic!("no point {id} {thing:?}"));
        let said = point.taps.iter().find(|tap| tap.text == answer).map(|tap| tap.said.clone());
        let said = said.unwrap_or_else(|| point.taps[0].said.clone());
        let mut event = self.event(Verb::Ticked, None);
        said.fill(&mut event);
        if !point.taps.iter().any(|tap| tap.text == answer) {
            event.note = Some(answer.to_owned());
        }
        self.accept(event)
    }

    pub fn list(&self) -> Vec<String> {
        let screen = self.screen();
        let next = screen.next.map(|card| card.line);
        let all = next.into_iter().chain(screen.next_to_that).chain(screen.rest);
        all.map(|line| format!("{} {}", line.verb.word(), line.thing)).collect()
    }

    pub fn quiet(&self) -> Vec<String> {
        self.screen().quiet.into_iter().map(|quiet| quiet.text).collect()
    }

    pub fn stands(&self, thing: &str) -> String {
        let lines = self.screen().things;
        let line = lines.into_iter().find(|line| line.thing == thing);
        line.map_or_else(|| "not there".to_owned(), |line| line.stands)
    }
}

/// The texts of lines.
pub fn texts(lines: &[MatterLine]) -> Vec<&str> {
    lines.iter().map(|line| line.text.as_str()).collect()
}
