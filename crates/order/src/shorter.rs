//! Lists of actions as one place sees them, made shorter: what is not at home there and opens by
//! itself is left out, and what it waits for stands in its stead.

use crate::leaf::Leaf;
use crate::mask::Mask;
use crate::openings::Opening;

/// Makes the lists of one leaf's places.
pub(crate) struct Shorter<'s, 'a, const W: usize> {
    leaf: &'s Leaf<'a, W>,
    /// Open from the start, or counted so.
    open: &'s Mask<W>,
    /// In how many ways each thing can be opened.
    ways: Vec<u32>,
}

impl<'s, 'a, const W: usize> Shorter<'s, 'a, W> {
    pub(crate) fn new(leaf: &'s Leaf<'a, W>, open: &'s Mask<W>) -> Self {
        let mut ways = vec![0; leaf.local.things.len()];
        for act in leaf.openings().iter() {
            ways[act.thing] += 1;
        }
        Self { leaf, open, ways }
    }

    /// The actions that are `counted`, as the place of some members sees them. What is not one of
    /// these and can be opened in one way only, after some other things, is not waited for: those
    /// things are, in its stead.
    pub(crate) fn of(
        &self,
        members: &Mask<W>,
        counted: impl Fn(&Opening<W>) -> bool,
    ) -> Vec<Opening<W>> {
        // Known for those that are passed already.
        let mut instead: Vec<Option<Mask<W>>> = vec![None; self.ways.len()];
        let mut all = Vec::with_capacity(self.leaf.openings().len());
        for act in self.leaf.openings().iter().filter(|act| counted(act)) {
            let is_member = members.has(act.thing);
            let act = act.after_instead(self.open, &instead, !is_member);
            if !is_member && self.ways[act.thing] == 1 {
                instead[act.thing] = act.asks_for_all();
            }
            all.push(act);
        }
        all
    }
}

/// All that some actions open and ask to be open.
pub(crate) fn named<'a, const W: usize>(acts: impl Iterator<Item = &'a Opening<W>>) -> Mask<W>
where
    Opening<W>: 'a,
{
    acts.fold(Mask::EMPTY, |all, act| all.or(&act.named()).with(act.thing))
}

/// Those of the actions that open some things or what they wait for.
pub(crate) fn needed_for<const W: usize>(
    things: &Mask<W>,
    mut acts: Vec<Opening<W>>,
) -> Vec<Opening<W>> {
    let mut needed = *things;
    loop {
        let before = needed;
        for act in acts.iter().rev() {
            if needed.has(act.thing) {
                needed = needed.or(&act.named());
            }
        }
        if needed == before {
            break;
        }
    }
    acts.retain(|act| needed.has(act.thing));
    acts
}
