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

use lastbolt_ledger::{Kept, More, Noted, State, Tick, Verb};
use lastbolt_machine::ThingNo;

use crate::case::Book;
use crate::hazards;
use crate::picture::Picture;
use crate::tell::Tell;
use crate::view::{Day, DayGate, DayStage, Point, PointGroup, PointSaid, Said, StageView, Tap};

pub(crate) mod agreed;
mod bench;
pub(crate) mod broke;
mod clean;
pub(crate) mod cover;
pub(crate) mod hand_over;
mod joints;
pub(crate) mod over;
mod owner;
pub(crate) mod paper;
pub(crate) mod pause;
mod ready;
mod road;
mod size_up;
mod standing;
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
        DayStage::PutBack => put_back(ask),
        DayStage::FirstStart => start::groups(ask),
        DayStage::Road => road::groups(ask),
        DayStage::HandOver => over::groups(ask),
    };
    all.retain(|group| {
        let said = group.lines.len() + group.clocks.len() + group.taps.len();
        said + group.points.len() > 0
    });
    all
}

/// What stops the work stands before what covers are waited with.
fn put_back(ask: &Ask<'_>) -> Vec<PointGroup> {
    let mut all = broke::groups(ask);
    all.extend(pause::groups(ask));
    all.extend(cover::groups(ask));
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

    /// What the record says, folded.
    pub(crate) fn state(&self) -> &'a State {
        &self.picture.now.live.state
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

    /// The number of the record that last opened a thing.
    pub(crate) fn disturbed(&self, thing: ThingNo) -> Option<u64> {
        let now = &self.picture.now;
        now.live.mark(&self.picture.case.kernel, thing)?.disturbed_by
    }

    /// The same where it was opened more than once: not at its first opening.
    pub(crate) fn opened_again(&self, thing: ThingNo) -> Option<u64> {
        let now = &self.picture.now;
        let mark = now.live.mark(&self.picture.case.kernel, thing)?;
        mark.disturbed_by.filter(|_| mark.times_opened > 1)
    }

    /// What the job keeps in words of one kind, in order.
    pub(crate) fn kept<'k>(&self, kind: &'k str) -> impl Iterator<Item = &'a Kept> + use<'a, 'k> {
        let all = &self.picture.now.live.state.kept;
        all.iter().filter(move |kept| kept.kind == kind)
    }

    /// Begins a point.
    pub(crate) fn point(&self, id: &str, thing: Option<&str>, text: &str) -> Draft {
        Draft::of(&self.picture.now.live.state, id, thing, text)
    }
}

/// A point that is being made.
pub(crate) struct Draft {
    point: Point,
    /// The number of the record that answered it.
    answered_by: Option<u64>,
}

impl Draft {
    /// Begins a point with what was answered so far.
    pub(crate) fn of(state: &State, id: &str, thing: Option<&str>, text: &str) -> Self {
        let tick = state.ticks.get(&(id.to_owned(), thing.map(str::to_owned)));
        let said = tick.map(|tick| PointSaid {
            answer: tick.answer.clone(),
            person: tick.person.clone(),
            said_at_ms: tick.said_at_ms,
            event: tick.event.clone(),
        });
        let settled = said.is_some();
        let point = Point {
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
            takes_photos: false,
            photos: Vec::new(),
        };
        Draft { point, answered_by: tick.map(|tick| tick.seq) }
    }

    /// An answer by one tap: what the button says, what is kept.
    pub(crate) fn answer(self, text: &str, answer: &str) -> Self {
        let main = self.point.taps.is_empty();
        self.tap(text, Some(answer), None, main)
    }

    /// One of several answers, none of which is the usual one.
    pub(crate) fn choice(self, text: &str, answer: &str) -> Self {
        self.tap(text, Some(answer), None, false)
    }

    /// An answer in words: what the button says, what is asked.
    pub(crate) fn asks(self, text: &str, question: &str) -> Self {
        self.tap(text, None, Some(question), false)
    }

    fn tap(mut self, text: &str, answer: Option<&str>, asks: Option<&str>, main: bool) -> Self {
        let more = More {
            point: Some(self.point.id.clone()),
            asked: Some(self.point.text.clone()),
            ..More::default()
        };
        let said = Said {
            thing: self.point.thing.clone(),
            note: answer.map(str::to_owned),
            more: Some(more),
            ..Said::new(Verb::Ticked)
        };
        let asks = asks.map(str::to_owned);
        self.point.taps.push(Tap { text: text.to_owned(), said, asks, main });
        self
    }

    /// Answers after which it is still open.
    pub(crate) fn open_on(mut self, answers: &[&str]) -> Self {
        let open =
            self.point.said.as_ref().is_none_or(|said| answers.contains(&said.answer.as_str()));
        self.point.settled = !open;
        self
    }

    /// The only answers that settle it.
    pub(crate) fn closed_on(mut self, answers: &[&str]) -> Self {
        let said = self.point.said.as_ref();
        self.point.settled = said.is_some_and(|said| answers.contains(&said.answer.as_str()));
        self
    }

    /// It is settled, or open, by something else than an answer.
    pub(crate) fn settled(mut self, is: bool) -> Self {
        self.point.settled = is;
        self
    }

    /// What was said with another entry counts as its answer where it has none.
    pub(crate) fn or_said_with(mut self, note: Option<&Noted>) -> Self {
        if let (None, Some(note)) = (&self.point.said, note) {
            self.point.said = Some(PointSaid {
                answer: note.text.clone(),
                person: note.person.clone(),
                said_at_ms: note.said_at_ms,
                event: note.event.clone(),
            });
            self.point.settled = true;
            self.answered_by = Some(note.seq);
        }
        self
    }

    /// An answer older than a record does not count any more, and why.
    pub(crate) fn stale_before(mut self, seq: u64, why: &str) -> Self {
        if self.answered_by.is_some_and(|by| by < seq) {
            self.point.settled = false;
            self.point.detail.push(why.to_owned());
        }
        self
    }

    /// Something that it offers besides ticks: an entry of its own.
    pub(crate) fn says(mut self, tap: Tap) -> Self {
        self.point.taps.push(tap);
        self
    }

    /// Whether it was answered.
    pub(crate) fn is_said(&self) -> bool {
        self.point.said.is_some()
    }

    /// Whether nothing is left to do about it.
    pub(crate) fn is_settled(&self) -> bool {
        self.point.settled
    }

    pub(crate) fn settled_on(mut self, answers: &[&str]) -> Self {
        let said = self.point.said.as_ref();
        self.point.settled = said.is_some_and(|said| answers.contains(&said.answer.as_str()));
        self
    }

    /// The gate that it keeps shut.
    pub(crate) fn before(mut self, gate: DayGate) -> Self {
        self.point.before = Some(gate);
        self
    }

    /// It is answered by itself, never with others in one tap.
    pub(crate) fn alone(mut self) -> Self {
        self.point.alone = true;
        self
    }

    /// It is settled whatever was answered: something else says so.
    pub(crate) fn settled_by(mut self, is: bool) -> Self {
        self.point.settled |= is;
        self
    }

    /// What happened since the answer opens it again: the number of that record.
    pub(crate) fn open_since(mut self, seq: Option<u64>, answered: Option<u64>) -> Self {
        if seq > answered {
            self.point.settled = false;
            if answered.is_some() {
                let it = if self.point.thing.is_some() { "It" } else { "Something" };
                self.point.detail.push(format!("{it} was opened again since that was said."));
            }
        }
        self
    }

    /// The same, for what is about several things.
    pub(crate) fn open_again(self, ask: &Ask<'_>, things: &[ThingNo]) -> Self {
        let answered = ask.answered(&self.point.id, self.point.thing.as_deref());
        self.open_since(things.iter().filter_map(|&thing| ask.disturbed(thing)).max(), answered)
    }

    /// Photos can be taken for it; these were.
    pub(crate) fn photos(mut self, all: Vec<String>) -> Self {
        self.point.takes_photos = true;
        self.point.photos = all;
        self
    }

    /// Lines that help with it.
    pub(crate) fn details(mut self, lines: impl IntoIterator<Item = String>) -> Self {
        self.point.detail.extend(lines);
        self
    }

    /// A line that helps with it.
    pub(crate) fn detail(mut self, line: impl Into<String>) -> Self {
        self.point.detail.push(line.into());
        self
    }

    /// What the table of hazards says of what these words name.
    pub(crate) fn hazard(mut self, words: &str) -> Self {
        let all = hazards::of_text(words).into_iter();
        self.point.cautions.extend(all.filter_map(|hazard| hazard.caution(&[])));
        self
    }

    /// A caution that counts here.
    pub(crate) fn caution(mut self, line: impl Into<String>) -> Self {
        self.point.cautions.push(line.into());
        self
    }

    /// What was answered, if anything was.
    pub(crate) fn said(&self) -> Option<&PointSaid> {
        self.point.said.as_ref()
    }

    pub(crate) fn done(self) -> Point {
        self.point
    }
}

/// A heading with lines and no points.
pub(crate) fn lines(heading: &str, lines: Vec<String>) -> PointGroup {
    PointGroup { lines, ..group(heading, Vec::new()) }
}

/// A heading with its points.
pub(crate) fn group(heading: &str, points: Vec<Point>) -> PointGroup {
    PointGroup { heading: heading.to_owned(), points, ..PointGroup::default() }
}
