//! A lower bound: the least minutes of spot changes alone.
//!
//! It forgets the changes of tool, chooses its own ways, and is exact by remembering the states it
//! has seen. Minutes by which a way is dearer are counted here, so that this and the tools' visits
//! ([`crate::visits`]), added up, never exceed the true cost.

use lastbolt_machine::Changes;

use crate::fail_soft::{Known, best_of, by_raising};
use crate::hash::{Map, Room};
use crate::homes::Homes;
use crate::leaf::Leaf;
use crate::local::ANYWHERE;
use crate::mask::Mask;
use crate::openings::{Opening, Openings};
use crate::visits::{Counted, Visits};

/// Longer than anything.
pub(crate) const NEVER: i64 = i64::MAX / 8;

/// The remembered values of one bound.
pub(crate) struct Relaxed<const W: usize> {
    /// Minutes of the changes counted.
    changes: Changes,
    /// For each thing what its dearer ways do not count.
    shares: Vec<i64>,
    /// The coarser bound for when there is no more room.
    visits: Visits<W>,
    /// Values where nothing more can be done at once.
    known: Map<At<W>, Known>,
    /// Whether doing at once is never worse (S5).
    metric: bool,
    /// All that has to be open in the end.
    set: Mask<W>,
    /// For each spot the actions without excess that can be done there; the last list is of those
    /// that ask for no spot, which are in all others too.
    here: Vec<Openings<W>>,
    /// The dearer actions, with what one costs more here.
    dearer: Vec<(i64, Opening<W>)>,
    /// How deep the values under way lie in each other.
    depth: usize,
    room: Room,
}

/// What is open, and where the person stands.
type At<const W: usize> = (Mask<W>, u16);

impl<const W: usize> Relaxed<W> {
    pub(crate) fn new(leaf: &Leaf<'_, W>, room: usize) -> Self {
        let shares = vec![0; leaf.local.things.len()];
        Self::with(leaf, leaf.spots.clone(), shares, room)
    }

    /// The same without what is counted by homes.
    pub(crate) fn beside(leaf: &Leaf<'_, W>, homes: &Homes<W>, room: usize) -> Self {
        Self::with(leaf, homes.discounted(leaf.spots), homes.shares().to_vec(), room)
    }

    fn with(leaf: &Leaf<'_, W>, changes: Changes, shares: Vec<i64>, room: usize) -> Self {
        let visits = Visits::with(leaf, Counted::Spots, &changes, room);
        let everywhere = leaf.spots.size();
        let mut here = vec![Vec::new(); everywhere + 1];
        let mut dearer = Vec::new();
        for (act, opening) in leaf.openings_with_acts() {
            if act.excess > 0 {
                let more = (act.excess - shares[act.thing]).max(0);
                dearer.push((more, opening.clone()));
            } else if act.spot == ANYWHERE {
                here.iter_mut().for_each(|list| list.push(opening.clone()));
            } else {
                here[usize::from(act.spot)].push(opening.clone());
            }
        }
        Self {
            changes,
            shares,
            visits,
            known: Map::default(),
            metric: leaf.local.metric,
            set: leaf.set,
            here: here.into_iter().map(Openings::new).collect(),
            dearer,
            depth: 0,
            room: Room::new(room),
        }
    }

    /// A lower bound on the changes from here to the turn; [`NEVER`] if the turn is out of reach.
    /// Where it is `enough` it may be less than all that could be found. It is sooner worked out
    /// where it is known about how much it is.
    pub(crate) fn value(
        &mut self,
        leaf: &Leaf<'_, W>,
        open: &Mask<W>,
        place: u16,
        (guess, enough): (i64, i64),
    ) -> i64 {
        by_raising(guess.min(enough - 1), enough, |limit| self.beyond(leaf, open, place, limit))
    }

    /// The value if it is no more than `limit`; else more than that, and never more than the value.
    pub(crate) fn beyond(
        &mut self,
        leaf: &Leaf<'_, W>,
        open: &Mask<W>,
        place: u16,
        limit: i64,
    ) -> i64 {
        if self.room.begins_anew() {
            self.known.clear();
        }
        let at = (self.do_at_once(*open, place), place);
        self.least(leaf, at, limit)
    }

    /// What is known of a state; at least each other spot without which something cannot be opened
    /// is gone to once.
    fn known(&self, (open, place): &At<W>) -> Known {
        if *open == self.set {
            return Known { least: 0, exact: true };
        }
        if let Some(&known) = self.known.get(&(*open, *place)) {
            return known;
        }
        Known { least: self.visits.once(open, *place), exact: false }
    }

    /// [`Self::beyond`] of a state in which nothing more can be done at once.
    fn least(&mut self, leaf: &Leaf<'_, W>, at: At<W>, limit: i64) -> i64 {
        let known = self.known(&at);
        if known.answers(limit) {
            return known.least;
        }
        let has_room = self.known.contains_key(&at) || self.room.take();
        if self.depth >= depth_max(W) || !has_room {
            return known.least.max(self.visits.value(leaf, &at.0, at.1));
        }
        self.depth += 1;
        let best = best_of(self.next(&at), (known.least, limit), |next, limit| {
            self.least(leaf, next, limit)
        });
        self.depth -= 1;
        self.known.insert(at, Known::below(limit, best));
        best
    }

    /// The states that can come next, with the value by way of each at least and what the step
    /// costs, the least first.
    fn next(&self, (open, place): &At<W>) -> Vec<(i64, i64, At<W>)> {
        let mut steps = Vec::new();
        let mut step = |cost: i64, next: At<W>| {
            steps.push((cost.saturating_add(self.known(&next).least), cost, next));
        };
        for spot in 0..self.here.len() {
            let to = if spot + 1 == self.here.len() { *place } else { spot as u16 };
            let cost = change(&self.changes, *place, to);
            if !self.metric {
                let ready = self.here[spot].iter().filter(|act| act.is_ready(open));
                ready.for_each(|act| step(cost, (open.with(act.thing), to)));
            } else if to != *place {
                let next = self.do_at_once(*open, to);
                if next != *open {
                    step(cost, (next, to));
                }
            }
        }
        for (more, act) in self.dearer.iter().filter(|(_, act)| act.is_ready(open)) {
            let to = if act.spot == ANYWHERE { *place } else { act.spot };
            let cost = change(&self.changes, *place, to) + more;
            step(cost, (self.do_at_once(open.with(act.thing), to), to));
        }
        steps.sort_by_key(|&(least, ..)| least);
        steps
    }

    fn do_at_once(&self, open: Mask<W>, place: u16) -> Mask<W> {
        let everywhere = self.here.len() - 1;
        let here = &self.here[usize::from(place).min(everywhere)];
        if self.metric { here.close(open) } else { open }
    }

    /// What a step takes from this bound at most.
    pub(crate) fn step(&self, from: u16, to: u16, act: Option<(usize, i64)>) -> i64 {
        let more = act.map_or(0, |(thing, excess)| (excess - self.shares[thing]).max(0));
        change(&self.changes, from, to) + more
    }
}

/// How deep values may lie in each other, so that the stack of any thread is enough: states of
/// larger machines are larger.
pub(crate) fn depth_max(words: usize) -> usize {
    (4_000 / words).min(300)
}

/// Minutes of a change; nothing where one of the two is not known.
pub(crate) fn change(changes: &Changes, from: u16, to: u16) -> i64 {
    if from == ANYWHERE || to == ANYWHERE {
        0
    } else {
        changes.between(usize::from(from), usize::from(to)).0
    }
}
