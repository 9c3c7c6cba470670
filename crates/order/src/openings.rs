//! Actions without the conditions that something must still be on: opening more never hurts then,
//! so that lower bounds open all that they can.

use crate::leaf::Act;
use crate::local::ANYWHERE;
use crate::mask::Mask;

/// An action that opens something, as bounds see it.
#[derive(Clone, Debug)]
pub(crate) struct Opening<const W: usize> {
    pub thing: usize,
    pub spot: u16,
    pub tool: u16,
    /// Whether its thing has a cheaper way.
    pub dearer: bool,
    /// Must be open for it.
    after: Mask<W>,
    /// Of each of these, one.
    one_of: Box<[Mask<W>]>,
}

impl<const W: usize> Opening<W> {
    pub(crate) fn of(act: &Act<W>) -> Self {
        Self {
            thing: act.thing,
            spot: act.spot,
            tool: act.tool,
            dearer: act.excess > 0,
            after: act.must_be_open,
            one_of: act.one_of.clone(),
        }
    }

    /// The same after what stands in the stead of some things; what is `open` is not asked for.
    /// Where it is `free` it costs nothing and asks for no tool.
    pub(crate) fn after_instead(
        &self,
        open: &Mask<W>,
        instead: &[Option<Mask<W>>],
        free: bool,
    ) -> Self {
        let mut after = Mask::EMPTY;
        for thing in self.after.minus(open).iter() {
            after = instead[thing].map_or_else(|| after.with(thing), |those| after.or(&those));
        }
        Self {
            thing: self.thing,
            spot: self.spot,
            tool: if free { ANYWHERE } else { self.tool },
            dearer: self.dearer && !free,
            after,
            one_of: self.one_of.iter().filter(|clause| !clause.meets(open)).copied().collect(),
        }
    }

    /// Adds to a key all that it depends on.
    pub(crate) fn tell(&self, key: &mut Vec<u64>) {
        let clauses = self.one_of.len() as u64;
        key.push(self.thing as u64 | u64::from(self.tool) << 32 | clauses << 48);
        key.extend(self.after.words());
        self.one_of.iter().for_each(|clause| key.extend(clause.words()));
    }

    /// All that it asks for, if that is all of some things and nothing of which one is enough.
    pub(crate) fn asks_for_all(&self) -> Option<Mask<W>> {
        self.one_of.is_empty().then_some(self.after)
    }

    /// All that it asks to be open.
    pub(crate) fn named(&self) -> Mask<W> {
        self.one_of.iter().fold(self.after, Mask::or)
    }

    /// Whether it is still to be opened and can be.
    pub(crate) fn is_ready(&self, open: &Mask<W>) -> bool {
        !open.has(self.thing) && is_met(&self.after, &self.one_of, open)
    }
}

/// Whether all of the one is open, and one of each of the others.
pub(crate) fn is_met<const W: usize>(all: &Mask<W>, one_of: &[Mask<W>], open: &Mask<W>) -> bool {
    all.is_within(open) && one_of.iter().all(|clause| clause.meets(open))
}

/// Opens all that those of the actions which are allowed can open.
pub(crate) fn close<const W: usize>(
    openings: &[Opening<W>],
    open: Mask<W>,
    allowed: impl Fn(&Opening<W>) -> bool,
) -> Mask<W> {
    close_each(openings.len(), |at| &openings[at], open, allowed)
}

/// Opens all that those of so many actions which are allowed can open.
fn close_each<'o, const W: usize>(
    count: usize,
    action: impl Fn(usize) -> &'o Opening<W>,
    mut open: Mask<W>,
    allowed: impl Fn(&Opening<W>) -> bool,
) -> Mask<W> {
    // Between these, some are left that could not be opened yet.
    let (mut first, mut end) = (0, count);
    loop {
        let before = open;
        let left = first..end;
        (first, end) = (end, first);
        for at in left {
            let act = action(at);
            if !open.has(act.thing) && allowed(act) {
                if act.is_ready(&open) {
                    open.add(act.thing);
                } else {
                    first = first.min(at);
                    end = at + 1;
                }
            }
        }
        if open == before || first >= end {
            return open;
        }
    }
}

/// Actions that can be done at the same time, by their numbers in a list.
pub(crate) type Numbers = Vec<u32>;

/// The numbers of some of a list's actions.
pub(crate) fn numbers_of<const W: usize>(
    openings: &[Opening<W>],
    allowed: impl Fn(&Opening<W>) -> bool,
) -> Numbers {
    let all = openings.iter().enumerate();
    all.filter(|(_, act)| allowed(act)).map(|(number, _)| number as u32).collect()
}

/// Opens all that those of the actions which have these numbers can open.
pub(crate) fn close_numbered<const W: usize>(
    openings: &[Opening<W>],
    numbers: &[u32],
    open: Mask<W>,
) -> Mask<W> {
    close_each(numbers.len(), |at| &openings[numbers[at] as usize], open, |_| true)
}
