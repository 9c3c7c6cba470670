//! A close look at one direction of a set of which some is still free: the changes that the rest
//! asks for, by all that a settled set is looked at before it is searched.

use crate::homes::Homes;
use crate::leaf::Leaf;
use crate::mask::Mask;
use crate::relax::{NEVER, Relaxed};

/// How many values a look may remember.
const ROOM: usize = 20_000;

/// One direction, as closely as it was looked at.
pub(crate) struct Near<'a, const W: usize> {
    leaf: Leaf<'a, W>,
    /// What is free counts as open from the start.
    open: Mask<W>,
    homes: Homes<W>,
    /// What the places charge, and the changes of spot beside that.
    uses: i64,
    spots: i64,
}

impl<'a, const W: usize> Near<'a, W> {
    /// By what each place charges by itself, and by the visits of each spot.
    pub(crate) fn new(leaf: Leaf<'a, W>, settled: &Mask<W>) -> Self {
        let open = leaf.start.open.or(&leaf.set.minus(settled));
        let mut homes = Homes::new(&leaf, &open, ROOM);
        let uses = homes.value(&open, leaf.spot_at_start, leaf.tool_at_start);
        let spots = homes.visits(&leaf, &open);
        Self { leaf, open, homes, uses, spots }
    }

    /// No order of this direction pays less for changes.
    pub(crate) fn least(&self) -> i64 {
        self.uses.saturating_add(self.spots).min(NEVER)
    }

    /// By what all places charge together and by all that the changes of spot take; no closer than
    /// it takes to find so much more. Gives what it found of the changes of spot: the next look's
    /// `guess`.
    pub(crate) fn look(&mut self, missing: i64, guess: i64) -> i64 {
        let enough = self.least().saturating_add(missing);
        let (spot, tool) = (self.leaf.spot_at_start, self.leaf.tool_at_start);
        self.uses = self.uses.max(self.homes.closely(&self.open, spot, tool));
        if self.least() >= enough {
            return guess;
        }
        let mut beside = Relaxed::beside(&self.leaf, &self.homes, ROOM);
        let about = (guess, enough - self.uses);
        self.spots = self.spots.max(beside.value(&self.leaf, &self.open, spot, about));
        self.spots
    }
}
