//! A known order of one direction made cheaper: runs of actions move elsewhere while that pays.
//!
//! What a change costs depends on more than the action before it: work by hand keeps the tool, work
//! that can be done from anywhere keeps the spot. So every move is walked by the rules of the leaf
//! and paid for as the search pays, from where the order begins to differ to where it is the same
//! again. Moved are runs that begin or end where spot or tool change, to where the spot or the tool
//! is the same already. Legal by the walk, never dearer, and the same every time.

use crate::leaf::Leaf;
use crate::relax::change;
use crate::search::{Goal, State, stand};

/// How many actions may be walked for one state of the search's limit.
const WALKED_FOR_ONE: u64 = 200;

/// Makes an order cheaper, for at most so much of the search's limit; it ends as good or better.
///
/// Where it meets the turn may be another spot or tool, so the caller joins both and takes the
/// cheaper; an order that is not legal comes back as it is.
pub(crate) fn improve<const W: usize>(
    leaf: &Leaf<'_, W>,
    goal: Goal,
    patience: &mut u64,
    stop: &dyn Fn() -> bool,
) -> Goal {
    let Some(mut line) = Line::walk(leaf, &goal.acts) else { return goal };
    let mut walked = 0;
    let limit = patience.saturating_mul(WALKED_FOR_ONE);
    let mut at = 0;
    // Where nothing paid since the last gain: all runs were looked at once more.
    let mut in_vain = 0;
    while in_vain < line.acts.len() && walked < limit && !stop() {
        if line.move_run_at(at, &mut walked, limit) {
            in_vain = 0;
        } else {
            in_vain += 1;
            at = (at + 1) % line.acts.len();
        }
    }
    *patience -= walked.div_ceil(WALKED_FOR_ONE).min(*patience);
    if line.cost() >= goal.cost {
        return goal;
    }
    let State { spot, tool, clock, .. } = line.states[line.acts.len()];
    Goal { cost: line.cost(), spot, tool, clock, acts: line.acts }
}

/// An order with the state and the cost before each of its actions and after the last.
struct Line<'a, 'b, const W: usize> {
    leaf: &'a Leaf<'b, W>,
    acts: Vec<usize>,
    states: Vec<State<W>>,
    costs: Vec<i64>,
}

impl<'a, 'b, const W: usize> Line<'a, 'b, W> {
    /// Walks an order from the start; `None` where it is not legal or does not reach the turn.
    fn walk(leaf: &'a Leaf<'b, W>, acts: &[usize]) -> Option<Self> {
        let mut line = Self { leaf, acts: acts.to_vec(), states: Vec::new(), costs: Vec::new() };
        let (mut state, mut cost) = (State::start(leaf), 0);
        line.states.push(state);
        line.costs.push(cost);
        for &act in acts {
            (state, cost) = line.step(state, cost, act)?;
            line.states.push(state);
            line.costs.push(cost);
        }
        leaf.is_done(&state.at).then_some(line)
    }

    fn cost(&self) -> i64 {
        self.costs[self.acts.len()]
    }

    fn step(&self, state: State<W>, cost: i64, act: usize) -> Option<(State<W>, i64)> {
        let act = &self.leaf.acts[act];
        let asked_for = self.leaf.todo(&state.at).has(act.thing);
        let starts = act.is_start == state.at.started.has(act.thing);
        if !asked_for || !starts || !self.leaf.is_legal(act, &state.at) {
            return None;
        }
        let (spot, tool) = stand(act, &state);
        let changes =
            change(self.leaf.spots, state.spot, spot) + change(self.leaf.tools, state.tool, tool);
        Some((state.after(self.leaf, act)?, cost + changes + act.excess))
    }

    /// Whether spot and tool change before the action at a place.
    fn changes_at(&self, place: usize) -> bool {
        let stands = |place: usize| (self.states[place].spot, self.states[place].tool);
        place == self.acts.len() || stands(place) != stands(place + 1)
    }

    /// Moves the best of the runs that begin at a place to where it saves most; `true` if one did.
    fn move_run_at(&mut self, from: usize, walked: &mut u64, limit: u64) -> bool {
        let count = self.acts.len();
        let change_after = (from + 1..=count).find(|&p| self.changes_at(p)).unwrap_or(count);
        let two_after = (change_after + 1..=count).find(|&p| self.changes_at(p)).unwrap_or(count);
        let mut best: Option<(i64, [usize; 3])> = None;
        let mut ends = vec![from + 1, change_after, two_after];
        ends.dedup();
        for to in ends {
            let state = &self.states[to];
            let before = (0..from).map(|place| (place, [place, from, to]));
            let after = (to + 1..=count).map(|place| (place, [from, to, place]));
            for (place, exchange) in before.chain(after) {
                let there = &self.states[place];
                let fits = there.spot == state.spot || there.tool == state.tool;
                if !fits || place > 0 && place < count && !self.has_seam(place, state) {
                    continue;
                }
                if *walked >= limit {
                    break;
                }
                let least = best.map_or(self.cost(), |(cost, _)| cost);
                if let Some(cost) = self.cost_of(exchange, least, walked) {
                    best = Some((cost, exchange));
                }
            }
        }
        let Some((_, [first, middle, end])) = best else { return false };
        self.acts[first..end].rotate_left(middle - first);
        *self = Self::walk(self.leaf, &self.acts).expect("BUG: this move was walked");
        true
    }

    /// Whether a run that stands as `state` would not be put into the midst of its like.
    fn has_seam(&self, place: usize, state: &State<W>) -> bool {
        let next = &self.states[place + 1];
        (next.spot, next.tool) != (state.spot, state.tool) || self.changes_at(place)
    }

    /// The cost of the whole order after an exchange of two neighbouring runs, if it is legal and
    /// below `least`.
    fn cost_of(
        &self,
        [first, middle, end]: [usize; 3],
        least: i64,
        walked: &mut u64,
    ) -> Option<i64> {
        let (mut state, mut cost) = (self.states[first], self.costs[first]);
        for place in (middle..end).chain(first..middle) {
            *walked += 1;
            (state, cost) = self.step(state, cost, self.acts[place])?;
            if cost >= least {
                return None;
            }
        }
        for place in end..=self.acts.len() {
            if state == self.states[place] {
                cost += self.cost() - self.costs[place];
                return (cost < least).then_some(cost);
            }
            if place < self.acts.len() {
                *walked += 1;
                (state, cost) = self.step(state, cost, self.acts[place])?;
            }
        }
        (cost < least).then_some(cost)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::Ask;
    use crate::greedy::greedy;
    use crate::local::{self, BUILD, Local, STRIP};
    use crate::relax::NEVER;
    use crate::search::{Bounds, Outcome, Search};
    use crate::sets::Sets;
    use lastbolt_machine::{Extra, compile};
    use lastbolt_testkit::{Size, layered_machine, random_machine};

    /// Calls `check` with both directions of the first set of a machine.
    fn leaves<const W: usize>(
        (machine, job): (lastbolt_machine::Machine, lastbolt_machine::JobSpec),
        check: &mut dyn FnMut(&Leaf<'_, W>),
    ) {
        let kernel = compile(&machine, &job, &Extra::default()).unwrap();
        let metric = local::is_metric(&kernel);
        let relevant = local::relevant(&kernel, metric);
        if relevant.len() > 64 * W {
            return;
        }
        let local = Local::<W>::new(&kernel, &relevant, metric);
        let mut patience = 20_000;
        let mut sets = Sets::new(&kernel, &local, &[STRIP, BUILD]);
        let Some(set) = sets.next(NEVER, &mut patience, &Ask::default()).map(|node| node.inside)
        else {
            return;
        };
        for direction in [STRIP, BUILD] {
            if let Some(leaf) = Leaf::new(&kernel, &local, direction, set) {
                check(&leaf);
            }
        }
    }

    /// What the walk of an order costs, by the rules only.
    fn recount<const W: usize>(leaf: &Leaf<'_, W>, acts: &[usize]) -> Option<i64> {
        Line::walk(leaf, acts).map(|line| line.cost())
    }

    fn improved<const W: usize>(leaf: &Leaf<'_, W>) -> Option<(Goal, Goal)> {
        let first = greedy(leaf)?;
        assert_eq!(recount(leaf, &first.acts), Some(first.cost), "the walk and the search differ");
        let mut patience = 2_000;
        let better = improve(leaf, first.clone(), &mut patience, &|| false);
        assert_eq!(recount(leaf, &better.acts), Some(better.cost));
        assert!(better.cost <= first.cost);
        Some((first, better))
    }

    /// Small machines with every feature: legal, never dearer than before, never below the least.
    #[test]
    fn never_dearer_and_never_below_the_least() {
        let (mut cheaper, mut not_least) = (0, 0);
        for seed in 0..400 {
            leaves::<1>(random_machine(seed, &Size::default()), &mut |leaf| {
                let Some((first, better)) = improved(leaf) else { return };
                let mut bounds = Bounds::new(leaf);
                let mut search = Search::new(leaf, &mut bounds, 10);
                let outcome = search.next_goal(leaf, &mut bounds, NEVER, &mut 100_000, &|| false);
                let Outcome::Goal(least) = outcome else { panic!("seed {seed}: no order") };
                assert!(better.cost >= least.cost, "seed {seed}");
                cheaper += usize::from(better.cost < first.cost);
                not_least += usize::from(first.cost > least.cost);
            });
        }
        // The others would need another way, which no move chooses.
        assert!(cheaper * 3 > not_least, "{cheaper} of {not_least} got cheaper");
    }

    /// Large machines: the greedy order gets cheaper on most.
    #[test]
    fn large_orders_get_cheaper() {
        let (mut before, mut after, mut cheaper, mut all) = (0, 0, 0, 0);
        for seed in 0..4 {
            leaves::<4>(layered_machine(seed, 110), &mut |leaf| {
                let Some((first, better)) = improved(leaf) else { return };
                all += 1;
                cheaper += usize::from(better.cost < first.cost);
                before += first.cost;
                after += better.cost;
            });
        }
        assert!(cheaper * 3 >= all * 2 && all >= 6, "{cheaper} of {all}");
        assert!(after * 100 < before * 95, "changes {before} to {after}");
    }

    /// An order that is not legal, or with an action twice, comes back as it is.
    #[test]
    fn wrong_orders_are_not_walked() {
        leaves::<4>(layered_machine(0, 60), &mut |leaf| {
            let goal = greedy(leaf).unwrap();
            let mut backwards = goal.acts.clone();
            backwards.reverse();
            assert_eq!(recount(leaf, &backwards), None);
            assert_eq!(recount(leaf, &goal.acts[1..]), None);
            let twice = [&goal.acts[..1], &goal.acts].concat();
            assert_eq!(recount(leaf, &twice), None);
            let wrong = Goal { acts: backwards.clone(), ..goal };
            let same = improve(leaf, wrong, &mut 1_000, &|| false);
            assert_eq!(same.acts, backwards);
        });
    }
}
