//! The rules that only forbid orders, as far as they ask what is open and not how long: bearing
//! fixings (R23) and covers that wait for the leak look (R28).

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use lastbolt_machine::{Direction, Kernel, LeakLook, Set, ThingNo};

/// How many sets of open things are remembered with what hangs there.
const KNOWN_MAX: usize = 20_000;

/// By what is open and started: the parts that hang.
type Known = HashMap<(Set, Set), Rc<[ThingNo]>>;

/// What R23 and R28 forbid from where a machine stands.
#[derive(Debug)]
pub struct Forbids {
    found_hanging: Vec<ThingNo>,
    look: LeakLook,
    /// What hangs where, as far as it was asked.
    known: RefCell<Known>,
}

impl Forbids {
    /// What they forbid where `open` is open at the start.
    pub fn of(kernel: &Kernel, open: &Set) -> Self {
        let found_hanging = kernel.hanging(open, &kernel.no_things());
        Self { found_hanging, look: kernel.leak_look(), known: RefCell::default() }
    }

    /// What the leak look divides.
    pub(crate) fn look(&self) -> &LeakLook {
        &self.look
    }

    /// Whether they let a thing be opened, or closed or started, where this is open and started.
    pub fn allow(
        &self,
        kernel: &Kernel,
        direction: Direction,
        thing: ThingNo,
        open: &Set,
        started: &Set,
    ) -> bool {
        let waits = direction == Direction::Build
            && self.look.waits.has(thing)
            && self.look.open_before(kernel, open).is_some();
        !waits && self.bearing_allows(kernel, direction, thing, (open, started))
    }

    /// R23: while a part hangs, only its own are stepped; what was found hanging binds nobody
    /// until it is put back.
    fn bearing_allows(
        &self,
        kernel: &Kernel,
        direction: Direction,
        thing: ThingNo,
        (open, started): (&Set, &Set),
    ) -> bool {
        let hanging = self.hanging(kernel, open, started);
        if hanging.is_empty() {
            return true;
        }
        let binds =
            |part: &&ThingNo| direction == Direction::Build || !self.found_hanging.contains(part);
        let binding: Vec<ThingNo> = hanging.iter().filter(binds).copied().collect();
        kernel.may_step_while_hanging(thing, &binding, open)
    }

    fn hanging(&self, kernel: &Kernel, open: &Set, started: &Set) -> Rc<[ThingNo]> {
        let mut known = self.known.borrow_mut();
        if known.len() >= KNOWN_MAX {
            known.clear();
        }
        let found = known
            .entry((open.clone(), started.clone()))
            .or_insert_with(|| kernel.hanging(open, started).into());
        Rc::clone(found)
    }
}
