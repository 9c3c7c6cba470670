//! When a state is no worse than another one: it is reached for no more, in the same place with the
//! same tool, more is open, and what is open more takes nothing from what is still to be done.
//!
//! Why: from any order that goes on from the other one, leave out what is open already. Every other
//! step of it is still possible, and leaving out steps makes no change dearer (S5).

use lastbolt_machine::Kind;

use crate::bearing::Borne;
use crate::hash::Map;
use crate::leaf::{Leaf, Open};
use crate::local::BUILD;
use crate::search::State;

/// How many of the last states in one place and with one tool a state is compared with.
const COMPARED: usize = 1_000;

/// What is open, and what it cost to get there.
pub(crate) type At<const W: usize> = (Open<W>, i64);

/// Whether the first of two states in one place is no worse than the second.
pub(crate) type Judge<const W: usize> = fn(&Leaf<'_, W>, &At<W>, &At<W>) -> bool;

/// What a search has gone on from, by spot and tool.
pub(crate) struct Expanded<const W: usize> {
    all: Map<(u16, u16), Vec<At<W>>>,
    judge: Judge<W>,
}

impl<const W: usize> Expanded<W> {
    pub(crate) fn new() -> Self {
        Self::judged_by(is_no_worse)
    }

    pub(crate) fn judged_by(judge: Judge<W>) -> Self {
        Self { all: Map::default(), judge }
    }

    /// Whether another state is no worse than this one; if none is, it is kept itself.
    pub(crate) fn has_no_worse(&mut self, leaf: &Leaf<'_, W>, state: &State<W>, cost: i64) -> bool {
        if !leaf.local.metric || !leaf.beads.is_empty() {
            return false;
        }
        let all = self.all.entry((state.spot, state.tool)).or_default();
        let this = (state.at, cost);
        let mut last = all.iter().rev().take(COMPARED);
        let found = last.any(|other| (self.judge)(leaf, other, &this));
        if !found {
            all.push(this);
        }
        found
    }
}

fn is_no_worse<const W: usize>(leaf: &Leaf<'_, W>, other: &At<W>, this: &At<W>) -> bool {
    other.1 <= this.1
        && this.0.open.is_within(&other.0.open)
        && this.0.started == other.0.started
        && leaf.takes_nothing_away(&other.0, &this.0)
}

impl<const W: usize> Leaf<'_, W> {
    /// Whether what is open in the first of two states and not in the other could as well be open
    /// there: nothing that is still to be done in the first asks for it to be on.
    fn takes_nothing_away(&self, more: &Open<W>, less: &Open<W>) -> bool {
        let todo = self.set.minus(&more.open);
        let extra = more.open.minus(&less.open);
        let is_fine = |thing: usize| {
            let it = &self.local.things[thing];
            // A part with nothing on it and nothing left made to it, which nothing bears (R23).
            let is_undone = |&tie: &usize| {
                more.open.has(tie) && !more.started.has(tie) && !self.local.bears.has(tie)
            };
            let is_part = it.kind == Kind::Part;
            let stands_alone = !is_part
                || it.ties.iter().all(is_undone) && self.leaves_nothing_behind(thing, more, &todo);
            let going_back = self.direction == BUILD;
            let may_be_open = !going_back
                || it.group.is_none()
                    && self.hides_from_nobody(thing, &todo)
                    && self.frees_preps(thing, more, &todo);
            stands_alone && may_be_open
        };
        // What may still hang hangs by the same.
        let bears_none =
            |(part, may_bear): &Borne<W>| more.open.has(*part) || !may_bear.meets(&extra);
        extra.iter().all(is_fine) && self.borne.iter().all(bears_none)
    }
}

#[cfg(test)]
mod tests {
    use lastbolt_machine::{Extra, JobSpec, Machine, compile};
    use lastbolt_testkit::{Size, layered_machine, random_machine, ruled_machine};

    use super::*;
    use crate::local::{Local, STRIP, is_metric, relevant};
    use crate::relax::NEVER;
    use crate::search::{Bounds, Outcome, Search};

    /// The least that each direction costs with everything off, and the states gone on from;
    /// without those that are not searched to their end.
    fn least(of: &(Machine, JobSpec), judge: Judge<2>) -> Vec<(Option<i64>, u64)> {
        let Ok(kernel) = compile(&of.0, &of.1, &Extra::default()) else { return Vec::new() };
        if !is_metric(&kernel) {
            return Vec::new();
        }
        let local = Local::<2>::new(&kernel, &relevant(&kernel, true), true);
        let set = (0..local.things.len()).collect();
        let mut all = Vec::new();
        for direction in [STRIP, BUILD] {
            let Some(leaf) = Leaf::new(&kernel, &local, direction, set) else { continue };
            let mut bounds = Bounds::new(&leaf);
            let mut search = Search::new(&leaf, &mut bounds, 10);
            search.expanded = Expanded::judged_by(judge);
            let mut patience = 30_000;
            match search.next_goal(&leaf, &mut bounds, NEVER, &mut patience, &|| false) {
                Outcome::Goal(goal) => all.push((Some(goal.cost), 30_000 - patience)),
                Outcome::NoMore => all.push((None, 30_000 - patience)),
                Outcome::Paused(_) => {}
            }
        }
        all
    }

    /// Leaving out what another state is no worse than never costs a minute, and saves states;
    /// twins that forget what it cost, or what is to stay on, lose the cheapest order.
    #[test]
    fn nothing_is_lost_by_it() {
        let layered = (0..20).map(|seed| layered_machine(seed, 40));
        let random = (0..300).map(|seed| random_machine(seed, &Size::default()));
        let ruled = (0..300).map(|seed| ruled_machine(seed, &Size::default()));
        let forgets_cost: Judge<2> = |leaf, other, this| {
            this.0.open.is_within(&other.0.open)
                && this.0.started == other.0.started
                && leaf.takes_nothing_away(&other.0, &this.0)
        };
        let forgets_rules: Judge<2> =
            |_, other, this| other.1 <= this.1 && this.0.open.is_within(&other.0.open);
        let (mut with, mut without, mut found_out) = (0, 0, [0, 0]);
        for of in layered.chain(random).chain(ruled) {
            let all = least(&of, |_, _, _| false);
            let few = least(&of, is_no_worse);
            let costs =
                |all: &[(Option<i64>, u64)]| all.iter().map(|one| one.0).collect::<Vec<_>>();
            assert_eq!(costs(&few), costs(&all), "{:?}", of.0.machine);
            without += all.iter().map(|one| one.1).sum::<u64>();
            with += few.iter().map(|one| one.1).sum::<u64>();
            for (twin, found) in [forgets_cost, forgets_rules].into_iter().zip(&mut found_out) {
                *found += u32::from(costs(&least(&of, twin)) != costs(&all));
            }
        }
        assert!(with * 100 < without * 97, "{with} states with it, {without} without");
        assert!(found_out.iter().all(|&found| found > 0), "not found out: {found_out:?}");
    }
}
