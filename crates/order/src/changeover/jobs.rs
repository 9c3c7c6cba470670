//! What has to be done: items, what comes before what, and what each change-over costs.

use std::fmt;

use crate::mask::Mask;

/// The most items.
pub(in crate::changeover) const ITEMS_MAX: usize = 1000;
/// The most that one change-over may cost.
const COST_MAX: i64 = 1_000_000_000;
/// Dearer than any order.
pub(in crate::changeover) const FORBIDDEN: i64 = i64::MAX / 16;

/// Items 0, 1, 2 ... with change-over costs and what comes before what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Jobs {
    count: usize,
    /// Row by row: doing the column's item right after the row's.
    costs: Vec<i64>,
    /// Row by row: whether the row's item comes somewhere before the column's; closed.
    before: Vec<bool>,
}

/// Why jobs were refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// There are more items than can be dealt with.
    TooMany {
        /// How many there are.
        count: usize,
    },
    /// A row has not as many costs as there are rows.
    NotSquare {
        /// The row, from 0.
        row: usize,
        /// How many costs it has.
        costs: usize,
    },
    /// A cost is negative or too large.
    Cost {
        /// The item before the change-over.
        from: usize,
        /// The item after it.
        to: usize,
        /// What was stated.
        cost: i64,
    },
    /// Something comes before something that does not exist, or the reverse.
    NoSuchItem {
        /// The number that is no item.
        item: usize,
    },
    /// These come before each other in a circle.
    Circle(Vec<usize>),
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooMany { count } => {
                write!(f, "There are {count} items; at most {ITEMS_MAX} can be ordered.")
            }
            Self::NotSquare { row, costs } => write!(
                f,
                "Row {row} has {costs} costs; every row needs one for each item, its own included."
            ),
            Self::Cost { from, to, cost } => write!(
                f,
                "The change-over from {from} to {to} costs {cost}; it has to be 0 to {COST_MAX}."
            ),
            Self::NoSuchItem { item } => {
                write!(f, "What comes before what names item {item}, which does not exist.")
            }
            Self::Circle(items) => {
                write!(f, "These come before each other in a circle: {items:?}. Leave one out.")
            }
        }
    }
}

impl std::error::Error for Refused {}

impl Jobs {
    /// Takes a square table of costs and pairs (earlier, later), which need not be closed.
    ///
    /// # Errors
    /// Where the table is not square or too large, a cost is out of range, a pair names no item, or
    /// pairs go round in a circle.
    pub fn new(rows: &[Vec<i64>], befores: &[(usize, usize)]) -> Result<Self, Refused> {
        let count = rows.len();
        if count > ITEMS_MAX {
            return Err(Refused::TooMany { count });
        }
        for (from, row) in rows.iter().enumerate() {
            if row.len() != count {
                return Err(Refused::NotSquare { row: from, costs: row.len() });
            }
            for (to, &cost) in row.iter().enumerate() {
                if to != from && !(0..=COST_MAX).contains(&cost) {
                    return Err(Refused::Cost { from, to, cost });
                }
            }
        }
        let before = closed(count, befores)?;
        Ok(Self { count, costs: rows.concat(), before })
    }

    /// How many items there are.
    pub fn count(&self) -> usize {
        self.count
    }

    /// Whether one item has to come somewhere before another.
    pub fn is_before(&self, earlier: usize, later: usize) -> bool {
        self.before[earlier * self.count + later]
    }

    /// The cost of doing one item right after another.
    pub fn change(&self, from: usize, to: usize) -> i64 {
        self.costs[from * self.count + to]
    }

    /// The cost of an order; `None` if it is not one: an item missing, twice, or before its time.
    pub fn cost(&self, order: &[usize]) -> Option<i64> {
        let mut place = vec![None; self.count];
        for (at, &item) in order.iter().enumerate() {
            if item >= self.count || place[item].replace(at).is_some() {
                return None;
            }
        }
        if order.len() != self.count {
            return None;
        }
        let all = || 0..self.count;
        let late = all().any(|a| all().any(|b| self.is_before(a, b) && place[a] > place[b]));
        (!late).then(|| order.windows(2).map(|pair| self.change(pair[0], pair[1])).sum())
    }

    /// The same jobs, last to first.
    pub(in crate::changeover) fn turned(&self) -> Self {
        let n = self.count;
        let across = |at: usize| at % n * n + at / n;
        let costs = (0..n * n).map(|at| self.costs[across(at)]).collect();
        let before = (0..n * n).map(|at| self.before[across(at)]).collect();
        Self { count: n, costs, before }
    }
}

/// What comes before what, with what follows from it.
fn closed(count: usize, befores: &[(usize, usize)]) -> Result<Vec<bool>, Refused> {
    let mut later = vec![Vec::new(); count];
    let mut waits_for = vec![0_usize; count];
    for &(a, b) in befores {
        if let Some(&item) = [a, b].iter().find(|item| **item >= count) {
            return Err(Refused::NoSuchItem { item });
        }
        later[a].push(b);
        waits_for[b] += 1;
    }
    let mut free: Vec<usize> = (0..count).filter(|&item| waits_for[item] == 0).collect();
    let mut done = 0;
    while let Some(&item) = free.get(done) {
        done += 1;
        for &next in &later[item] {
            waits_for[next] -= 1;
            if waits_for[next] == 0 {
                free.push(next);
            }
        }
    }
    if free.len() < count {
        return Err(Refused::Circle(circle(&later, &waits_for)));
    }
    let mut before = vec![false; count * count];
    for &item in free.iter().rev() {
        for &next in &later[item] {
            before[item * count + next] = true;
            for far in 0..count {
                before[item * count + far] |= before[next * count + far];
            }
        }
    }
    Ok(before)
}

/// One circle among the items that still wait for something.
fn circle(later: &[Vec<usize>], waits_for: &[usize]) -> Vec<usize> {
    let waits = |item: &usize| waits_for[*item] > 0;
    // What waits has something before it that waits: going back long enough comes round.
    let earlier = |item: usize| {
        (0..later.len()).filter(waits).find(|&e| later[e].contains(&item)).expect("BUG: it waits")
    };
    let mut trail: Vec<usize> = (0..later.len()).filter(waits).take(1).collect();
    loop {
        let next = earlier(trail[trail.len() - 1]);
        if let Some(from) = trail.iter().position(|&item| item == next) {
            trail.drain(..from);
            trail.reverse();
            return trail;
        }
        trail.push(next);
    }
}

/// The jobs as the searches want them: with one more item `count` that stands before the first and
/// after the last and costs nothing.
pub(in crate::changeover) struct Table<const W: usize> {
    pub count: usize,
    /// Row by row, the further item included.
    costs: Vec<i64>,
    /// The same by columns.
    costs_into: Vec<i64>,
    /// Everything that comes somewhere before.
    pub before: Vec<Mask<W>>,
    /// Everything that comes somewhere after.
    pub after: Vec<Mask<W>>,
}

impl<const W: usize> Table<W> {
    pub(in crate::changeover) fn new(jobs: &Jobs) -> Self {
        let count = jobs.count;
        let all = count + 1;
        let mut costs = vec![0; all * all];
        for from in 0..count {
            for to in 0..count {
                costs[from * all + to] = if from == to { 0 } else { jobs.change(from, to) };
            }
        }
        let costs_into = (0..all * all).map(|at| costs[at % all * all + at / all]).collect();
        let set = |test: &dyn Fn(usize) -> bool| (0..count).filter(|&i| test(i)).collect();
        let before = (0..count).map(|item| set(&|other| jobs.is_before(other, item)));
        let after = (0..count).map(|item| set(&|other| jobs.is_before(item, other)));
        let nothing = [Mask::EMPTY];
        Self {
            count,
            costs,
            costs_into,
            before: before.chain(nothing).collect(),
            after: after.chain(nothing).collect(),
        }
    }

    /// The costs from an item to each.
    pub(in crate::changeover) fn from(&self, item: usize) -> &[i64] {
        &self.costs[item * (self.count + 1)..(item + 1) * (self.count + 1)]
    }

    /// The costs into an item from each.
    pub(in crate::changeover) fn into(&self, item: usize) -> &[i64] {
        &self.costs_into[item * (self.count + 1)..(item + 1) * (self.count + 1)]
    }

    /// Whether one item may stand right after another in some order.
    pub(in crate::changeover) fn may_follow(&self, from: usize, to: usize) -> bool {
        from != to && !self.after[to].has(from) && !self.after[from].meets(&self.before[to])
    }
}
