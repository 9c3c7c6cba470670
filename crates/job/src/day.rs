//! The day around the work: what is asked and checked at each stage, and what of it is settled.
//!
//! Every point comes from the job as it is now: from the machine's files, the list, and what was
//! recorded. Nothing of it is kept but the answers (`ticked`) and what was said in words
//! (`noted`).
//!
//! How to add a point: 1. in the module of its stage, [`Ask::point`] with an id that no other has
//! (`stage.what`) and its question; 2. its answers ([`Draft::answer`], [`Draft::asks`]); which of
//! them leave it open ([`Draft::open_on`]); which gate it keeps shut ([`Draft::before`]); 3. a
//! test that it is there when it should be, and only then.

use lastbolt_ledger::{Kept, More, Tick, Verb};

use crate::case::Book;
use crate::picture::Picture;
use crate::tell::Tell;
use crate::view::{Day, DayGate, DayStage, Point, PointGroup, PointSaid, Said, StageView, Tap};

mod bench;
mod clean;
pub(crate) mod cover;
mod joints;
mod over;
mod ready;
mod road;
mod size_up;
mod start;
pub(crate) mod systems;

pub(crate) use cover::open_beads;

/// Gives the day of a job. `now_ms` is the time of day \[ms since 1970, UTC\].
pub fn day(picture: &Picture, now_ms: i64) -> Day {
    let ask = Ask::of(picture, now_ms);
    let view = |stage: DayStage| StageView { stage, groups: groups(&ask, stage) };
    Day { stages: DayStage::ALL.into_iter().map(view).collect() }
}

fn groups(ask: &Ask<'_>, stage: DayStage) -> Vec<PointGroup> {
    let mut all = match stage {
        DayStage::SizeUp => [size_up::groups(ask), joints::groups(ask)].concat(),
        DayStage::MakeReady => ready::groups(ask),
        DayStage::Bench => bench::groups(ask),
        DayStage::PutBack => cover::groups(ask),
        DayStage::FirstStart => start::groups(ask),
        DayStage::Road => road::groups(ask),
        DayStage::HandOver => over::groups(ask),
    };
    all.retain(|group| !group.points.is_empty() || !group.lines.is_empty());
    all
}

/// What points are made from.
#[derive(Clone, Copy)]
pub(crate) struct Ask<'a> {
    pub(crate) picture: &'a Picture,
    pub(crate) now_ms: i64,
}

impl<'a> Ask<'a> {
    pub(crate) fn of(picture: &'a Picture, now_ms: i64) -> Self {
        Self { picture, now_ms }
    }

    pub(crate) fn tell(&self) -> Tell<'a> {
        let now = &self.picture.now;
        Tell { case: &self.picture.case, live: &now.live, kept: &now.kept }
    }

    pub(crate) fn book(&self) -> Book<'a> {
        Book::of(&self.picture.case)
    }

    /// The last answer to a point.
    pub(crate) fn tick(&self, id: &str, thing: Option<&str>) -> Option<&'a Tick> {
        let key = (id.to_owned(), thing.map(str::to_owned));
        self.picture.now.live.state.ticks.get(&key)
    }

    /// The number of the record that answered a point last.
    pub(crate) fn answered(&self, id: &str, thing: Option<&str>) -> Option<u64> {
        self.tick(id, thing).map(|tick| tick.seq)
    }

    /// What the job keeps in words of one kind, in order.
    pub(crate) fn kept<'k>(&self, kind: &'k str) -> impl Iterator<Item = &'a Kept> + use<'a, 'k> {
        let all = &self.picture.now.live.state.kept;
        all.iter().filter(move |kept| kept.kind == kind)
    }

    /// Begins a point.
    pub(crate) fn point(&self, id: &str, thing: Option<&str>, text: &str) -> Draft {
        let said = self.tick(id, thing).map(|tick| PointSaid {
            answer: tick.answer.clone(),
            person: tick.person.clone(),
            said_at_ms: tick.said_at_ms,
            event: tick.event.clone(),
        });
        let settled = said.is_some();
        Draft(Point {
            id: id.to_owned(),
            thing: thing.map(str::to_owned),
            text: text.to_owned(),
            detail: Vec::new(),
            cautions: Vec::new(),
            taps: Vec::new(),
            said,
            settled,
            before: None,
            alone: false,
        })
    }
}

/// A point that is being made.
pub(crate) struct Draft(Point);

impl Draft {
    /// An answer by one tap: what the button says, what is kept.
    pub(crate) fn answer(self, text: &str, answer: &str) -> Self {
        let main = self.0.taps.is_empty();
        self.tap(text, Some(answer), None, main)
    }

    /// An answer in words: what the button says, what is asked.
    pub(crate) fn asks(self, text: &str, question: &str) -> Self {
        self.tap(text, None, Some(question), false)
    }

    fn tap(mut self, text: &str, answer: Option<&str>, asks: Option<&str>, main: bool) -> Self {
        let more = More {
            point: Some(self.0.id.clone()),
            asked: Some(self.0.text.clone()),
            ..More::default()
        };
        let said = Said {
            thing: self.0.thing.clone(),
            note: answer.map(str::to_owned),
            more: Some(more),
            ..Said::new(Verb::Ticked)
        };
        let asks = asks.map(str::to_owned);
        self.0.taps.push(Tap { text: text.to_owned(), said, asks, main });
        self
    }

    /// Answers after which it is still open.
    pub(crate) fn open_on(mut self, answers: &[&str]) -> Self {
        let open = self.0.said.as_ref().is_none_or(|said| answers.contains(&said.answer.as_str()));
        self.0.settled = !open;
        self
    }

    /// The only answers that settle it.
    pub(crate) fn settled_on(mut self, answers: &[&str]) -> Self {
        let said = self.0.said.as_ref();
        self.0.settled = said.is_some_and(|said| answers.contains(&said.answer.as_str()));
        self
    }

    /// The gate that it keeps shut.
    pub(crate) fn before(mut self, gate: DayGate) -> Self {
        self.0.before = Some(gate);
        self
    }

    /// It is answered by itself, never with others in one tap.
    pub(crate) fn alone(mut self) -> Self {
        self.0.alone = true;
        self
    }

    /// It is settled whatever was answered: something else says so.
    pub(crate) fn settled_by(mut self, is: bool) -> Self {
        self.0.settled |= is;
        self
    }

    /// What happened since the answer opens it again: the number of that record.
    pub(crate) fn open_since(mut self, seq: Option<u64>, answered: Option<u64>) -> Self {
        if seq > answered {
            self.0.settled = false;
        }
        self
    }

    /// Lines that help with it.
    pub(crate) fn details(mut self, lines: impl IntoIterator<Item = String>) -> Self {
        self.0.detail.extend(lines);
        self
    }

    /// A line that helps with it.
    pub(crate) fn detail(mut self, line: impl Into<String>) -> Self {
        self.0.detail.push(line.into());
        self
    }

    /// A caution that counts here.
    pub(crate) fn caution(mut self, line: impl Into<String>) -> Self {
        self.0.cautions.push(line.into());
        self
    }

    /// What was answered, if anything was.
    pub(crate) fn said(&self) -> Option<&PointSaid> {
        self.0.said.as_ref()
    }

    pub(crate) fn done(self) -> Point {
        self.0
    }
}

/// A heading with lines and no points.
pub(crate) fn lines(heading: &str, lines: Vec<String>) -> PointGroup {
    PointGroup { lines, ..group(heading, Vec::new()) }
}

/// A heading with its points.
pub(crate) fn group(heading: &str, points: Vec<Point>) -> PointGroup {
    PointGroup { heading: heading.to_owned(), lines: Vec::new(), points }
}
