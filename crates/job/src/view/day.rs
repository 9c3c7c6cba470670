//! The day around the work: stages, each with the questions and checks that belong to it.

use crate::view::{Tap, WaitLine};

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
