//! The problem of one direction once it is settled what comes off.
//!
//! Both directions are searched by opening things: the strip forwards by the ways of opening,
//! the build back backwards from the whole machine by the ways of closing (forwards it walks into
//! dead ends: a part on before the thing behind it). Costs here are changes of spot and tool and
//! the minutes by which a way is dearer than the cheapest usable one; the rest is the same in
//! every order.

use lastbolt_machine::{Changes, Kernel, Kind};

use crate::beads::Beads;
use crate::bearing::{Borne, Hung};
use crate::last_use::LastUse;
use crate::local::{ANYWHERE, BENCH, BUILD, Local, STRIP};
use crate::mask::Mask;
use crate::openings::{Opening, Openings, is_met};

/// What is open, and which members of groups are started.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Open<const W: usize> {
    pub open: Mask<W>,
    pub started: Mask<W>,
}

/// One action of one direction for a settled set.
#[derive(Clone, Debug)]
pub(crate) struct Act<const W: usize> {
    /// Index in [`Leaf::acts`].
    pub number: usize,
    pub thing: usize,
    /// Index in the local list of ways.
    pub way: usize,
    pub spot: u16,
    pub tool: u16,
    /// Minutes of the step.
    pub minutes: i64,
    /// Minutes above the cheapest usable way.
    pub excess: i64,
    /// Whether this takes back a start by hand (build back of a group only).
    pub is_start: bool,
    /// Must be open for the way to work.
    pub must_be_open: Mask<W>,
    /// Of each of these, one must be open for the way to work.
    pub one_of: Box<[Mask<W>]>,
    /// Must be on for the way to work.
    must_be_on: Mask<W>,
    /// Whether the masks say everything.
    simple: bool,
}

impl<const W: usize> Act<W> {
    /// Whether what must be open for the way is: without that it never works.
    pub(crate) fn is_ready(&self, open: &Mask<W>) -> bool {
        is_met(&self.must_be_open, &self.one_of, open)
    }
}

/// One direction of a settled set.
pub(crate) struct Leaf<'a, const W: usize> {
    pub local: &'a Local<W>,
    pub direction: usize,
    /// All that is open at the turn.
    pub set: Mask<W>,
    /// What is surely open at the turn: all of `set` once it is settled.
    certain: Mask<W>,
    pub start: Open<W>,
    pub spot_at_start: u16,
    pub tool_at_start: u16,
    pub acts: Vec<Act<W>>,
    /// For each thing the range of its actions in `acts`.
    ranges: Vec<(usize, usize)>,
    /// Minutes that every order pays.
    pub base: i64,
    pub spots: &'a Changes,
    pub tools: &'a Changes,
    /// The things to open, in an order in which most can be opened one after the other.
    ordered: Vec<usize>,
    /// The actions that open something, as bounds see them, in that order.
    openings: Openings<W>,
    /// For each spot the actions that can be done there and cost nothing more, in that order; last
    /// those for where the spot is not known.
    at_once: Vec<Vec<u32>>,
    /// Ties of the group that may be in play.
    groups: Vec<Mask<W>>,
    /// For each thing the minutes of its cheapest usable way.
    pub least: Vec<i64>,
    /// What goes on with sealant (R24).
    pub beads: Beads<W>,
    /// The parts that may hang (R23).
    pub borne: Vec<Borne<W>>,
    /// What of them hangs, by state.
    pub hung: Hung<W>,
    /// When a tool's last use comes before another is taken up.
    pub last_use: LastUse<W>,
}

impl<'a, const W: usize> Leaf<'a, W> {
    /// The problem, or `None` if something of the set has no usable way.
    pub(crate) fn new(
        kernel: &'a Kernel,
        local: &'a Local<W>,
        direction: usize,
        set: Mask<W>,
    ) -> Option<Self> {
        let mut leaf = Self::partly_settled(kernel, local, direction, set, set)?;
        leaf.beads = Beads::of(&leaf);
        leaf.at_once = leaf.at_once();
        let all = leaf.ordered.len() == set.minus(&leaf.start.open).len();
        (all && !leaf.sets_too_soon()).then_some(leaf)
    }

    /// The same while only the `certain` part of the set is settled and no more than `set` can be
    /// open; not to be searched, but for [`Self::can_be_whole`], bounds and the numbers of things.
    pub(crate) fn partly_settled(
        kernel: &'a Kernel,
        local: &'a Local<W>,
        direction: usize,
        set: Mask<W>,
        certain: Mask<W>,
    ) -> Option<Self> {
        let never_closed: Mask<W> = (0..local.things.len())
            .filter(|&t| {
                let it = &local.things[t];
                set.has(t) && (it.by_itself || it.leave_off)
            })
            .collect();
        let strip = direction == STRIP;
        let open = if strip { local.open_at_start } else { never_closed };
        let groups = local.groups.iter().map(|g| {
            let members = g.iter().copied().filter(|&m| !local.things[m].leave_off);
            members.collect::<Mask<W>>().and(&set)
        });
        let borne = local.borne_while_only(&set);
        let mut leaf = Self {
            local,
            direction,
            set,
            certain,
            start: Open { open, started: Mask::EMPTY },
            spot_at_start: if strip { local.spot_at_start } else { ANYWHERE },
            tool_at_start: if strip { local.tool_at_start } else { ANYWHERE },
            acts: Vec::new(),
            ranges: vec![(0, 0); local.things.len()],
            base: 0,
            spots: &kernel.spot_changes,
            tools: &kernel.tool_changes,
            ordered: Vec::new(),
            openings: Openings::default(),
            at_once: Vec::new(),
            groups: groups.collect(),
            least: vec![0; local.things.len()],
            beads: Beads::default(),
            last_use: LastUse::default(),
            hung: Hung::new(local, &borne),
            borne,
        };
        for thing in set.minus(&open).iter() {
            let first = leaf.acts.len();
            if leaf.add_acts(thing).is_none() && certain.has(thing) {
                return None;
            }
            leaf.ranges[thing] = (first, leaf.acts.len());
        }
        for (number, act) in leaf.acts.iter_mut().enumerate() {
            act.number = number;
        }
        leaf.turn_round();
        leaf.ordered = leaf.reachable();
        let things = leaf.ordered.iter().flat_map(|&thing| leaf.opening(thing));
        leaf.openings = Openings::new(things.map(Opening::of).collect());
        Some(leaf)
    }

    /// What has to be on for every action of a thing can only come off after it; what all ways of
    /// opening a thing name must, going back, end after it (R11).
    fn turn_round(&mut self) {
        let mut after = vec![Mask::<W>::EMPTY; self.local.things.len()];
        let todo = self.certain.minus(&self.start.open);
        for thing in todo.iter() {
            let (first, last) = self.ranges[thing];
            let on = self.acts[first..last].iter().map(|a| a.must_be_on);
            let Some(on) = on.reduce(|a, b| a.and(&b)) else { continue };
            for part in on.and(&todo).iter() {
                after[part].add(thing);
            }
            let it = &self.local.things[thing];
            if self.direction == BUILD && !it.by_itself && !it.leave_off {
                let named = it.opening_needs.iter().copied().reduce(|a, b| a.and(&b));
                let held = named.unwrap_or(Mask::EMPTY).and(&todo).without(thing);
                after[thing] = after[thing].or(&held);
            }
            // Covers go on after the leak look, all else before (R28).
            let waits = &self.local.waits;
            if self.direction == BUILD && !waits.has(thing) && !self.local.needed_after.has(thing) {
                after[thing] = after[thing].or(&waits.and(&todo));
            }
        }
        for act in &mut self.acts {
            act.must_be_open = act.must_be_open.or(&after[act.thing]);
        }
    }

    /// Whether nothing that is settled waits for itself: a first, quick look that never says no
    /// wrongly.
    pub(crate) fn can_be_whole(&self) -> bool {
        let reached: Mask<W> = self.ordered.iter().copied().collect();
        self.certain.minus(&self.start.open).is_within(&reached)
    }

    /// What opens, one after the other, when only what must be open for it counts.
    fn reachable(&self) -> Vec<usize> {
        let mut reached = self.start.open;
        let mut order = Vec::new();
        let mut todo: Vec<usize> = (0..self.acts.len()).collect();
        loop {
            let before = todo.len();
            todo.retain(|&number| {
                let act = &self.acts[number];
                let opens = act.is_ready(&reached);
                if opens && !reached.has(act.thing) {
                    reached.add(act.thing);
                    order.push(act.thing);
                }
                !opens
            });
            if todo.len() == before {
                return order;
            }
        }
    }

    /// The lists of [`Self::acts_at_once`].
    fn at_once(&self) -> Vec<Vec<u32>> {
        let acts = self.ordered.iter().flat_map(|&thing| {
            let (first, last) = self.ranges[thing];
            &self.acts[first..last]
        });
        let mut lists = vec![Vec::new(); self.spots.size() + 1];
        for act in acts.filter(|act| act.excess == 0) {
            if act.spot == ANYWHERE {
                lists.iter_mut().for_each(|list| list.push(act.number as u32));
            } else {
                lists[usize::from(act.spot)].push(act.number as u32);
            }
        }
        lists
    }

    /// The actions that ask for no change and no minutes more where the person stands with a tool,
    /// in an order in which most can be done one after the other.
    pub(crate) fn acts_at_once(&self, spot: u16, tool: u16) -> impl Iterator<Item = &Act<W>> {
        let list = &self.at_once[usize::from(spot).min(self.spots.size())];
        let acts = list.iter().map(|&number| &self.acts[number as usize]);
        acts.filter(move |act| act.tool == ANYWHERE || act.tool == tool)
    }

    /// Whether an action's thing still asks for it in this state.
    pub(crate) fn is_wanted(&self, act: &Act<W>, at: &Open<W>) -> bool {
        let started = at.started.has(act.thing);
        act.is_start == started && (started || !at.open.has(act.thing))
    }

    fn add_acts(&mut self, thing: usize) -> Option<()> {
        let it = &self.local.things[thing];
        let ways = &it.ways[self.direction];
        // As the sets see it, whose bounds count the minutes of the cheapest.
        let clauses = &self.local.clauses[self.direction][thing];
        let usable: Vec<usize> = (0..ways.len())
            .filter(|&w| clauses[w].iter().all(|clause| clause.meets(&self.set)))
            .collect();
        let least = usable.iter().map(|&w| ways[w].minutes).min()?;
        self.base += least;
        self.least[thing] = least;
        let grouped = self.direction == BUILD && it.group.is_some();
        for &w in &usable {
            let act = self.act(thing, w, ways[w].minutes - least);
            if grouped {
                let (tool, minutes, excess) = (ANYWHERE, 0, 0);
                self.acts.push(Act { is_start: true, tool, minutes, excess, ..act.clone() });
            }
            // A dearer way from the same spot with the same tool that asks for no less is never
            // taken.
            let dominated = usable.iter().any(|&o| {
                o != w
                    && ways[o].spot == ways[w].spot
                    && ways[o].tool == ways[w].tool
                    && (ways[o].minutes, o) < (ways[w].minutes, w)
                    && ways[o].needs.is_within(&ways[w].needs)
                    && ways[o].clear.iter().all(|c| ways[w].clear.contains(c))
            });
            if !dominated {
                self.acts.push(act);
            }
        }
        Some(())
    }

    /// Whether a thing can come to another place while it stays as it is and `worked_on`, which
    /// counts as on (R7), stays too.
    fn can_move(&self, thing: usize, worked_on: usize) -> bool {
        let movers = self.local.movers[thing].without(thing).without(worked_on);
        movers.meets(&self.set)
    }

    fn act(&self, thing: usize, w: usize, excess: i64) -> Act<W> {
        let it = &self.local.things[thing];
        let way = &it.ways[self.direction][w];
        let mut act = Act {
            number: 0,
            thing,
            way: w,
            spot: way.spot,
            tool: way.tool,
            minutes: way.minutes,
            excess,
            is_start: false,
            must_be_open: way.needs,
            one_of: Box::default(),
            must_be_on: Mask::EMPTY,
            simple: true,
        };
        let in_machine = it.kind == Kind::Prep
            || (way.spot != ANYWHERE && way.spot != BENCH)
            || !self.can_move(thing, thing);
        for &other in &way.clear {
            if in_machine && !self.can_move(other, thing) {
                act.must_be_open.add(other);
            } else {
                act.simple = false;
            }
        }
        match it.kind {
            Kind::Prep => {}
            Kind::Part => self.seat_of_part(thing, in_machine, &mut act),
            Kind::Tie => self.place_of_tie(thing, in_machine, &mut act),
        }
        if self.direction == BUILD {
            self.hiders_first(thing, &mut act);
        }
        self.add_clauses(&mut act);
        act
    }

    /// Adds what must be open as the file's clauses say it, as far as it is not said yet.
    fn add_clauses(&self, act: &mut Act<W>) {
        let local = self.local;
        let of_way = &local.clauses[self.direction][act.thing][act.way];
        let mut one_of = Vec::new();
        for clause in of_way.iter().chain(&local.boundary[act.thing]) {
            let clause = clause.and(&self.set);
            if clause.len() == 1 {
                act.must_be_open = act.must_be_open.or(&clause);
            } else if !clause.is_empty() {
                one_of.push(clause);
            }
        }
        one_of.retain(|clause| !clause.meets(&act.must_be_open));
        act.simple &= one_of.is_empty();
        act.one_of = one_of.into();
    }

    fn seat_of_part(&self, part: usize, in_machine: bool, act: &mut Act<W>) {
        let it = &self.local.things[part];
        if !in_machine {
            act.simple = false;
        }
        for &carrier in &it.chain {
            if self.certain.has(carrier) && in_machine {
                act.must_be_on.add(carrier);
            }
        }
        if it.riders.is_empty() {
            let own = Mask::EMPTY.with(part);
            for &tie in &it.ties {
                if !it.stays.has(tie) && !self.local.is_inside(tie, &own) {
                    act.must_be_open.add(tie);
                }
            }
        } else {
            act.simple = false;
        }
    }

    fn place_of_tie(&self, tie: usize, in_machine: bool, act: &mut Act<W>) {
        let it = &self.local.things[tie];
        let stays_somewhere = it.ends.iter().any(|&end| {
            let parts = self.local.things[end].chain.iter().copied().chain([end]);
            parts.into_iter().any(|p| self.set.has(p) && self.local.things[p].stays.has(tie))
        });
        if !in_machine || stays_somewhere || !it.has_fixed_end && self.can_move(tie, tie) {
            act.simple = false;
        }
        if !in_machine || stays_somewhere {
            return;
        }
        for &end in &it.ends {
            for part in self.local.things[end].chain.iter().copied().chain([end]) {
                if self.certain.has(part) {
                    act.must_be_on.add(part);
                }
            }
        }
    }

    /// Searching backwards, a tie opens only after every part that hides it and goes home (R12).
    fn hiders_first(&self, tie: usize, act: &mut Act<W>) {
        let it = &self.local.things[tie];
        if it.leave_off || act.is_start {
            return;
        }
        for hider in it.hidden_by.iter() {
            let part = &self.local.things[hider];
            let all = self.local.load(hider, &Mask::EMPTY);
            let joined = it.ends.iter().any(|&end| all.has(end));
            if self.certain.has(hider) && !part.leave_off && !joined {
                act.must_be_open.add(hider);
            }
        }
    }

    /// What still has to be opened, or taken back to where it was not started.
    pub(crate) fn todo(&self, at: &Open<W>) -> Mask<W> {
        self.set.minus(&at.open).or(&at.started)
    }

    /// The same one by one, in an order in which most can be opened one after the other.
    pub(crate) fn todo_in_order(&self, todo: Mask<W>) -> impl Iterator<Item = usize> {
        self.ordered.iter().copied().filter(move |&thing| todo.has(thing))
    }

    /// The actions that a thing still asks for in this state.
    pub(crate) fn acts_on(
        &self,
        thing: usize,
        at: &Open<W>,
    ) -> impl Iterator<Item = &Act<W>> + use<'_, W> {
        let (first, last) = self.ranges[thing];
        let want_start = at.started.has(thing);
        self.acts[first..last].iter().filter(move |act| act.is_start == want_start)
    }

    /// The actions that something of the set still asks for in this state.
    pub(crate) fn remaining(&self, at: &Open<W>) -> impl Iterator<Item = &Act<W>> + use<'_, W> {
        let at = *at;
        self.todo(&at).iter().flat_map(move |thing| self.acts_on(thing, &at))
    }

    /// The actions that open a thing.
    pub(crate) fn opening(&self, thing: usize) -> impl Iterator<Item = &Act<W>> + use<'_, W> {
        let (first, last) = self.ranges[thing];
        self.acts[first..last].iter().filter(|act| !act.is_start)
    }

    /// The things to open, in an order in which most can be opened one after the other.
    pub(crate) fn ordered(&self) -> &[usize] {
        &self.ordered
    }

    /// The actions that open something, as bounds see them, in that order.
    pub(crate) fn openings(&self) -> &Openings<W> {
        &self.openings
    }

    /// The same beside the actions themselves.
    pub(crate) fn openings_with_acts(&self) -> impl Iterator<Item = (&Act<W>, &Opening<W>)> {
        let acts = self.ordered.iter().flat_map(|&thing| self.opening(thing));
        acts.zip(self.openings.iter())
    }

    /// Whether everything is as it has to be at the turn.
    pub(crate) fn is_done(&self, at: &Open<W>) -> bool {
        at.open == self.set && at.started.is_empty()
    }

    /// Whether an action is legal here.
    pub(crate) fn is_legal(&self, act: &Act<W>, at: &Open<W>) -> bool {
        self.is_legal_but_for_bearing(act, at) && self.bearing_allows(act, at)
    }

    /// The same without the rule of what bears weight (R23), which takes longer to look up.
    fn is_legal_but_for_bearing(&self, act: &Act<W>, at: &Open<W>) -> bool {
        let seen = at.open.minus(&at.started);
        if !act.must_be_open.is_within(&seen) || act.must_be_on.meets(&at.open) {
            return false;
        }
        let it = &self.local.things[act.thing];
        if !act.simple {
            let way = &it.ways[self.direction][act.way];
            if !self.local.holds(act.thing, way, &seen) {
                return false;
            }
            // What still hangs elsewhere than where it goes cannot go on at the bench (R5).
            if self.direction == BUILD
                && it.kind == Kind::Part
                && way.spot == BENCH
                && self.local.hangs_itself(act.thing, &seen)
            {
                return false;
            }
        }
        self.direction == STRIP || self.may_close(act, at)
    }

    /// The rules of closing that are not about ways, seen from the state after it.
    fn may_close(&self, act: &Act<W>, at: &Open<W>) -> bool {
        let it = &self.local.things[act.thing];
        match it.kind {
            Kind::Part => !self.local.would_hide(act.thing, &at.open.with(act.thing)),
            Kind::Prep => !self.local.is_still_needed(act.thing, &at.open.with(act.thing)),
            Kind::Tie => match it.group {
                None => true,
                // Started before any member was tightened.
                Some(group) if act.is_start => self.groups[group].is_within(&at.open),
                Some(group) => self.groups[group].and(&at.open).is_within(&at.started),
            },
        }
    }

    /// The state after an action.
    pub(crate) fn after(&self, act: &Act<W>, at: &Open<W>) -> Open<W> {
        let mut next = *at;
        if act.is_start {
            next.started.remove(act.thing);
        } else {
            next.open.add(act.thing);
            if self.direction == BUILD && self.local.things[act.thing].group.is_some() {
                next.started.add(act.thing);
            }
        }
        next
    }

    /// Whether a legal action that changes neither spot nor tool may be done at once
    /// (`docs/methods.md`, "doing at once": S2 holds since the set is settled; S3 is `excess`;
    /// this is S4 and its mirror image for the search backwards; S5 is `metric`).
    pub(crate) fn is_harmless(&self, act: &Act<W>, at: &Open<W>) -> bool {
        self.is_harmless_but_for_bearing(act, at) && self.bears_nothing(act, at)
    }

    /// The same where the rule of what bears weight (R23) does not count.
    fn is_harmless_but_for_bearing(&self, act: &Act<W>, at: &Open<W>) -> bool {
        if !self.local.metric {
            return false;
        }
        if act.is_start {
            return true;
        }
        let todo = self.set.minus(&at.open);
        let it = &self.local.things[act.thing];
        if it.kind == Kind::Part && !self.leaves_nothing_behind(act.thing, at, &todo) {
            return false;
        }
        self.direction == STRIP
            || (self.hides_from_nobody(act.thing, &todo) && self.frees_preps(act.thing, at, &todo))
    }

    /// A part with nothing on it, whose fixings still to be dealt with are worked on elsewhere.
    pub(crate) fn leaves_nothing_behind(&self, part: usize, at: &Open<W>, todo: &Mask<W>) -> bool {
        let it = &self.local.things[part];
        // While it is on a carrier that has to go too, what is still made on it rides along.
        let carried = it.chain.iter().any(|&carrier| todo.has(carrier));
        if carried && it.ties.iter().any(|&tie| !at.open.has(tie) || at.started.has(tie)) {
            return false;
        }
        // While it is on its carrier, its own open ties do not keep that one from going home.
        let hidden = |&tie: &usize| !self.local.things[tie].hidden_by.is_empty();
        if carried && self.direction == BUILD && it.ties.iter().any(hidden) {
            return false;
        }
        it.riders.iter().all(|&rider| at.open.has(rider))
            && it.ties.iter().all(|&tie| {
                let t = &self.local.things[tie];
                !(todo.has(tie) || at.started.has(tie))
                    || it.stays.has(tie)
                        && (t.has_fixed_end
                            || t.ends.iter().any(|&e| e != part && !self.ever_leaves(e)))
            })
    }

    /// Whether a part, or what carries it, leaves its seat at all.
    fn ever_leaves(&self, part: usize) -> bool {
        self.set.has(part) || self.local.things[part].chain.iter().any(|&c| self.set.has(c))
    }

    /// No load that is still to be opened would hide this tie (R12, seen backwards).
    pub(crate) fn hides_from_nobody(&self, tie: usize, todo: &Mask<W>) -> bool {
        let it = &self.local.things[tie];
        it.hidden_by.iter().all(|hider| {
            let part = &self.local.things[hider];
            let mut loads = part.chain.iter().copied().chain([hider]);
            !loads.any(|load| todo.has(load) && !it.ends.contains(&load))
        })
    }

    /// No prep that is still to be opened would be held in force by this (R11, seen backwards).
    pub(crate) fn frees_preps(&self, thing: usize, at: &Open<W>, todo: &Mask<W>) -> bool {
        let needs = &self.local.things[thing].opening_needs;
        !needs.iter().any(|n| n.meets(todo)) || needs.iter().any(|n| n.is_within(&at.open))
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use std::ops::Range;

    use lastbolt_machine::{Extra, JobSpec, Machine, compile};
    use lastbolt_testkit::{Size, layered_machine, random_machine};

    use super::*;
    use crate::local::{is_metric, relevant};

    /// Both directions of believable machines of some seeds and a size, with everything off.
    pub(crate) fn each_with_everything_off(
        seeds: Range<u64>,
        actions: usize,
        mut each: impl FnMut(u64, &Leaf<'_, 2>),
    ) {
        for seed in seeds {
            let mut both = 0;
            each_direction(&layered_machine(seed, actions), |leaf| {
                each(seed, leaf);
                both += 1;
            });
            assert_eq!(both, 2, "all can come off");
        }
    }

    /// The same of small random machines, where all can come off.
    pub(crate) fn each_random_with_everything_off(
        seeds: Range<u64>,
        mut each: impl FnMut(u64, &Leaf<'_, 2>),
    ) {
        for seed in seeds {
            each_direction(&random_machine(seed, &Size::default()), |leaf| each(seed, leaf));
        }
    }

    /// The directions of one machine in which all can come off.
    pub(crate) fn each_direction(
        (machine, job): &(Machine, JobSpec),
        mut each: impl FnMut(&Leaf<'_, 2>),
    ) {
        let kernel = compile(machine, job, &Extra::default()).expect("it is legal");
        let metric = is_metric(&kernel);
        let local = Local::<2>::new(&kernel, &relevant(&kernel, metric), metric);
        let set = (0..local.things.len()).collect();
        for direction in [STRIP, BUILD] {
            if let Some(leaf) = Leaf::new(&kernel, &local, direction, set) {
                each(&leaf);
            }
        }
    }
}
