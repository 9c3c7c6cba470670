//! What the checker says.

use std::collections::BTreeSet;

use lastbolt_machine::{At, Minutes};

/// Whether an order is legal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It is legal; this is what it comes to.
    Accepted(Box<Account>),
    /// It is not; this is the first thing wrong with it.
    Refused(Box<Reason>),
}

impl Verdict {
    /// The account of an accepted order.
    pub fn account(&self) -> Option<&Account> {
        match self {
            Self::Accepted(account) => Some(account),
            Self::Refused(_) => None,
        }
    }

    /// The reason of a refused order.
    pub fn reason(&self) -> Option<&Reason> {
        match self {
            Self::Accepted(_) => None,
            Self::Refused(reason) => Some(reason),
        }
    }
}

/// What a legal order comes to, recomputed from nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Account {
    /// Minutes of work: all steps and all changes, both directions (R16).
    pub minutes: Minutes,
    /// The share of taking apart.
    pub strip_minutes: Minutes,
    /// The share of putting back.
    pub build_minutes: Minutes,
    /// Minutes of each step, strip first, then build back.
    pub step_minutes: Vec<Minutes>,
    /// Minutes of the changes before each step, strip first, then build back.
    pub changes: Vec<Minutes>,
    /// All that is open at the turn, preps and things already off included.
    pub off: BTreeSet<String>,
    /// Disturbed ties that were made while something hid them (R12), in the order of making.
    pub made_blind: Vec<String>,
    /// The last look of every disturbed tie that has one (R12).
    pub last_looks: Vec<LastLook>,
    /// Minutes from the first step to the end for one person, waits included (R16).
    pub elapsed: Minutes,
}

/// The last moment at which a tie can be seen (R12).
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LastLook {
    /// The tie.
    pub of: String,
    /// The part that hides it, or whose load does, when it goes on next.
    pub before: String,
}

/// Where in an order something is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// Before the first step: the machine, the job or the wishes.
    Before,
    /// While taking apart.
    Strip,
    /// Between taking apart and putting back.
    Turn,
    /// While putting back.
    Build,
    /// After the last step.
    End,
}

/// Why an order is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// The step, from 0, within its phase.
    pub step: Option<usize>,
    /// Where in the order.
    pub phase: Phase,
    /// The rule, for instance `R12`.
    pub rule: &'static str,
    /// What is wrong, in one sentence.
    pub text: String,
    /// The statement of the file that says so.
    pub at: Option<At>,
}
