//! What one place charges for the tools that are used at home there, comings left out: everything
//! that is not at home there is open as soon as it can be, and no use of a tool is charged more
//! than a coming to the place gives up of its minutes ([`crate::homes`]).

use std::collections::BTreeMap;

use crate::hash::{Map, Room};
use crate::leaf::Leaf;
use crate::local::ANYWHERE;
use crate::mask::Mask;
use crate::openings::{Opening, Openings};
use crate::relax::{NEVER, depth_max};

/// No tool in the hand that is used at home here.
pub(crate) const NONE: u16 = u16::MAX;

/// What the use of a tool in a place is charged.
#[derive(Clone, Copy)]
pub(crate) struct Charge {
    pub tool: u16,
    /// After another tool's during a visit.
    pub taking_up: i64,
    /// The same where comings are not counted: no more than a coming gives up, if the tool is used
    /// at home elsewhere too.
    pub plain: i64,
}

/// The plain problem of one place.
pub(crate) struct Plain<const W: usize> {
    members: Mask<W>,
    tools: Vec<Tool<W>>,
    acts: Openings<W>,
    free: Free<W>,
    /// Values by what is open of the members and the tool in the hand.
    known: Map<(Mask<W>, u16), i64>,
    room: Room,
    depth: usize,
}

/// A tool in the plain problem.
struct Tool<const W: usize> {
    charge: Charge,
    uses: Uses<W>,
    acts: Vec<Opening<W>>,
}

/// What a tool is used for.
#[derive(Clone, Copy)]
pub(crate) struct Uses<const W: usize> {
    pub tool: u16,
    /// What can be done with it at its cheapest.
    pub any: Mask<W>,
    /// What can be done with nothing else.
    pub only: Mask<W>,
}

impl<const W: usize> Uses<W> {
    /// The uses of each tool of a leaf, by its number.
    pub(crate) fn of(leaf: &Leaf<'_, W>) -> Vec<Self> {
        let mut all: BTreeMap<u16, Self> = BTreeMap::new();
        for thing in 0..leaf.local.things.len() {
            let Some(first) = leaf.opening(thing).next().map(|act| act.tool) else { continue };
            let is_only = leaf.opening(thing).all(|act| act.excess == 0 && act.tool == first);
            for act in leaf.opening(thing).filter(|act| act.excess == 0 && act.tool != ANYWHERE) {
                let none = Self { tool: act.tool, any: Mask::EMPTY, only: Mask::EMPTY };
                let uses = all.entry(act.tool).or_insert(none);
                uses.any.add(thing);
                if is_only {
                    uses.only.add(thing);
                }
            }
        }
        all.into_values().collect()
    }

    /// The uses of one of the tools on some of the things.
    pub(crate) fn on(all: &[Self], tool: u16, things: &Mask<W>) -> Self {
        let found = all.iter().find(|uses| uses.tool == tool);
        let (any, only) = found.map_or((Mask::EMPTY, Mask::EMPTY), |uses| (uses.any, uses.only));
        Self { tool, any: any.and(things), only: only.and(things) }
    }

    /// Whether an action is one of them.
    pub(crate) fn has(&self, act: &Opening<W>) -> bool {
        self.any.has(act.thing) && !act.dearer && act.tool == self.tool
    }
}

/// What is free with each tool in the hand, by its index; last with none of them.
pub(crate) struct Free<const W: usize>(Vec<Openings<W>>);

impl<const W: usize> Free<W> {
    /// Of some actions those that cost nothing more.
    pub(crate) fn new(acts: &[Opening<W>], charges: &[Charge]) -> Self {
        let in_hand = charges.iter().map(|charge| charge.tool).chain([ANYWHERE]);
        let is_free =
            |act: &&Opening<W>, tool| !act.dearer && (act.tool == ANYWHERE || act.tool == tool);
        let with = |tool| acts.iter().filter(|act| is_free(act, tool)).cloned().collect();
        Self(in_hand.map(|tool| Openings::new(with(tool))).collect())
    }

    /// Opens all that is free with a tool in the hand.
    pub(crate) fn close(&self, open: Mask<W>, held: u16) -> Mask<W> {
        self.0[usize::from(held).min(self.0.len() - 1)].close(open)
    }
}

impl<const W: usize> Plain<W> {
    /// The plain problem of some members with what they wait for ([`crate::shorter`]), and the
    /// uses of the leaf's tools.
    pub(crate) fn new(
        members: Mask<W>,
        acts: Vec<Opening<W>>,
        (charges, uses): (&[Charge], &[Uses<W>]),
        room: usize,
    ) -> Self {
        let tool = |&charge: &Charge| {
            let uses = Uses::on(uses, charge.tool, &members);
            let acts = acts.iter().filter(|act| uses.has(act)).cloned().collect();
            Tool { charge, uses, acts }
        };
        let tools: Vec<_> = charges.iter().map(tool).collect();
        let (free, acts) = (Free::new(&acts, charges), Openings::new(acts));
        Self { members, tools, acts, free, known: Map::default(), room: Room::new(room), depth: 0 }
    }

    /// All that its values depend on, from what is open and with a tool in the hand on.
    pub(crate) fn key(&self, shares: &[i64], open: &Mask<W>, held: u16) -> Vec<u64> {
        let mut key = Vec::with_capacity(16 + self.acts.len() * (3 + W));
        key.extend(self.members.words());
        key.push(self.tool(held).into());
        for tool in &self.tools {
            key.extend([tool.charge.tool.into(), tool.charge.plain as u64]);
        }
        let mut counts = self.members;
        for act in self.acts.iter() {
            let share = if act.dearer { shares[act.thing] } else { -1 };
            act.tell(&mut key);
            key.push(share as u64);
            counts.add(act.thing);
        }
        key.extend(open.and(&counts).words());
        key
    }

    /// May forget what is remembered, if that is worth it.
    pub(crate) fn asked(&mut self) {
        if self.room.begins_anew() {
            self.known.clear();
        }
    }

    /// The index of a tool, or [`NONE`].
    pub(crate) fn number(&self, tool: u16) -> u16 {
        let found = self.tools.iter().position(|at| at.charge.tool == tool);
        found.map_or(NONE, |number| number as u16)
    }

    /// The tool of an index.
    pub(crate) fn tool(&self, held: u16) -> u16 {
        self.tools.get(usize::from(held)).map_or(ANYWHERE, |at| at.charge.tool)
    }

    /// The least that uses are charged from what is open and with a tool in the hand on.
    pub(crate) fn value(&mut self, shares: &[i64], open: &Mask<W>, held: u16) -> i64 {
        let here = open.and(&self.members);
        if here == self.members {
            return 0;
        }
        if let Some(&value) = self.known.get(&(here, held)) {
            return value;
        }
        if self.depth >= depth_max(W) || !self.room.take() {
            return self.floor(open, held);
        }
        self.depth += 1;
        let reached = self.free(*open, held);
        let best = if reached.and(&self.members) == here {
            self.of_next(shares, &reached, held)
        } else {
            self.value(shares, &reached, held)
        };
        self.depth -= 1;
        self.known.insert((here, held), best);
        best
    }

    /// No less is charged: each tool's uses as if all others were free.
    pub(crate) fn counted(&self, open: &Mask<W>, held: u16) -> i64 {
        let mut sum: i64 = 0;
        for (number, at) in self.tools.iter().enumerate() {
            if at.uses.only.is_within(open) {
                continue;
            }
            let tool = at.charge.tool;
            let mut reached =
                if usize::from(held) == number { self.free(*open, held) } else { *open };
            loop {
                reached = self.acts.close_by(reached, |act| act.dearer || act.tool != tool);
                let before = reached;
                reached = self.free(reached, number as u16);
                if reached == before {
                    break;
                }
                sum = sum.saturating_add(at.charge.plain);
            }
        }
        sum
    }

    /// No less is charged: each other tool without which something cannot be opened, once more.
    fn floor(&self, open: &Mask<W>, held: u16) -> i64 {
        let others = self.tools.iter().enumerate().filter(|(n, _)| *n != usize::from(held));
        let needed = others.filter(|(_, at)| !at.uses.only.is_within(open));
        needed.map(|(_, at)| at.charge.plain).sum()
    }

    /// Opens all that is free with a tool in the hand, by its index.
    fn free(&self, open: Mask<W>, held: u16) -> Mask<W> {
        self.free.close(open, held)
    }

    fn of_next(&mut self, shares: &[i64], reached: &Mask<W>, held: u16) -> i64 {
        let mut takings = Vec::new();
        for (number, at) in self.tools.iter().enumerate() {
            let is_done = at.uses.any.is_within(reached);
            if is_done || !at.acts.iter().any(|act| act.is_ready(reached)) {
                continue;
            }
            let next = self.free(*reached, number as u16);
            // It has to be taken up in any case, never dearer than now, and is of no more use then.
            let is_needed = next.minus(reached).meets(&at.uses.only);
            let is_last = is_needed && at.uses.any.is_within(&next);
            if is_last {
                takings.clear();
            }
            takings.push((at.charge.plain + self.floor(&next, number as u16), number, next));
            if is_last {
                break;
            }
        }
        takings.sort_by_key(|&(least, ..)| least);
        let floor = self.floor(reached, held);
        let mut best = NEVER;
        for (least, number, next) in takings {
            if least >= best || best <= floor {
                break;
            }
            let charge = self.tools[number].charge.plain;
            best = best.min(charge + self.value(shares, &next, number as u16));
        }
        let dearer = self.acts.iter().filter(|act| act.dearer && act.is_ready(reached));
        for thing in dearer.map(|act| act.thing).collect::<Mask<W>>().iter() {
            if shares[thing] < best && best > floor {
                best = best.min(shares[thing] + self.value(shares, &reached.with(thing), held));
            }
        }
        best
    }
}
