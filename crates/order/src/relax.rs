//! A lower bound: the least minutes of spot changes alone.
//!
//! It forgets the changes of tool, chooses its own ways, and is exact by remembering the states it
//! has seen. Minutes by which a way is dearer are counted here, so that this and the tools' visits
//! ([`crate::visits`]), added up, never exceed the true cost.

use lastbolt_machine::Changes;

use crate::hash::{Map, Room};
use crate::homes::Homes;
use crate::leaf::{Leaf, Open};
use crate::local::ANYWHERE;
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
    known: Map<(Open<W>, u16), i64>,
    /// For each spot the actions that cost nothing more there, in an order in which most can be
    /// done one after the other.
    here: Vec<Vec<usize>>,
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
        Self::with(leaf, homes.discounted(leaf.spots), homes.shares.clone(), room)
    }

    fn with(leaf: &Leaf<'_, W>, changes: Changes, shares: Vec<i64>, room: usize) -> Self {
        let visits = Visits::with(leaf, Counted::Spots, &changes, room);
        let here = (0..leaf.spots.size()).map(|spot| at_once(leaf, spot as u16)).collect();
        Self {
            changes,
            shares,
            visits,
            known: Map::default(),
            here,
            depth: 0,
            room: Room::new(room),
        }
    }

    /// A lower bound on the changes from here to the turn; [`NEVER`] if the turn is out of reach.
    pub(crate) fn value(&mut self, leaf: &Leaf<'_, W>, at: &Open<W>, place: u16) -> i64 {
        if let Some(&value) = self.known.get(&(*at, place)) {
            return value;
        }
        if self.depth == 0 && self.room.begins_anew() {
            self.known.clear();
        }
        let first = *at;
        let at = self.do_at_once(leaf, first, place);
        let value = self.value_after(leaf, &at, place);
        if first != at && self.room.take() {
            self.known.insert((first, place), value);
        }
        value
    }

    /// The same where nothing more can be done at once.
    fn value_after(&mut self, leaf: &Leaf<'_, W>, at: &Open<W>, place: u16) -> i64 {
        if leaf.is_done(at) {
            return 0;
        }
        if let Some(&value) = self.known.get(&(*at, place)) {
            return value;
        }
        if self.depth >= depth_max(W) || !self.room.take() {
            return self.visits.value(leaf, at, place);
        }
        self.depth += 1;
        let best = self.least_of_next(leaf, at, place);
        self.depth -= 1;
        self.known.insert((*at, place), best);
        best
    }

    fn least_of_next(&mut self, leaf: &Leaf<'_, W>, at: &Open<W>, place: u16) -> i64 {
        let mut best = NEVER;
        let mut places: Vec<u16> = Vec::new();
        for act in leaf.remaining(at) {
            if !leaf.is_legal_but_for_bearing(act, at) {
                continue;
            }
            let to = if act.spot == ANYWHERE { place } else { act.spot };
            let change = change(&self.changes, place, to);
            if to != place && act.excess == 0 && leaf.is_harmless_but_for_bearing(act, at) {
                if !places.contains(&to) {
                    places.push(to);
                    best = best.min(change + self.value(leaf, at, to));
                }
                continue;
            }
            let cost = change + (act.excess - self.shares[act.thing]).max(0);
            if cost < best {
                best = best.min(cost + self.value(leaf, &leaf.after(act, at), to));
            }
        }
        best
    }

    fn do_at_once(&self, leaf: &Leaf<'_, W>, mut at: Open<W>, place: u16) -> Open<W> {
        let anywhere;
        let here = match self.here.get(usize::from(place)) {
            Some(here) => here,
            None => {
                anywhere = at_once(leaf, ANYWHERE);
                &anywhere
            }
        };
        loop {
            let before = at;
            for act in here.iter().map(|&number| &leaf.acts[number]) {
                if leaf.is_wanted(act, &at)
                    && leaf.is_legal_but_for_bearing(act, &at)
                    && leaf.is_harmless_but_for_bearing(act, &at)
                {
                    at = leaf.after(act, &at);
                }
            }
            if at == before {
                return at;
            }
        }
    }
}

/// The actions without excess that can be done from a spot.
fn at_once<const W: usize>(leaf: &Leaf<'_, W>, spot: u16) -> Vec<usize> {
    let things = leaf.todo_in_order(leaf.set);
    let acts = things.flat_map(|thing| leaf.acts_of(thing));
    acts.filter(|act| act.excess == 0 && (act.spot == ANYWHERE || act.spot == spot))
        .map(|act| act.number)
        .collect()
}

/// How deep values may lie in each other, so that the stack of any thread is enough: states of
/// larger machines are larger.
fn depth_max(words: usize) -> usize {
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
