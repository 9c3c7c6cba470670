//! One step of a list, and what is said and tapped beside it.

use lastbolt_ledger::Verb;
use lastbolt_machine::{Kind, Minutes};

use crate::view::Tag;

/// What a step asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StepVerb {
    /// A part comes off.
    Off,
    /// A part goes on.
    On,
    /// A fixing or connection is undone.
    Undo,
    /// A fixing or connection is made.
    Make,
    /// A fixing of a group is started by hand.
    Start,
    /// A started or slackened fixing is tightened.
    Tighten,
    /// The machine is made ready: a condition is brought into force.
    Prep,
    /// A condition ends.
    End,
    /// A last look before a cover goes on: look, push, tug.
    Look,
}

impl StepVerb {
    /// Gives what opens or closes a thing of this kind.
    pub(crate) fn of(kind: Kind, opens: bool) -> Self {
        match (kind, opens) {
            (Kind::Part, true) => Self::Off,
            (Kind::Part, false) => Self::On,
            (Kind::Tie, true) => Self::Undo,
            (Kind::Tie, false) => Self::Make,
            (Kind::Prep, true) => Self::Prep,
            (Kind::Prep, false) => Self::End,
        }
    }

    /// Gives the word of the contract: `off`, `on`, `undo`, `make`, `start`, `tighten`, `prep`,
    /// `end`, `look`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::On => "on",
            Self::Undo => "undo",
            Self::Make => "make",
            Self::Start => "start",
            Self::Tighten => "tighten",
            Self::Prep => "prep",
            Self::End => "end",
            Self::Look => "look",
        }
    }

    /// Reads the word of the contract.
    pub fn read(word: &str) -> Option<Self> {
        let all = [
            Self::Off,
            Self::On,
            Self::Undo,
            Self::Make,
            Self::Start,
            Self::Tighten,
            Self::Prep,
            Self::End,
            Self::Look,
        ];
        all.into_iter().find(|verb| verb.word() == word)
    }

    /// Tells whether the step opens something (taking apart, making ready).
    pub fn opens(self) -> bool {
        matches!(self, Self::Off | Self::Undo | Self::Prep)
    }
}

/// What a thing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ThingSort {
    /// A part.
    Part,
    /// A fixing or connection.
    Fixing,
    /// A condition of the machine ("battery isolated").
    MakeReady,
}

/// What a button records: the event but for its id, sender, counts and time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// What was done.
    pub verb: Verb,
    /// The thing that it is about.
    pub thing: String,
    /// From which spot, where one is known.
    pub spot: Option<String>,
    /// With which tool, where one is known.
    pub tool: Option<String>,
}

/// A button: it says what has happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Button {
    /// Its words: "Plug off", "2 screws out", "In by hand".
    pub text: String,
    /// What it records.
    pub draft: Draft,
    /// The one that the step asks for; others are states between and other outcomes.
    pub main: bool,
}

/// Where a caution comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CautionFrom {
    /// The spot where the work is done.
    Spot,
    /// The thing itself.
    Thing,
    /// A condition that must be in force.
    MakeReady,
}

/// A caution shown at the step where it counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// The words of the file.
    pub text: String,
    /// What it belongs to: the name of the spot, thing or condition.
    pub of: String,
    /// Where it comes from.
    pub from: CautionFrom,
}

/// A thing named in a sentence, with its tag, so that it can be tapped.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ThingRef {
    /// Its id.
    pub thing: String,
    /// What is said of it: "cowl", "2 cowl latches".
    pub text: String,
    /// Its tag number, where it has one.
    pub tag: Option<u32>,
}

/// One line of a list of steps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepLine {
    /// What is done.
    pub verb: StepVerb,
    /// To what.
    pub thing: String,
    /// The sentence: "Starter screws: 2 screws out".
    pub text: String,
    /// From which spot; none = wherever one stands.
    pub from: Option<String>,
    /// With which tool; none = by hand.
    pub tool: Option<String>,
    /// Minutes of the step itself, without changes.
    pub minutes: Minutes,
    /// The minutes are a guess of the table.
    pub guessed: bool,
    /// Its tag.
    pub tag: Option<Tag>,
    /// It is done at the bench.
    pub bench: bool,
    /// For a look: the part that covers it.
    pub before: Option<String>,
    /// The question that comes before it and is not answered.
    pub asks_first: Option<String>,
}
