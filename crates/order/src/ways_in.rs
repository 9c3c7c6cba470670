//! Materially different ways in.
//!
//! What a way in *takes* is the set of parts that come off and of spots that are worked from. Two
//! ways in differ materially if neither takes all that the other takes. The best plan is taken;
//! each part and each spot that it takes and that nobody asked for is ruled out in turn, and the
//! rest planned again; the same from each that is found, shortest first.

use std::collections::BTreeSet;

use lastbolt_machine::{Kernel, Kind, SpotNo, ThingNo};

use crate::answer::{Answer, Ask, Plan};
use crate::wish::{Wish, under};

/// The most ways in that are given.
pub const WAYS_MAX: usize = 3;
/// The most plans made for that.
const MOST_PLANS: usize = 160;
/// How many states each of them may look at; those that are given are planned further.
const LOOK_NODES: u64 = 1_500;

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

/// The ways in that were found.
#[derive(Clone, Debug)]
pub struct WaysIn {
    /// At most [`WAYS_MAX`], shortest first; no two of which one takes all that the other takes.
    pub ways: Vec<WayIn>,
    /// There is no further one: whatever takes no more than it must takes all that one of these
    /// takes, or less.
    pub is_all: bool,
}

/// Gives up to three materially different ways in, shortest first, the given plan's or a shorter
/// one at the head. Each plan has the limits of the question; what is only looked for has few
/// states.
pub fn ways_in(kernel: &Kernel, best: &Plan, ask: &Ask<'_>) -> WaysIn {
    let first = WayIn { ruled_out: Vec::new(), kernel: kernel.clone(), plan: best.clone() };
    let mut tree = Tree { kernel, ask, left: MOST_PLANS, ruled_out: BTreeSet::new(), all: vec![] };
    tree.all.push(first);
    let mut open = vec![0];
    let mut is_all = true;
    while let Some(next) = tree.shortest(&mut open) {
        let chosen = choose(&tree.all);
        let last = chosen.get(WAYS_MAX - 1).map(|way| way.plan.minutes);
        if last.is_some_and(|last| last <= tree.all[next].plan.minutes) {
            break;
        }
        is_all &= tree.without_each(next, &mut open);
    }
    is_all &= choose(&tree.all).len() < WAYS_MAX;
    tree.look_longer();
    WaysIn { ways: choose(&tree.all), is_all }
}

/// The ways in that were found, by what was ruled out. One that takes no more than it must, and is
/// none of them, takes not all of each: so it is found without something of the one, and of that
/// which is found then, and so on.
struct Tree<'a> {
    kernel: &'a Kernel,
    ask: &'a Ask<'a>,
    /// Plans that may still be made.
    left: usize,
    /// What was ruled out already.
    ruled_out: BTreeSet<Vec<Wish>>,
    all: Vec<WayIn>,
}

impl Tree<'_> {
    /// Takes out the shortest that nothing more was ruled out of.
    fn shortest(&self, open: &mut Vec<usize>) -> Option<usize> {
        let key = |at: usize| (self.all[at].plan.minutes, self.all[at].ruled_out.len(), at);
        let least = (0..open.len()).min_by_key(|&n| key(open[n]))?;
        Some(open.swap_remove(least))
    }

    /// Finds the plans with one thing more ruled out of all that a way in takes; `false` if the
    /// limits came first.
    fn without_each(&mut self, of: usize, open: &mut Vec<usize>) -> bool {
        let takes = self.all[of].takes();
        let spots = takes.spots.iter().map(|&spot| Wish::NotFrom(spot));
        let parts = takes.parts.iter().filter(|&&part| !self.kernel.targets.has(part));
        let mut is_all = true;
        let wishes: Vec<Wish> = spots.chain(parts.map(|&part| Wish::Leave(part))).collect();
        for wish in wishes {
            let mut ruled_out = self.all[of].ruled_out.clone();
            ruled_out.push(wish);
            let mut sorted = ruled_out.clone();
            sorted.sort_unstable();
            if !self.ruled_out.insert(sorted) {
                continue;
            }
            if self.left == 0 || (self.ask.stop)() {
                return false;
            }
            self.left -= 1;
            let kernel = under(self.kernel.clone(), &ruled_out);
            let ask = Ask { nodes: self.ask.nodes.min(LOOK_NODES), ..*self.ask };
            match crate::order(&kernel, &ask) {
                Answer::Possible(plan) => {
                    open.push(self.all.len());
                    self.all.push(WayIn { ruled_out, kernel, plan: *plan });
                }
                Answer::Impossible(_) => {}
                Answer::GaveUp { .. } => is_all = false,
            }
        }
        is_all
    }

    /// Plans those that would be given further: the few are worth it.
    fn look_longer(&mut self) {
        for way in choose(&self.all) {
            if way.ruled_out.is_empty() || way.plan.proved {
                continue;
            }
            let Answer::Possible(plan) = crate::order(&way.kernel, self.ask) else { continue };
            let is_better = (plan.minutes, way.plan.bound) < (way.plan.minutes, plan.bound);
            if plan.minutes <= way.plan.minutes && is_better {
                let better = WayIn { plan: *plan, ..way.clone() };
                if better.takes() == way.takes() {
                    // Of two with the same minutes the first is taken.
                    self.all.retain(|known| known.ruled_out != way.ruled_out);
                }
                self.all.push(better);
            }
        }
    }
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
