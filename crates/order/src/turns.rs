//! Which settled set is searched when: the sets' turns.
//!
//! Sets are begun in the order of their bounds. Of those whose searches are not at their ends the
//! lowest bound goes on, with twice the states of its last turn, as long as going on has taken no
//! more than a few times the states that beginning has: so an order that lies deep in an early set
//! is found before many others are begun for nothing, and a search that gets nowhere does not keep
//! the others waiting.

use lastbolt_machine::Kernel;

use crate::answer::Ask;
use crate::local::{BUILD, Local, STRIP};
use crate::mask::Mask;
use crate::relax::NEVER;
use crate::sets::{Node, Sets};
use crate::settled::{self, Found, Settled, Whole};

/// How many states are looked at in a set's first turn.
const FIRST_SHARE: u64 = 4_000;
/// How many sets may be looked at for a first one, however few states are allowed.
const FIRST_SETS: u64 = 10_000;
/// How many times as many states as beginning may going on take.
const LEAD: u64 = 3;
/// The same where its bound is the lowest of all.
const FAVOUR: u64 = 8;
/// How many searches of sets are kept to be taken up again.
const SEARCHES_MAX: usize = 4;

/// Searches the sets until none can hold a cheaper order than the best that is known.
pub(crate) fn search_sets<const W: usize>(
    kernel: &Kernel,
    local: &Local<W>,
    known: Option<Whole>,
    patience: &mut u64,
    ask: &Ask<'_>,
) -> Found {
    let directions: &[usize] = if ask.strip_only { &[STRIP] } else { &[STRIP, BUILD] };
    let mut sets = Sets::new(kernel, local, directions);
    let mut below = known.as_ref().map_or(NEVER, |whole| whole.minutes);
    let mut best = known;
    let mut turns = Turns { begun: Vec::new(), waiting: None, begun_with: 0, gone_on_with: 0 };
    let mut set_patience = ask.nodes.max(FIRST_SETS);
    while *patience > 0 {
        if turns.waiting.is_none() {
            let before = set_patience;
            turns.waiting = sets.next(below, &mut set_patience, ask);
            turns.begun_with += before - set_patience;
            // A first set is wanted whatever it takes; looking for more is search like any other.
            if best.is_some() {
                *patience = patience.saturating_sub(before - set_patience);
            }
        }
        let Some(turn) = turns.next(below) else { break };
        sets.count_changes();
        let mut some = turn.share.min(*patience);
        let (before, is_new) = (some, turn.share == FIRST_SHARE);
        *patience -= some;
        let (whole, turn) = turn.go_on(kernel, local, below, &mut some, ask);
        *patience += some;
        if is_new {
            turns.begun_with += before - some;
        } else {
            turns.gone_on_with += before - some;
        }
        if let Some(whole) = whole {
            below = whole.minutes;
            best = Some(whole);
        }
        if turn.bound < below {
            turns.keep(turn);
        }
        if (ask.stop)() {
            *patience = 0;
        }
    }
    let begun = turns.begun.iter().map(|set| set.bound);
    let left = begun.chain(turns.waiting.map(|node| node.bound)).chain(sets.lowest_bound(ask));
    Found { best, bound: left.min().unwrap_or(NEVER).min(below) }
}

/// The sets whose turn may be next.
struct Turns<'a, const W: usize> {
    /// Those whose searches are not at their ends.
    begun: Vec<Turn<'a, W>>,
    /// The next one of the others.
    waiting: Option<Node<W>>,
    /// How many states beginning has taken.
    begun_with: u64,
    /// How many going on has taken.
    gone_on_with: u64,
}

/// A set that was not searched to its end.
struct Turn<'a, const W: usize> {
    /// No order of this set takes less.
    bound: i64,
    set: Mask<W>,
    /// How many states are looked at when it has its turn.
    share: u64,
    /// Where its search stands; given up where there are too many.
    settled: Option<Box<Settled<'a, W>>>,
}

impl<'a, const W: usize> Turns<'a, W> {
    /// The set whose turn it is, if there is one that can hold an order below the limit.
    fn next(&mut self, below: i64) -> Option<Turn<'a, W>> {
        self.begun.retain(|set| set.bound < below);
        self.waiting.take_if(|node| below < NEVER && node.bound >= below);
        let least = self.begun.iter().enumerate().min_by_key(|(_, set)| set.bound);
        let goes_on = least.is_some_and(|(_, set)| match &self.waiting {
            None => true,
            // Whatever comes of the others, the lowest bound of all has to be raised.
            Some(node) if set.bound <= node.bound => self.gone_on_with <= FAVOUR * self.begun_with,
            Some(_) => self.gone_on_with <= LEAD * self.begun_with,
        });
        match least {
            Some((index, _)) if goes_on => Some(self.begun.swap_remove(index)),
            _ => self.waiting.take().map(|node| Turn {
                bound: node.bound,
                set: node.inside,
                share: FIRST_SHARE,
                settled: None,
            }),
        }
    }

    /// Keeps a set for later; of too many searches the least promising one has to begin anew then.
    fn keep(&mut self, set: Turn<'a, W>) {
        self.begun.push(Turn { share: set.share.saturating_mul(2), ..set });
        let kept = || self.begun.iter().filter(|set| set.settled.is_some());
        if kept().count() > SEARCHES_MAX {
            let last = self.begun.iter_mut().filter(|set| set.settled.is_some());
            if let Some(last) = last.max_by_key(|set| set.bound) {
                last.settled = None;
            }
        }
    }
}

impl<'a, const W: usize> Turn<'a, W> {
    /// Searches the set further; the order is one below the limit.
    fn go_on(
        mut self,
        kernel: &'a Kernel,
        local: &'a Local<W>,
        below: i64,
        patience: &mut u64,
        ask: &Ask<'_>,
    ) -> (Option<Whole>, Self) {
        let (mut whole, mut below) = (None, below);
        if self.settled.is_none() {
            let begun = settled::begin(kernel, local, self.set, below, patience, ask);
            self.bound = self.bound.max(begun.bound);
            below = begun.best.as_ref().map_or(below, |whole| whole.minutes);
            whole = begun.best;
            self.settled = begun.settled;
        }
        if let Some(settled) = &mut self.settled {
            let found = settled.go_on(below, patience, ask);
            self.bound = self.bound.max(found.bound);
            whole = found.best.or(whole);
        }
        (whole, self)
    }
}
