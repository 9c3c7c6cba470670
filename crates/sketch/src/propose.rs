//! An order of going back with few walks and little that nobody has said.

use crate::bits::Bits;
use crate::known::Known;
use crate::risk::Risk;

/// The longest run of things that is moved at once.
const RUN_MAX: usize = 12;
/// The most rounds of moves.
const ROUNDS_MAX: usize = 60;
/// What is likelier to cost more than this, in walks, is not done at first.
const FIRST_TRIES: [f64; 3] = [0.08, 0.25, 0.7];
/// How many half-made orders are kept.
const KEPT: usize = 10;
/// Lists longer than this are searched less.
const LONG: usize = 120;

/// Gives the order that costs least: one for each walk, `price` times its chance for each pair of
/// things that may not be so. Beginning with the record backwards and with orders made place by
/// place, runs of things are moved as long as that pays.
pub(crate) fn cheapest(known: &Known, risk: &Risk, start: usize, price: f64) -> Vec<usize> {
    let costs = Costs::of(known, risk, start, price);
    let mut firsts: Vec<Vec<usize>> = vec![(0..costs.count).rev().collect()];
    let tries = if costs.count > LONG { 1..2 } else { 0..FIRST_TRIES.len() };
    firsts.extend(FIRST_TRIES[tries].iter().map(|&most| place_by_place(&costs, most)));
    firsts.sort();
    firsts.dedup();
    let mut best: Option<(f64, Vec<usize>)> = None;
    for first in firsts {
        let mut search = Search { costs: &costs, order: first };
        search.settle();
        let cost = search.cost();
        if best.as_ref().is_none_or(|(least, _)| cost < *least - 1e-9) {
            best = Some((cost, search.order));
        }
    }
    best.map(|(_, order)| order).unwrap_or_default()
}

/// What an order costs where nothing is in question, in walks: the first walk included, and what
/// is done from elsewhere than it could be.
pub(crate) fn toil(known: &Known, risk: &Risk, order: &[usize]) -> f64 {
    let spots: Vec<usize> = order.iter().map(|&item| known.items[item].spot).collect();
    let from = known.items.last().map(|item| item.spot);
    let first = usize::from(spots.first().copied() != from);
    let walks = first + spots.windows(2).filter(|pair| pair[0] != pair[1]).count();
    let away = order
        .iter()
        .enumerate()
        .flat_map(|(at, &home)| order[at + 1..].iter().map(move |&item| risk.away(home, item)));
    walks as f64 + away.sum::<f64>()
}

/// What each pair costs in each order, in walks, and where each thing goes home.
struct Costs {
    count: usize,
    start: usize,
    spots: Vec<usize>,
    /// `[a][b]`: a is home before b.
    pairs: Vec<f64>,
}

impl Costs {
    fn of(known: &Known, risk: &Risk, start: usize, price: f64) -> Costs {
        let count = known.len();
        let mut pairs = vec![0.0; count * count];
        for a in 0..count {
            for b in (0..count).filter(|&b| b != a) {
                pairs[a * count + b] = risk.of_pair(a, b, price);
            }
        }
        let spots = known.items.iter().map(|item| item.spot).collect();
        Costs { count, start, spots, pairs }
    }

    fn pair(&self, a: usize, b: usize) -> f64 {
        self.pairs[a * self.count + b]
    }
}

/// An order half made: all that can be done at a place is done, then on to the next place.
#[derive(Clone)]
struct Half {
    home: Bits,
    order: Vec<usize>,
    /// How many things each one still waits for.
    waits: Vec<u32>,
    spot: usize,
}

/// Does all that can be done at a place, then goes on to another one; tries several ways on.
fn place_by_place(costs: &Costs, most: f64) -> Vec<usize> {
    let count = costs.count;
    let places: Vec<usize> = {
        let mut all = costs.spots.clone();
        all.sort_unstable();
        all.dedup();
        all
    };
    // What each thing lets go on once it is home.
    let mut lets: Vec<Vec<usize>> = vec![Vec::new(); count];
    let mut waits = vec![0; count];
    for (before, lets) in lets.iter_mut().enumerate() {
        for after in (0..count).filter(|&after| after != before) {
            if costs.pair(after, before) - costs.pair(before, after) > most {
                lets.push(after);
                waits[after] += 1;
            }
        }
    }
    let half = Half {
        home: Bits::none(count),
        order: Vec::with_capacity(count),
        waits,
        spot: costs.start,
    };
    let mut halves = vec![half];
    halves[0].fill(costs, &lets);
    for _ in 0..4 * count {
        if let Some(done) = halves.iter().find(|half| half.order.len() == count) {
            return done.order.clone();
        }
        let mut next: Vec<Half> = Vec::new();
        for half in &halves {
            for &place in places.iter().filter(|&&place| place != half.spot) {
                if half.ready(costs, place).is_some() {
                    let mut on = Half { spot: place, ..half.clone() };
                    on.fill(costs, &lets);
                    next.push(on);
                }
            }
        }
        if next.is_empty() {
            // Everything waits for something: the one that waits for least goes on.
            let mut half = halves.swap_remove(0);
            let left = (0..count).filter(|&item| !half.home.has(item));
            let Some(item) = left.min_by_key(|&item| (half.waits[item], count - item)) else {
                break;
            };
            half.spot = costs.spots[item];
            half.put(item, &lets);
            half.fill(costs, &lets);
            halves = vec![half];
            continue;
        }
        next.sort_by(|a, b| b.order.len().cmp(&a.order.len()).then_with(|| a.home.cmp(&b.home)));
        next.dedup_by(|a, b| a.spot == b.spot && a.home == b.home);
        next.truncate(KEPT);
        halves = next;
    }
    (0..count).rev().collect()
}

impl Half {
    /// The next thing of a place that waits for nothing: the one that came off last.
    fn ready(&self, costs: &Costs, place: usize) -> Option<usize> {
        let here = |item: &usize| costs.spots[*item] == place;
        let ready = |item: &usize| !self.home.has(*item) && self.waits[*item] == 0;
        (0..costs.count).rev().find(|item| here(item) && ready(item))
    }

    fn fill(&mut self, costs: &Costs, lets: &[Vec<usize>]) {
        while let Some(item) = self.ready(costs, self.spot) {
            self.put(item, lets);
        }
    }

    fn put(&mut self, item: usize, lets: &[Vec<usize>]) {
        self.home.add(item);
        self.order.push(item);
        for &after in &lets[item] {
            self.waits[after] = self.waits[after].saturating_sub(1);
        }
    }
}

struct Search<'a> {
    costs: &'a Costs,
    order: Vec<usize>,
}

impl Search<'_> {
    fn settle(&mut self) {
        let (longest, rounds) =
            if self.order.len() > LONG { (4, 6) } else { (RUN_MAX, ROUNDS_MAX) };
        for _ in 0..rounds {
            let mut moved = false;
            for length in (1..=longest.min(self.order.len())).rev() {
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
        run.iter().map(|&one| self.costs.pair(one, other) - self.costs.pair(other, one)).sum()
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
        let spot = |at: usize| self.costs.spots[self.order[at]];
        let start = self.costs.start;
        let count = self.order.len();
        let before = if from == 0 { start } else { spot(from - 1) };
        let after = (from + length < count).then(|| spot(from + length));
        let (first, last) = (spot(from), spot(from + length - 1));
        let walk = |a: usize, b: usize| f64::from(u8::from(a != b));
        let walk_on = |a: usize, b: Option<usize>| b.map_or(0.0, |b| walk(a, b));
        // Where it goes in, as places of the order that it leaves.
        let (left, right) = if to < from {
            (if to == 0 { start } else { spot(to - 1) }, Some(spot(to)))
        } else {
            let left = to + length - 1;
            (spot(left), (left + 1 < count).then(|| spot(left + 1)))
        };
        let old = walk(before, first) + walk_on(last, after) + walk_on(left, right);
        let new = walk_on(before, after) + walk(left, first) + walk_on(last, right);
        old - new
    }

    fn cost(&self) -> f64 {
        let mut spot = self.costs.start;
        let mut cost = 0.0;
        for (at, &item) in self.order.iter().enumerate() {
            cost += f64::from(u8::from(self.costs.spots[item] != spot));
            spot = self.costs.spots[item];
            let later = &self.order[at + 1..];
            cost += later.iter().map(|&b| self.costs.pair(item, b)).sum::<f64>();
        }
        cost
    }
}
