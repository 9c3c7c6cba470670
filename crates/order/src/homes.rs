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

use crate::hash::{Map, Room};
use crate::leaf::{Act, Leaf};
use crate::local::ANYWHERE;
use crate::mask::Mask;
use crate::openings::{Opening, close};
use crate::relax::NEVER;
use crate::visits::{Counted, Visits, cheapest_into, used};

/// The places of one leaf, with what is remembered of each.
pub(crate) struct Homes<const W: usize> {
    places: Vec<Place<W>>,
    /// For each thing the minutes that any dearer way of it gives to its place.
    pub(crate) shares: Vec<i64>,
    /// What the first coming to a place, which costs nothing, may have been charged.
    first_spot: i64,
    /// The same of the first taking up of a tool.
    first_tool: i64,
    /// For each spot in use, what each coming to it may be charged.
    discounts: Vec<(u16, i64)>,
}

/// One place and the things that are at home there.
struct Place<const W: usize> {
    spot: u16,
    members: Mask<W>,
    /// The tools that are used at home here.
    tools: Vec<Tool<W>>,
    /// Tools that are used at home in this place only: their use is always charged to taking them
    /// up, wherever that is.
    own: Vec<u16>,
    /// Values by what is open of the members when nothing else is free, and the tool in the hand.
    known: Map<(Mask<W>, u16), i64>,
    /// Values by what is open when everything free is open too.
    closed: Map<(Mask<W>, u16), i64>,
    room: Room,
    depth: usize,
}

/// A tool in one place.
struct Tool<const W: usize> {
    tool: u16,
    /// What its use after another tool's is charged.
    charge: i64,
    /// What is at home there and can be done with it at its cheapest.
    uses: Mask<W>,
    /// What can be done with nothing else.
    only: Mask<W>,
}

impl<const W: usize> Tool<W> {
    fn new(leaf: &Leaf<'_, W>, members: &Mask<W>, (tool, charge): (u16, i64)) -> Self {
        let with = |act: &Act<W>| act.excess == 0 && act.tool == tool;
        let uses = members.iter().filter(|&thing| leaf.opening(thing).any(with)).collect();
        let only = members.iter().filter(|&thing| leaf.opening(thing).all(with)).collect();
        Self { tool, charge, uses, only }
    }
}

/// What one place charges.
struct Charges {
    /// Tool and what its use after another tool's is charged.
    tools: Vec<(u16, i64)>,
    own: Vec<u16>,
    /// The most that a coming to the place gives up.
    coming: i64,
    /// The most that any use is charged.
    most: i64,
}

impl<const W: usize> Homes<W> {
    pub(crate) fn new(leaf: &Leaf<'_, W>, room: usize) -> Self {
        let things = leaf.local.things.len();
        let home: Vec<Option<u16>> = (0..things).map(|t| home(leaf, t)).collect();
        let spots = used(leaf.acts.iter().map(|a| a.spot).chain([leaf.spot_at_start]));
        let at_home = |&spot: &u16| (0..things).filter(|&t| home[t] == Some(spot)).collect();
        let members: Vec<Mask<W>> = spots.iter().map(at_home).collect();
        let mut homes = Self {
            places: Vec::new(),
            shares: vec![0; things],
            first_spot: 0,
            first_tool: 0,
            discounts: Vec::new(),
        };
        let all = charges(leaf, &spots, &members);
        for ((spot, members), charges) in spots.into_iter().zip(members).zip(all) {
            if charges.most == 0 {
                continue;
            }
            for thing in members.iter() {
                let dearer = leaf.opening(thing).filter(|a| a.excess > 0).map(|a| a.excess);
                homes.shares[thing] = dearer.min().unwrap_or(0).min(charges.most);
            }
            homes.first_spot = homes.first_spot.max(charges.coming);
            homes.first_tool = homes.first_tool.max(charges.most);
            homes.discounts.push((spot, charges.coming));
            homes.places.push(Place::new(leaf, spot, members, charges, room));
        }
        homes
    }

    /// The changes of spot without what is charged here.
    pub(crate) fn discounted(&self, spots: &Changes) -> Changes {
        let charge = |to: usize| {
            let found = self.discounts.iter().find(|(spot, _)| usize::from(*spot) == to);
            found.map_or(0, |(_, charge)| *charge)
        };
        let rest = |from, to| Minutes((spots.between(from, to).0 - charge(to)).max(0));
        // Without them a detour may be cheaper; a lower bound takes it.
        Changes::from_fn(spots.size(), rest).with_detours()
    }

    /// No order from this state is charged less for using tools.
    pub(crate) fn value(
        &mut self,
        leaf: &Leaf<'_, W>,
        open: &Mask<W>,
        spot: u16,
        tool: u16,
    ) -> i64 {
        let mut sum = 0;
        for place in &mut self.places {
            let held = place.held(spot, tool);
            let value = place.value((leaf.openings(), &self.shares), open, held);
            if value >= NEVER {
                return NEVER;
            }
            sum += value;
        }
        self.without_first(sum, spot, tool)
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

impl<const W: usize> Place<W> {
    fn new(leaf: &Leaf<'_, W>, spot: u16, members: Mask<W>, charges: Charges, room: usize) -> Self {
        let Charges { tools, own, .. } = charges;
        Self {
            spot,
            members,
            tools: tools.into_iter().map(|tool| Tool::new(leaf, &members, tool)).collect(),
            own,
            known: Map::default(),
            closed: Map::default(),
            room: Room::new(room),
            depth: 0,
        }
    }

    /// The tool that may be used here without being charged, if one may.
    fn held(&self, spot: u16, tool: u16) -> u16 {
        if self.spot == spot || self.own.contains(&tool) { tool } else { ANYWHERE }
    }

    fn value(&mut self, (all, shares): (&[Opening<W>], &[i64]), open: &Mask<W>, held: u16) -> i64 {
        let here = open.and(&self.members);
        let held = if self.tools.iter().any(|at| at.tool == held) { held } else { ANYWHERE };
        if here == self.members {
            return 0;
        }
        if let Some(&value) = self.known.get(&(here, held)) {
            return value;
        }
        if self.room.begins_anew() {
            self.known.clear();
            self.closed.clear();
        }
        let reached = self.close(all, *open, held);
        let value = self.least((all, shares), reached, held);
        self.room.take();
        self.known.insert((here, held), value);
        value
    }

    /// How often one tool has to be taken up here if everything else were free.
    fn uses(&self, all: &[Opening<W>], open: &Mask<W>, tool: u16, held: bool) -> i64 {
        let (mut reached, mut uses) = (*open, 0);
        if held {
            reached = self.close(all, reached, tool);
        }
        loop {
            reached = close(all, reached, |act| {
                act.dearer || act.tool != tool || !self.members.has(act.thing)
            });
            let before = reached;
            reached = self.close(all, reached, tool);
            if reached == before {
                return uses;
            }
            uses += 1;
        }
    }

    /// Opens all that is free: what is not at home here, and what is and needs no other tool than
    /// the one in the hand.
    fn close(&self, all: &[Opening<W>], open: Mask<W>, held: u16) -> Mask<W> {
        close(all, open, |act| {
            !self.members.has(act.thing)
                || !act.dearer && (act.tool == ANYWHERE || act.tool == held)
        })
    }

    fn least(
        &mut self,
        (all, shares): (&[Opening<W>], &[i64]),
        reached: Mask<W>,
        held: u16,
    ) -> i64 {
        if self.members.is_within(&reached) {
            return 0;
        }
        if let Some(&value) = self.closed.get(&(reached, held)) {
            return value;
        }
        if self.depth > 400 || !self.room.take() {
            return 0;
        }
        self.depth += 1;
        let mut best = NEVER;
        for (tool, charge, next) in self.takings_up(all, reached) {
            if charge < best {
                best = best.min(charge + self.least((all, shares), next, tool));
            }
        }
        let dearer = |act: &&Opening<W>| act.dearer && self.members.has(act.thing);
        let dearer = all.iter().filter(dearer).filter(|act| act.is_ready(&reached));
        for thing in dearer.map(|act| act.thing).collect::<Mask<W>>().iter() {
            if shares[thing] < best {
                let next = self.close(all, reached.with(thing), held);
                best = best.min(shares[thing] + self.least((all, shares), next, held));
            }
        }
        self.depth -= 1;
        self.closed.insert((reached, held), best);
        best
    }

    /// The tools that can be taken up, what that is charged, and what is open after each; one
    /// alone where that is of no more use afterwards: it has to be taken up in any case, and never
    /// dearer than now.
    fn takings_up(&self, all: &[Opening<W>], reached: Mask<W>) -> Vec<(u16, i64, Mask<W>)> {
        let mut takings = Vec::new();
        for at in self.tools.iter().filter(|at| !at.uses.is_within(&reached)) {
            let next = self.close(all, reached, at.tool);
            if next == reached {
                continue;
            }
            let taking = (at.tool, at.charge, next);
            if next.minus(&reached).meets(&at.only) && at.uses.is_within(&next) {
                return vec![taking];
            }
            takings.push(taking);
        }
        takings
    }
}

/// A coarser bound, soon worked out, for a set of which some is still `free` to be open or not:
/// the changes that the rest asks for, counted by each tool's uses in each place and the visits
/// of each spot.
pub(crate) fn least_changes<const W: usize>(leaf: &Leaf<'_, W>, free: &Mask<W>) -> i64 {
    let open = leaf.start.open.or(free);
    let homes = Homes::new(leaf, 0);
    let mut spots = Visits::with(leaf, Counted::Spots, &homes.discounted(leaf.spots), 0);
    let mut sum = spots.value(leaf, &open, leaf.spot_at_start).min(NEVER);
    for place in &homes.places {
        for at in &place.tools {
            let held = place.held(leaf.spot_at_start, leaf.tool_at_start) == at.tool;
            sum = sum.saturating_add(
                place.uses(leaf.openings(), &open, at.tool, held).saturating_mul(at.charge),
            );
        }
    }
    homes.without_first(sum, leaf.spot_at_start, leaf.tool_at_start).min(NEVER)
}

/// What each place charges. A tool that is used at home in one place only is charged to taking it
/// up; the others are charged what coming to the place can bear too.
fn charges<const W: usize>(leaf: &Leaf<'_, W>, spots: &[u16], members: &[Mask<W>]) -> Vec<Charges> {
    let all_tools = used(leaf.acts.iter().map(|a| a.tool).chain([leaf.tool_at_start]));
    let at_home = |members: &Mask<W>| {
        let acts = leaf.acts.iter().filter(|a| a.excess == 0 && !a.is_start);
        used(acts.filter(|a| members.has(a.thing)).map(|a| a.tool))
    };
    let in_use: Vec<Vec<u16>> = members.iter().map(at_home).collect();
    let of_place = |place: usize| {
        let coming = cheapest_into(leaf.spots, spots, spots[place]).unwrap_or(NEVER);
        let elsewhere = |tool: &u16| {
            in_use.iter().enumerate().any(|(p, tools)| p != place && tools.contains(tool))
        };
        let (shared, own): (Vec<u16>, Vec<u16>) =
            in_use[place].iter().copied().partition(elsewhere);
        let taking_up = |tool: u16| cheapest_into(leaf.tools, &all_tools, tool).unwrap_or(0);
        let mut tools: Vec<_> = shared.iter().map(|&t| (t, taking_up(t).min(coming))).collect();
        let most_of = |tools: &[(u16, i64)]| tools.iter().map(|(_, c)| *c).max().unwrap_or(0);
        let coming = most_of(&tools);
        tools.extend(own.iter().map(|&t| (t, taking_up(t))));
        let most = most_of(&tools);
        Charges { tools, own, coming, most }
    };
    (0..spots.len()).map(of_place).collect()
}

/// The one spot in which all cheapest ways of a thing are worked, if there is one.
fn home<const W: usize>(leaf: &Leaf<'_, W>, thing: usize) -> Option<u16> {
    let mut acts = leaf.opening(thing).filter(|a| a.excess == 0);
    let first = acts.next()?.spot;
    (first != ANYWHERE && acts.all(|a| a.spot == first)).then_some(first)
}

#[cfg(test)]
mod tests {
    use lastbolt_machine::{Extra, compile};
    use lastbolt_testkit::layered_machine;

    use super::*;
    use crate::answer::Ask;
    use crate::local::{BUILD, Local, STRIP, is_metric, relevant};
    use crate::relax::Relaxed;
    use crate::search::{Bounds, Outcome, Search};

    /// The bound of both directions of small believable machines with everything off, and the
    /// least that each costs.
    fn bounds_and_least(bound: impl Fn(&Leaf<'_, 2>) -> i64) -> Vec<(i64, i64)> {
        let mut all = Vec::new();
        for seed in 0..30 {
            let (machine, job) = layered_machine(seed, 40);
            let kernel = compile(&machine, &job, &Extra::default()).expect("it is legal");
            let metric = is_metric(&kernel);
            let local = Local::<2>::new(&kernel, &relevant(&kernel, metric), metric);
            let set = (0..local.things.len()).collect();
            for direction in [STRIP, BUILD] {
                let leaf = Leaf::new(&kernel, &local, direction, set).expect("all can come off");
                let mut bounds = Bounds::new(&leaf);
                let mut search = Search::new(&leaf, &mut bounds, 10);
                let mut patience = 100_000;
                let ask = Ask::default();
                let found = search.next_goal(&leaf, &mut bounds, NEVER, &mut patience, &ask);
                if let Outcome::Goal(goal) = found {
                    all.push((bound(&leaf), goal.cost));
                }
            }
        }
        all
    }

    fn by_homes(leaf: &Leaf<'_, 2>, spots: impl Fn(&Homes<2>) -> Relaxed<2>) -> i64 {
        let mut homes = Homes::new(leaf, 100_000);
        let mut beside = spots(&homes);
        let (spot, tool) = (leaf.spot_at_start, leaf.tool_at_start);
        homes.value(leaf, &leaf.start.open, spot, tool) + beside.value(leaf, &leaf.start.open, spot)
    }

    /// The bound is never above the least, and mostly near; a twin that forgets to leave out of
    /// the spot changes what the places have charged to them is above it.
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
    }
}
