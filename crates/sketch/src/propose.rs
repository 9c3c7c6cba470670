//! An order of going back with few walks between places, near to the record backwards.

use std::collections::HashMap;

use crate::bits::Bits;
use crate::known::Known;

/// The most states that are kept after each step.
const BEAM: usize = 3000;
/// What a pair out of the record's order costs where a fixing might also hold the part.
const MIGHT_HOLD: u32 = 3;

/// Gives the record backwards, with what is known to go home earlier moved forward just so far.
pub(crate) fn backwards(known: &Known) -> Vec<usize> {
    let count = known.len();
    let mut order: Vec<usize> = Vec::with_capacity(count);
    let mut home = Bits::none(count);
    while order.len() < count {
        let waits = |x: usize| {
            let first = (0..count).filter(|&y| !home.has(y) && known.before[y].has(x));
            first.count()
        };
        let left = (0..count).rev().filter(|&x| !home.has(x));
        // Answers that go in a circle: the one that waits for fewest goes.
        let next = left.clone().find(|&x| waits(x) == 0 && own_is_home(known, x, &home));
        let next = next.or_else(|| left.min_by_key(|&x| waits(x)));
        let Some(next) = next else { break };
        home.add(next);
        order.push(next);
    }
    order
}

/// A fixing goes home after the part that it was entered with, unless it is known to come first.
fn own_is_home(known: &Known, item: usize, home: &Bits) -> bool {
    let item_of = &known.items[item];
    item_of.own.is_none_or(|part| home.has(part) || known.before[item].has(part))
}

/// What an order must keep to, besides the record backwards at each place.
#[derive(Debug, Clone)]
pub(crate) struct Rules {
    /// For each item what must be home before it.
    pub(crate) after: Vec<Bits>,
    /// The record backwards, mended: the place of each item in it.
    pub(crate) place: Vec<usize>,
}

impl Rules {
    /// The rules that what is known makes: each fixing after its part, things of one place in the
    /// record's order, at the bench before their carrier; `blocked` pairs (later, earlier) too.
    pub(crate) fn of(known: &Known, blocked: &[(usize, usize)]) -> Rules {
        let count = known.len();
        let order = backwards(known);
        let mut place = vec![0; count];
        for (at, &item) in order.iter().enumerate() {
            place[item] = at;
        }
        let mut after = vec![Bits::none(count); count];
        for item in 0..count {
            if let Some(part) = known.items[item].own.filter(|&part| place[part] < place[item]) {
                after[item].add(part);
            }
            for other in known.before[item].iter().filter(|&other| place[item] < place[other]) {
                after[other].add(item);
            }
            if known.items[item].carrier.is_some() {
                let outer = (0..count).filter(|&y| {
                    known.is_part(y) && place[y] > place[item] && known.items[y].carrier.is_none()
                });
                for part in outer {
                    after[part].add(item);
                }
            }
        }
        for &(later, earlier) in blocked {
            if place[earlier] < place[later] {
                after[later].add(earlier);
            }
        }
        Rules { after, place }
    }
}

/// A state: what is home, where the person stands, and how it came to be.
struct State {
    home: Bits,
    /// How many of each place's things are home.
    at: Vec<u16>,
    spot: usize,
    walks: u32,
    odd: u32,
    /// Its last step in the arena.
    step: usize,
}

/// One step of an order: the item, and the step before it.
struct Step {
    item: usize,
    before: Option<usize>,
}

/// Gives the order with fewest walks that keeps the rules, among those with fewest pairs out of
/// the record's order; `start` is the place where the person stands.
pub(crate) fn fewest_walks(known: &Known, rules: &Rules, start: usize) -> Vec<usize> {
    let count = known.len();
    let spots = known.items.iter().map(|item| item.spot + 1).max().unwrap_or(1);
    let mut chains: Vec<Vec<usize>> = vec![Vec::new(); spots];
    let mut by_place: Vec<usize> = (0..count).collect();
    by_place.sort_by_key(|&item| rules.place[item]);
    for &item in &by_place {
        chains[known.items[item].spot].push(item);
    }
    let mut steps: Vec<Step> = Vec::new();
    let mut states = vec![State {
        home: Bits::none(count),
        at: vec![0; spots],
        spot: start.min(spots - 1),
        walks: 0,
        odd: 0,
        step: 0,
    }];
    for layer in 0..count {
        let mut next: HashMap<(Bits, usize), State> = HashMap::new();
        for state in &states {
            for (spot, chain) in chains.iter().enumerate() {
                let Some(&item) = chain.get(usize::from(state.at[spot])) else { continue };
                if !rules.after[item].is_within(&state.home) {
                    continue;
                }
                let walks = state.walks + u32::from(spot != state.spot);
                let mut home = state.home.clone();
                home.add(item);
                let odd = state.odd + oddness(known, rules, item, &home);
                let key = (home, spot);
                if next.get(&key).is_some_and(|old| (old.walks, old.odd) <= (walks, odd)) {
                    continue;
                }
                let mut at = state.at.clone();
                at[spot] += 1;
                steps.push(Step { item, before: (layer > 0).then_some(state.step) });
                let step = steps.len() - 1;
                next.insert(key.clone(), State { home: key.0, at, spot, walks, odd, step });
            }
        }
        states = next.into_values().collect();
        states
            .sort_by(|a, b| (a.walks, a.odd, &a.at, a.spot).cmp(&(b.walks, b.odd, &b.at, b.spot)));
        states.truncate(BEAM);
    }
    // Rules that contradict each other leave none: then the record backwards stands.
    let Some(best) = states.first().filter(|_| count > 0) else { return by_place };
    let mut order = Vec::with_capacity(count);
    let mut step = Some(best.step);
    while let Some(at) = step {
        order.push(steps[at].item);
        step = steps[at].before;
    }
    order.reverse();
    order
}

/// How many pairs come out of the record's order when an item goes home now.
fn oddness(known: &Known, rules: &Rules, item: usize, home: &Bits) -> u32 {
    let mut odd = 0;
    for other in 0..known.len() {
        if home.has(other) || rules.place[other] > rules.place[item] {
            continue;
        }
        if might_hold(known, item, other) {
            odd += MIGHT_HOLD;
        } else if !known.free[other].has(item) {
            odd += 1;
        }
    }
    odd
}

/// Whether a fixing might hold a part, as far as is known: then the part goes on first.
pub(crate) fn might_hold(known: &Known, item: usize, other: usize) -> bool {
    !known.is_part(item) && known.is_part(other) && !known.apart[item].has(other)
}
