//! Good orders soon: climb by exchanges until none pays, shake, climb again.
//!
//! Iterated local search: a shake is a few random exchanges close to each other; what came of it is
//! kept if it is not much dearer than what was there before, ever less so as it cools down, again
//! and again from warm to cold. Whole numbers only, so that it is the same everywhere.

use crate::changeover::Patience;
use crate::changeover::exchange::{Exchange, Order};
use crate::changeover::jobs::Table;

/// The longest run that a shake moves.
const RUN_MAX: usize = 30;
/// How often a shake looks for an exchange that keeps what comes before what.
const TRIES: usize = 20;
/// The longest time from warm to cold, in work for each item.
const COOLING_MAX: u64 = 10_000;

/// Even random numbers: Steele, Lea and Flood, "Fast Splittable Pseudorandom Number Generators",
/// OOPSLA 2014 (SplitMix64).
#[derive(Clone, Debug)]
pub(in crate::changeover) struct Random(u64);

impl Random {
    pub(in crate::changeover) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(in crate::changeover) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// One of `0..end`; 0 if there is none.
    pub(in crate::changeover) fn below(&mut self, end: usize) -> usize {
        ((u128::from(self.next()) * end as u128) >> 64) as usize
    }
}

/// The search for good orders, with its best.
pub(in crate::changeover) struct Climb<'a, const W: usize> {
    table: &'a Table<W>,
    random: Random,
    /// What the next shake starts from.
    kept: Order<'a, W>,
    best: Order<'a, W>,
    under_way: Order<'a, W>,
}

impl<'a, const W: usize> Climb<'a, W> {
    /// Starts from an order made at once.
    pub(in crate::changeover) fn new(
        table: &'a Table<W>,
        seed: u64,
        patience: &mut Patience<'_>,
    ) -> Self {
        let mut order = Order::new(table, &greedy(table));
        order.push_all();
        patience.take(order.descend() + table.count as u64);
        let (kept, best) = (order.clone(), order.clone());
        let random = Random::new(seed);
        let climb = Self { table, random, kept, best, under_way: order };
        climb.tell(patience);
        climb
    }

    pub(in crate::changeover) fn best_cost(&self) -> i64 {
        self.best.cost
    }

    pub(in crate::changeover) fn best_order(&self) -> Vec<usize> {
        self.best.items().to_vec()
    }

    /// Goes on from an order that somebody else found, if it is better.
    pub(in crate::changeover) fn take_in(&mut self, order: &[usize], patience: &mut Patience<'_>) {
        self.under_way = Order::new(self.table, order);
        self.under_way.push_all();
        patience.take(self.under_way.descend());
        self.keep_if_best(patience);
    }

    fn keep_if_best(&mut self, patience: &mut Patience<'_>) -> bool {
        let is_best = self.under_way.cost < self.best.cost;
        if is_best {
            self.best.copy_from(&self.under_way);
            self.kept.copy_from(&self.under_way);
            self.tell(patience);
        }
        is_best
    }

    fn tell(&self, patience: &Patience<'_>) {
        (patience.limits.better)(self.best.items(), self.best.cost);
    }

    /// Shakes and climbs for so much work, from warm to cold once or several times.
    pub(in crate::changeover) fn run(&mut self, work: u64, patience: &mut Patience<'_>) {
        let longest = COOLING_MAX * self.table.count as u64;
        let times = work.div_ceil(longest).max(1);
        for _ in 0..times {
            self.cool_down(work / times, patience);
        }
    }

    fn cool_down(&mut self, work: u64, patience: &mut Patience<'_>) {
        let end = patience.left.saturating_sub(work);
        self.under_way.copy_from(&self.kept);
        while patience.goes_on() && patience.left > end {
            self.shake();
            let looked = self.under_way.descend() + 1;
            patience.take(looked);
            if self.keep_if_best(patience) {
                continue;
            }
            let warm = (patience.left.saturating_sub(end)) * 1024 / work.max(1);
            if self.under_way.cost <= self.kept.cost + self.slack(warm as i64) {
                self.kept.copy_from(&self.under_way);
            } else {
                self.under_way.copy_from(&self.kept);
            }
        }
    }

    /// How much dearer than before may be kept: seldom much, often nothing, less as it cools from
    /// 1024 to 0.
    fn slack(&mut self, warm: i64) -> i64 {
        let halvings = i64::from(self.random.next().leading_zeros());
        let mean_change = self.best.cost / (self.table.count as i64).max(1);
        mean_change * halvings * warm / 1024
    }

    /// Random exchanges near to each other.
    fn shake(&mut self) {
        let count = self.table.count;
        if count < 2 {
            return;
        }
        let near = 1 + self.random.below(count - 1);
        for _ in 0..1 + self.random.below(3) {
            let mut run = RUN_MAX;
            for _ in 0..TRIES {
                let first = near + self.random.below(run.min(10));
                let middle = first + 1 + self.random.below(run);
                let end = middle + 1 + self.random.below(run);
                run = run.div_ceil(2).max(2);
                let exchange = Exchange { first, middle, end };
                if end <= count + 1 && self.under_way.keeps(exchange) {
                    let gain = self.under_way.gain(exchange);
                    self.under_way.exchange(exchange, gain);
                    break;
                }
            }
        }
    }
}

/// Always the cheapest next item of those whose time has come.
pub(in crate::changeover) fn greedy<const W: usize>(table: &Table<W>) -> Vec<usize> {
    let mut waits_for: Vec<usize> = (0..table.count).map(|i| table.before[i].len()).collect();
    let mut order = Vec::with_capacity(table.count);
    let mut last = table.count;
    while order.len() < table.count {
        let free = (0..table.count).filter(|&item| waits_for[item] == 0);
        let next = free.min_by_key(|&item| table.from(last)[item]);
        last = next.expect("BUG: what comes before what has no circle");
        order.push(last);
        waits_for[last] = usize::MAX;
        for later in table.after[last].iter() {
            waits_for[later] -= 1;
        }
    }
    order
}
