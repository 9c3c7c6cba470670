//! Actions without the conditions that something must still be on: opening more never hurts then,
//! so that lower bounds open all that they can.

use crate::leaf::Act;
use crate::mask::Mask;

/// An action as bounds see it.
#[derive(Clone, Debug)]
pub(crate) struct Opening<const W: usize> {
    pub thing: usize,
    /// Must be open for it.
    after: Mask<W>,
    /// Of each of these, one.
    one_of: Box<[Mask<W>]>,
}

impl<const W: usize> Opening<W> {
    pub(crate) fn of(act: &Act<W>) -> Self {
        Self { thing: act.thing, after: act.must_be_open, one_of: act.one_of.clone() }
    }

    /// Whether it is still to be opened and can be.
    pub(crate) fn is_ready(&self, open: &Mask<W>) -> bool {
        !open.has(self.thing)
            && self.after.is_within(open)
            && self.one_of.iter().all(|clause| clause.meets(open))
    }
}

/// Actions that may be done together, in an order in which most follow one another.
#[derive(Clone, Debug)]
pub(crate) struct Here<const W: usize> {
    pub openings: Vec<Opening<W>>,
    /// All that they open.
    all: Mask<W>,
    /// Whether what one of them asks for never comes later in the list.
    sorted: bool,
}

impl<const W: usize> Here<W> {
    pub(crate) fn new(openings: Vec<Opening<W>>) -> Self {
        let all: Mask<W> = openings.iter().map(|act| act.thing).collect();
        let mut later = Mask::EMPTY;
        let sorted = openings.iter().rev().all(|act| {
            let asked = act.one_of.iter().fold(act.after, |all, clause| all.or(clause));
            let sorted = !asked.meets(&later);
            later.add(act.thing);
            sorted
        });
        Self { openings, all, sorted }
    }

    /// Opens all that they can open.
    pub(crate) fn close(&self, mut open: Mask<W>) -> Mask<W> {
        if self.all.is_within(&open) {
            return open;
        }
        let mut waiting: Vec<&Opening<W>> = Vec::new();
        for act in &self.openings {
            if act.is_ready(&open) {
                open.add(act.thing);
            } else if !self.sorted && !open.has(act.thing) {
                waiting.push(act);
            }
        }
        while !waiting.is_empty() {
            let before = waiting.len();
            waiting.retain(|act| {
                if act.is_ready(&open) {
                    open.add(act.thing);
                }
                !open.has(act.thing)
            });
            if waiting.len() == before {
                break;
            }
        }
        open
    }

    /// Whether something can be opened.
    pub(crate) fn has_ready(&self, open: &Mask<W>) -> bool {
        !self.all.is_within(open) && self.openings.iter().any(|act| act.is_ready(open))
    }
}
