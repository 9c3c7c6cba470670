//! A tool's last use comes before the tool is changed (docs/methods.md, "The last use of a tool").
//!
//! Where all that is left for a tool can be done at once and from here, an order that first takes
//! up another tool is never cheaper: the run of that tool can be moved here, where it costs what
//! putting it between any two others saves at least. The one exception is a run that stands at the
//! turn, where the other direction may go on with the same tool.

use lastbolt_machine::Changes;

use crate::leaf::{Leaf, Open};
use crate::local::ANYWHERE;
use crate::mask::Mask;
use crate::relax::{NEVER, change};
use crate::visits::used;

/// What is asked when a tool is about to be changed, worked out once for each leaf.
#[derive(Debug, Default)]
pub(crate) struct LastUse<const W: usize> {
    /// For each tool the least that leaving out one run of it saves.
    saved: Vec<i64>,
    /// The tools with which the other direction may go on at the turn.
    beyond: Vec<u16>,
    /// For each thing what asks for a tool and comes after it in every order.
    after: Vec<Mask<W>>,
}

impl<const W: usize> LastUse<W> {
    /// For a leaf whose other direction uses these tools.
    pub(crate) fn new(leaf: &Leaf<'_, W>, beyond: &[u16]) -> Self {
        let own = leaf.acts.iter().map(|a| a.tool).chain([leaf.tool_at_start]);
        let tools = used(own.chain(beyond.iter().copied()));
        let saved = (0..leaf.tools.size())
            .map(|tool| least_saved(leaf.tools, &tools, tool as u16, beyond.is_empty()))
            .collect();
        Self { saved, beyond: beyond.to_vec(), after: after(leaf) }
    }

    /// Whether taking up `tool` between `from` and `to` costs no more than is ever saved by it.
    pub(crate) fn is_no_dearer(&self, changes: &Changes, tool: u16, from: u16, to: u16) -> bool {
        let by_it = change(changes, from, tool) + change(changes, tool, to);
        let more = by_it - change(changes, from, to);
        self.saved.get(usize::from(tool)).is_some_and(|saved| more <= *saved)
    }

    /// Whether a tool is surely taken up again in every order from the first of these two states,
    /// and not only at the turn, but is of no more use in the second.
    pub(crate) fn is_last(
        &self,
        leaf: &Leaf<'_, W>,
        tool: u16,
        before: &Open<W>,
        after: &Open<W>,
    ) -> bool {
        if leaf.remaining(after).any(|act| act.tool == tool) {
            return false;
        }
        let todo = leaf.set.minus(&after.open);
        let at_turn = self.beyond.contains(&tool);
        after.open.minus(&before.open).iter().any(|thing| {
            leaf.opening(thing).all(|act| act.tool == tool)
                && (!at_turn || self.after[thing].meets(&todo))
        })
    }
}

/// The least that leaving out one run of a tool saves.
fn least_saved(changes: &Changes, tools: &[u16], tool: u16, ends_free: bool) -> i64 {
    let others = || tools.iter().copied().filter(|&other| other != tool);
    let between = others()
        .flat_map(|a| others().map(move |b| (a, b)))
        .map(|(a, b)| change(changes, a, tool) + change(changes, tool, b) - change(changes, a, b));
    let at_end = others().filter(|_| ends_free).map(|a| change(changes, a, tool));
    between.chain(at_end).min().unwrap_or(NEVER)
}

/// For each thing what asks for a tool and can only be opened after it.
fn after<const W: usize>(leaf: &Leaf<'_, W>) -> Vec<Mask<W>> {
    let things = leaf.local.things.len();
    let mut before = vec![Mask::<W>::EMPTY; things];
    let todo = leaf.set.minus(&leaf.start.open);
    for thing in leaf.todo_in_order(todo) {
        let needs = leaf.opening(thing).map(|act| act.must_be_open);
        let needs = needs.reduce(|a, b| a.and(&b)).unwrap_or(Mask::EMPTY).and(&todo);
        before[thing] = needs.iter().fold(needs, |all, need| all.or(&before[need]));
    }
    let mut after = vec![Mask::<W>::EMPTY; things];
    for thing in todo.iter() {
        if leaf.opening(thing).all(|act| act.tool != ANYWHERE) {
            for earlier in before[thing].iter() {
                after[earlier].add(thing);
            }
        }
    }
    after
}
