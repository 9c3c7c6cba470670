//! Rules that only forbid orders: bearing fixings (R23), open time of sealant (R24), and covers
//! that wait for the leak look (R28). Decision 0014 says how they are read.

use crate::kernel::{End, Kernel, Kind, Place, ThingNo};
use crate::set::Set;

/// What `after` names, and the name of the look as a step (R28).
pub const LEAK_LOOK: &str = "leak look";

/// What the leak look divides (R28).
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LeakLook {
    /// Covers and the ties across their boundaries: stepped after the look.
    pub waits: Set,
    /// Preps that their own ways need: these may end after it.
    pub needed: Set,
}

impl LeakLook {
    /// Something open that has to be closed before the look, if there is anything.
    pub fn open_before(&self, kernel: &Kernel, open: &Set) -> Option<ThingNo> {
        open.iter().find(|&thing| {
            let stays = kernel.leave_off.has(thing) || kernel.thing(thing).by_itself;
            !stays && !self.waits.has(thing) && !self.needed.has(thing)
        })
    }
}

impl Kernel {
    /// The ties that bear a part's load where it sits (R23): across its boundary, with all that
    /// they join in the same place as the part (what hangs aside on a tie lies somewhere else);
    /// without those that are undone and stay so.
    pub fn bearers(&self, part: ThingNo, open: &Set) -> Vec<ThingNo> {
        let load = self.load(part, open);
        let here = self.root(part, open);
        let is_here = |end: &End| match end {
            End::Fixed(_) => here == Place::Machine,
            End::Part(part) => self.root(*part, open) == here,
        };
        let crossing = self.crossing(&load).into_iter();
        let gone = |tie: ThingNo| open.has(tie) && self.leave_off.has(tie);
        crossing
            .filter(|&tie| self.thing(tie).bears && !gone(tie))
            .filter(|&tie| self.thing(tie).joins.iter().all(is_here))
            .collect()
    }

    /// The parts on their seats that something is there to bear, and nothing does (R23).
    pub fn hanging(&self, open: &Set, started: &Set) -> Vec<ThingNo> {
        if !open.iter().any(|thing| self.thing(thing).bears) {
            return Vec::new();
        }
        let hangs = |&part: &ThingNo| {
            let bearers = self.bearers(part, open);
            !bearers.is_empty() && bearers.iter().all(|&t| open.has(t) && !started.has(t))
        };
        let parts = self.all().filter(|&t| self.thing(t).kind == Kind::Part && !open.has(t));
        parts.filter(hangs).collect()
    }

    /// Whether a step may be done while these parts hang (R23): it belongs to each of them or to
    /// what hangs by the same tie, or makes a bearing tie of one.
    pub fn may_step_while_hanging(&self, thing: ThingNo, hanging: &[ThingNo], open: &Set) -> bool {
        let borne_by: Vec<_> = hanging.iter().map(|&part| self.bearers(part, open)).collect();
        if borne_by.iter().any(|ties| ties.contains(&thing)) {
            return true;
        }
        let own: Vec<bool> = hanging.iter().map(|&part| self.belongs(thing, part, open)).collect();
        // Which of several parts a tie bore nobody can tell: any of them may be the one.
        borne_by.iter().all(|ties| {
            let share = |others: &Vec<ThingNo>| others.iter().any(|tie| ties.contains(tie));
            borne_by.iter().zip(&own).any(|(others, &own)| own && share(others))
        })
    }

    /// Whether a step is one of those that are left while a part hangs: the part itself, a tie
    /// across its boundary, a prep that such ties need.
    fn belongs(&self, thing: ThingNo, part: ThingNo, open: &Set) -> bool {
        let crossing = self.crossing(&self.load(part, open));
        thing == part || crossing.contains(&thing) || self.preps_of(crossing).has(thing)
    }

    /// The ties that must be home in time once a thing goes on with sealant (R24): across the
    /// boundary of a part's load; joining all that the sealant joins, where it is itself a tie.
    pub fn bead_ties(&self, thing: ThingNo, open: &Set) -> Set {
        let it = self.thing(thing);
        let ties: Vec<ThingNo> = if it.kind == Kind::Part {
            self.crossing(&self.load(thing, &open.without(thing)))
        } else {
            let ties = self.all().filter(|&t| t != thing && self.thing(t).kind == Kind::Tie);
            ties.filter(|&t| it.joins.iter().all(|end| self.thing(t).joins.contains(end))).collect()
        };
        ties.into_iter().filter(|&t| open.has(t) && !self.leave_off.has(t)).collect()
    }

    /// What the leak look divides; nothing waits where no cover is marked (R28).
    pub fn leak_look(&self) -> LeakLook {
        let mut waits = self.no_things();
        for cover in self.all().filter(|&t| self.thing(t).after_leak_look) {
            waits.add(cover);
            waits.extend(self.crossing(&self.load(cover, &self.no_things())));
        }
        let needed = self.preps_of(waits.iter().collect());
        LeakLook { waits, needed }
    }

    /// The preps that any way of these things needs, directly or through other preps.
    pub fn preps_of(&self, things: Vec<ThingNo>) -> Set {
        let mut preps = self.no_things();
        let mut todo = things;
        while let Some(thing) = todo.pop() {
            let it = self.thing(thing);
            let by_ways = it.all_ways().flat_map(|way| way.needs.iter().chain(&way.spot_needs));
            for &prep in it.needs.iter().chain(by_ways) {
                if preps.add(prep) {
                    todo.push(prep);
                }
            }
        }
        preps
    }

    /// The ties with one end in a load and one outside.
    pub fn crossing(&self, load: &Set) -> Vec<ThingNo> {
        let mut crossing = Vec::new();
        for part in load.iter() {
            for &tie in &self.thing(part).ties {
                let inside = |end: &End| matches!(end, End::Part(p) if load.has(*p));
                if !self.thing(tie).joins.iter().all(inside) && !crossing.contains(&tie) {
                    crossing.push(tie);
                }
            }
        }
        crossing
    }
}
