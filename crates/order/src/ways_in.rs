//! Materially different ways in.
//!
//! What a way in *takes* is the set of parts that come off and of spots that are worked from. Two
//! ways in differ materially if neither takes all that the other takes. The best plan is taken;
//! each part and each spot that it takes and that nobody asked for is ruled out in turn, and the
//! rest planned again; the same once more from the best other one.

use std::collections::BTreeSet;

use lastbolt_machine::{Kernel, Kind, SpotNo, ThingNo};

use crate::answer::{Answer, Ask, Plan};
use crate::wish::{Wish, under};

/// The most ways in that are given.
pub const WAYS_MAX: usize = 3;
/// The most plans made for that.
const MOST_PLANS: usize = 48;

/// One way in.
#[derive(Clone, Debug)]
pub struct WayIn {
    /// What was ruled out to find it; empty for the best plan.
    pub ruled_out: Vec<Wish>,
    /// The kernel under these wishes, which the plan's numbers of ways belong to.
    pub kernel: Kernel,
    /// Its plan.
    pub plan: Plan,
}

/// What a way in takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Takes {
    /// Parts that come off.
    pub parts: BTreeSet<ThingNo>,
    /// Spots that are worked from.
    pub spots: BTreeSet<SpotNo>,
}

impl WayIn {
    /// Tells what it takes.
    pub fn takes(&self) -> Takes {
        let kernel = &self.kernel;
        let is_part = |&thing: &ThingNo| {
            kernel.thing(thing).kind == Kind::Part && !kernel.open_at_start.has(thing)
        };
        let steps = self.plan.strip.iter().chain(&self.plan.build);
        Takes {
            parts: self.plan.off.iter().filter(is_part).collect(),
            spots: steps.filter_map(|step| step.spot).collect(),
        }
    }
}

impl Takes {
    /// Says whether everything that it takes, the other takes too.
    pub fn is_within(&self, other: &Self) -> bool {
        self.parts.is_subset(&other.parts) && self.spots.is_subset(&other.spots)
    }

    /// Says whether neither is within the other.
    pub fn differs_from(&self, other: &Self) -> bool {
        !self.is_within(other) && !other.is_within(self)
    }
}

/// Gives up to three materially different ways in, shortest first, the given plan's or a shorter
/// one at the head. Each plan has the limits of the question.
pub fn ways_in(kernel: &Kernel, best: &Plan, ask: &Ask<'_>) -> Vec<WayIn> {
    let first = WayIn { ruled_out: Vec::new(), kernel: kernel.clone(), plan: best.clone() };
    let mut left = MOST_PLANS;
    let mut all = vec![first];
    let others = without_each(kernel, &all[0], &mut left, ask);
    all.extend(others);
    let chosen = choose(&all);
    if chosen.len() > 1 && chosen.len() < WAYS_MAX {
        let others = without_each(kernel, &chosen[1], &mut left, ask);
        all.extend(others);
    }
    choose(&all)
}

/// The plans with one thing more ruled out of all that a way in takes.
fn without_each(kernel: &Kernel, way: &WayIn, left: &mut usize, ask: &Ask<'_>) -> Vec<WayIn> {
    let takes = way.takes();
    let spots = takes.spots.iter().map(|&spot| Wish::NotFrom(spot));
    let parts = takes.parts.iter().filter(|&&part| !kernel.targets.has(part));
    let mut found: Vec<WayIn> = Vec::new();
    for wish in spots.chain(parts.map(|&part| Wish::Leave(part))) {
        if *left == 0 || (ask.stop)() {
            break;
        }
        *left -= 1;
        let mut ruled_out = way.ruled_out.clone();
        ruled_out.push(wish);
        let kernel = under(kernel.clone(), &ruled_out);
        if let Answer::Possible(plan) = crate::order(&kernel, ask) {
            found.push(WayIn { ruled_out, kernel, plan: *plan });
        }
    }
    found
}

/// The shortest of which none takes all that another takes.
fn choose(all: &[WayIn]) -> Vec<WayIn> {
    let mut sorted: Vec<&WayIn> = all.iter().collect();
    sorted.sort_by_key(|way| (way.plan.minutes, way.ruled_out.len()));
    let mut chosen: Vec<WayIn> = Vec::new();
    for way in sorted {
        let takes = way.takes();
        if chosen.len() < WAYS_MAX && chosen.iter().all(|c| c.takes().differs_from(&takes)) {
            chosen.push(way.clone());
        }
    }
    chosen
}

/// Says whether a list of ways in is one: at most three, shortest first, none with all that
/// another takes.
pub fn are_materially_different(ways: &[WayIn]) -> bool {
    let sorted = ways.windows(2).all(|pair| pair[0].plan.minutes <= pair[1].plan.minutes);
    let differ = |(at, way): (usize, &WayIn)| {
        ways[at + 1..].iter().all(|other| way.takes().differs_from(&other.takes()))
    };
    sorted && ways.len() <= WAYS_MAX && ways.iter().enumerate().all(differ)
}
