//! Orders with general change-over costs: the Sequential Ordering Problem.
//!
//! Every item is done once, some before others, and what it costs to do one right after another
//! is stated for every pair, in both directions. [`order`] gives the cheapest order found, with a
//! bound that no order beats. Two sides work in turn and help each other (`docs/methods.md`,
//! "General change-over costs"):
//!
//! * [`climb`]: neighbouring runs of items change places as long as that pays ([`exchange`]), are
//!   shaken and climb again: good orders soon, no proof;
//! * [`layers`]: a relaxation that lets items be done twice, with prices on them: a bound;
//! * [`states`]: what is done and what was last, place by place, with what the bound rules out left
//!   away: proof where few enough are left, else more orders and a better bound.

mod climb;
mod exchange;
mod jobs;
mod layers;
mod states;
#[cfg(test)]
mod tests;

pub use jobs::{Jobs, Refused};

use crate::changeover::climb::Climb;
use crate::changeover::jobs::Table;
use crate::changeover::layers::Layers;
use crate::changeover::states::Outcome;

/// How long, and from where, to search.
#[derive(Clone, Copy)]
pub struct Limits<'a> {
    /// How much may be looked at: each counts for one item's neighbours or one state. With no other
    /// limit the same jobs and seed give the same answer on every machine.
    pub nodes: u64,
    /// Starting value of the shaking.
    pub seed: u64,
    /// Asked now and then; `true` ends the search with the best so far.
    pub stop: &'a dyn Fn() -> bool,
    /// Told of each order that is cheaper than all before, and its cost.
    pub better: &'a dyn Fn(&[usize], i64),
}

impl Default for Limits<'_> {
    fn default() -> Self {
        Self { nodes: 2_000_000, seed: 1, stop: &|| false, better: &|_, _| () }
    }
}

/// The answer: an order and what is known about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// The items, first to last.
    pub order: Vec<usize>,
    /// The sum of its change-overs.
    pub cost: i64,
    /// No order costs less.
    pub bound: i64,
    /// How much was looked at.
    pub nodes: u64,
}

impl Found {
    /// Whether nothing cheaper can exist.
    pub fn proved(&self) -> bool {
        self.bound >= self.cost
    }
}

/// The first share of the work that a side may have before it is the other's turn.
const FIRST_SHARE: u64 = 20_000;
/// How many states of one place may be kept in the first round; twice as many in each later one.
const FIRST_WIDTH: usize = 256;
/// The most states that all places of one round may keep together (about half a gigabyte).
const STATES_MAX: usize = 12_000_000;

/// Finds a cheap order and a bound, within the limits.
pub fn order(jobs: &Jobs, limits: &Limits<'_>) -> Found {
    match (jobs.count() + 1).div_ceil(64) {
        1 => order_of::<1>(jobs, limits),
        2 => order_of::<2>(jobs, limits),
        3 => order_of::<3>(jobs, limits),
        4 => order_of::<4>(jobs, limits),
        5..=6 => order_of::<6>(jobs, limits),
        7..=8 => order_of::<8>(jobs, limits),
        _ => order_of::<16>(jobs, limits),
    }
}

/// What is left of the limits, and who is told.
pub(in crate::changeover) struct Patience<'a> {
    left: u64,
    stopped: bool,
    limits: &'a Limits<'a>,
}

impl Patience<'_> {
    /// Takes some work off what is left; `false` if the search has to end.
    fn take(&mut self, work: u64) -> bool {
        self.left = self.left.saturating_sub(work);
        self.stopped = self.stopped || (self.limits.stop)();
        self.goes_on()
    }

    fn goes_on(&self) -> bool {
        self.left > 0 && !self.stopped
    }

    fn used(&self) -> u64 {
        self.limits.nodes - self.left
    }
}

fn order_of<const W: usize>(jobs: &Jobs, limits: &Limits<'_>) -> Found {
    let forwards = Table::<W>::new(jobs);
    let backwards = Table::<W>::new(&jobs.turned());
    let mut patience = Patience { left: limits.nodes, stopped: false, limits };
    let mut climb = Climb::new(&forwards, limits.seed, &mut patience);
    let mut bound = 0;
    let mut sides = [Side::new(&forwards, false), Side::new(&backwards, true)];
    let mut share = FIRST_SHARE;
    while patience.goes_on() && bound < climb.best_cost() {
        climb.run(share.saturating_mul(2), &mut patience);
        let before = patience.used();
        for side in &mut sides {
            if patience.goes_on() && bound < climb.best_cost() {
                bound = bound.max(side.run(&mut climb, share, &mut patience));
            }
        }
        share = share.max(patience.used() - before).saturating_mul(2);
    }
    let cost = climb.best_cost();
    let order = climb.best_order();
    debug_assert_eq!(jobs.cost(&order), Some(cost), "BUG: the cost was kept wrong");
    Found { order, cost, bound: bound.min(cost), nodes: patience.used() }
}

/// The proving side, from the first item or from the last.
struct Side<'a, const W: usize> {
    table: &'a Table<W>,
    is_turned: bool,
    layers: Layers,
    width: usize,
    /// The cheapest order known when it last ran as wide as it may.
    idle_at: Option<i64>,
}

impl<'a, const W: usize> Side<'a, W> {
    fn new(table: &'a Table<W>, is_turned: bool) -> Self {
        Self { table, is_turned, layers: Layers::new(table), width: FIRST_WIDTH, idle_at: None }
    }

    /// Prices and states once more; gives a bound.
    fn run(&mut self, climb: &mut Climb<'_, W>, share: u64, patience: &mut Patience<'_>) -> i64 {
        let best = climb.best_cost();
        self.layers.improve(self.table, best, share, patience);
        let bound = self.layers.bound();
        if bound >= best || !patience.goes_on() || self.idle_at == Some(best) {
            return bound.min(best);
        }
        let outcome = states::run(self.table, &self.layers, best, self.width, patience);
        let Outcome { order, bound: below } = outcome;
        if let Some(mut order) = order {
            if self.is_turned {
                order.reverse();
            }
            climb.take_in(&order, patience);
        }
        let widest = STATES_MAX / self.table.count.max(1);
        if self.width >= widest {
            self.idle_at = Some(climb.best_cost());
        }
        self.width = (self.width * 2).min(widest);
        below.max(bound).min(best)
    }
}
