//! Last looks and ties made blind (R12), and the looks that stand in an order as steps.

use crate::book::{Book, Kind};
use crate::open::{No, Open};
use crate::verdict::LastLook;

/// What has been made and can still be seen, and what came of it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Looks {
    in_sight: Vec<No>,
    pub(crate) made_blind: Vec<String>,
    pub(crate) last_looks: Vec<LastLook>,
}

impl Looks {
    /// Takes note of something that was closed.
    pub(crate) fn closed(&mut self, book: &Book, x: No, before: &Open, after: &Open) {
        for tie in book.hidden_next(&self.in_sight, x, before, after) {
            self.in_sight.retain(|&seen| seen != tie);
            let of = book.id(tie).to_owned();
            self.last_looks.push(LastLook { of, before: book.id(x).to_owned() });
        }
        if book.things[x].kind != Kind::Tie || book.things[x].hidden_by.is_empty() {
            return;
        }
        if book.is_hidden(x, after) {
            self.made_blind.push(book.id(x).to_owned());
        } else {
            self.in_sight.push(x);
        }
    }

    /// Whether a tie is among those that are made and in sight.
    pub(crate) fn sees(&self, tie: No) -> bool {
        self.in_sight.contains(&tie)
    }
}

impl Book {
    /// Whether a part that hides a tie is in its place: on its seat, where the tie is too.
    pub(crate) fn is_hidden(&self, tie: No, open: &Open) -> bool {
        let place = self.place(tie, open);
        let hides = |&hider: &No| !open.has(hider) && Some(self.root(hider, open)) == place;
        self.things[tie].hidden_by.iter().any(hides)
    }

    /// Which of these ties are hidden by closing `x`.
    fn hidden_next(&self, ties: &[No], x: No, before: &Open, after: &Open) -> Vec<No> {
        if self.things[x].kind != Kind::Part {
            return Vec::new();
        }
        let now = |&tie: &No| !self.is_hidden(tie, before) && self.is_hidden(tie, after);
        ties.iter().copied().filter(now).collect()
    }
}
