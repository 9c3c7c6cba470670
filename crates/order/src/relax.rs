//! Lower bounds: the least minutes of spot changes alone, and of tool changes alone.
//!
//! Each forgets the other sort of change, chooses its own ways, and is exact by remembering the
//! states it has seen; added up they never exceed the true cost (minutes by which a way is dearer
//! are counted in the spot bound only).

use std::collections::HashMap;

use lastbolt_machine::Changes;

use crate::leaf::{Act, Leaf, Open};
use crate::local::ANYWHERE;

/// Longer than anything.
pub(crate) const NEVER: i64 = i64::MAX / 8;

/// Which changes count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Counted {
    Spots,
    Tools,
}

/// The remembered values of one bound.
pub(crate) struct Relaxed<const W: usize> {
    counted: Counted,
    known: HashMap<(Open<W>, u16), i64>,
    /// How many more values may be remembered; when none is left the bound becomes coarser.
    room: usize,
}

impl<const W: usize> Relaxed<W> {
    pub(crate) fn new(counted: Counted, room: usize) -> Self {
        Self { counted, known: HashMap::new(), room }
    }

    /// A lower bound on the changes from here to the turn; [`NEVER`] if the turn is out of reach.
    pub(crate) fn value(&mut self, leaf: &Leaf<'_, W>, at: &Open<W>, place: u16) -> i64 {
        let at = self.do_at_once(leaf, *at, place);
        if leaf.is_done(&at) {
            return 0;
        }
        if let Some(&value) = self.known.get(&(at, place)) {
            return value;
        }
        if self.room == 0 {
            return 0;
        }
        self.room -= 1;
        // A loop back to a state that is being worked out adds nothing.
        let mut best = NEVER;
        let mut places: Vec<u16> = Vec::new();
        for act in leaf.remaining(&at) {
            if !leaf.is_legal(act, &at) {
                continue;
            }
            let to = if self.place(act) == ANYWHERE { place } else { self.place(act) };
            let change = change(self.changes(leaf), place, to);
            if to != place && self.excess(act) == 0 && leaf.is_harmless(act, &at) {
                if !places.contains(&to) {
                    places.push(to);
                    best = best.min(change + self.value(leaf, &at, to));
                }
                continue;
            }
            let cost = change + self.excess(act);
            if cost < best {
                best = best.min(cost + self.value(leaf, &leaf.after(act, &at), to));
            }
        }
        self.known.insert((at, place), best);
        best
    }

    fn do_at_once(&self, leaf: &Leaf<'_, W>, mut at: Open<W>, place: u16) -> Open<W> {
        loop {
            let found = leaf.remaining(&at).find(|act| {
                let here = self.place(act);
                (here == ANYWHERE || here == place)
                    && self.excess(act) == 0
                    && leaf.is_legal(act, &at)
                    && leaf.is_harmless(act, &at)
            });
            match found {
                Some(act) => at = leaf.after(act, &at),
                None => return at,
            }
        }
    }

    fn place(&self, act: &Act<W>) -> u16 {
        match self.counted {
            Counted::Spots => act.spot,
            Counted::Tools => act.tool,
        }
    }

    fn excess(&self, act: &Act<W>) -> i64 {
        match self.counted {
            Counted::Spots => act.excess,
            Counted::Tools => 0,
        }
    }

    fn changes<'l>(&self, leaf: &Leaf<'l, W>) -> &'l Changes {
        match self.counted {
            Counted::Spots => leaf.spots,
            Counted::Tools => leaf.tools,
        }
    }
}

/// Minutes of a change; nothing where one of the two is not known.
pub(crate) fn change(changes: &Changes, from: u16, to: u16) -> i64 {
    if from == ANYWHERE || to == ANYWHERE {
        0
    } else {
        changes.between(usize::from(from), usize::from(to)).0
    }
}
