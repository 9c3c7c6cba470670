//! Mending a kept list with the least disturbance: what is still legal keeps its order, what is
//! needed now is put in between, and only steps that have to move are moved.
//!
//! A legal order from here (the planner's) says which steps are needed. The steps of the kept
//! list are merged with the others: the grid of "so many of the one, so many of the other" is
//! walked from the start, cheapest first, each with its own order kept. Where no merge exists, the
//! step that is stuck, or one that would free it, changes sides; fewest changes first.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use lastbolt_machine::kernel::Blocker;
use lastbolt_machine::{Kernel, Minutes, ThingNo};

use crate::walk::{Stand, Todo};

/// The most grid points of one merge.
const GRID_MAX: usize = 40_000;
/// The most merges that are tried before every stuck step is moved without asking.
const MERGES_MAX: usize = 60;
/// The most steps that are moved by trying each choice.
const DEPTH_MAX: usize = 3;

/// Merges a kept list with a legal order from here; gives the legal order's steps in an order
/// that keeps as much of the kept list as it can.
pub(crate) fn repair(kernel: &Kernel, from: &Stand, kept: &[Todo], legal: &[Todo]) -> Vec<Todo> {
    let needed: BTreeSet<_> = legal.iter().map(key).collect();
    let stay: Vec<Todo> = kept.iter().filter(|t| needed.contains(&key(t))).copied().collect();
    let mut tries = MERGES_MAX;
    let mut search = Search { kernel, from, legal, tries: &mut tries };
    for depth in 0..=DEPTH_MAX {
        if let Some(list) = search.deepen(&stay, depth) {
            return list;
        }
    }
    search.give_way(stay)
}

/// What makes two steps the same.
fn key(todo: &Todo) -> (ThingNo, &'static str) {
    (todo.thing, todo.verb.word())
}

struct Search<'a> {
    kernel: &'a Kernel,
    from: &'a Stand,
    legal: &'a [Todo],
    tries: &'a mut usize,
}

impl Search<'_> {
    /// Tries to merge with at most `depth` of the kept steps moved.
    fn deepen(&mut self, stay: &[Todo], depth: usize) -> Option<Vec<Todo>> {
        let stuck = match self.merge(stay)? {
            Merge::Done(list) => return Some(list),
            Merge::Stuck(stuck) => stuck,
        };
        if depth == 0 {
            return None;
        }
        for index in stuck {
            let mut fewer = stay.to_vec();
            fewer.remove(index);
            if let Some(list) = self.deepen(&fewer, depth - 1) {
                return Some(list);
            }
        }
        None
    }

    /// Moves every stuck step until a merge exists: with nothing left to stay it is the legal
    /// order itself.
    fn give_way(&mut self, mut stay: Vec<Todo>) -> Vec<Todo> {
        loop {
            *self.tries = 1;
            match self.merge(&stay) {
                Some(Merge::Done(list)) => return list,
                Some(Merge::Stuck(stuck)) if !stuck.is_empty() => {
                    stay.remove(stuck[0]);
                }
                _ => return self.legal.to_vec(),
            }
        }
    }

    fn merge(&mut self, stay: &[Todo]) -> Option<Merge> {
        let staying: BTreeSet<_> = stay.iter().map(key).collect();
        let put_in: Vec<Todo> =
            self.legal.iter().filter(|t| !staying.contains(&key(t))).copied().collect();
        if *self.tries == 0 || (stay.len() + 1) * (put_in.len() + 1) > GRID_MAX {
            return None;
        }
        *self.tries -= 1;
        Some(Grid { kernel: self.kernel, stay, put_in: &put_in }.walk(self.from))
    }
}

enum Merge {
    Done(Vec<Todo>),
    /// Indices of kept steps that might be moved, the most promising first.
    Stuck(Vec<usize>),
}

/// One point of the grid: how it was reached at least cost.
struct Point {
    stand: Stand,
    minutes: Minutes,
    /// The step that led here and whether it is one that was put in.
    last: Option<(Todo, bool)>,
}

struct Grid<'a> {
    kernel: &'a Kernel,
    stay: &'a [Todo],
    put_in: &'a [Todo],
}

impl Grid<'_> {
    fn walk(&self, from: &Stand) -> Merge {
        let mut start = from.clone();
        for step in self.stay.iter().chain(self.put_in) {
            if step.verb == crate::view::StepVerb::Start {
                start.started.remove(step.thing);
            }
        }
        let mut points: HashMap<(usize, usize), Point> = HashMap::new();
        points.insert((0, 0), Point { stand: start, minutes: Minutes::ZERO, last: None });
        for sum in 0..self.stay.len() + self.put_in.len() {
            for i in sum.saturating_sub(self.put_in.len())..=sum.min(self.stay.len()) {
                self.leave(&mut points, (i, sum - i));
            }
        }
        let end = (self.stay.len(), self.put_in.len());
        match points.get(&end) {
            Some(point) if self.is_home(point) => Merge::Done(self.trace(&points, end)),
            _ => Merge::Stuck(self.stuck(&points)),
        }
    }

    fn is_home(&self, point: &Point) -> bool {
        point.stand.pending.is_empty() && point.stand.left_open(self.kernel).is_empty()
    }

    /// Goes on from a point in both directions. A step that is put in is preferred where the
    /// minutes are equal: what is needed now comes early.
    fn leave(&self, points: &mut HashMap<(usize, usize), Point>, at: (usize, usize)) {
        let Some(point) = points.get(&at) else { return };
        let mut reached = Vec::new();
        let right = self.stay.get(at.0).map(|step| (step, (at.0 + 1, at.1), false));
        let down = self.put_in.get(at.1).map(|step| (step, (at.0, at.1 + 1), true));
        for (step, to, put_in) in [right, down].into_iter().flatten() {
            if let Some(step) = point.stand.fit(self.kernel, step) {
                let mut stand = point.stand.clone();
                let minutes = point.minutes + stand.apply(self.kernel, &step);
                reached.push((to, Point { stand, minutes, last: Some((step, put_in)) }));
            }
        }
        for (to, point) in reached {
            let better = points.get(&to).is_none_or(|old| {
                let late = |p: &Point| p.last.is_none_or(|(_, put_in)| put_in);
                (point.minutes, late(&point)) < (old.minutes, late(old))
            });
            if better {
                points.insert(to, point);
            }
        }
    }

    fn trace(&self, points: &HashMap<(usize, usize), Point>, end: (usize, usize)) -> Vec<Todo> {
        let mut list = Vec::with_capacity(end.0 + end.1);
        let mut at = end;
        while let Some((step, put_in)) = points.get(&at).and_then(|point| point.last) {
            list.push(step);
            at = if put_in { (at.0, at.1 - 1) } else { (at.0 - 1, at.1) };
        }
        list.reverse();
        list
    }

    /// Which kept steps to move: from every dead end the one that is stuck there, and later ones
    /// that would free it or the step to be put in; those of the farthest dead ends first.
    fn stuck(&self, points: &HashMap<(usize, usize), Point>) -> Vec<usize> {
        let mut found: BTreeMap<usize, usize> = BTreeMap::new();
        let farthest = points.keys().map(|&(i, j)| i + j).max().unwrap_or(0);
        for (&(i, j), point) in points.iter().filter(|((i, j), _)| i + j == farthest) {
            let next = [self.stay.get(i), self.put_in.get(j)];
            for step in next.into_iter().flatten() {
                for index in self.freed_by(point, step, i) {
                    *found.entry(index).or_default() += 2;
                }
            }
            if i < self.stay.len() {
                *found.entry(i).or_default() += 1;
            }
        }
        let mut order: Vec<(usize, usize)> = found.into_iter().collect();
        order.sort_by_key(|&(index, weight)| (std::cmp::Reverse(weight), index));
        order.into_iter().map(|(index, _)| index).collect()
    }

    /// Later kept steps about the things that stand against a step.
    fn freed_by(&self, point: &Point, step: &Todo, from: usize) -> Vec<usize> {
        let Some((_, against)) = point.stand.best(self.kernel, step) else { return Vec::new() };
        let things: Vec<ThingNo> = against.iter().filter_map(thing_of).collect();
        let later = self.stay.iter().enumerate().skip(from + 1);
        later.filter(|(_, s)| things.contains(&s.thing)).map(|(index, _)| index).collect()
    }
}

/// The thing that a blocker names.
pub(crate) fn thing_of(blocker: &Blocker) -> Option<ThingNo> {
    match *blocker {
        Blocker::NotClear(thing)
        | Blocker::Needs(thing)
        | Blocker::HeldBy(thing)
        | Blocker::NotInMachine(thing)
        | Blocker::HangsBy(thing)
        | Blocker::WouldHide(thing)
        | Blocker::StillNeededBy(thing)
        | Blocker::NotStarted(thing) => Some(thing),
        Blocker::NotAtBench | Blocker::EndsApart | Blocker::AlreadyDone => None,
    }
}
