//! One change at a time: spot and tool are changed together only where neither by itself is good
//! for anything.
//!
//! Why: who changes both could as well change one of them first, for the same minutes, and do there
//! what is never worse done at once.

use crate::leaf::{Act, Leaf};
use crate::search::{State, may_be_at_once, stand};

/// Whether a change to this spot and tool need not be looked at.
pub(crate) type Needless<const W: usize> = fn(&ByOne, &State<W>, (u16, u16)) -> bool;

/// Where something can be done at once after a change of the spot alone, and with which tools after
/// a change of the tool alone.
#[derive(Default)]
pub(crate) struct ByOne {
    spots: Vec<u16>,
    tools: Vec<u16>,
}

impl ByOne {
    /// For a state in which these actions are legal.
    pub(crate) fn of<const W: usize>(
        leaf: &Leaf<'_, W>,
        state: &State<W>,
        legal: &[&Act<W>],
    ) -> Self {
        let mut by_one = Self::default();
        // Sealant that sets counts the minutes of each step apart (R24).
        if !leaf.beads.is_empty() {
            return by_one;
        }
        for act in legal.iter().filter(|act| act.excess == 0) {
            let (spot, tool) = stand(act, state);
            let (list, one) = match (spot == state.spot, tool == state.tool) {
                (false, true) => (&mut by_one.spots, spot),
                (true, false) => (&mut by_one.tools, tool),
                _ => continue,
            };
            if !list.contains(&one) && may_be_at_once(leaf, act, state) {
                list.push(one);
            }
        }
        by_one
    }

    /// Whether both would be changed where one of them is good for something by itself.
    pub(crate) fn leads_to<const W: usize>(
        &self,
        state: &State<W>,
        (spot, tool): (u16, u16),
    ) -> bool {
        spot != state.spot
            && tool != state.tool
            && (self.spots.contains(&spot) || self.tools.contains(&tool))
    }
}

#[cfg(test)]
mod tests {
    use std::collections::{BTreeSet, HashMap};

    use lastbolt_machine::{JobSpec, Machine};
    use lastbolt_testkit::{Size, layered_machine, random_machine, ruled_machine};

    use super::*;
    use crate::leaf::tests::each_direction;
    use crate::relax::NEVER;
    use crate::search::{do_at_once, successors_but};

    /// The least that each direction costs with everything off, found without any bound, and the
    /// states that came next in all.
    fn least(of: &(Machine, JobSpec), is_needless: Needless<2>) -> Vec<(i64, usize)> {
        let mut all = Vec::new();
        each_direction(of, |leaf| all.push(least_of(leaf, is_needless)));
        all
    }

    fn least_of(leaf: &Leaf<'_, 2>, is_needless: Needless<2>) -> (i64, usize) {
        let start = do_at_once(leaf, State::start(leaf), &mut |_| ());
        let (mut known, mut states) = (HashMap::from([(start, 0)]), vec![start]);
        let mut waiting = BTreeSet::from([(0, 0)]);
        let mut next = 0;
        while let Some((cost, number)) = waiting.pop_first() {
            let state = states[number];
            if leaf.is_done(&state.at) {
                return (cost, next);
            }
            if known[&state] < cost {
                continue;
            }
            for (to, more, _) in successors_but(leaf, &state, is_needless) {
                next += 1;
                let before = known.get(&to).copied().unwrap_or(NEVER);
                if cost + more < before {
                    known.insert(to, cost + more);
                    waiting.insert((cost + more, states.len()));
                    states.push(to);
                }
            }
        }
        (NEVER, next)
    }

    /// Changing one at a time where that is good for something never costs a minute, and fewer
    /// states come next; a twin that never changes both together loses some orders.
    #[test]
    fn nothing_is_lost_by_it() {
        let layered = (0..8).map(|seed| layered_machine(seed, 20));
        let random = (0..400).map(|seed| random_machine(seed, &Size::default()));
        let ruled = (0..400).map(|seed| ruled_machine(seed, &Size::default()));
        let never_both: Needless<2> =
            |_, state, (spot, tool)| spot != state.spot && tool != state.tool;
        let costs = |all: &[(i64, usize)]| all.iter().map(|one| one.0).collect::<Vec<_>>();
        let next = |all: &[(i64, usize)]| all.iter().map(|one| one.1).sum::<usize>();
        let (mut with, mut without, mut found_out) = (0, 0, 0);
        for of in layered.chain(random).chain(ruled) {
            let all = least(&of, |_, _, _| false);
            let few = least(&of, ByOne::leads_to);
            assert_eq!(costs(&few), costs(&all), "{:?}", of.0.machine);
            (with, without) = (with + next(&few), without + next(&all));
            found_out += u32::from(costs(&least(&of, never_both)) != costs(&all));
        }
        assert!(with * 10 < without * 9, "{with} states with it, {without} without");
        assert!(found_out > 0, "the twin is not found out");
    }
}
