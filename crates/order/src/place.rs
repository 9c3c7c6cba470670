//! What one place charges for the tools that are used at home there ([`crate::homes`]): a small
//! problem of its own, in which everything that is not at home in the place is free.
//!
//! The person is either on a visit to the place or away from it. During a visit tools are taken up;
//! what is worked on elsewhere can be opened between visits only. Each coming is charged what it
//! gives up of its minutes, and a tool may be brought with it: the one in the hand when the place
//! was left, or one that is still used at home in another place, where taking it up was charged.
//!
//! The value is searched for with the one that leaves comings out ([`crate::plain`]) for its
//! bound: is there a way for no more than that? If there is none, for no more than the next
//! possible value?

use crate::fail_soft::{Known, best_of, by_raising};
use crate::hash::{Map, Room};
use crate::homes::OfPlace;
use crate::local::ANYWHERE;
use crate::mask::Mask;
use crate::openings::{Opening, Openings};
use crate::plain::{Charge, Free, NONE, Plain, Uses};
use crate::relax::{NEVER, depth_max};
use crate::shorter::{Shorter, named, needed_for};

/// One place and the things that are at home there.
pub(crate) struct Place<const W: usize> {
    spot: u16,
    members: Mask<W>,
    /// All that what is done during a visit can depend on.
    matters: Mask<W>,
    /// What each coming is charged.
    coming: i64,
    /// The tools that are used at home here.
    tools: Vec<Tool<W>>,
    lists: Lists<W>,
    /// What dearer ways can open here.
    by_dearer: Mask<W>,
    plain: Plain<W>,
    /// Values during a visit, by what is open of what matters.
    during: Map<Key<W>, Known>,
    /// Values between visits, by what is open of the members.
    between: Map<Key<W>, Known>,
    /// What is open between visits, by what is open of the members.
    left: Map<Mask<W>, Mask<W>>,
    room: Room,
    depth: usize,
}

/// The actions as one place sees them.
struct Lists<const W: usize> {
    /// What is free during a visit.
    free: Free<W>,
    /// What is not at home here.
    beyond: Openings<W>,
    /// The dearer ways of what is at home here.
    dearer: Vec<Opening<W>>,
}

/// What is open, the tool in the hand, the tools that may be brought and those that are barred.
type Key<const W: usize> = (Mask<W>, u16, u64, u64);

/// A tool in one place.
struct Tool<const W: usize> {
    charge: Charge,
    /// What it is used for at home there.
    uses: Uses<W>,
    /// The actions of its uses.
    acts: Vec<Opening<W>>,
    /// What is at home in other places and can be done with it; until all that is open, it may be
    /// brought from there, where taking it up was charged.
    elsewhere: Mask<W>,
}

/// The tools of a place that are at hand.
#[derive(Clone, Copy)]
struct Hand {
    /// Index of the tool in the hand, or [`NONE`].
    held: u16,
    /// Bits of the tools that may be brought from elsewhere.
    brought: u64,
    /// Of these the ones that have to be taken up here first.
    barred: u64,
}

/// A state of a place's problem.
#[derive(Clone, Copy)]
struct At<const W: usize> {
    open: Mask<W>,
    hand: Hand,
    on_visit: bool,
}

/// What a step is charged, and where it leads.
type Step<const W: usize> = (i64, At<W>);

impl Hand {
    fn with(self, held: u16) -> Self {
        let taken = 1_u64.checked_shl(held.into()).unwrap_or(0);
        Self { held, barred: self.barred & !taken, ..self }
    }

    /// Whether a tool may be brought; those beyond the bits always may.
    fn may_bring(self, tool: usize) -> bool {
        tool >= 64 || (self.brought & !self.barred) >> tool & 1 == 1
    }
}

impl<const W: usize> Tool<W> {
    /// Whether something can be opened with it.
    fn is_of_use(&self, open: &Mask<W>) -> bool {
        !self.uses.any.is_within(open) && self.acts.iter().any(|act| act.is_ready(open))
    }
}

impl<const W: usize> Place<W> {
    /// A place of a leaf with the uses of the leaf's tools. Up to `room` values are remembered.
    pub(crate) fn new(
        of: &OfPlace<W>,
        shorter: &Shorter<'_, '_, W>,
        uses: &[Uses<W>],
        room: usize,
    ) -> Self {
        let &OfPlace { spot, members, others, .. } = of;
        let everything = shorter.of(&members, |_| true);
        let plain = needed_for(&members, everything.clone());
        let is_near =
            |act: &Opening<W>| members.has(act.thing) || act.spot == spot || act.spot == ANYWHERE;
        // With what the dearer ways of its own wait for; these themselves are chosen one by one.
        let mut nearby = needed_for(&members, shorter.of(&members, is_near));
        nearby.retain(|act| !act.dearer || !members.has(act.thing));
        let dearer: Vec<_> = plain.iter().filter(|act| act.dearer).cloned().collect();
        // What can be waited for during a visit.
        let waited_for = named(nearby.iter().chain(&dearer)).minus(&members);
        let mut beyond = needed_for(&waited_for, everything);
        beyond.retain(|act| !members.has(act.thing));
        let free = Free::new(&nearby, &of.tools);
        let tool = |&charge: &Charge| {
            let at_home = Uses::on(uses, charge.tool, &members);
            let acts = nearby.iter().filter(|act| at_home.has(act)).cloned().collect();
            let elsewhere = Uses::on(uses, charge.tool, &others).any;
            Tool { charge, uses: at_home, acts, elsewhere }
        };
        Self {
            spot,
            members,
            matters: members.or(&waited_for),
            coming: of.coming,
            tools: of.tools.iter().map(tool).collect(),
            by_dearer: dearer.iter().map(|act| act.thing).collect(),
            plain: Plain::new(members, plain, (&of.tools, uses), room),
            lists: Lists { free, beyond: Openings::new(beyond), dearer },
            during: Map::default(),
            between: Map::default(),
            left: Map::default(),
            room: Room::new(room),
            depth: 0,
        }
    }

    /// What is charged here at least from a state; the tools of the bits that are `barred` have to
    /// be taken up here before they can be brought.
    pub(crate) fn value(
        &mut self,
        shares: &[i64],
        open: &Mask<W>,
        (spot, tool): (u16, u16),
        barred: u64,
    ) -> i64 {
        if self.members.is_within(open) {
            return 0;
        }
        self.plain.asked();
        if self.room.begins_anew() {
            self.during.clear();
            self.between.clear();
            self.left.clear();
        }
        let hand = Hand { barred, ..self.hand(open, tool) };
        let on_visit = spot == self.spot;
        let at = if on_visit {
            self.counted(At { open: self.stay(*open, hand.held), hand, on_visit })
        } else {
            // What counts away from here is what is open of the members, known already.
            let at = self.counted(At { open: *open, hand, on_visit });
            match self.between.get(&self.key(&at)) {
                Some(known) if known.exact => return known.least,
                _ => At { open: self.leave(*open), ..at },
            }
        };
        let least = self.known(shares, &at).least;
        by_raising(least, NEVER, |limit| self.least(shares, at, limit))
    }

    /// The tools that are used at home here.
    pub(crate) fn tools(&self) -> impl Iterator<Item = u16> {
        self.tools.iter().map(|tool| tool.charge.tool)
    }

    /// Whether a tool, by its number, is still used both here and at home elsewhere.
    pub(crate) fn shares(&self, number: usize, open: &Mask<W>) -> bool {
        let tool = &self.tools[number];
        !tool.uses.any.is_within(open) && !tool.elsewhere.is_within(open)
    }

    /// What may be in the hand here, and what may be brought.
    fn hand(&self, open: &Mask<W>, tool: u16) -> Hand {
        let mut hand = Hand { held: NONE, brought: 0, barred: 0 };
        for (number, at) in self.tools.iter().enumerate() {
            if at.uses.any.is_within(open) {
                continue;
            }
            if at.charge.tool == tool {
                hand.held = number as u16;
            }
            if number < 64 && !at.elsewhere.is_within(open) {
                hand.brought |= 1 << number;
            }
        }
        hand
    }

    /// Opens all that is free during a visit with a tool in the hand.
    fn stay(&self, open: Mask<W>, held: u16) -> Mask<W> {
        self.lists.free.close(open, held)
    }

    /// Opens all that is open between visits.
    fn leave(&mut self, open: Mask<W>) -> Mask<W> {
        let (beyond, members) = (&self.lists.beyond, &self.members);
        *self.left.entry(open.and(members)).or_insert_with(|| beyond.close(open))
    }

    /// The same state without a tool in the hand that says nothing: it is of no use later, or may
    /// be brought in any case and nothing dearer can make it useful before that.
    fn counted(&self, at: At<W>) -> At<W> {
        let Some(held) = self.tools.get(usize::from(at.hand.held)) else { return at };
        let may_be_brought = at.hand.may_bring(usize::from(at.hand.held));
        let is_brought = may_be_brought && self.by_dearer.is_within(&at.open);
        let says_nothing = held.uses.any.is_within(&at.open) || is_brought;
        if says_nothing { At { hand: at.hand.with(NONE), ..at } } else { at }
    }

    fn key(&self, at: &At<W>) -> Key<W> {
        let counts = if at.on_visit { &self.matters } else { &self.members };
        (at.open.and(counts), at.hand.held, at.hand.brought, at.hand.barred)
    }

    /// What is known of a state, at least its plain value.
    fn known(&mut self, shares: &[i64], at: &At<W>) -> Known {
        if self.members.is_within(&at.open) {
            return Known { least: 0, exact: true };
        }
        let key = self.key(at);
        let all = if at.on_visit { &self.during } else { &self.between };
        if let Some(&known) = all.get(&key) {
            return known;
        }
        let is_carried = |tool: &Tool<W>| at.on_visit || tool.charge.plain > self.coming;
        let held = self.tools.get(usize::from(at.hand.held));
        let held = if held.is_some_and(is_carried) { at.hand.held } else { NONE };
        Known { least: self.plain.value(shares, &at.open, held), exact: false }
    }

    /// What a state is charged, if that is no more than `limit`; else more than that and never more
    /// than what it is charged.
    fn least(&mut self, shares: &[i64], at: At<W>, limit: i64) -> i64 {
        let known = self.known(shares, &at);
        if known.answers(limit) {
            return known.least;
        }
        if self.depth >= depth_max(W) || !self.room.take() {
            return known.least;
        }
        self.depth += 1;
        let steps = self.next(shares, &at);
        let best =
            best_of(steps, (known.least, limit), |next, limit| self.least(shares, next, limit));
        self.depth -= 1;
        let key = self.key(&at);
        let all = if at.on_visit { &mut self.during } else { &mut self.between };
        all.insert(key, Known::below(limit, best));
        best
    }

    /// The states that can come next, with what is charged by way of each at least and what the
    /// step is charged, the least first.
    fn next(&mut self, shares: &[i64], at: &At<W>) -> Vec<(i64, i64, At<W>)> {
        let mut steps = Vec::new();
        if at.on_visit {
            if let Some((charge, next)) = self.takings_up(at, &mut steps) {
                let next = self.counted(next);
                return vec![(
                    self.known(shares, &next).least.saturating_add(charge),
                    charge,
                    next,
                )];
            }
            let open = self.leave(at.open);
            if open == at.open {
                self.comings(at, false, &mut steps);
            } else {
                steps.push((0, At { open, on_visit: false, ..*at }));
            }
        } else {
            self.comings(at, true, &mut steps);
        }
        for thing in self.ready_dearer(&at.open).iter() {
            let open = at.open.with(thing);
            let open = if at.on_visit { self.stay(open, at.hand.held) } else { self.leave(open) };
            steps.push((shares[thing], At { open, ..*at }));
        }
        let with_bound = |(charge, next): Step<W>| {
            let next = self.counted(next);
            (self.known(shares, &next).least.saturating_add(charge), charge, next)
        };
        let mut steps: Vec<_> = steps.into_iter().map(with_bound).collect();
        steps.sort_by_key(|&(least, ..)| least);
        steps
    }

    /// The tools that can be taken up; that one is returned for which nothing else has to be tried:
    /// where it has to be taken up in any case, is never
    /// brought, is of no more use afterwards, and what is in the hand is no worse left here than
    /// carried along.
    fn takings_up(&self, at: &At<W>, steps: &mut Vec<Step<W>>) -> Option<Step<W>> {
        let hand = at.hand;
        let may_be_left = hand.held == NONE || hand.may_bring(usize::from(hand.held));
        for (number, tool) in self.tools.iter().enumerate() {
            if !tool.is_of_use(&at.open) {
                continue;
            }
            let open = self.stay(at.open, number as u16);
            let step = (
                tool.charge.taking_up,
                At { open, hand: hand.with(number as u16), on_visit: true },
            );
            let is_last =
                open.minus(&at.open).meets(&tool.uses.only) && tool.uses.any.is_within(&open);
            if is_last && may_be_left && !hand.may_bring(number) {
                return Some(step);
            }
            steps.push(step);
        }
        None
    }

    /// The next comings. Where nothing opened since the last one, they are only made for a tool
    /// that is brought for less than taking it up.
    fn comings(&self, at: &At<W>, news: bool, steps: &mut Vec<Step<W>>) {
        let bare = self.stay(at.open, NONE);
        let by_dearer = !self.by_dearer.is_within(&at.open);
        let mut without = news;
        for (number, tool) in self.tools.iter().enumerate() {
            let is_held = usize::from(at.hand.held) == number;
            let is_brought = is_held || at.hand.may_bring(number);
            let is_worth_it = news || self.coming < tool.charge.taking_up;
            if !is_brought || !is_worth_it || tool.uses.any.is_within(&at.open) {
                continue;
            }
            if by_dearer || tool.is_of_use(&bare) {
                let held = number as u16;
                let open = self.stay(bare, held);
                if news || open != at.open {
                    // What is in the hand and of no use now may be of use later.
                    without &= !is_held && at.hand.held != NONE;
                    let next = At { open, hand: at.hand.with(held), on_visit: true };
                    steps.push((self.coming, next));
                }
            }
        }
        if without {
            steps.push((self.coming, At { open: bare, on_visit: true, ..*at }));
        }
    }

    /// What is at home here and could be opened by a dearer way.
    fn ready_dearer(&self, open: &Mask<W>) -> Mask<W> {
        let ready = self.lists.dearer.iter().filter(|act| act.is_ready(open));
        ready.map(|act| act.thing).collect()
    }
}

#[cfg(test)]
impl<const W: usize> Place<W> {
    /// A twin to which nothing is brought from elsewhere.
    pub(crate) fn brings_nothing(&mut self) {
        self.tools.iter_mut().for_each(|tool| tool.elsewhere = Mask::EMPTY);
    }
}

#[cfg(test)]
mod tests {
    use std::collections::{BTreeSet, HashMap};

    use super::*;
    use crate::homes::Homes;
    use crate::leaf::Leaf;
    use crate::leaf::tests::{each_random_with_everything_off, each_with_everything_off};
    use crate::search::{State, successors};

    /// A place's problem as it is told above, tried out state by state: no shorter lists, no bound,
    /// nothing left out. Open, tool in the hand (of any place), on a visit.
    type Slow = (Mask<2>, u16, bool);

    fn slowly(leaf: &Leaf<'_, 2>, place: &Place<2>, shares: &[i64], from: &State<2>) -> i64 {
        let members = &place.members;
        let opened = |open: Mask<2>, may: &dyn Fn(&Opening<2>) -> bool| {
            leaf.openings().close_by(open, |act| may(act))
        };
        let at_rest = |(open, tool, on_visit): Slow| -> Slow {
            let reached = opened(open, &|act| {
                let is_member = members.has(act.thing);
                let is_here = act.spot == place.spot || act.spot == ANYWHERE;
                let in_hand = act.tool == ANYWHERE || act.tool == tool;
                match (on_visit, is_member) {
                    (true, true) => !act.dearer && in_hand,
                    (true, false) => is_here,
                    (false, is_member) => !is_member,
                }
            });
            (reached, tool, on_visit)
        };
        let used_elsewhere = |tool: u16| {
            place
                .tools
                .iter()
                .any(|at| at.charge.tool == tool && !at.elsewhere.is_within(&from.at.open))
        };
        let mut least: HashMap<Slow, i64> = HashMap::new();
        let mut queue = BTreeSet::new();
        let start = at_rest((from.at.open, from.tool, from.spot == place.spot));
        least.insert(start, 0);
        queue.insert((0, start.0.words().to_vec(), start.1, start.2));
        while let Some((cost, words, tool, on_visit)) = queue.pop_first() {
            let open = (0..128).filter(|bit| words[bit / 64] >> (bit % 64) & 1 == 1).collect();
            if members.is_within(&open) {
                return cost;
            }
            let mut next: Vec<(i64, Slow)> = Vec::new();
            for at in &place.tools {
                let Charge { tool: other, taking_up, .. } = at.charge;
                if on_visit {
                    next.push((taking_up, (open, other, true)));
                } else if used_elsewhere(other) {
                    next.push((place.coming, (open, other, true)));
                }
            }
            if on_visit {
                next.push((0, (open, tool, false)));
            } else {
                next.push((place.coming, (open, tool, true)));
            }
            for act in leaf.openings().iter() {
                if act.dearer && members.has(act.thing) && act.is_ready(&open) {
                    let share = shares[act.thing];
                    next.push((share, (open.with(act.thing), tool, on_visit)));
                }
            }
            for (more, state) in next {
                let state = at_rest(state);
                let known = least.get(&state).copied().unwrap_or(NEVER);
                if cost + more < known {
                    least.insert(state, cost + more);
                    queue.insert((cost + more, state.0.words().to_vec(), state.1, state.2));
                }
            }
        }
        NEVER
    }

    /// What is searched for with shorter lists and a bound is what trying everything finds, never
    /// more.
    #[test]
    fn is_what_trying_everything_finds() {
        let (mut seen, mut below, mut above_plain) = (0, 0, 0);
        let mut compare = |seed: u64, leaf: &Leaf<'_, 2>| {
            let mut homes = Homes::new(leaf, &leaf.start.open, 100_000);
            let mut state = State::start(leaf);
            // Some way through, not a good one.
            for step in 0.. {
                let (shares, places) = homes.parts();
                for place in places {
                    let value = place.value(shares, &state.at.open, (state.spot, state.tool), 0);
                    let slow = slowly(leaf, place, shares, &state);
                    assert!(value <= slow, "seed {seed}: {value} is more than {slow}");
                    below += usize::from(value < slow);
                    seen += 1;
                    let plain = place.plain.value(shares, &state.at.open, NONE);
                    above_plain += usize::from(value > plain);
                }
                let next = successors(leaf, &state);
                let Some((next, ..)) = next.get(step * 7 % next.len().max(1)) else { break };
                state = *next;
            }
        };
        each_with_everything_off(0..12, 30, &mut compare);
        each_random_with_everything_off(0..2_000, &mut compare);
        // What a dearer way waits for counts as opened though it is not nearby.
        assert!(below * 1_000 < seen && seen > 10_000, "{below} of {seen} values are below");
        assert!(above_plain > 50, "comings count in {above_plain} only");
    }
}
