//! Which things come off: branch and bound over the set that is open at the turn.
//!
//! A node is a pair of sets: things that are in and things that are out. Everything that a way of
//! a thing in the set names is a *clause*: at least one of its members has to be in for that way
//! to be usable. Nodes are taken lowest bound first; where every member of every clause of every
//! usable way is decided, the set is whole, and the two orders are searched for it.

use std::cmp::Ordering;
use std::collections::{BinaryHeap, HashSet};

use lastbolt_machine::{Kernel, Kind};

use crate::answer::Ask;
use crate::homes::{Remembered, Roughly};
use crate::leaf::Leaf;
use crate::local::{BUILD, Local, STRIP};
use crate::mask::Mask;
use crate::relax::NEVER;

/// A set being decided.
#[derive(Clone, Debug)]
pub(crate) struct Node<const W: usize> {
    pub inside: Mask<W>,
    pub outside: Mask<W>,
    /// Minutes of steps alone that no completion can undercut.
    pub steps: i64,
    /// Minutes with what is known of changes that no completion can undercut.
    pub bound: i64,
    /// Whether everything is decided.
    pub whole: bool,
    /// Whether the changes of spot and tool that no completion can do without are in the bound.
    pub changes: bool,
}

impl<const W: usize> PartialEq for Node<W> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl<const W: usize> Eq for Node<W> {}
impl<const W: usize> PartialOrd for Node<W> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl<const W: usize> Ord for Node<W> {
    /// Lowest bound first out of a max-heap; of equals the whole ones, then the smaller sets.
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .bound
            .cmp(&self.bound)
            .then(self.whole.cmp(&other.whole))
            .then_with(|| self.inside.len().cmp(&other.inside.len()))
            .then_with(|| other.inside.words().cmp(self.inside.words()))
            .then_with(|| other.outside.words().cmp(self.outside.words()))
    }
}

/// How many sets get their changes counted when the search ends early.
const LOOKS_AT_END: usize = 500;

/// The sets in order of their bounds.
pub(crate) struct Sets<'a, const W: usize> {
    kernel: &'a Kernel,
    local: &'a Local<W>,
    directions: &'a [usize],
    heap: BinaryHeap<Node<W>>,
    seen: HashSet<[u64; W]>,
    /// Whether bounds count changes: longer for each node and fewer nodes. Not before there is an
    /// order, which is sooner found without.
    pub counts_changes: bool,
    /// What is known of places that are the same in many sets.
    places: Remembered,
}

impl<'a, const W: usize> Sets<'a, W> {
    pub(crate) fn new(kernel: &'a Kernel, local: &'a Local<W>, directions: &'a [usize]) -> Self {
        let mut sets = Self {
            kernel,
            local,
            directions,
            heap: BinaryHeap::new(),
            seen: HashSet::new(),
            counts_changes: false,
            places: Remembered::default(),
        };
        let inside = local.open_at_start.or(&local.targets);
        let outside = (0..local.things.len())
            .filter(|&t| !inside.has(t) && local.things[t].ways[STRIP].is_empty())
            .collect();
        sets.push(inside, outside);
        sets
    }

    /// The bound of the best set that is left, if any is left.
    pub(crate) fn lowest_bound(&mut self) -> Option<i64> {
        for _ in 0..LOOKS_AT_END {
            let is_counted = |node: &Node<W>| node.changes;
            if !self.counts_changes || self.heap.peek().is_none_or(is_counted) {
                break;
            }
            let Some(node) = self.heap.pop() else { break };
            let node = self.looked_at(&node, NEVER);
            self.heap.push(node);
        }
        self.heap.peek().map(|node| node.bound)
    }

    /// The same as far as it is known, without any further look.
    pub(crate) fn known_bound(&self) -> Option<i64> {
        self.heap.peek().map(|node| node.bound)
    }

    /// The next whole set whose bound is below the limit; stops after `patience` nodes or when it
    /// is told to.
    pub(crate) fn next(
        &mut self,
        below: i64,
        patience: &mut u64,
        ask: &Ask<'_>,
    ) -> Option<Node<W>> {
        while let Some(node) = self.heap.peek() {
            if node.bound >= below || *patience == 0 {
                return None;
            }
            // A first set is wanted in any case.
            if self.counts_changes && patience.is_multiple_of(64) && (ask.stop)() {
                *patience = 0;
                return None;
            }
            let node = self.heap.pop()?;
            *patience -= 1;
            if self.counts_changes && !node.changes {
                let node = self.looked_at(&node, below);
                if node.bound < below {
                    self.heap.push(node);
                }
                continue;
            }
            if node.whole {
                if self.seen.insert(*node.inside.words()) {
                    return Some(node);
                }
                continue;
            }
            let Some(choice) = self.undecided(&node) else {
                self.heap.push(Node { whole: true, ..node });
                continue;
            };
            self.push(node.inside.with(choice), node.outside);
            self.push(node.inside, node.outside.with(choice));
        }
        None
    }

    fn push(&mut self, inside: Mask<W>, outside: Mask<W>) {
        let mut node = Node { inside, outside, bound: 0, whole: false, steps: 0, changes: false };
        if self.propagate(&mut node) && self.can_be_whole(&node) {
            node.steps = self.bound(&node);
            node.bound = node.steps;
            self.heap.push(node);
        }
    }

    /// Adds all that the set cannot do without; `false` if it cannot be completed.
    fn propagate(&self, node: &mut Node<W>) -> bool {
        loop {
            let before = node.inside;
            for thing in node.inside.iter() {
                if !self.propagate_thing(node, thing) {
                    return false;
                }
            }
            if node.inside.meets(&node.outside) {
                return false;
            }
            if node.inside == before {
                return true;
            }
        }
    }

    /// Whether nothing of the set waits for itself in either direction, as far as is settled.
    fn can_be_whole(&self, node: &Node<W>) -> bool {
        self.directions.iter().all(|&direction| {
            self.partly_settled(node, direction).is_some_and(|leaf| leaf.can_be_whole())
        })
    }

    fn partly_settled(&self, node: &Node<W>, direction: usize) -> Option<Leaf<'_, W>> {
        let all: Mask<W> = (0..self.local.things.len()).collect();
        let most = all.minus(&node.outside);
        Leaf::partly_settled(self.kernel, self.local, direction, most, node.inside)
    }

    /// A set with the changes that what is in it asks for in its bound, all that is not decided
    /// being free and open from the start; looked at more closely where that might rule it out.
    fn looked_at(&mut self, node: &Node<W>, below: i64) -> Node<W> {
        let mut known = std::mem::take(&mut self.places);
        let leaves = self.directions.iter().filter_map(|&way| self.partly_settled(node, way));
        let mut all: Vec<_> =
            leaves.map(|leaf| Roughly::new(&leaf, &leaf.set.minus(&node.inside))).collect();
        let counted = all.iter().map(|one| one.counted(&mut known));
        let mut bound = counted.fold(node.steps, i64::saturating_add);
        if bound < below {
            let closely = all.iter_mut().map(|one| one.closely(&mut known));
            bound = bound.max(closely.fold(node.steps, i64::saturating_add));
        }
        self.places = known;
        Node { bound: bound.max(node.bound), changes: true, ..*node }
    }

    fn propagate_thing(&self, node: &mut Node<W>, thing: usize) -> bool {
        for &direction in self.directions {
            if !self.acts(thing, direction) {
                continue;
            }
            for clause in &self.local.boundary[thing] {
                if !take_unit(node, clause) {
                    return false;
                }
            }
            let mut forced: Option<Mask<W>> = None;
            for clauses in &self.local.clauses[direction][thing] {
                if clauses.iter().any(|c| c.is_within(&node.outside)) {
                    continue;
                }
                let units = clauses
                    .iter()
                    .filter(|c| !c.meets(&node.inside))
                    .map(|c| c.minus(&node.outside))
                    .filter(|open| open.len() == 1)
                    .fold(Mask::EMPTY, |all, unit| all.or(&unit));
                forced = Some(forced.map_or(units, |f| f.and(&units)));
            }
            match forced {
                None => return false,
                Some(units) => node.inside = node.inside.or(&units),
            }
        }
        true
    }

    /// Whether a thing of the set has a step in a direction.
    fn acts(&self, thing: usize, direction: usize) -> bool {
        let it = &self.local.things[thing];
        match direction {
            STRIP => !self.local.open_at_start.has(thing),
            _ => !it.by_itself && !it.leave_off,
        }
    }

    fn bound(&self, node: &Node<W>) -> i64 {
        let mut bound = 0;
        for &direction in self.directions {
            for thing in node.inside.iter().filter(|&t| self.acts(t, direction)) {
                let ways = &self.local.things[thing].ways[direction];
                let usable = ways.iter().zip(&self.local.clauses[direction][thing]);
                let least = usable
                    .filter(|(_, clauses)| !clauses.iter().any(|c| c.is_within(&node.outside)))
                    .map(|(way, _)| way.minutes)
                    .min();
                bound += least.unwrap_or(0);
            }
        }
        bound
    }

    /// A thing whose coming off could still open a way; members of clauses that are not met yet
    /// come first, those of the cheapest way first of all.
    fn undecided(&self, node: &Node<W>) -> Option<usize> {
        let decided = node.inside.or(&node.outside);
        let mut spare = None;
        for thing in node.inside.iter() {
            for &direction in self.directions {
                if !self.acts(thing, direction) {
                    continue;
                }
                let mut ways: Vec<_> = self.local.things[thing].ways[direction]
                    .iter()
                    .zip(&self.local.clauses[direction][thing])
                    .filter(|(_, c)| !c.iter().any(|c| c.is_within(&node.outside)))
                    .collect();
                ways.sort_by_key(|(way, _)| way.minutes);
                let clauses = ways.into_iter().flat_map(|(_, c)| c);
                for clause in clauses.chain(&self.local.boundary[thing]) {
                    let open = clause.minus(&decided);
                    let Some(first) = open.iter().next() else { continue };
                    if !clause.meets(&node.inside) {
                        return Some(first);
                    }
                    spare = spare.or(Some(first));
                }
            }
        }
        spare
            .or_else(|| self.hiding_rider(node, &decided))
            .or_else(|| self.left_hanging(node, &decided))
            .or_else(|| self.beside_left_off(node, &decided))
            .or_else(|| self.borne(node, &decided))
            .or_else(|| self.on_a_bead(node, &decided))
            .or_else(|| self.stepping_stone(&decided))
    }

    /// A tie on which a rider may be put aside: once that rider is off by itself, the tie holds the
    /// carrier.
    fn left_hanging(&self, node: &Node<W>, decided: &Mask<W>) -> Option<usize> {
        let riders = node.inside.iter().filter(|&r| {
            self.local.things[r].chain.iter().any(|&carrier| node.inside.has(carrier))
        });
        riders.flat_map(|r| self.local.things[r].stays.minus(decided).iter()).next()
    }

    /// A part that has to come away too, so that a tie can be made to what is left off.
    fn beside_left_off(&self, node: &Node<W>, decided: &Mask<W>) -> Option<usize> {
        let ties = node
            .inside
            .iter()
            .filter(|&t| self.local.things[t].kind == Kind::Tie && self.acts(t, BUILD));
        ties.map(|tie| self.local.seats(tie))
            .filter(|movers| movers.iter().any(|part| self.local.things[part].leave_off))
            .flat_map(|movers| movers.minus(decided).iter())
            .next()
    }

    /// What a bearing tie of the set can bear: off, it hangs no more; what can ride on that: off by
    /// itself, its fixings cross the boundary of what hangs; and what else bears any of them: with
    /// all of these undone it hangs too, and they may be made while others hang (R23).
    fn borne(&self, node: &Node<W>, decided: &Mask<W>) -> Option<usize> {
        let local = self.local;
        let ties = local.bears.and(&node.inside);
        let borne = ties.iter().flat_map(|tie| local.seats(tie).iter());
        let parts: Mask<W> = borne.flat_map(|part| local.load(part, &Mask::EMPTY).iter()).collect();
        let others = local.borne.iter().filter(|(part, _)| parts.has(*part));
        let all = others.fold(parts, |all, (_, may_bear)| all.or(may_bear));
        all.minus(decided).iter().next()
    }

    /// What rides on a part that goes on with sealant: off by itself, its fixings may wait (R24).
    fn on_a_bead(&self, node: &Node<W>, decided: &Mask<W>) -> Option<usize> {
        if !self.directions.contains(&BUILD) {
            return None;
        }
        let beads =
            self.local.beads.iter().filter(|&&bead| {
                node.inside.has(bead) && self.local.things[bead].kind == Kind::Part
            });
        beads.flat_map(|&bead| self.local.load(bead, &Mask::EMPTY).minus(decided).iter()).next()
    }

    /// Where changes do not obey the triangle, even a useless step may pay as a stepping stone.
    fn stepping_stone(&self, decided: &Mask<W>) -> Option<usize> {
        if self.local.metric {
            return None;
        }
        (0..self.local.things.len()).find(|&thing| !decided.has(thing))
    }

    /// A rider that hides something of the set: taking it off by itself lets its carrier go home
    /// earlier (R12).
    fn hiding_rider(&self, node: &Node<W>, decided: &Mask<W>) -> Option<usize> {
        if !self.directions.contains(&BUILD) {
            return None;
        }
        let riders = (0..self.local.things.len()).filter(|&rider| {
            self.local.hides[rider].meets(&node.inside)
                && self.local.things[rider].chain.iter().any(|&c| node.inside.has(c))
        });
        // The rider itself, or what carries it on the carrier that goes home.
        riders
            .flat_map(|r| self.local.things[r].chain.iter().copied().chain([r]))
            .find(|&part| !decided.has(part))
    }
}

/// Meets a clause that has one member left; `false` if none is left.
fn take_unit<const W: usize>(node: &mut Node<W>, clause: &Mask<W>) -> bool {
    if clause.meets(&node.inside) {
        return true;
    }
    let open = clause.minus(&node.outside);
    let mut members = open.iter();
    match (members.next(), members.next()) {
        (None, _) => false,
        (Some(only), None) => {
            node.inside.add(only);
            true
        }
        _ => true,
    }
}
