//! The fold one record at a time, and the record with what became of each entry.

use crate::log::Recorded;
use crate::state::State;
use crate::verb::Verb;
use crate::withdraw::Withdrawals;

/// Folds records one at a time, with the withdrawals of the whole list known from the start:
/// so the first step at which something was true is found as the record now stands.
#[derive(Debug, Clone)]
pub struct Steps<'a> {
    records: &'a [Recorded],
    withdrawn: Vec<bool>,
    next: usize,
    state: State,
}

/// Begins to fold records one at a time.
pub fn steps(records: &[Recorded]) -> Steps<'_> {
    let withdrawals = Withdrawals::of(records);
    let mut state = State::default();
    for (recorded, by) in records.iter().zip(&withdrawals.by) {
        if by.is_some() {
            state.withdrawn.insert(recorded.seq);
        }
    }
    let withdrawn = withdrawals.by.iter().map(Option::is_some).collect();
    Steps { records, withdrawn, next: 0, state }
}

impl<'a> Steps<'a> {
    /// Takes in the next record that stands and gives it; none at the end. [`Steps::state`] is
    /// then the state just after it.
    pub fn step(&mut self) -> Option<&'a Recorded> {
        while let Some(recorded) = self.records.get(self.next) {
            let withdrawn = self.withdrawn[self.next];
            self.next += 1;
            self.state.last_seq = recorded.seq;
            if !withdrawn {
                self.state.apply(recorded);
                return Some(recorded);
            }
        }
        None
    }

    /// Gives the state as far as the steps have come.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// Gives up stepping and keeps the state.
    pub fn into_state(self) -> State {
        self.state
    }

    /// Steps on to the first record after which `met` is true of the state, and gives it.
    pub fn first(mut self, mut met: impl FnMut(&State) -> bool) -> Option<&'a Recorded> {
        while let Some(recorded) = self.step() {
            if met(&self.state) {
                return Some(recorded);
            }
        }
        None
    }
}

/// Holds one entry of the record with what became of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entry<'a> {
    /// The record.
    pub recorded: &'a Recorded,
    /// The number of the take-back that withdraws it, while it is withdrawn.
    pub withdrawn_by: Option<u64>,
    /// The verb is of a newer version and has no effect here.
    pub unknown: bool,
}

/// Gives every record in order, the withdrawn ones too.
pub fn history(records: &[Recorded]) -> impl Iterator<Item = Entry<'_>> {
    let withdrawals = Withdrawals::of(records);
    records.iter().zip(withdrawals.by).map(|(recorded, withdrawn_by)| Entry {
        recorded,
        withdrawn_by,
        unknown: matches!(recorded.event.verb, Verb::Other(_)),
    })
}
