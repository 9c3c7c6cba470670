//! An order of going back with few walks and little that nobody has said.

use crate::known::Known;
use crate::risk::Risk;

/// The longest run of things that is moved at once.
const RUN_MAX: usize = 12;
/// The most rounds of moves.
const ROUNDS_MAX: usize = 60;

/// Gives the order that costs least: one for each walk, `price` times its chance for each pair of
/// things that may not be so. Beginning with the record backwards, runs of things are moved as
/// long as that pays.
pub(crate) fn cheapest(known: &Known, risk: &Risk, start: usize, price: f64) -> Vec<usize> {
    let count = known.len();
    let backwards: Vec<usize> = (0..count).rev().collect();
    let by_place = place_by_place(known, risk, start);
    let mut best: Option<(f64, Vec<usize>)> = None;
    for first in [backwards, by_place] {
        let mut search = Search { known, risk, start, price, order: first };
        search.settle();
        let cost = search.cost();
        if best.as_ref().is_none_or(|(least, _)| cost < *least - 1e-9) {
            best = Some((cost, search.order));
        }
    }
    best.map(|(_, order)| order).unwrap_or_default()
}

/// All that can be done at a place, in the record's order, then on to the place with most.
fn place_by_place(known: &Known, risk: &Risk, start: usize) -> Vec<usize> {
    let count = known.len();
    let mut home = vec![false; count];
    let mut order = Vec::with_capacity(count);
    let mut spot = start;
    while order.len() < count {
        let free = |x: usize, home: &[bool]| {
            !home[x] && (0..count).all(|y| y == x || home[y] || risk.of_pair(x, y, 4.0) < 0.9)
        };
        let here = (0..count).rev().find(|&x| known.items[x].spot == spot && free(x, &home));
        let next = here.or_else(|| (0..count).rev().find(|&x| free(x, &home)));
        let next = next.or_else(|| (0..count).rev().find(|&x| !home[x]));
        let Some(next) = next else { break };
        home[next] = true;
        spot = known.items[next].spot;
        order.push(next);
    }
    order
}

struct Search<'a> {
    known: &'a Known,
    risk: &'a Risk,
    start: usize,
    price: f64,
    order: Vec<usize>,
}

impl Search<'_> {
    fn settle(&mut self) {
        for _ in 0..ROUNDS_MAX {
            let mut moved = false;
            for length in (1..=RUN_MAX.min(self.order.len())).rev() {
                for from in 0..=self.order.len() - length {
                    moved |= self.improve(from, length);
                }
            }
            if !moved {
                return;
            }
        }
    }

    /// Moves a run to where it costs least; tells whether that was elsewhere.
    fn improve(&mut self, from: usize, length: usize) -> bool {
        let (mut best, mut gain) = (from, 1e-9);
        let mut pairs = 0.0;
        for to in (0..from).rev() {
            pairs += self.swapped(self.order[to], from, length);
            self.consider(from, length, to, pairs, &mut best, &mut gain);
        }
        pairs = 0.0;
        for to in from + 1..=self.order.len() - length {
            let over = self.order[to + length - 1];
            pairs -= self.swapped(over, from, length);
            self.consider(from, length, to, pairs, &mut best, &mut gain);
        }
        if best == from {
            return false;
        }
        let run: Vec<usize> = self.order.drain(from..from + length).collect();
        self.order.splice(best..best, run);
        true
    }

    /// What it costs more to have the run before `other` than after it.
    fn swapped(&self, other: usize, from: usize, length: usize) -> f64 {
        let run = &self.order[from..from + length];
        let of = |a, b| self.risk.of_pair(a, b, self.price);
        run.iter().map(|&one| of(one, other) - of(other, one)).sum()
    }

    fn consider(
        &self,
        from: usize,
        length: usize,
        to: usize,
        pairs: f64,
        best: &mut usize,
        gain: &mut f64,
    ) {
        let saved = self.walks_saved(from, length, to) - pairs;
        if saved > *gain {
            (*best, *gain) = (to, saved);
        }
    }

    fn walks_saved(&self, from: usize, length: usize, to: usize) -> f64 {
        let spot = |at: usize| self.known.items[self.order[at]].spot;
        let count = self.order.len();
        let before = if from == 0 { self.start } else { spot(from - 1) };
        let after = (from + length < count).then(|| spot(from + length));
        let (first, last) = (spot(from), spot(from + length - 1));
        let walk = |a: usize, b: usize| f64::from(u8::from(a != b));
        let walk_on = |a: usize, b: Option<usize>| b.map_or(0.0, |b| walk(a, b));
        // Where it goes in, as places of the order that it leaves.
        let (left, right) = if to < from {
            (if to == 0 { self.start } else { spot(to - 1) }, Some(spot(to)))
        } else {
            let left = to + length - 1;
            (spot(left), (left + 1 < count).then(|| spot(left + 1)))
        };
        let old = walk(before, first) + walk_on(last, after) + walk_on(left, right);
        let new = walk_on(before, after) + walk(left, first) + walk_on(last, right);
        old - new
    }

    fn cost(&self) -> f64 {
        let mut spot = self.start;
        let mut cost = 0.0;
        for (at, &item) in self.order.iter().enumerate() {
            cost += f64::from(u8::from(self.known.items[item].spot != spot));
            spot = self.known.items[item].spot;
            let later = &self.order[at + 1..];
            cost += later.iter().map(|&b| self.risk.of_pair(item, b, self.price)).sum::<f64>();
        }
        cost
    }
}
