//! The day around the work: stages, each with the questions and checks that belong to it.

use lastbolt_machine::Minutes;

use crate::view::{Tag, Tap, WaitLine};

/// A stage of the day, in the order in which a job passes through them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DayStage {
    /// What is wrong, what comes off, what to buy, the owner's yes.
    SizeUp,
    /// The machine is made safe: isolated, raised, drained.
    MakeReady,
    /// Old against new, what moves over, cleaning.
    Bench,
    /// Tests before something is covered, sealant, what is slack.
    PutBack,
    /// Before cranking, first tries, leak looks.
    FirstStart,
    /// Before the road, road test, proof.
    Road,
    /// The record, the owner's sheet, what falls due later.
    HandOver,
}

impl DayStage {
    /// All of them, in order.
    pub const ALL: [DayStage; 7] = [
        DayStage::SizeUp,
        DayStage::MakeReady,
        DayStage::Bench,
        DayStage::PutBack,
        DayStage::FirstStart,
        DayStage::Road,
        DayStage::HandOver,
    ];

    /// Gives the word for data and addresses: `size-up`, `make-ready`, `bench`, `put-back`,
    /// `first-start`, `road`, `hand-over`.
    pub fn word(self) -> &'static str {
        match self {
            Self::SizeUp => "size-up",
            Self::MakeReady => "make-ready",
            Self::Bench => "bench",
            Self::PutBack => "put-back",
            Self::FirstStart => "first-start",
            Self::Road => "road",
            Self::HandOver => "hand-over",
        }
    }

    /// Gives its heading on screens.
    pub fn heading(self) -> &'static str {
        match self {
            Self::SizeUp => "Size up",
            Self::MakeReady => "Make ready",
            Self::Bench => "At the bench",
            Self::PutBack => "Put back: tests and sealant",
            Self::FirstStart => "First start",
            Self::Road => "Before the road",
            Self::HandOver => "Hand over",
        }
    }

    /// Reads the word.
    pub fn read(word: &str) -> Option<DayStage> {
        Self::ALL.into_iter().find(|stage| stage.word() == word)
    }
}

/// A gate of the day: what blocks it is settled first, or passed by with a reason.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DayGate {
    /// Before cranking.
    FirstStart,
    /// Before the road.
    Road,
}

impl DayGate {
    /// Gives its name, as entries carry it.
    pub fn name(self) -> &'static str {
        match self {
            Self::FirstStart => "first start",
            Self::Road => "road",
        }
    }
}

/// An answer that was given to a point.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PointSaid {
    /// The answer.
    pub answer: String,
    /// Who gave it, if said.
    pub person: Option<String>,
    /// When \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// The id of the entry: a take-back of it makes the point open again.
    pub event: String,
}

/// One question or check, with what answers it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Point {
    /// Its id: with the thing it is unique in a job and the same tomorrow.
    pub id: String,
    /// What it is about, if it is about one thing of the machine.
    pub thing: Option<String>,
    /// The question, or what is to be done.
    pub text: String,
    /// What helps with it, a line each.
    pub detail: Vec<String>,
    /// Cautions that count here, with who may do it.
    pub cautions: Vec<String>,
    /// What answers it.
    pub taps: Vec<Tap>,
    /// The last answer that stands.
    pub said: Option<PointSaid>,
    /// Nothing is left to do about it.
    pub settled: bool,
    /// The gate that it keeps shut until it is settled.
    pub before: Option<DayGate>,
    /// It is answered by itself, never with others in one tap.
    pub alone: bool,
    /// Photos can be taken for it.
    pub takes_photos: bool,
    /// The photos that go with it, in the order in which they were brought.
    pub photos: Vec<String>,
}

/// Gives the first answers of all points that are open and may be answered in one tap.
pub fn together<'a>(points: impl Iterator<Item = &'a Point>) -> Vec<&'a Tap> {
    points.filter(|point| !point.settled && !point.alone).filter_map(Point::main_answer).collect()
}

impl Point {
    /// Gives the answer that says that all is well, where one tap gives it.
    pub fn main_answer(&self) -> Option<&Tap> {
        self.taps.iter().find(|tap| tap.main && tap.asks.is_none())
    }
}

/// Points under one heading.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PointGroup {
    /// The heading.
    pub heading: String,
    /// What is said under it, a line each.
    pub lines: Vec<String>,
    /// Waits that run.
    pub clocks: Vec<WaitLine>,
    /// Its points.
    pub points: Vec<Point>,
    /// What can be said here besides, as often as wanted.
    pub taps: Vec<Tap>,
}

/// One stage.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StageView {
    /// Which.
    pub stage: DayStage,
    /// What stands in it.
    pub groups: Vec<PointGroup>,
}

impl StageView {
    /// Gives its points.
    pub fn points(&self) -> impl Iterator<Item = &Point> {
        self.groups.iter().flat_map(|group| &group.points)
    }

    /// Counts what is not settled.
    pub fn open(&self) -> usize {
        self.points().filter(|point| !point.settled).count()
    }
}

/// The day of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Day {
    /// Its stages, in order.
    pub stages: Vec<StageView>,
}

impl Day {
    /// Gives one stage.
    pub fn stage(&self, stage: DayStage) -> Option<&StageView> {
        self.stages.iter().find(|view| view.stage == stage)
    }

    /// Gives all points.
    pub fn points(&self) -> impl Iterator<Item = &Point> {
        self.stages.iter().flat_map(StageView::points)
    }

    /// Finds a point by its id and what it is about.
    pub fn find(&self, id: &str, thing: Option<&str>) -> Option<&Point> {
        self.points().find(|point| point.id == id && point.thing.as_deref() == thing)
    }

    /// Gives what keeps a gate shut.
    pub fn before(&self, gate: DayGate) -> impl Iterator<Item = &Point> {
        self.points().filter(move |point| point.before == Some(gate) && !point.settled)
    }
}

/// Where to look when it does not start: one connection that was disturbed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DisturbedLine {
    /// Its id.
    pub thing: String,
    /// "Look at the earth, between body and gearbox, about 2 min, nothing comes off."
    pub text: String,
    /// Minutes from now until it was looked at; none where no order could be found.
    pub minutes: Option<Minutes>,
    /// The parts that come off for it.
    pub comes_off: Vec<String>,
    /// What speaks for it, in words.
    pub why: Vec<String>,
    /// Its tag.
    pub tag: Option<Tag>,
    /// What was answered since it was made.
    pub said: Option<PointSaid>,
    /// Was it, was not, could not see.
    pub taps: Vec<Tap>,
}

/// The connections that were disturbed, nearest and quickest first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DisturbedView {
    /// A line each, in the order in which they are looked at.
    pub lines: Vec<DisturbedLine>,
}
