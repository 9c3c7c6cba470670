//! A bound: the cheapest walk with an item at every place of the order, when items may come up
//! twice or not at all, with prices that make each come up once on average.
//!
//! Picard and Queyranne, "The Time-Dependent Traveling Salesman Problem and Its Application to the
//! Tardiness Problem in One-Machine Scheduling", Operations Research 26(1), 1978: places times
//! items as the nodes of a network. Here each item has only those places that what comes before and
//! after it leaves, and further places go as soon as no order below the best known can use them.
//! Prices by the subgradient method (Held, Wolfe and Crowder 1974).

use crate::changeover::Patience;
use crate::changeover::jobs::{FORBIDDEN, Table};

/// By how much costs are scaled, so that prices can be finer than costs.
pub(in crate::changeover) const SCALE: i64 = 1000;
/// The most steps of prices in one go.
const STEPS_MAX: usize = 400;
/// After how many steps without a better bound they get smaller.
const PATIENT_STEPS: usize = 8;
/// Smaller steps (in thousandths of the gap) are not worth while.
const STEP_MIN: i64 = 4;

/// The network with its prices.
#[derive(Clone, Debug)]
pub(in crate::changeover) struct Layers {
    count: usize,
    /// Items that may stand at each place, in order.
    pub at: Vec<Vec<usize>>,
    /// The price of each item.
    pub prices: Vec<i64>,
    /// Sum of the prices.
    pub all_prices: i64,
    /// Place by place, item by item: the cheapest walk from there to the end, prices of what comes
    /// after included.
    to_go: Vec<i64>,
    /// Scaled costs, row by row; [`FORBIDDEN`] where one never follows the other.
    costs: Vec<i64>,
    /// The best bound so far, scaled.
    bound: i64,
}

impl Layers {
    pub(in crate::changeover) fn new<const W: usize>(table: &Table<W>) -> Self {
        let count = table.count;
        let earliest = |item: usize| table.before[item].len();
        let latest = |item: usize| count - 1 - table.after[item].len();
        let at = (0..count)
            .map(|p| (0..count).filter(|&i| (earliest(i)..=latest(i)).contains(&p)).collect());
        let mut costs = vec![FORBIDDEN; count * count];
        for from in 0..count {
            for to in (0..count).filter(|&to| table.may_follow(from, to)) {
                costs[from * count + to] = table.from(from)[to] * SCALE;
            }
        }
        Self {
            count,
            at: at.collect(),
            prices: vec![0; count],
            all_prices: 0,
            to_go: vec![FORBIDDEN; count * count],
            costs,
            bound: 0,
        }
    }

    /// With the walks to the end at no prices.
    #[cfg(test)]
    pub(in crate::changeover) fn walked(mut self) -> Self {
        self.walk_back();
        self
    }

    /// No order costs less.
    pub(in crate::changeover) fn bound(&self) -> i64 {
        self.bound.saturating_add(SCALE - 1).div_euclid(SCALE).max(0)
    }

    /// The cheapest walk on from an item at a place, scaled, prices included.
    pub(in crate::changeover) fn to_go(&self, place: usize, item: usize) -> i64 {
        self.to_go[place * self.count + item]
    }

    /// The work of walking through the network once, in the unit of the limits.
    fn work(&self) -> u64 {
        1 + self.at.iter().map(|items| items.len() as u64).sum::<u64>() / 4
    }

    /// Moves the prices for at most so much work, then strikes out places that no order cheaper
    /// than `best` uses. The walks to the end are those of the best prices afterwards.
    pub(in crate::changeover) fn improve<const W: usize>(
        &mut self,
        table: &Table<W>,
        best: i64,
        work: u64,
        patience: &mut Patience<'_>,
    ) {
        debug_assert_eq!(table.count, self.count);
        let end = patience.left.saturating_sub(work);
        let mut best_prices = self.prices.clone();
        let mut best_bound = i64::MIN;
        let (mut step, mut in_vain) = (1000, 0);
        for round in 0..STEPS_MAX {
            let bound = self.walk_back();
            if bound > best_bound {
                best_bound = bound;
                best_prices.clone_from(&self.prices);
                in_vain = 0;
            } else {
                in_vain += 1;
            }
            if in_vain >= PATIENT_STEPS {
                (step, in_vain) = (step * 2 / 3, 0);
                self.prices.clone_from(&best_prices);
                self.walk_back();
            }
            let enough = bound > (best - 1) * SCALE || step < STEP_MIN;
            let more = patience.take(self.work()) && (patience.left > end || round < 5);
            if enough || !more || !self.move_prices(best * SCALE - bound, step) {
                break;
            }
        }
        self.prices = best_prices;
        self.bound = self.bound.max(self.walk_back());
        self.strike_out((best - 1) * SCALE);
        self.bound = self.bound.max(self.walk_back());
    }

    /// The cheapest walks to the end from everywhere; gives the bound at these prices.
    fn walk_back(&mut self) -> i64 {
        let n = self.count;
        self.all_prices = self.prices.iter().sum();
        let mut onward = vec![FORBIDDEN; n];
        for place in (0..n).rev() {
            let row = place * n;
            self.to_go[row..row + n].fill(FORBIDDEN);
            for &item in &self.at[place] {
                let costs = &self.costs[item * n..(item + 1) * n];
                self.to_go[row + item] = if place + 1 == n {
                    0
                } else {
                    costs.iter().zip(&onward).map(|(c, o)| c + o).fold(FORBIDDEN, i64::min)
                };
            }
            onward.fill(FORBIDDEN);
            for &item in &self.at[place] {
                onward[item] = (self.to_go[row + item] + self.prices[item]).min(FORBIDDEN);
            }
        }
        let least = onward.iter().copied().min().unwrap_or(0);
        if least >= FORBIDDEN { FORBIDDEN } else { least - self.all_prices }
    }

    /// Makes dearer what comes up twice on the cheapest walk and cheaper what does not; `false` if
    /// every item comes up once, so that the walk is an order.
    fn move_prices(&mut self, gap: i64, step: i64) -> bool {
        let n = self.count;
        let mut times = vec![-1_i64; n];
        let onward = |this: &Self, place: usize, item: usize| {
            (this.to_go(place, item) + this.prices[item]).min(FORBIDDEN)
        };
        let mut last: Option<usize> = None;
        for place in 0..n {
            let least = self.at[place].iter().copied().min_by_key(|&item| {
                let cost = last.map_or(0, |last| self.costs[last * n + item]);
                onward(self, place, item).saturating_add(cost)
            });
            let Some(item) = least else { return false };
            times[item] += 1;
            last = Some(item);
        }
        let norm: i64 = times.iter().map(|t| t * t).sum();
        if norm == 0 {
            return false;
        }
        let size = gap.max(SCALE) / norm * step / 1000;
        for (price, times) in self.prices.iter_mut().zip(&times) {
            *price += size.max(1) * times;
        }
        true
    }

    /// Strikes out places of items through which every walk costs more than `limit`.
    fn strike_out(&mut self, limit: i64) {
        let n = self.count;
        let mut reached: Vec<i64> = (0..n)
            .map(
                |item| {
                    if self.at.first().is_some_and(|f| f.contains(&item)) { 0 } else { FORBIDDEN }
                },
            )
            .collect();
        for place in 0..n {
            let limit = limit + self.all_prices;
            let walk = |item: usize| {
                reached[item]
                    .saturating_add(self.prices[item])
                    .saturating_add(self.to_go(place, item))
            };
            let kept: Vec<usize> =
                self.at[place].iter().copied().filter(|&item| walk(item) <= limit).collect();
            if place + 1 < n {
                let mut next = vec![FORBIDDEN; n];
                for &item in &kept {
                    let so_far = reached[item] + self.prices[item];
                    let costs = &self.costs[item * n..(item + 1) * n];
                    for (to, cost) in next.iter_mut().zip(costs) {
                        *to = (*to).min(so_far + cost);
                    }
                }
                reached = next;
            }
            self.at[place] = kept;
        }
    }
}
