//! Place by place, every set of things done with every last item: dynamic programming (Held and
//! Karp 1962), with the states left away from which the relaxation sees no order below the best
//! known, and only the most promising kept where there are too many.

use crate::changeover::Patience;
use crate::changeover::jobs::{FORBIDDEN, Table};
use crate::changeover::layers::{Layers, SCALE};
use crate::hash::Map;
use crate::mask::Mask;

/// What came of it.
pub(in crate::changeover) struct Outcome {
    /// An order cheaper than the best known.
    pub order: Option<Vec<usize>>,
    /// No order costs less, other than the best known and this one.
    pub bound: i64,
}

#[derive(Clone, Copy)]
struct State<const W: usize> {
    done: Mask<W>,
    cost: i64,
    /// Prices of what is done, the last included.
    prices: i64,
    /// No order from here costs less, scaled.
    bound: i64,
    last: u16,
    /// The state before it, in the layer before.
    parent: u32,
}

/// How to walk back to the first item.
struct Trail {
    last: u16,
    parent: u32,
}

/// Goes through all places with at most `width` states each, looking for orders below `best`.
pub(in crate::changeover) fn run<const W: usize>(
    table: &Table<W>,
    layers: &Layers,
    best: i64,
    width: usize,
    patience: &mut Patience<'_>,
) -> Outcome {
    let count = table.count;
    let mut next = Next::new(layers, (best - 1) * SCALE, width);
    for &item in layers.at.first().into_iter().flatten() {
        if table.before[item].is_empty() {
            let done = Mask::EMPTY.with(item);
            let prices = layers.prices[item];
            next.enter(0, State { done, cost: 0, prices, bound: 0, last: item as u16, parent: 0 });
        }
    }
    let mut trails: Vec<Vec<Trail>> = Vec::with_capacity(count);
    let mut states = next.close();
    for place in 1..count {
        let trail = states.iter().map(|s| Trail { last: s.last, parent: s.parent });
        trails.push(trail.collect());
        let due = due_by(layers, place);
        for (number, state) in states.iter().enumerate() {
            if number % 64 == 63 && !patience.take(64) {
                return Outcome { order: None, bound: 0 };
            }
            if due.is_within(&state.done.with(state.last.into())) {
                expand(table, layers, place, state, number as u32, &mut next);
            }
        }
        patience.take(states.len() as u64 % 64);
        states = next.close();
    }
    let lost = next.lost.saturating_add(SCALE - 1).div_euclid(SCALE);
    let found = states.iter().min_by_key(|state| (state.cost, state.last));
    let bound = lost.min(found.map_or(best, |state| state.cost)).min(best);
    let order = found.map(|state| {
        let mut order = vec![usize::from(state.last)];
        let mut parent = state.parent;
        for trail in trails.iter().rev() {
            let before = &trail[parent as usize];
            order.push(before.last.into());
            parent = before.parent;
        }
        order.reverse();
        order
    });
    Outcome { order, bound }
}

/// What has to be done before this place, since no later place is left to it.
fn due_by<const W: usize>(layers: &Layers, place: usize) -> Mask<W> {
    let later: Mask<W> = layers.at[place..].iter().flatten().copied().collect();
    (0..layers.at.len()).filter(|&item| !later.has(item)).collect()
}

fn expand<const W: usize>(
    table: &Table<W>,
    layers: &Layers,
    place: usize,
    state: &State<W>,
    number: u32,
    next: &mut Next<'_, W>,
) {
    let costs = table.from(state.last.into());
    for &item in &layers.at[place] {
        if state.done.has(item) || !table.before[item].is_within(&state.done) {
            continue;
        }
        next.enter(
            place,
            State {
                done: state.done.with(item),
                cost: state.cost + costs[item],
                prices: state.prices + layers.prices[item],
                bound: state.bound,
                last: item as u16,
                parent: number,
            },
        );
    }
}

/// The states of the next place.
struct Next<'a, const W: usize> {
    layers: &'a Layers,
    /// Dearer ones are of no use, scaled.
    limit: i64,
    width: usize,
    states: Vec<State<W>>,
    known: Map<(Mask<W>, u16), u32>,
    /// The least bound of what was left away although it might have been of use.
    lost: i64,
}

impl<'a, const W: usize> Next<'a, W> {
    fn new(layers: &'a Layers, limit: i64, width: usize) -> Self {
        let known = Map::default();
        Self { layers, limit, width, states: Vec::new(), known, lost: FORBIDDEN }
    }

    fn enter(&mut self, place: usize, mut state: State<W>) {
        let to_go = self.layers.to_go(place, state.last.into());
        if to_go >= FORBIDDEN {
            return;
        }
        let rest = to_go + state.prices - self.layers.all_prices;
        state.bound = state.bound.max(state.cost * SCALE + rest);
        if state.bound > self.limit {
            return;
        }
        let number = self.states.len() as u32;
        match self.known.entry((state.done, state.last)) {
            std::collections::hash_map::Entry::Vacant(entry) => {
                entry.insert(number);
                self.states.push(state);
            }
            std::collections::hash_map::Entry::Occupied(entry) => {
                let known = &mut self.states[*entry.get() as usize];
                if state.cost < known.cost {
                    *known = state;
                }
            }
        }
        if self.states.len() >= self.width.saturating_mul(4) {
            self.thin_out();
            self.known.clear();
            for (number, state) in self.states.iter().enumerate() {
                self.known.insert((state.done, state.last), number as u32);
            }
        }
    }

    /// Keeps the most promising.
    fn thin_out(&mut self) {
        if self.states.len() > self.width {
            let key = |state: &State<W>| (state.bound, state.last, state.parent);
            self.states.select_nth_unstable_by_key(self.width, key);
            let lost = self.states[self.width..].iter().map(|state| state.bound).min();
            self.lost = self.lost.min(lost.unwrap_or(FORBIDDEN));
            self.states.truncate(self.width);
            // The same order everywhere, whatever the selection leaves.
            self.states.sort_unstable_by_key(key);
        }
    }

    fn close(&mut self) -> Vec<State<W>> {
        self.thin_out();
        self.known.clear();
        std::mem::take(&mut self.states)
    }
}
