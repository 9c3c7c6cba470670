//! Dijkstra over everything that a [`Walker`] may do: no bound, no rule of thumb, no pruning.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap, HashMap};

use lastbolt_checker::{Key, Move, Order, Walker};
use lastbolt_machine::Minutes;

/// What is looked for.
pub(crate) struct Ask {
    /// Only taking apart.
    pub(crate) strip_only: bool,
    /// Minutes added for each thing that is opened; 0 for the real cost.
    pub(crate) for_each_opened: Minutes,
    /// How many states may be seen.
    pub(crate) most_states: usize,
}

/// The limit of states was reached.
pub(crate) struct TooMany;

/// A best order.
pub(crate) struct Found {
    /// Its cost, with what was added for each thing opened.
    pub(crate) cost: Minutes,
    /// The order.
    pub(crate) order: Order,
    /// Every set of things that is open at the turn of some best order.
    pub(crate) off_sets: BTreeSet<BTreeSet<String>>,
    /// The state at the end.
    pub(crate) end: Walker,
    /// How many states were seen.
    pub(crate) states: usize,
}

/// How a state was reached: from which one, by which move (none = the turn).
type Edge = (usize, Option<Move>);

struct Seen {
    key: Key,
    cost: Minutes,
    /// All edges by which this cost is reached.
    from: Vec<Edge>,
}

struct Search<'a> {
    start: &'a Walker,
    ask: &'a Ask,
    seen: Vec<Seen>,
    number: HashMap<Key, usize>,
    queue: BinaryHeap<Reverse<(Minutes, usize)>>,
}

/// Finds a cheapest order from where the walker stands; `None` if there is none.
pub(crate) fn search(start: &Walker, ask: &Ask) -> Result<Option<Found>, TooMany> {
    let mut search =
        Search { start, ask, seen: Vec::new(), number: HashMap::new(), queue: BinaryHeap::new() };
    search.reach(start.key(), Minutes::ZERO, None)?;
    let goals = search.run()?;
    Ok(goals.first().map(|&goal| search.found(goal, &goals)))
}

impl Search<'_> {
    /// Goes through all states in the order of their cost; gives all goals of least cost.
    fn run(&mut self) -> Result<Vec<usize>, TooMany> {
        let mut goals: Vec<usize> = Vec::new();
        while let Some(Reverse((cost, state))) = self.queue.pop() {
            if goals.first().is_some_and(|&goal| self.seen[goal].cost < cost) {
                break;
            }
            if self.seen[state].cost < cost {
                continue;
            }
            let walker = self.start.back_at(&self.seen[state].key, cost);
            let strip_done = self.ask.strip_only && walker.targets_hold();
            if strip_done || walker.finished() {
                goals.push(state);
                continue;
            }
            let mut turned = walker.clone();
            if !self.ask.strip_only && turned.turn().is_ok() {
                self.reach(turned.key(), cost, Some((state, None)))?;
            }
            for next in walker.moves() {
                let mut after = walker.clone();
                after.take(&next);
                let mut total = cost + next.minutes + next.change;
                if !walker.is_building() {
                    total += self.ask.for_each_opened;
                }
                self.reach(after.key(), total, Some((state, Some(next))))?;
            }
        }
        Ok(goals)
    }

    fn reach(&mut self, key: &Key, cost: Minutes, edge: Option<Edge>) -> Result<(), TooMany> {
        let Some(&state) = self.number.get(key) else {
            if self.seen.len() >= self.ask.most_states {
                return Err(TooMany);
            }
            let state = self.seen.len();
            self.number.insert(key.clone(), state);
            self.seen.push(Seen { key: key.clone(), cost, from: edge.into_iter().collect() });
            self.queue.push(Reverse((cost, state)));
            return Ok(());
        };
        let seen = &mut self.seen[state];
        if cost < seen.cost {
            seen.cost = cost;
            seen.from = edge.into_iter().collect();
            self.queue.push(Reverse((cost, state)));
        } else if cost == seen.cost {
            seen.from.extend(edge);
        }
        Ok(())
    }

    fn found(&self, goal: usize, goals: &[usize]) -> Found {
        let end = self.start.back_at(&self.seen[goal].key, self.seen[goal].cost);
        Found {
            cost: self.seen[goal].cost,
            order: self.order(goal),
            off_sets: self.off_sets(goals),
            end,
            states: self.seen.len(),
        }
    }

    /// One best order, from its last step to its first.
    fn order(&self, goal: usize) -> Order {
        let mut order = Order { strip_only: self.ask.strip_only, ..Order::default() };
        let mut state = goal;
        while let Some(&(before, how)) = self.seen[state].from.first() {
            let walker = self.start.back_at(&self.seen[before].key, Minutes::ZERO);
            if let Some(next) = how {
                let part = if walker.is_building() { &mut order.build } else { &mut order.strip };
                part.push(walker.step(&next));
            }
            state = before;
        }
        order.strip.reverse();
        order.build.reverse();
        order
    }

    /// What is open at the turn of every best order: back from all goals along all best edges.
    fn off_sets(&self, goals: &[usize]) -> BTreeSet<BTreeSet<String>> {
        let mut sets = BTreeSet::new();
        let mut is_on_a_best = vec![false; self.seen.len()];
        let mut todo = goals.to_vec();
        while let Some(state) = todo.pop() {
            if std::mem::replace(&mut is_on_a_best[state], true) {
                continue;
            }
            for &(before, how) in &self.seen[state].from {
                todo.push(before);
                if how.is_none() {
                    sets.insert(self.open(before));
                }
            }
            if self.ask.strip_only && goals.contains(&state) {
                sets.insert(self.open(state));
            }
        }
        sets
    }

    fn open(&self, state: usize) -> BTreeSet<String> {
        let walker = self.start.back_at(&self.seen[state].key, Minutes::ZERO);
        walker.open().into_iter().map(str::to_owned).collect()
    }
}
