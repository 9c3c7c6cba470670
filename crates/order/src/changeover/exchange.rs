//! Neighbouring runs of items change places: the one exchange of three change-overs that turns no
//! run round, so that costs that differ by direction need no recount, and that keeps what comes
//! before what if nothing in the first run comes before anything in the second.
//!
//! Gambardella and Dorigo, "An Ant Colony System Hybridized with a New Local Search for the
//! Sequential Ordering Problem", INFORMS J. Computing 12(3), 2000: the runs grow item by item, so
//! that one label per item says how far they may (here: sets in machine words), and a stack of
//! items whose neighbours changed says where to look again. Deviation 1: as Lin and Kernighan do, a
//! pair of items is brought together only if that is cheaper than what one of them has now; some
//! turn of an exchange that pays begins so. Deviation 2: the best exchange of an item is taken.
//! As there, an exchange that was not allowed before and is now may be missed by the stack.

use crate::changeover::jobs::Table;
use crate::mask::Mask;

/// Exchanges the runs `[first, middle)` and `[middle, end)` of places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::changeover) struct Exchange {
    pub first: usize,
    pub middle: usize,
    pub end: usize,
}

/// An order under way; place 0 and the place after the last hold the table's further item.
#[derive(Clone)]
pub(in crate::changeover) struct Order<'a, const W: usize> {
    table: &'a Table<W>,
    items: Vec<usize>,
    place: Vec<usize>,
    /// Items with new neighbours, which may have exchanges that pay.
    stack: Vec<usize>,
    on_stack: Vec<bool>,
    pub cost: i64,
}

impl<'a, const W: usize> Order<'a, W> {
    pub(in crate::changeover) fn new(table: &'a Table<W>, order: &[usize]) -> Self {
        let outside = table.count;
        let mut this = Self {
            table,
            items: Vec::with_capacity(order.len() + 2),
            place: vec![0; table.count + 1],
            stack: Vec::new(),
            on_stack: vec![false; table.count + 1],
            cost: 0,
        };
        this.items.push(outside);
        this.items.extend_from_slice(order);
        this.items.push(outside);
        this.settle();
        this
    }

    /// Takes over another order of the same jobs.
    pub(in crate::changeover) fn copy_from(&mut self, other: &Self) {
        self.items.copy_from_slice(&other.items);
        self.place.copy_from_slice(&other.place);
        self.cost = other.cost;
        while let Some(item) = self.stack.pop() {
            self.on_stack[item] = false;
        }
    }

    pub(in crate::changeover) fn items(&self) -> &[usize] {
        &self.items[1..self.items.len() - 1]
    }

    fn settle(&mut self) {
        for (place, &item) in self.items.iter().enumerate().skip(1) {
            self.place[item] = place;
        }
        self.place[self.table.count] = 0;
        self.cost = self.items.windows(2).map(|pair| self.table.from(pair[0])[pair[1]]).sum();
    }

    /// Looks at everything again.
    pub(in crate::changeover) fn push_all(&mut self) {
        for place in (0..self.items.len() - 1).rev() {
            self.push(self.items[place]);
        }
    }

    fn push(&mut self, item: usize) {
        if !self.on_stack[item] {
            self.on_stack[item] = true;
            self.stack.push(item);
        }
    }

    /// What an exchange saves.
    pub(in crate::changeover) fn gain(&self, exchange: Exchange) -> i64 {
        let Exchange { first, middle, end } = exchange;
        let at = |place: usize| self.items[place];
        let cost = |a: usize, b: usize| self.table.from(a)[b];
        cost(at(first - 1), at(first))
            + cost(at(middle - 1), at(middle))
            + cost(at(end - 1), at(end))
            - cost(at(first - 1), at(middle))
            - cost(at(end - 1), at(first))
            - cost(at(middle - 1), at(end))
    }

    /// Whether an exchange keeps what comes before what.
    pub(in crate::changeover) fn keeps(&self, exchange: Exchange) -> bool {
        let Exchange { first, middle, end } = exchange;
        let mut later = Mask::EMPTY;
        for place in first..middle {
            later = later.or(&self.table.after[self.items[place]]);
        }
        (middle..end).all(|place| !later.has(self.items[place]))
    }

    /// Does an exchange that saves `gain`.
    pub(in crate::changeover) fn exchange(&mut self, exchange: Exchange, gain: i64) {
        let Exchange { first, middle, end } = exchange;
        for place in [first - 1, first, middle - 1, middle, end - 1, end] {
            self.push(self.items[place]);
        }
        self.items[first..end].rotate_left(middle - first);
        for place in first..end {
            self.place[self.items[place]] = place;
        }
        self.cost -= gain;
    }

    /// Exchanges until nothing on the stack pays; gives how many items were looked at.
    pub(in crate::changeover) fn descend(&mut self) -> u64 {
        let mut looked = 0;
        while let Some(item) = self.stack.pop() {
            self.on_stack[item] = false;
            looked += 1;
            if let Some((exchange, gain)) = self.best_of(item) {
                self.exchange(exchange, gain);
            }
        }
        looked
    }

    /// The best exchange that gives an item a cheaper next one; each kind is one turn of the three
    /// change-overs that go.
    fn best_of(&self, item: usize) -> Option<(Exchange, i64)> {
        let at = self.place[item];
        let mut best = Best { exchange: None, gain: 0 };
        self.before_first_run(at, &mut best);
        if at > 0 {
            self.last_of_first_run(at, &mut best);
            self.last_of_second_run(at, &mut best);
        }
        best.exchange.map(|exchange| (exchange, best.gain))
    }

    /// The item stays and gets the second run after it.
    fn before_first_run(&self, at: usize, best: &mut Best) {
        let (items, table) = (&self.items, self.table);
        let last = items.len() - 1;
        let from_item = table.from(items[at]);
        let now = from_item[items[at + 1]];
        let into_first = table.into(items[at + 1]);
        let mut later = Mask::EMPTY;
        for middle in at + 2..last {
            later = later.or(&table.after[items[middle - 1]]);
            let closer = now - from_item[items[middle]];
            if closer <= 0 || later.has(items[middle]) {
                continue;
            }
            let from_left = table.from(items[middle - 1]);
            let sure = closer + from_left[items[middle]];
            let mut end = middle + 1;
            loop {
                let (a, b) = (items[end - 1], items[end]);
                let gain = sure + table.from(a)[b] - into_first[a] - from_left[b];
                best.see(at + 1, middle, end, gain);
                if end >= last || later.has(b) {
                    break;
                }
                end += 1;
            }
        }
    }

    /// The item ends the first run and gets what follows the second.
    fn last_of_first_run(&self, at: usize, best: &mut Best) {
        let (items, table) = (&self.items, self.table);
        let last = items.len() - 1;
        let middle = at + 1;
        if middle >= last {
            return;
        }
        let from_item = table.from(items[at]);
        let now = from_item[items[middle]];
        let into_middle = table.into(items[middle]);
        let mut earlier = Mask::EMPTY;
        for end in middle + 1..=last {
            earlier = earlier.or(&table.before[items[end - 1]]);
            if earlier.has(items[at]) {
                break;
            }
            let closer = now - from_item[items[end]];
            if closer <= 0 {
                continue;
            }
            let from_right = table.from(items[end - 1]);
            let sure = closer + from_right[items[end]];
            let mut first = at;
            loop {
                let (a, b) = (items[first - 1], items[first]);
                let gain = sure + table.from(a)[b] - from_right[b] - into_middle[a];
                best.see(first, middle, end, gain);
                if first <= 1 || earlier.has(a) {
                    break;
                }
                first -= 1;
            }
        }
    }

    /// The item ends the second run and gets the first after it.
    fn last_of_second_run(&self, at: usize, best: &mut Best) {
        let (items, table) = (&self.items, self.table);
        let end = at + 1;
        let from_item = table.from(items[at]);
        let now = from_item[items[end]];
        let into_end = table.into(items[end]);
        let mut second = Mask::EMPTY.with(items[at]);
        for first in (1..at).rev() {
            let closer = now - from_item[items[first]];
            if closer > 0 && !table.after[items[first]].has(items[at]) {
                let sure = closer + table.from(items[first - 1])[items[first]];
                let into_middles = table.from(items[first - 1]);
                let mut later = Mask::EMPTY;
                let mut rest = second;
                for middle in first + 1..=at {
                    let (a, b) = (items[middle - 1], items[middle]);
                    rest.remove(a);
                    later = later.or(&table.after[a]);
                    if later.has(items[at]) {
                        break;
                    }
                    let gain = sure + table.from(a)[b] - into_middles[b] - into_end[a];
                    if gain > best.gain && !later.meets(&rest) {
                        best.see(first, middle, end, gain);
                    }
                }
            }
            second.add(items[first]);
        }
    }
}

struct Best {
    exchange: Option<Exchange>,
    gain: i64,
}

impl Best {
    fn see(&mut self, first: usize, middle: usize, end: usize, gain: i64) {
        if gain > self.gain {
            self.gain = gain;
            self.exchange = Some(Exchange { first, middle, end });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::changeover::Jobs;
    use crate::changeover::tests::random_jobs;

    /// Every exchange that is found saves what it says, keeps what comes before what, and at the
    /// end no exchange at all pays.
    #[test]
    fn ends_where_no_exchange_pays() {
        for seed in 0..200 {
            let jobs = random_jobs(seed, 4 + seed as usize % 9);
            let table = Table::<1>::new(&jobs);
            let first = crate::changeover::climb::greedy(&table);
            let mut order = Order::new(&table, &first);
            // An exchange elsewhere can let through one that was forbidden: until all rests.
            let mut before = i64::MAX;
            while order.cost < before {
                before = order.cost;
                order.push_all();
                order.descend();
            }
            let items = order.items().to_vec();
            assert_eq!(jobs.cost(&items), Some(order.cost), "seed {seed}");
            let last = items.len() + 1;
            for first in 1..last {
                for middle in first + 1..last {
                    for end in middle + 1..=last {
                        check_one(&jobs, &order, Exchange { first, middle, end });
                    }
                }
            }
        }
    }

    fn check_one(jobs: &Jobs, order: &Order<'_, 1>, exchange: Exchange) {
        let mut other = order.clone();
        let gain = order.gain(exchange);
        other.exchange(exchange, gain);
        let recounted = jobs.cost(other.items());
        assert_eq!(recounted.is_some(), order.keeps(exchange), "{exchange:?}");
        if let Some(cost) = recounted {
            assert_eq!(cost, other.cost, "{exchange:?}");
            assert!(gain <= 0, "{exchange:?} still saves {gain}");
        }
    }
}
