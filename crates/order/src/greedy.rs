//! A legal order at once, whatever the size: always the change that lets most be done for it.
//!
//! What could take a way from something else is left to the last, so that it seldom ends in a
//! dead end; where it does, there is no answer from here.

use crate::leaf::Leaf;
use crate::relax::change;
use crate::search::{Goal, State, do_at_once, may_be_at_once, stand};

/// An order of one direction, with no claim to be good; `None` if it walked into a dead end.
pub(crate) fn greedy<const W: usize>(leaf: &Leaf<'_, W>) -> Option<Goal> {
    let mut acts = Vec::new();
    let mut state = do_at_once(leaf, State::start(leaf), &mut |act| acts.push(act));
    let mut cost = 0;
    while !leaf.is_done(&state.at) {
        let choice = choose(leaf, &state)?;
        cost += choice.cost;
        if let Some(act) = choice.act {
            acts.push(act);
        }
        state = do_at_once(leaf, choice.state, &mut |act| acts.push(act));
    }
    let State { spot, tool, clock, .. } = state;
    Some(Goal { cost, spot, tool, clock, acts })
}

/// A change, or an action that cannot be done at once.
struct Choice<const W: usize> {
    act: Option<usize>,
    /// The state before everything that can be done at once is done.
    state: State<W>,
    cost: i64,
}

fn choose<const W: usize>(leaf: &Leaf<'_, W>, state: &State<W>) -> Option<Choice<W>> {
    let mut best: Option<((u8, i64), Choice<W>)> = None;
    let mut moves: Vec<(u16, u16)> = Vec::new();
    let before = leaf.todo(&state.at).len();
    for act in leaf.remaining(&state.at) {
        if !leaf.is_legal(act, &state.at) {
            continue;
        }
        let (spot, tool) = stand(act, state);
        let harmless = may_be_at_once(leaf, act, state);
        let moved = (spot, tool) != (state.spot, state.tool);
        let at_once = harmless && act.excess == 0 && moved;
        if at_once && moves.contains(&(spot, tool)) {
            continue;
        }
        let change = change(leaf.spots, state.spot, spot) + change(leaf.tools, state.tool, tool);
        // A change alone is no step on: with sealant laid it may let nothing be done at once.
        let moved = at_once.then(|| state.moved(leaf, (spot, tool))).flatten();
        let led = moved.map(|moved| (moved, do_at_once(leaf, moved, &mut |_| ())));
        let (choice, after) = match led.filter(|(_, after)| after.at != state.at) {
            Some((moved, after)) => {
                moves.push((spot, tool));
                (Choice { act: None, state: moved, cost: change }, after)
            }
            None => {
                let Some(next) = state.after(leaf, act) else { continue };
                let choice =
                    Choice { act: Some(act.number), state: next, cost: change + act.excess };
                (choice, do_at_once(leaf, next, &mut |_| ()))
            }
        };
        let gain = before.saturating_sub(leaf.todo(&after.at).len()).max(1);
        let price = choice.cost.saturating_mul(1000) / gain as i64;
        // Sealant that is laid goes before everything; what could do harm comes last.
        let rank = match (leaf.is_awaited(act, state.clock), harmless) {
            (true, _) => 0,
            (false, true) => 1,
            (false, false) => 2,
        };
        let score = (rank, price);
        if best.as_ref().is_none_or(|(known, _)| score < *known) {
            best = Some((score, choice));
        }
    }
    best.map(|(_, choice)| choice)
}
