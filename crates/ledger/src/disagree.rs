//! Two people who recorded different things about one thing without having seen each other's.

use crate::log::Recorded;
use crate::verb::Verb;

/// Says that two records about one thing differ and that the second sender had not seen the
/// first record. The state takes the second; the two stay listed until somebody who has seen both
/// records something about the thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Disagreement {
    /// The thing.
    pub thing: String,
    /// The number of the record that was accepted first.
    pub first: u64,
    /// Who sent it.
    pub first_sender: String,
    /// The number of the record that was accepted second.
    pub second: u64,
    /// Who sent it.
    pub second_sender: String,
}

/// A record about a thing's standing, as far as disagreements need it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Claim {
    pub(crate) seq: u64,
    pub(crate) sender: String,
    pub(crate) verb: Verb,
    pub(crate) pieces: Option<u32>,
}

/// Tells whether the sender of `recorded` had seen the record `seq` of `sender`.
///
/// A sender that claims to have seen what did not exist yet (a job restored from an older
/// backup) is taken to have seen nothing.
pub(crate) fn had_seen(recorded: &Recorded, seq: u64, sender: &str) -> bool {
    let seen = if recorded.event.seen < recorded.seq { recorded.event.seen } else { 0 };
    seen >= seq || recorded.event.sender == sender
}
