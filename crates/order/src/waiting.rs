//! The states of a search that wait for their turn.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// Numbers of states in layers of what they promise to cost in all. Within a layer those that
/// have cost least come first, and of these the ones that have done most: what one of them makes
/// needless ([`crate::no_worse`]) is then seen in time. But an order that ends in this layer is
/// sooner found from the other end, so both ends are taken in turn.
#[derive(Default)]
pub(crate) struct Waiting {
    layers: BTreeMap<i64, BTreeSet<(i64, Reverse<usize>, u32)>>,
    taken: u64,
}

impl Waiting {
    /// Adds a state that promises so much, has cost so much and has so much done.
    pub(crate) fn add(&mut self, promise: i64, (cost, done): (i64, usize), number: u32) {
        self.layers.entry(promise).or_default().insert((cost, Reverse(done), number));
    }

    /// The least that any state promises.
    pub(crate) fn least(&self) -> Option<i64> {
        self.layers.keys().next().copied()
    }

    /// Takes a state of the first layer; always the one that has cost most where it `dives`.
    pub(crate) fn take(&mut self, dives: bool) -> Option<u32> {
        let mut first = self.layers.first_entry()?;
        self.taken += 1;
        let layer = first.get_mut();
        let from_the_end = dives || self.taken.is_multiple_of(2);
        let (.., number) = if from_the_end { layer.pop_last() } else { layer.pop_first() }?;
        if layer.is_empty() {
            first.remove();
        }
        Some(number)
    }
}
