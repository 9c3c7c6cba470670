//! An order for a machine too large for the search: of all orders that have done as much, only the
//! most promising few are followed.
//!
//! What is promising is judged by counting visits ([`crate::visits`]), which is soon done at any
//! size, or by the bound of the search where that is soon worked out. No claim to be good; it does
//! not lose its way as a search by promise alone does.

use crate::hash::Map;
use crate::leaf::Leaf;
use crate::search::{Goal, State, Via, do_at_once, replayed, successors};
use crate::visits::{Counted, Visits};

/// An order so far.
struct Node<const W: usize> {
    state: State<W>,
    cost: i64,
    parent: usize,
    via: Via,
}

/// Looks for an order by following the best `width` of each length as counted visits judge them;
/// each that is followed takes one from `patience`.
pub(crate) fn beam<const W: usize>(
    leaf: &Leaf<'_, W>,
    width: usize,
    patience: &mut u64,
    stop: &dyn Fn() -> bool,
) -> Option<Goal> {
    let mut left = [Counted::Spots, Counted::Tools].map(|c| Visits::new(leaf, c, 0));
    beam_by(leaf, width, patience, stop, |state| {
        let [spots, tools] = &mut left;
        let rest = spots.value(leaf, &state.at.open, state.spot);
        rest + tools.value(leaf, &state.at.open, state.tool)
    })
}

/// The same with what a state still costs judged by `left`.
pub(crate) fn beam_by<const W: usize>(
    leaf: &Leaf<'_, W>,
    width: usize,
    patience: &mut u64,
    stop: &dyn Fn() -> bool,
    mut left: impl FnMut(&State<W>) -> i64,
) -> Option<Goal> {
    let state = do_at_once(leaf, State::start(leaf), &mut |_| ());
    let mut nodes = vec![Node { state, cost: 0, parent: 0, via: Via::Start }];
    let mut known: Map<State<W>, usize> = Map::default();
    // By how much is done.
    let mut lengths: Vec<Vec<usize>> = vec![Vec::new(); 2 * leaf.set.len() + 1];
    lengths[done(&state)].push(0);
    for length in 0..lengths.len() {
        let mut here: Vec<(i64, usize)> = std::mem::take(&mut lengths[length])
            .into_iter()
            .filter(|&number| known.get(&nodes[number].state).is_none_or(|best| *best == number))
            .map(|number| {
                let Node { state, cost, .. } = &nodes[number];
                (cost + left(state), number)
            })
            .collect();
        here.sort_unstable();
        if let Some(&(_, number)) = here.iter().find(|(_, n)| leaf.is_done(&nodes[*n].state.at)) {
            return Some(goal(leaf, &nodes, number));
        }
        for (_, number) in here.into_iter().take(width) {
            if *patience == 0 || stop() {
                return None;
            }
            *patience -= 1;
            let (state, cost) = (nodes[number].state, nodes[number].cost);
            for (next, more, via) in successors(leaf, &state) {
                let cost = cost + more;
                if known.get(&next).is_some_and(|&best| nodes[best].cost <= cost) {
                    continue;
                }
                known.insert(next, nodes.len());
                lengths[done(&next)].push(nodes.len());
                nodes.push(Node { state: next, cost, parent: number, via });
            }
        }
    }
    None
}

/// How much is done: every action makes it more.
fn done<const W: usize>(state: &State<W>) -> usize {
    2 * state.at.open.len() - state.at.started.len()
}

fn goal<const W: usize>(leaf: &Leaf<'_, W>, nodes: &[Node<W>], number: usize) -> Goal {
    let mut line = vec![number];
    while let Via::Move | Via::Act(_) = nodes[line[line.len() - 1]].via {
        line.push(nodes[line[line.len() - 1]].parent);
    }
    let steps = line.iter().rev().map(|&n| (nodes[n].via, nodes[n].state));
    let (State { spot, tool, clock, .. }, acts) = replayed(leaf, steps);
    Goal { cost: nodes[number].cost, spot, tool, clock, acts }
}

#[cfg(test)]
mod tests {
    use lastbolt_machine::{Extra, compile};
    use lastbolt_testkit::layered_machine;

    use super::*;
    use crate::greedy::greedy;
    use crate::local::{BUILD, Local, STRIP, is_metric, relevant};
    use crate::search::Bounds;

    /// Whole orders, never below the bound; following twenty costs far less than always taking
    /// what looks best, which following one alone does not.
    #[test]
    fn follows_the_best_few() {
        let (mut few, mut one, mut best_looking) = (0, 0, 0);
        for seed in 0..4 {
            let (machine, job) = layered_machine(seed, 160);
            let kernel = compile(&machine, &job, &Extra::default()).expect("it is legal");
            let things = relevant(&kernel, is_metric(&kernel));
            let local = Local::<4>::new(&kernel, &things, true);
            let set = (0..local.things.len()).collect();
            for direction in [STRIP, BUILD] {
                let Some(leaf) = Leaf::new(&kernel, &local, direction, set) else { continue };
                let Some(first) = greedy(&leaf) else { continue };
                let cost = |width| {
                    let found = beam(&leaf, width, &mut 100_000, &|| false);
                    let found = found.expect("a legal end is not lost");
                    assert_eq!(found.acts.len(), first.acts.len());
                    found.cost
                };
                assert!(cost(20) >= Bounds::soon(&leaf).0);
                few += cost(20);
                one += cost(1);
                best_looking += first.cost;
            }
        }
        assert!(few > 0, "nothing was searched");
        assert!(few * 4 < best_looking * 3, "{few} against {best_looking}");
        assert!(few * 20 < one * 19, "{few} against {one} of the twin that follows one");
    }
}
