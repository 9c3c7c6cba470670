//! Actions without the conditions that something must still be on: opening more never hurts then,
//! so that lower bounds open all that they can.

use std::ops::Deref;

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
        !open.has(self.thing) && self.is_met_by(open)
    }

    fn is_met_by(&self, open: &Mask<W>) -> bool {
        is_met(&self.after, &self.one_of, open)
    }
}

/// Whether all of the one is open, and one of each of the others.
pub(crate) fn is_met<const W: usize>(all: &Mask<W>, one_of: &[Mask<W>], open: &Mask<W>) -> bool {
    all.is_within(open) && one_of.iter().all(|clause| clause.meets(open))
}

/// Actions that open things, those of one thing one after the other.
pub(crate) struct Openings<const W: usize> {
    all: Box<[Opening<W>]>,
    /// What they open.
    things: Mask<W>,
    /// For each thing that they open its first action.
    first: Box<[u32]>,
    /// What an action names though its number comes later than that of what it opens: only where
    /// some of this has been opened is anything worth a second look.
    late: Mask<W>,
}

impl<const W: usize> Openings<W> {
    pub(crate) fn new(all: Vec<Opening<W>>) -> Self {
        let things: Mask<W> = all.iter().map(|act| act.thing).collect();
        let mut late = Mask::EMPTY;
        let mut first = vec![0; all.iter().map(|act| act.thing + 1).max().unwrap_or(0)];
        for (at, act) in all.iter().enumerate().rev() {
            first[act.thing] = at as u32;
            late = late.or(&act.named().from(act.thing));
        }
        Self { all: all.into(), first: first.into(), late: late.and(&things), things }
    }

    /// Opens all that the actions can open.
    pub(crate) fn close(&self, open: Mask<W>) -> Mask<W> {
        self.close_by(open, |_| true)
    }

    /// Opens all that the allowed actions can open.
    pub(crate) fn close_by(
        &self,
        mut open: Mask<W>,
        allowed: impl Fn(&Opening<W>) -> bool,
    ) -> Mask<W> {
        let mut todo = self.things.minus(&open);
        loop {
            let before = open;
            for thing in todo.iter() {
                let acts = &self.all[self.first[thing] as usize..];
                let mut acts = acts.iter().take_while(|act| act.thing == thing);
                if acts.any(|act| allowed(act) && act.is_met_by(&open)) {
                    open.add(thing);
                }
            }
            if !open.minus(&before).meets(&self.late) {
                return open;
            }
            todo = todo.minus(&open);
        }
    }
}

impl<const W: usize> Default for Openings<W> {
    fn default() -> Self {
        Self::new(Vec::new())
    }
}

impl<const W: usize> Deref for Openings<W> {
    type Target = [Opening<W>];

    fn deref(&self) -> &[Opening<W>] {
        &self.all
    }
}

#[cfg(test)]
mod tests {
    use lastbolt_testkit::Rng;

    use super::*;

    /// Random actions on twelve things, numbered as chance has it.
    fn random(rng: &mut Rng) -> Vec<Opening<1>> {
        let some = |rng: &mut Rng| (0..rng.below(3)).map(|_| rng.below(12)).collect::<Mask<1>>();
        let mut all = Vec::new();
        for thing in 0..12 {
            for _ in 0..rng.below(3) {
                let (spot, tool) = (rng.below(3) as u16, rng.below(2) as u16);
                let one_of = (0..rng.below(2)).map(|_| some(rng).with(rng.below(12))).collect();
                let after = some(rng).without(thing);
                all.push(Opening { thing, spot, tool, dearer: false, after, one_of });
            }
        }
        all
    }

    /// The same by looking at every action again until nothing more opens.
    fn naively(all: &[Opening<1>], mut open: Mask<1>, spot: u16) -> Mask<1> {
        loop {
            let before = open;
            for act in all.iter().filter(|act| act.spot != spot && act.is_ready(&before)) {
                open.add(act.thing);
            }
            if open == before {
                return open;
            }
        }
    }

    /// All that can be opened is opened, in whatever order things are numbered; a twin that looks
    /// once only leaves some of it.
    #[test]
    fn opens_all_that_can_be() {
        let mut rng = Rng::new(7);
        let (mut opened, mut found_out) = (0, 0);
        for _ in 0..5_000 {
            let all = random(&mut rng);
            let open: Mask<1> = (0..rng.below(4)).map(|_| rng.below(12)).collect();
            let openings = Openings::new(all.clone());
            let closed = openings.close_by(open, |act| act.spot != 2);
            assert_eq!(closed, naively(&all, open, 2), "{all:?} from {open:?}");
            assert_eq!(
                openings.close(open),
                naively(&all, open, u16::MAX),
                "{all:?} from {open:?}"
            );
            let once = Openings { late: Mask::EMPTY, ..openings };
            opened += usize::from(closed != open);
            found_out += usize::from(once.close_by(open, |act| act.spot != 2) != closed);
        }
        assert!(opened > 1_000 && found_out > 100, "{opened} opened, {found_out} found out");
    }
}
