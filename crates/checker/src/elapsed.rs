//! Minutes from the first step to the end for one person, waits included (R11, R16, R19).

use std::collections::BTreeMap;

use lastbolt_machine::Minutes;

use crate::book::{Book, Kind, Way};
use crate::open::{No, Open};
use crate::walker::Move;

/// The clock of one person who does an order as it stands.
#[derive(Clone, Debug, Default)]
pub(crate) struct Clock {
    now: Minutes,
    in_force_at: BTreeMap<No, Minutes>,
    set_at: BTreeMap<No, Minutes>,
}

impl Clock {
    /// Goes to a step, waits for what it needs, does it. `open` is the state before it.
    pub(crate) fn does(&mut self, book: &Book, next: &Move, way: &Way, open: &Open) {
        let thing = &book.things[next.thing];
        self.now += next.change;
        for prep in thing.needs.iter().chain(&way.needs).chain(&way.spot_needs) {
            self.wait_until(self.in_force_at.get(prep).copied());
        }
        let closes = open.has(next.thing);
        if closes && thing.kind == Kind::Prep {
            let holding =
                self.set_at.iter().filter(|(tie, _)| book.relies_on(**tie, next.thing, open));
            let last = holding.map(|(_, at)| *at).max();
            self.wait_until(last);
        }
        self.now += next.minutes;
        if !closes && thing.kind == Kind::Prep {
            self.in_force_at.insert(next.thing, self.now + thing.wait);
        }
        if closes && thing.kind == Kind::Tie && thing.sets > Minutes::ZERO {
            self.set_at.insert(next.thing, self.now + thing.sets);
        }
    }

    /// At the turn everything asked for is in force.
    pub(crate) fn turns(&mut self, book: &Book) {
        for target in &book.targets {
            self.wait_until(self.in_force_at.get(target).copied());
        }
    }

    /// The end: everything that sets has set.
    pub(crate) fn ends(mut self) -> Minutes {
        self.wait_until(self.set_at.values().max().copied());
        self.now
    }

    fn wait_until(&mut self, at: Option<Minutes>) {
        self.now = self.now.max(at.unwrap_or(Minutes::ZERO));
    }
}
