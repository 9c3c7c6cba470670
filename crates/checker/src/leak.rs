//! Covers that wait for the leak look (R28).

use crate::book::{Book, Kind};
use crate::broken::Broken;
use crate::open::{No, Open};

/// The name of the look between everything else and the covers.
pub(crate) const LEAK_LOOK: &str = "leak look";

/// What the leak look divides.
#[derive(Clone, Debug, Default)]
pub(crate) struct Leak {
    /// Covers and the ties across their boundaries.
    pub(crate) waits: Vec<No>,
    /// Preps that their own ways need: they may end after them.
    needed: Vec<No>,
}

impl Leak {
    /// Sorts the things of a book; the load of a cover is all that can ride on it, since by then
    /// it does.
    pub(crate) fn of(book: &Book) -> Self {
        let mut waits: Vec<No> = Vec::new();
        let all_on = Open::none(book.things.len());
        for cover in (0..book.things.len()).filter(|&x| book.things[x].after_leak_look) {
            waits.push(cover);
            let load = book.load(cover, &all_on);
            waits.extend(book.ties().filter(|&tie| book.crosses(tie, &load)));
        }
        let needed = book.preps_of(&waits);
        Self { waits, needed }
    }
}

impl Book {
    /// A cover or a tie across its boundary is stepped after all else and after the look.
    pub(crate) fn leak_look_allows(&self, x: No, open: &Open, looked: bool) -> Result<(), Broken> {
        if !self.leak.waits.contains(&x) {
            return Ok(());
        }
        if let Some(other) = self.open_before_look(open) {
            return Err(Broken::BeforeTheLook { x, open: other });
        }
        if looked { Ok(()) } else { Err(Broken::NotLookedForLeaks { x }) }
    }

    /// Something that has to be closed before anybody looks for leaks.
    pub(crate) fn open_before_look(&self, open: &Open) -> Option<No> {
        open.all().find(|&y| {
            let stays = self.leave_off.contains(&y) || self.things[y].by_itself;
            let is_needed = self.things[y].kind == Kind::Prep && self.leak.needed.contains(&y);
            !stays && !is_needed && !self.leak.waits.contains(&y)
        })
    }

    /// A cover or a tie across its boundary that is still to be closed after the look.
    pub(crate) fn waits_for_look(&self, open: &Open) -> Option<No> {
        open.all().find(|y| self.leak.waits.contains(y) && !self.leave_off.contains(y))
    }
}
