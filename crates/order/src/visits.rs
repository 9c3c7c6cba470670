//! A lower bound on changes by counting visits: how often each tool has to be taken up, or each
//! spot gone to, if everything else were free.
//!
//! Every change enters exactly one tool (or spot), so the visits of each, times the cheapest
//! change into it, add up to no more than the true changes. One tool's visits are counted by
//! doing all that can be done without it, then all that can be done with it in the hand, and so
//! on; conditions that something must still be on are dropped, so doing more never hurts there
//! and the count is least.

use lastbolt_machine::Changes;

use crate::hash::Map;
use crate::leaf::{Act, Leaf};
use crate::local::ANYWHERE;
use crate::mask::Mask;
use crate::openings::Opening;
use crate::relax::NEVER;

/// Which changes count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Counted {
    Spots,
    Tools,
}

/// The places (spots or tools) of one leaf with the cheapest change into each.
pub(crate) struct Visits<const W: usize> {
    counted: Counted,
    /// Place, cheapest change into it from another place in use, and the things that need it.
    places: Vec<(u16, i64, Mask<W>)>,
    known: Map<(Mask<W>, u16), i64>,
    room: usize,
    /// How many values may be remembered at once.
    full: usize,
}

impl<const W: usize> Visits<W> {
    pub(crate) fn new(leaf: &Leaf<'_, W>, counted: Counted, room: usize) -> Self {
        Self::with(leaf, counted, counted.changes(leaf), room)
    }

    /// The same with other minutes for the changes.
    pub(crate) fn with(
        leaf: &Leaf<'_, W>,
        counted: Counted,
        changes: &Changes,
        room: usize,
    ) -> Self {
        let acts = leaf.acts.iter().map(|a| counted.place(a));
        let used = used(acts.chain([counted.start(leaf)]));
        let into = |place: u16| cheapest_into(changes, &used, place);
        let places = used
            .iter()
            .filter_map(|&place| {
                let needing: Mask<W> = (0..leaf.local.things.len())
                    .filter(|&t| {
                        let mut acts = leaf.opening(t).peekable();
                        acts.peek().is_some() && acts.all(|a| counted.place(a) == place)
                    })
                    .collect();
                Some((place, into(place)?, needing)).filter(|(_, c, n)| *c > 0 && !n.is_empty())
            })
            .collect();
        Self { counted, places, known: Map::default(), room, full: room }
    }

    /// No order from this state pays less for changes of this sort.
    pub(crate) fn value(&mut self, leaf: &Leaf<'_, W>, open: &Mask<W>, here: u16) -> i64 {
        if let Some(&value) = self.known.get(&(*open, here)) {
            return value;
        }
        let todo = leaf.set.minus(open);
        let mut sum = 0;
        for (place, into, needing) in &self.places {
            if needing.meets(&todo) {
                let visits = self.visits(leaf, open, *place, here);
                if visits >= NEVER {
                    sum = NEVER;
                    break;
                }
                sum += visits * into;
            }
        }
        if here == ANYWHERE && sum < NEVER {
            // The first of all costs nothing.
            sum -= self.places.iter().map(|(_, into, _)| *into).max().unwrap_or(0).min(sum);
        }
        if self.room == 0 {
            self.known.clear();
            self.room = self.full;
        }
        if self.room > 0 {
            self.room -= 1;
            self.known.insert((*open, here), sum);
        }
        sum
    }

    /// The same without counting: every other place that something cannot do without, once.
    pub(crate) fn once(&self, open: &Mask<W>, here: u16) -> i64 {
        let (mut sum, mut most) = (0, 0);
        for (place, into, needing) in &self.places {
            if *place != here && !needing.is_within(open) {
                sum += into;
                most = most.max(*into);
            }
        }
        // The first of all costs nothing.
        if here == ANYWHERE { sum - most } else { sum }
    }

    fn visits(&self, leaf: &Leaf<'_, W>, open: &Mask<W>, place: u16, here: u16) -> i64 {
        let all = leaf.openings();
        let is_there = |act: &Opening<W>| {
            let needs = self.counted.asked(act);
            needs == ANYWHERE || needs == place
        };
        let mut reached = *open;
        if here == place {
            reached = all.close_by(reached, is_there);
        }
        let mut visits = 0;
        loop {
            reached = all.close_by(reached, |act| self.counted.asked(act) != place);
            if leaf.set.is_within(&reached) {
                return visits;
            }
            let before = reached;
            reached = all.close_by(reached, is_there);
            if reached == before {
                return NEVER;
            }
            visits += 1;
        }
    }
}

/// The spots or tools in use, each once.
pub(crate) fn used(places: impl Iterator<Item = u16>) -> Vec<u16> {
    let mut used: Vec<u16> = places.filter(|&place| place != ANYWHERE).collect();
    used.sort_unstable();
    used.dedup();
    used
}

/// The cheapest change into one of those in use from another of them.
pub(crate) fn cheapest_into(changes: &Changes, used: &[u16], to: u16) -> Option<i64> {
    let from = used.iter().filter(|&&other| other != to);
    from.map(|&other| changes.between(usize::from(other), usize::from(to)).0).min()
}

impl Counted {
    pub(crate) fn place<const W: usize>(self, act: &Act<W>) -> u16 {
        match self {
            Self::Spots => act.spot,
            Self::Tools => act.tool,
        }
    }

    fn asked<const W: usize>(self, act: &Opening<W>) -> u16 {
        match self {
            Self::Spots => act.spot,
            Self::Tools => act.tool,
        }
    }

    pub(crate) fn changes<'l, const W: usize>(self, leaf: &Leaf<'l, W>) -> &'l Changes {
        match self {
            Self::Spots => leaf.spots,
            Self::Tools => leaf.tools,
        }
    }

    fn start<const W: usize>(self, leaf: &Leaf<'_, W>) -> u16 {
        match self {
            Self::Spots => leaf.spot_at_start,
            Self::Tools => leaf.tool_at_start,
        }
    }
}
