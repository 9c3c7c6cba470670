//! The question put to the planner and its answer.

use lastbolt_machine::{At, Minutes, Set, SpotNo, ThingNo, ToolNo};

use crate::side_by_side::{Hands, in_turn};

/// What is asked for, and the limits of the search.
#[derive(Clone, Copy)]
pub struct Ask<'a> {
    /// Only the order of taking apart; the build back is left empty and not paid for.
    pub strip_only: bool,
    /// How many states may be looked at before the best order so far is given with its bound.
    pub nodes: u64,
    /// Asked now and then; `true` ends the search early (time, Ctrl-C).
    pub stop: &'a dyn Fn() -> bool,
    /// Starting value for choices between equals.
    pub seed: u64,
    /// How the two halves of a large question are worked on.
    pub hands: &'a Hands,
}

impl Default for Ask<'_> {
    fn default() -> Self {
        Self { strip_only: false, nodes: 2_000_000, stop: &|| false, seed: 1, hands: &in_turn }
    }
}

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
    /// A tie of a group is started by hand.
    Start,
    /// A started tie is tightened.
    Tighten,
    /// A prep is brought into force.
    Prep,
    /// A prep ends.
    End,
}

impl Action {
    /// The word of the contract: `off`, `on`, `undo`, `make`, `start`, `tighten`, `prep`, `end`.
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
        }
    }
}

/// One step of an order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What is done.
    pub action: Action,
    /// To what.
    pub thing: ThingNo,
    /// By which way: index in the thing's `ways` (opening) or `back` (closing, starting).
    pub way: usize,
    /// The spot where the person stands for it; `None` = anywhere, nobody moves.
    pub spot: Option<SpotNo>,
    /// The tool; `None` = by hand.
    pub tool: Option<ToolNo>,
    /// Minutes of the step itself (0 for a start).
    pub minutes: Minutes,
    /// Minutes of the changes of spot and tool before it.
    pub change: Minutes,
}

/// An order in both directions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// Taking apart.
    pub strip: Vec<Step>,
    /// Putting back.
    pub build: Vec<Step>,
    /// Before which step of putting back the leak look stands, if anything waits for it (R28).
    pub leak_look: Option<usize>,
    /// All that is open at the turn.
    pub off: Set,
    /// Minutes of this order.
    pub minutes: Minutes,
    /// The fewest minutes that an order was found for; fewer than `minutes` where this one reads
    /// better ([`crate::tidy`]).
    pub least: Minutes,
    /// Nothing can take fewer minutes than this.
    pub bound: Minutes,
    /// Whether `least` is proved to be the least.
    pub proved: bool,
    /// How many states were looked at.
    pub nodes: u64,
}

/// One statement of the file that makes something impossible.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Because {
    /// Where the statement stands.
    pub at: At,
    /// The statement in a sentence.
    pub text: String,
}

/// The planner's answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// An order, proved the best or with a bound.
    Possible(Box<Plan>),
    /// There is no order; the statements that forbid it.
    Impossible(Vec<Because>),
    /// The limits were reached before any order was found; nothing takes fewer minutes than this.
    GaveUp {
        /// Nothing can take fewer minutes than this.
        bound: Minutes,
        /// How many states were looked at.
        nodes: u64,
    },
}

impl Answer {
    /// The plan, if there is one.
    pub fn plan(&self) -> Option<&Plan> {
        match self {
            Self::Possible(plan) => Some(plan),
            Self::Impossible(_) | Self::GaveUp { .. } => None,
        }
    }
}
