//! A lower bound on changes by places: how often, in each place by itself, another tool has to be
//! used, beside what going from place to place costs.
//!
//! What is worked on only in one place is *at home* there. Between two uses of different tools in a
//! place the person either changes the tool there or comes back to the place. So each use of
//! another tool in a place can be charged to a change of its own: to the change of tool made there,
//! or to the last coming to the place, which for that gives up a part of its minutes
//! ([`Homes::discounted`]) that the bound on spot changes then leaves out. (A tool used at home in
//! one place only has to be taken up in between, wherever that is; nobody else charges that.)
//! Everything that is not at home in the place counts as free, so the uses of one place are a small
//! problem of their own, whose values are remembered by what is open there. Conditions that
//! something must still be on are dropped.
//!
//! A dearer way of a thing at home pays for its not using the place: that share of its minutes is
//! left out of the other bound too ([`Homes::shares`]).

use lastbolt_machine::{Changes, Minutes};

use crate::first_use::{FirstUses, Shared};
use crate::hash::Map;
use crate::leaf::Leaf;
use crate::local::ANYWHERE;
use crate::mask::Mask;
use crate::place::Place;
use crate::plain::{Charge, NONE, Plain, Uses};
use crate::relax::NEVER;
use crate::shorter::{Shorter, needed_for};
use crate::visits::{Counted, Visits, cheapest_into, used};

/// How many plain values of places are remembered for sets.
const REMEMBERED: usize = 20_000;
/// How many values one place may take for the bound of a set.
const ROOM: usize = 4_000;

/// The places of one leaf, with what is remembered of each.
pub(crate) struct Homes<const W: usize> {
    places: Vec<Place<W>>,
    /// The tools that are used in several places.
    shared: Vec<Shared>,
    outline: Outline<W>,
}

/// What one place charges, and for what.
pub(crate) struct OfPlace<const W: usize> {
    pub spot: u16,
    /// What is at home there, and in all other places.
    pub members: Mask<W>,
    pub others: Mask<W>,
    pub tools: Vec<Charge>,
    /// The most that a coming to the place gives up.
    pub coming: i64,
    /// The most that any use is charged.
    most: i64,
}

/// What each place of a leaf charges.
struct Outline<const W: usize> {
    /// The places that charge something.
    places: Vec<OfPlace<W>>,
    uses: Vec<Uses<W>>,
    /// For each thing the minutes that any dearer way of it gives to its place.
    shares: Vec<i64>,
    /// What the first coming to a place, which costs nothing, may have been charged.
    first_spot: i64,
    /// The same of the first taking up of a tool.
    first_tool: i64,
}

impl<const W: usize> Outline<W> {
    fn new(leaf: &Leaf<'_, W>) -> Self {
        let things = leaf.local.things.len();
        let home: Vec<Option<u16>> = (0..things).map(|t| home(leaf, t)).collect();
        let spots = used(leaf.acts.iter().map(|a| a.spot).chain([leaf.spot_at_start]));
        let at_home = |&spot: &u16| (0..things).filter(|&t| home[t] == Some(spot)).collect();
        let members: Vec<Mask<W>> = spots.iter().map(at_home).collect();
        let uses = Uses::of(leaf);
        let mut places = charges(leaf, (&spots, &members), &uses);
        places.retain(|place| place.most > 0);
        let mut shares = vec![0; things];
        for place in &places {
            for thing in place.members.iter() {
                let dearer = leaf.opening(thing).filter(|a| a.excess > 0).map(|a| a.excess);
                shares[thing] = dearer.min().unwrap_or(0).min(place.most);
            }
        }
        let first_spot = places.iter().map(|place| place.coming).max().unwrap_or(0);
        let first_tool = places.iter().map(|place| place.most).max().unwrap_or(0);
        Self { places, uses, shares, first_spot, first_tool }
    }

    /// The changes of spot without what is charged here.
    fn discounted(&self, spots: &Changes) -> Changes {
        let charge = |to: usize| {
            let found = self.places.iter().find(|place| usize::from(place.spot) == to);
            found.map_or(0, |place| place.coming)
        };
        let rest = |from, to| Minutes((spots.between(from, to).0 - charge(to)).max(0));
        // Without them a detour may be cheaper; a lower bound takes it.
        Changes::from_fn(spots.size(), rest).with_detours()
    }

    /// What the visits of each spot take beside what is charged here, from the start on with this
    /// open.
    fn visits(&self, leaf: &Leaf<'_, W>, open: &Mask<W>) -> i64 {
        let mut visits = Visits::with(leaf, Counted::Spots, &self.discounted(leaf.spots), 0);
        visits.value(leaf, open, leaf.spot_at_start).min(NEVER)
    }

    /// The first coming and the first tool cost nothing, whoever charged them.
    fn without_first(&self, mut sum: i64, spot: u16, tool: u16) -> i64 {
        if spot == ANYWHERE {
            sum -= self.first_spot.min(sum);
        }
        if tool == ANYWHERE {
            sum -= self.first_tool.min(sum);
        }
        sum
    }
}

impl<const W: usize> Homes<W> {
    /// The places of a leaf; something is `open` from the start, or counts so. Up to `room` values
    /// are remembered in each.
    pub(crate) fn new(leaf: &Leaf<'_, W>, open: &Mask<W>, room: usize) -> Self {
        let outline = Outline::new(leaf);
        let shorter = Shorter::new(leaf, open);
        let place = |of: &OfPlace<W>| Place::new(of, &shorter, &outline.uses, room);
        let places: Vec<_> = outline.places.iter().map(place).collect();
        Self { shared: Shared::of(&places), places, outline }
    }

    /// For each thing the minutes that any dearer way of it gives to its place.
    pub(crate) fn shares(&self) -> &[i64] {
        &self.outline.shares
    }

    /// The changes of spot without what is charged here.
    pub(crate) fn discounted(&self, spots: &Changes) -> Changes {
        self.outline.discounted(spots)
    }

    /// What the visits of each spot take beside that, from the start on with this open.
    pub(crate) fn visits(&self, leaf: &Leaf<'_, W>, open: &Mask<W>) -> i64 {
        self.outline.visits(leaf, open)
    }

    /// No order from this state is charged less for using tools.
    pub(crate) fn value(&mut self, open: &Mask<W>, spot: u16, tool: u16) -> i64 {
        let (shares, at) = (&self.outline.shares, (spot, tool));
        let mut sum = 0;
        for place in &mut self.places {
            let value = place.value(shares, open, at, 0);
            if value >= NEVER {
                return NEVER;
            }
            sum += value;
        }
        self.outline.without_first(sum, spot, tool)
    }

    /// How much more is charged since every tool that is not in the hand is taken up once before it
    /// is brought anywhere ([`crate::first_use`]); it takes longer.
    pub(crate) fn more(&mut self, open: &Mask<W>, spot: u16, tool: u16) -> i64 {
        // Of those that cost nothing none is sure to be among them.
        if tool == ANYWHERE { 0 } else { self.by_places(open, (spot, tool)).1 }
    }

    /// The value with that.
    pub(crate) fn closely(&mut self, open: &Mask<W>, spot: u16, tool: u16) -> i64 {
        let (sum, more) = self.by_places(open, (spot, tool));
        if sum >= NEVER { NEVER } else { self.outline.without_first(sum + more, spot, tool) }
    }

    /// What each place charges by itself, summed up, and how much more all do together.
    fn by_places(&mut self, open: &Mask<W>, at: (u16, u16)) -> (i64, i64) {
        let shares = &self.outline.shares;
        let each: Vec<i64> =
            self.places.iter_mut().map(|place| place.value(shares, open, at, 0)).collect();
        if each.iter().any(|&value| value >= NEVER) {
            return (NEVER, 0);
        }
        let places = &mut self.places;
        let more = FirstUses { places, each: &each, shares, open, at }.more(&self.shared);
        (each.iter().sum(), more)
    }
}

/// What places that are the same in many sets charge, by all that it depends on.
#[derive(Default)]
pub(crate) struct Remembered(Map<Vec<u64>, i64>);

/// What was worked out and is not remembered yet.
pub(crate) type News = Vec<(Vec<u64>, i64)>;

impl Remembered {
    pub(crate) fn learn(&mut self, news: News) {
        if self.0.len() + news.len() > REMEMBERED {
            self.0.clear();
        }
        self.0.extend(news);
    }
}

/// Coarser bounds, soon worked out, for a set of which some is still `free` to be open or not: the
/// changes that the rest asks for.
pub(crate) struct Roughly<const W: usize> {
    outline: Outline<W>,
    open: Mask<W>,
    /// Spot and tool at the start.
    at: (u16, u16),
    /// The changes of spot, by visits.
    spots: i64,
    /// Each place's plain problem, the tool in the hand there, and all that its value depends on.
    places: Vec<(Plain<W>, u16, Vec<u64>)>,
}

impl<const W: usize> Roughly<W> {
    pub(crate) fn new(leaf: &Leaf<'_, W>, free: &Mask<W>) -> Self {
        let open = leaf.start.open.or(free);
        let outline = Outline::new(leaf);
        let (spot, tool) = (leaf.spot_at_start, leaf.tool_at_start);
        let spots = outline.visits(leaf, &open);
        let shorter = Shorter::new(leaf, &open);
        let place = |of: &OfPlace<W>| {
            let acts = needed_for(&of.members, shorter.of(&of.members, |_| true));
            let plain = Plain::new(of.members, acts, (&of.tools, &outline.uses), ROOM);
            let is_own = |at: &Charge| at.tool == tool && at.plain == at.taking_up;
            let is_held = of.spot == spot || of.tools.iter().any(is_own);
            let held = if is_held { plain.number(tool) } else { NONE };
            let key = plain.key(&outline.shares, &open, held);
            (plain, held, key)
        };
        let places = outline.places.iter().map(place).collect();
        Self { places, outline, open, at: (spot, tool), spots }
    }

    /// By what each place charges with the comings left out; at least each tool's uses there,
    /// counted as if all others were free.
    pub(crate) fn value(self, known: &Remembered, news: &mut News) -> i64 {
        let (open, shares) = (&self.open, &self.outline.shares);
        let mut sum = self.spots;
        for (mut plain, held, key) in self.places {
            let value = known.0.get(&key).copied().unwrap_or_else(|| {
                let value = plain.counted(open, held).max(plain.value(shares, open, held));
                news.push((key, value));
                value
            });
            sum = sum.saturating_add(value).min(NEVER);
        }
        self.outline.without_first(sum, self.at.0, self.at.1)
    }
}

/// What each place charges. A tool that is used at home in one place only is charged to taking it
/// up; the others are charged what coming to the place can bear too.
fn charges<const W: usize>(
    leaf: &Leaf<'_, W>,
    (spots, members): (&[u16], &[Mask<W>]),
    uses: &[Uses<W>],
) -> Vec<OfPlace<W>> {
    let everywhere = members.iter().fold(Mask::EMPTY, Mask::or);
    let all_tools = used(leaf.acts.iter().map(|a| a.tool).chain([leaf.tool_at_start]));
    let of_place = |(&spot, &members): (&u16, &Mask<W>)| {
        let others = everywhere.minus(&members);
        let into = cheapest_into(leaf.spots, spots, spot).unwrap_or(NEVER);
        let (mut tools, mut coming) = (Vec::new(), 0);
        for at_home in uses.iter().filter(|uses| uses.any.meets(&members)) {
            let tool = at_home.tool;
            let taking_up = cheapest_into(leaf.tools, &all_tools, tool).unwrap_or(0);
            let mut plain = taking_up;
            if at_home.any.meets(&others) {
                plain = taking_up.min(into);
                coming = coming.max(plain);
            }
            tools.push(Charge { tool, taking_up, plain });
        }
        let most = tools.iter().map(|tool| tool.taking_up).max().unwrap_or(0);
        OfPlace { spot, members, others, tools, coming, most }
    };
    spots.iter().zip(members).map(of_place).collect()
}

/// The one spot in which all cheapest ways of a thing are worked, if there is one.
fn home<const W: usize>(leaf: &Leaf<'_, W>, thing: usize) -> Option<u16> {
    let mut acts = leaf.opening(thing).filter(|a| a.excess == 0);
    let first = acts.next()?.spot;
    (first != ANYWHERE && acts.all(|a| a.spot == first)).then_some(first)
}

#[cfg(test)]
impl<const W: usize> Homes<W> {
    /// For each thing what its dearer ways give, and the places.
    pub(crate) fn parts(&mut self) -> (&[i64], &mut [Place<W>]) {
        (&self.outline.shares, &mut self.places)
    }

    /// What each place charges by itself, with some tools barred from all.
    fn apart(&mut self, leaf: &Leaf<'_, W>, barred: u64) -> i64 {
        let at = (leaf.spot_at_start, leaf.tool_at_start);
        let (shares, open) = (&self.outline.shares, &leaf.start.open);
        let sum = self.places.iter_mut().map(|place| place.value(shares, open, at, barred)).sum();
        self.outline.without_first(sum, at.0, at.1)
    }

    /// A twin that takes no tool to a place where it was not taken up.
    fn brings_nothing(mut self) -> Self {
        self.places.iter_mut().for_each(Place::brings_nothing);
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::leaf::tests::each_with_everything_off;
    use crate::relax::Relaxed;
    use crate::search::{Bounds, Outcome, Search};

    /// The bound of both directions of small believable machines with everything off, and the
    /// least that each costs.
    fn bounds_and_least(bound: impl Fn(&Leaf<'_, 2>) -> i64) -> Vec<(i64, i64)> {
        let mut all = Vec::new();
        each_with_everything_off(0..30, 40, |_, leaf| {
            let mut bounds = Bounds::new(leaf);
            let mut search = Search::new(leaf, &mut bounds, 10);
            let mut patience = 100_000;
            let found = search.next_goal(leaf, &mut bounds, NEVER, &mut patience, &|| false);
            if let Outcome::Goal(goal) = found {
                all.push((bound(leaf), goal.cost));
            }
        });
        all
    }

    fn by_homes(leaf: &Leaf<'_, 2>, spots: impl Fn(&Homes<2>) -> Relaxed<2>) -> i64 {
        by(Homes::new(leaf, &leaf.start.open, 100_000), leaf, spots)
    }

    fn by(mut homes: Homes<2>, leaf: &Leaf<'_, 2>, spots: impl Fn(&Homes<2>) -> Relaxed<2>) -> i64 {
        let mut beside = spots(&homes);
        let (spot, tool) = (leaf.spot_at_start, leaf.tool_at_start);
        homes.value(&leaf.start.open, spot, tool)
            + beside.value(leaf, &leaf.start.open, spot, (0, NEVER))
    }

    /// The bound is never above the least, and mostly near; a twin that forgets to leave out of
    /// the spot changes what the places have charged to them is above it, and so is one that lets
    /// no tool be brought from another place.
    #[test]
    fn is_a_lower_bound() {
        let right =
            bounds_and_least(|leaf| by_homes(leaf, |homes| Relaxed::beside(leaf, homes, 100_000)));
        assert!(right.len() > 40, "only {} were searched to their end", right.len());
        assert!(right.iter().all(|(bound, least)| bound <= least), "{right:?}");
        let (bounds, least): (i64, i64) =
            right.iter().fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
        assert!(bounds * 100 > least * 85, "{bounds} of {least}");
        let twin = bounds_and_least(|leaf| by_homes(leaf, |_| Relaxed::new(leaf, 100_000)));
        assert!(twin.iter().any(|(bound, least)| bound > least), "the twin is not found out");
        let twin = bounds_and_least(|leaf| {
            let homes = Homes::new(leaf, &leaf.start.open, 100_000).brings_nothing();
            by(homes, leaf, |homes| Relaxed::beside(leaf, homes, 100_000))
        });
        assert!(twin.iter().any(|(bound, least)| bound > least), "this one is not found out");
    }

    /// That a tool has to be taken up before it can be brought often makes the bound higher; a twin
    /// that asks for it in each of its places is above the least.
    #[test]
    fn a_tool_is_taken_up_once_before_it_is_brought() {
        let with = |barred: Option<u64>| {
            bounds_and_least(|leaf| {
                let mut homes = Homes::new(leaf, &leaf.start.open, 100_000);
                let (spot, tool) = (leaf.spot_at_start, leaf.tool_at_start);
                let uses = match barred {
                    None => homes.closely(&leaf.start.open, spot, tool),
                    Some(barred) => homes.apart(leaf, barred),
                };
                let mut beside = Relaxed::beside(leaf, &homes, 100_000);
                uses + beside.value(leaf, &leaf.start.open, spot, (0, NEVER))
            })
        };
        let (once, never, everywhere) = (with(None), with(Some(0)), with(Some(u64::MAX)));
        assert!(once.iter().all(|(bound, least)| bound <= least), "{once:?}");
        let higher = once.iter().zip(&never).filter(|(once, never)| once.0 > never.0).count();
        assert!(higher > 1, "higher in {higher} of {}", once.len());
        assert!(everywhere.iter().any(|(bound, least)| bound > least), "the twin is not found out");
    }
}
