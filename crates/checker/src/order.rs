//! The order to be judged, and what is asked for besides the job file.

use lastbolt_machine::{MinuteTable, Minutes};

/// What a step does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Action {
    /// A part comes off.
    Off,
    /// A part goes on.
    On,
    /// A tie is undone.
    Undo,
    /// A tie is made.
    Make,
    /// A tie of a group is started by hand (R13).
    Start,
    /// A started tie is tightened (R13).
    Tighten,
    /// A prep is brought into force.
    Prep,
    /// A prep ends.
    End,
    /// Somebody looks; nothing moves.
    Look,
}

impl Action {
    /// All actions, in the order of the contract.
    pub const ALL: [Self; 9] = [
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

    /// The word of the contract: `off`, `on`, `undo`, `make`, `start`, `tighten`, `prep`, `end`,
    /// `look`.
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

    /// The action of a word of the contract.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|action| action.word() == word)
    }
}

/// One step of an order.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Step {
    /// What is done.
    pub action: Action,
    /// To what.
    pub id: String,
    /// The spot of the way; `None` = wherever one stands.
    pub from: Option<String>,
    /// The tool of the way; `None` = by hand.
    pub tool: Option<String>,
    /// Minutes of the step itself; `None` = not stated, so recomputed.
    pub minutes: Option<Minutes>,
    /// Minutes of the changes of spot and tool before it; `None` = not stated, so recomputed.
    pub change: Option<Minutes>,
}

impl Step {
    /// A step that states no minutes.
    pub fn new(action: Action, id: &str, from: Option<&str>, tool: Option<&str>) -> Self {
        Self {
            action,
            id: id.to_owned(),
            from: from.map(str::to_owned),
            tool: tool.map(str::to_owned),
            minutes: None,
            change: None,
        }
    }
}

/// An order in both directions.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Order {
    /// Taking apart.
    pub strip: Vec<Step>,
    /// Putting back.
    pub build: Vec<Step>,
    /// Only taking apart was asked for: `build` is empty and nothing has to be closed.
    pub strip_only: bool,
}

/// What is asked for besides the job file.
#[derive(Clone, Debug, Default)]
pub struct Wishes {
    /// Further targets: a part off, a tie undone, a prep in force.
    pub also: Vec<String>,
    /// Things that may not be opened.
    pub leave: Vec<String>,
    /// Tools that are not there: their ways are gone.
    pub without: Vec<String>,
    /// Minutes for what the file leaves out (R27).
    pub minutes: MinuteTable,
}
