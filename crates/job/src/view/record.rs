//! The record of a job: what was done, by whom, what was left.

use lastbolt_machine::Minutes;

use crate::view::{JointLine, MatterLine, OpenLine};

/// What a line of the record tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RecordKind {
    /// Something came off, was undone or made ready.
    Opened,
    /// Something went home.
    Closed,
    /// A state between: slack, in by hand, started, some of the pieces.
    Between,
    /// A look.
    Look,
    /// A look passed by.
    PassedBy,
    /// A gate passed.
    Gate,
    /// A first start.
    FirstStart,
    /// A note, or what somebody said of a thing never recorded.
    Note,
    /// A photo, or something about one.
    Photo,
    /// Somebody moved or took another tool.
    Moved,
    /// Something was taken back.
    TakenBack,
    /// The job was finished or goes on.
    Job,
}

impl RecordKind {
    /// Gives the word for data.
    pub fn word(self) -> &'static str {
        match self {
            Self::Opened => "opened",
            Self::Closed => "closed",
            Self::Between => "between",
            Self::Look => "look",
            Self::PassedBy => "passed_by",
            Self::Gate => "gate",
            Self::FirstStart => "first_start",
            Self::Note => "note",
            Self::Photo => "photo",
            Self::Moved => "moved",
            Self::TakenBack => "taken_back",
            Self::Job => "job",
        }
    }
}

/// One line of the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordLine {
    /// Its number.
    pub seq: u64,
    /// The id of the event.
    pub event: String,
    /// When it was said, in milliseconds since 1970, UTC.
    pub said_at_ms: i64,
    /// What it tells.
    pub kind: RecordKind,
    /// The sentence: "starter screws: 2 screws out".
    pub text: String,
    /// The thing.
    pub thing: Option<String>,
    /// Its tag number.
    pub tag: Option<u32>,
    /// Who.
    pub person: Option<String>,
    /// From which spot.
    pub from: Option<String>,
    /// With which tool.
    pub tool: Option<String>,
    /// The note given with it.
    pub note: Option<String>,
    /// It was taken back, by the record with this number.
    pub taken_back_by: Option<u64>,
}

/// Stages of a job, for minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Conditions brought into force and ended again.
    MakeReady,
    /// Taking apart.
    TakeApart,
    /// At the bench.
    Bench,
    /// Putting back.
    PutBack,
}

impl Stage {
    /// All four, in order.
    pub const ALL: [Self; 4] = [Self::MakeReady, Self::TakeApart, Self::Bench, Self::PutBack];

    /// Gives the trade's words: "make ready", "take apart", "bench", "put back".
    pub fn word(self) -> &'static str {
        match self {
            Self::MakeReady => "make ready",
            Self::TakeApart => "take apart",
            Self::Bench => "bench",
            Self::PutBack => "put back",
        }
    }
}

/// Minutes of a stage, planned and worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StageMinutes {
    /// Which stage.
    pub stage: Stage,
    /// Planned minutes, changes included.
    pub planned: Minutes,
    /// Minutes between records, long pauses left out; none before anything was recorded.
    pub worked: Option<Minutes>,
}

/// The record of a job: a page that prints.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordView {
    /// The machine in a few words.
    pub machine: String,
    /// What it was for.
    pub purpose: String,
    /// What the owner said.
    pub complaint: Vec<String>,
    /// What was decided.
    pub decided: Vec<String>,
    /// What proves the repair.
    pub proof: Vec<String>,
    /// Distance or hours, as written.
    pub odometer: Option<String>,
    /// Everybody who recorded something.
    pub people: Vec<String>,
    /// Every record in order, those taken back too.
    pub lines: Vec<RecordLine>,
    /// What was done but not measured.
    pub not_measured: Vec<OpenLine>,
    /// What was recorded off and not on again.
    pub leftovers: Vec<OpenLine>,
    /// Looks passed by that nobody made up for.
    pub looks_passed_by: Vec<OpenLine>,
    /// What is asked before a gate that was passed, or before the job was over, and nobody
    /// answered.
    pub not_checked: Vec<String>,
    /// Things never recorded, and what was said of them.
    pub not_recorded: Vec<OpenLine>,
    /// Rags, caps, plugs and tools still in, and what fell and was not found.
    pub matters: Vec<MatterLine>,
    /// What was counted otherwise, or does not look right in the record.
    pub remarks: Vec<MatterLine>,
    /// Gates that were passed, with reasons.
    pub gates: Vec<RecordLine>,
    /// First starts and how they went.
    pub first_starts: Vec<RecordLine>,
    /// Notes.
    pub notes: Vec<RecordLine>,
    /// What was new.
    pub renewed: Vec<Buy>,
    /// Joints that were undone and are home again: measured, not measured, not said.
    pub joints: Vec<JointLine>,
    /// What broke, and how it was settled.
    pub broken: Vec<String>,
    /// Minutes by stage.
    pub stages: Vec<StageMinutes>,
    /// The job was said to be finished.
    pub finished: bool,
    /// It was given up, and why; blank where nobody said why.
    pub given_up: Option<String>,
}

/// Something to buy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Buy {
    /// What, in the words of the file.
    pub what: String,
    /// How many (of a fluid: 1, the amount stands in `what`).
    pub count: u32,
    /// The thing that asks for it.
    pub because: String,
}
