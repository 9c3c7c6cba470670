//! A lower bound: the least minutes of spot changes alone.
//!
//! It forgets the changes of tool, chooses its own ways, and is exact by remembering the states it
//! has seen. Minutes by which a way is dearer are counted here, so that this and the tools' visits
//! ([`crate::visits`]), added up, never exceed the true cost.

use lastbolt_machine::Changes;

use crate::hash::{Map, Room};
use crate::homes::Homes;
use crate::leaf::Leaf;
use crate::local::ANYWHERE;
use crate::mask::Mask;
use crate::openings::{Opening, close};
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
    known: Map<(Mask<W>, u16), i64>,
    /// Whether doing at once is never worse (S5).
    metric: bool,
    /// All that has to be open in the end.
    set: Mask<W>,
    /// For each spot the actions without excess that can be done there; the last list is of those
    /// that ask for no spot, which are in all others too.
    here: Vec<Vec<Opening<W>>>,
    /// The dearer actions, with what one costs more here.
    dearer: Vec<(i64, Opening<W>)>,
    /// How deep the values under way lie in each other.
    depth: usize,
    room: Room,
}

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
            here,
            dearer,
            depth: 0,
            room: Room::new(room),
        }
    }

    /// A lower bound on the changes from here to the turn; [`NEVER`] if the turn is out of reach.
    pub(crate) fn value(&mut self, leaf: &Leaf<'_, W>, open: &Mask<W>, place: u16) -> i64 {
        if self.depth == 0 && self.room.begins_anew() {
            self.known.clear();
        }
        let open = self.do_at_once(*open, place);
        if open == self.set {
            return 0;
        }
        if let Some(&value) = self.known.get(&(open, place)) {
            return value;
        }
        if self.depth >= depth_max(W) || !self.room.take() {
            return self.visits.value(leaf, &open, place);
        }
        self.depth += 1;
        let best = self.least_of_next(leaf, &open, place);
        self.depth -= 1;
        self.known.insert((open, place), best);
        best
    }

    fn least_of_next(&mut self, leaf: &Leaf<'_, W>, open: &Mask<W>, place: u16) -> i64 {
        let mut best = NEVER;
        for spot in 0..self.here.len() {
            let to = if spot + 1 == self.here.len() { place } else { spot as u16 };
            let cost = change(&self.changes, place, to);
            if cost >= best || self.metric && to == place {
                continue;
            }
            let is_ready = |act: &Opening<W>| act.is_ready(open);
            if self.metric {
                if self.here[spot].iter().any(is_ready) {
                    best = best.min(cost + self.value(leaf, open, to));
                }
                continue;
            }
            for number in 0..self.here[spot].len() {
                let act = &self.here[spot][number];
                if is_ready(act) {
                    let next = open.with(act.thing);
                    best = best.min(cost + self.value(leaf, &next, to));
                }
            }
        }
        for number in 0..self.dearer.len() {
            let (more, act) = &self.dearer[number];
            let to = if act.spot == ANYWHERE { place } else { act.spot };
            let cost = change(&self.changes, place, to) + more;
            if cost < best && act.is_ready(open) {
                let next = open.with(act.thing);
                best = best.min(cost + self.value(leaf, &next, to));
            }
        }
        best
    }

    fn do_at_once(&self, open: Mask<W>, place: u16) -> Mask<W> {
        let everywhere = self.here.len() - 1;
        let here = &self.here[usize::from(place).min(everywhere)];
        if self.metric { close(here, open, |_| true) } else { open }
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
