//! The state of a job: the fold of its records.

use std::collections::{BTreeMap, BTreeSet};

use crate::disagree::{Claim, Disagreement};
use crate::log::Recorded;
use crate::more::More;
use crate::steps::steps;
use crate::verb::Verb;

/// Says how a thing stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Standing {
    /// Off, undone, in force.
    Open,
    /// On, made, ended.
    Closed,
    /// Made, but slackened.
    Slack,
    /// Undone, its screws finger-tight in their holes.
    ByHand,
    /// Started, not tight.
    Started,
    /// Closed, its tightness not measured.
    NotMeasured,
}

impl Standing {
    /// Tells whether nothing is left to do but to measure: [`Standing::Closed`] and
    /// [`Standing::NotMeasured`].
    pub fn is_closed(self) -> bool {
        matches!(self, Standing::Closed | Standing::NotMeasured)
    }

    /// Tells whether a planner takes the thing as open (off, undone, in force): slack counts as
    /// made, in by hand and started as undone.
    pub fn is_open_for_planning(self) -> bool {
        matches!(self, Standing::Open | Standing::ByHand | Standing::Started)
    }
}

/// Says how a thing stands and by which record. Things never recorded have none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// How it stands. With [`Mark::pieces`], how the whole stands as long as some are missing.
    pub standing: Standing,
    /// The number of the record that says so.
    pub by: u64,
    /// That record's verb.
    pub last_verb: Verb,
    /// Partly done: to how many pieces in all the last verb has been done; none: to the whole.
    pub pieces: Option<u32>,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// Who did it, if said.
    pub person: Option<String>,
    /// The number of the last record that undid something about it (opened it wholly or partly,
    /// slackened it, or found it so), if any did: since then it wants a last look.
    pub disturbed_by: Option<u64>,
    /// How often it went from closed to open: what is renewed each time is bought as often.
    pub times_opened: u32,
}

impl Mark {
    /// Gives how the thing stands when it has `count` pieces: the last piece completes it.
    pub fn standing_of(&self, count: u32) -> Standing {
        match (self.pieces, &self.last_verb) {
            (Some(pieces), Verb::Undo) if pieces >= count => Standing::Open,
            (Some(pieces), Verb::Make | Verb::Tighten) if pieces >= count => Standing::Closed,
            _ => self.standing,
        }
    }

    /// Counts the pieces of `count` that are not finished: open, slack, by hand or started.
    pub fn pieces_open(&self, count: u32) -> u32 {
        match (self.pieces, &self.last_verb) {
            (Some(pieces), Verb::Undo | Verb::Slack) => pieces.min(count),
            (Some(pieces), Verb::Make | Verb::Tighten) => count.saturating_sub(pieces),
            _ if self.standing.is_closed() => 0,
            _ => count,
        }
    }

    /// Tells whether something about the thing is still to be finished, when it has `count`
    /// pieces: what a gate asks.
    pub fn is_unfinished(&self, count: u32) -> bool {
        self.pieces_open(count) > 0
    }
}

/// Says what became of a thing's last look. Opening the thing again clears it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// It was done.
    Looked {
        /// The number of the record.
        seq: u64,
    },
    /// It was passed by.
    PassedBy {
        /// The number of the record.
        seq: u64,
    },
}

/// Holds a word that was stated, and by which record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// The word.
    pub text: String,
    /// The number of the record.
    pub seq: u64,
}

/// Holds what somebody said about a thing that was not recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settled {
    /// What was said.
    pub note: String,
    /// The number of the record.
    pub seq: u64,
}

/// Holds that a gate was passed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GatePass {
    /// The reason, where one was given.
    pub reason: Option<String>,
    /// Who passed it, if said.
    pub person: Option<String>,
    /// The number of the record.
    pub seq: u64,
}

/// Holds a note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Noted {
    /// The id of the entry.
    pub event: String,
    /// What it is about, if anything.
    pub thing: Option<String>,
    /// The text.
    pub text: String,
    /// Who said it, if said.
    pub person: Option<String>,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// The number of the record.
    pub seq: u64,
}

/// Holds something that the job keeps in words (`noted`).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// The id of the entry.
    pub event: String,
    /// The number of the record.
    pub seq: u64,
    /// What it is: "symptom", "buy", "ask owner", ...
    pub kind: String,
    /// What it is about, if anything.
    pub thing: Option<String>,
    /// The text.
    pub text: String,
    /// Who said it, if said.
    pub person: Option<String>,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// What it carries besides: price, minutes, when it falls due, a picture.
    pub more: More,
}

/// Holds the answer to a point of the day, the last one that stands (`ticked`).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tick {
    /// The id of the entry.
    pub event: String,
    /// The number of the record.
    pub seq: u64,
    /// The answer.
    pub answer: String,
    /// Who gave it, if said.
    pub person: Option<String>,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// What it carries besides: price, by what means, a picture.
    pub more: More,
}

/// Holds that the job was left standing (`left_standing`).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Left {
    /// How, in words.
    pub text: Option<String>,
    /// Who left it, if said.
    pub person: Option<String>,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// The number of the record.
    pub seq: u64,
}

/// Holds that a standing job was taken up again (`resumed`).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Resumed {
    /// How it had been left.
    pub left: Left,
    /// Who took it up, if said.
    pub person: Option<String>,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// The number of the record.
    pub seq: u64,
}

/// Holds a round of tightening (`round`). A joint that is opened loses its rounds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Round {
    /// Which round, from 1.
    pub round: u32,
    /// How many screws, in the round's order, it came to; none: all of them.
    pub pieces: Option<u32>,
    /// With which wrench, if said.
    pub wrench: Option<String>,
    /// To what it was set, as its scale reads.
    pub setting: Option<String>,
    /// When that wrench was calibrated, as was written.
    pub calibrated: Option<String>,
    /// By hand, not measured.
    pub by_hand: bool,
    /// Who did it, if said.
    pub person: Option<String>,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// The number of the record.
    pub seq: u64,
}

/// Holds how a job stands: the fold of its records, in the order of acceptance, the withdrawn ones
/// skipped.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct State {
    /// How each recorded thing stands, by name.
    pub marks: BTreeMap<String, Mark>,
    /// The last looks that were done or passed by, by name.
    pub looks: BTreeMap<String, Look>,
    /// What was said about things that were not recorded, by name.
    pub settled: BTreeMap<String, Settled>,
    /// The spot that was stated last.
    pub spot: Option<Stated>,
    /// The tool that was stated last.
    pub tool: Option<Stated>,
    /// The person who was stated last.
    pub person: Option<Stated>,
    /// The gates that were passed, each the last time, by name.
    pub gates: BTreeMap<String, GatePass>,
    /// The first starts, in order.
    pub first_starts: Vec<Noted>,
    /// The free notes, in order, and those given with anything else.
    pub notes: Vec<Noted>,
    /// What the job keeps in words, in order.
    pub kept: Vec<Kept>,
    /// The last answer to each point of the day, by the point's id and the thing it is about.
    pub ticks: BTreeMap<(String, Option<String>), Tick>,
    /// How the job was left, while it stands.
    pub left: Option<Left>,
    /// When it was taken up again after standing, the last time.
    pub resumed: Option<Resumed>,
    /// The rounds of tightening since a joint was last opened, by its name, in order.
    pub rounds: BTreeMap<String, Vec<Round>>,
    /// The number of the record that says that the job is finished, while it is.
    pub finished: Option<u64>,
    /// Why it was given up, while it is; blank where nobody said why.
    pub given_up: Option<String>,
    /// The numbers of the withdrawn records.
    pub withdrawn: BTreeSet<u64>,
    /// The number of the last record taken in, withdrawn ones and take-backs included.
    pub last_seq: u64,
    pub(crate) disagreements: BTreeMap<String, Disagreement>,
    /// For each thing the last claim of each sender, newest last.
    pub(crate) claims: BTreeMap<String, Vec<Claim>>,
}

impl State {
    /// Folds the records into the state.
    pub fn fold(records: &[Recorded]) -> State {
        let mut steps = steps(records);
        while steps.step().is_some() {}
        steps.into_state()
    }

    /// Gives how a thing stands, if it was ever recorded.
    pub fn mark(&self, thing: &str) -> Option<&Mark> {
        self.marks.get(thing)
    }

    /// Tells whether the job is finished.
    pub fn is_finished(&self) -> bool {
        self.finished.is_some()
    }

    /// Gives the open disagreements, by thing.
    pub fn disagreements(&self) -> impl Iterator<Item = &Disagreement> {
        self.disagreements.values()
    }
}
