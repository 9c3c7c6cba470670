//! What each step of a plan needs open, with the statement that says so: a step needs a thing if
//! it would not be allowed, where it stands, were that thing never opened.

use std::collections::BTreeMap;

use lastbolt_machine::kernel::Blocker;
use lastbolt_machine::{At, Direction, Kernel, KernelWay, Kind, Set, ThingNo};
use lastbolt_order::{Forbids, Plan};

use crate::repair::thing_of;
use crate::view::{StepVerb, WhyLine};
use crate::walk::{Stand, Todo, steps_of};
use crate::words;

/// One thing needs another to be open, because of a statement.
pub(crate) struct Link {
    pub(crate) needed: ThingNo,
    pub(crate) line: WhyLine,
}

/// For each thing that a plan steps, what it needs open: to be opened, or to be closed again.
pub(crate) fn links(kernel: &Kernel, plan: &Plan) -> BTreeMap<ThingNo, Vec<Link>> {
    let mut stand = Stand {
        open: kernel.open_at_start.clone(),
        started: kernel.no_things(),
        spot: None,
        tool: None,
        pending: Vec::new(),
        forbids: None,
    };
    let forbids = Forbids::of(kernel, &kernel.open_at_start);
    let may_hang = may_hang(kernel);
    let mut all: BTreeMap<ThingNo, Vec<Link>> = BTreeMap::new();
    for todo in steps_of(plan) {
        let links = all.entry(todo.thing).or_default();
        for needed in stand.open.iter().filter(|&other| other != todo.thing) {
            let without = closed(&stand, needed);
            let of_statement = without.against(kernel, &todo).into_iter();
            let own = |blocker: &Blocker| thing_of(blocker) == Some(needed);
            // What names the thing itself says most.
            let because = of_statement.max_by_key(|blocker| u8::from(own(blocker)));
            let because = because.map(Because::Blocker).or_else(|| {
                let hangs = may_hang.has(needed) && !allows(kernel, &forbids, &without, &todo);
                hangs.then_some(Because::Hangs)
            });
            if let Some(because) = because {
                let line = Sentence { kernel, todo: &todo, needed, without: &without };
                links.push(Link { needed, line: line.tell(because) });
            }
        }
        stand.apply(kernel, &todo);
    }
    all
}

/// Where a walk would be, had a thing never been opened.
fn closed(stand: &Stand, thing: ThingNo) -> Stand {
    let (open, started) = (stand.open.without(thing), stand.started.without(thing));
    Stand { open, started, ..stand.clone() }
}

/// The parts that bearing fixings bear (R23), themselves or by what rides on them.
fn may_hang(kernel: &Kernel) -> Set {
    let bears = |part: ThingNo| {
        let mut load =
            kernel.load(part, &kernel.no_things()).iter().collect::<Vec<_>>().into_iter();
        load.any(|inner| kernel.thing(inner).ties.iter().any(|&tie| kernel.thing(tie).bears))
    };
    let mut parts = kernel.no_things();
    parts.extend(kernel.all().filter(|&t| kernel.thing(t).kind == Kind::Part && bears(t)));
    parts
}

/// Whether what bears weight and what waits for the leak look lets a step be done.
fn allows(kernel: &Kernel, forbids: &Forbids, stand: &Stand, todo: &Todo) -> bool {
    let direction = if todo.verb.opens() { Direction::Strip } else { Direction::Build };
    forbids.allow(kernel, direction, todo.thing, &stand.open, &stand.started)
}

/// Why a step needs something open.
#[derive(Clone, Copy)]
enum Because {
    /// This would stand against it.
    Blocker(Blocker),
    /// A part would hang with nothing to bear it.
    Hangs,
}

/// What a sentence about a step and what it needs is made of.
struct Sentence<'a> {
    kernel: &'a Kernel,
    todo: &'a Todo,
    needed: ThingNo,
    /// Where the step would stand, had the thing not been opened.
    without: &'a Stand,
}

impl Sentence<'_> {
    fn tell(&self, because: Because) -> WhyLine {
        let (mut text, at) = match because {
            Because::Blocker(blocker) => self.blocked(blocker),
            Because::Hangs => {
                let (it, needed) = (self.it(), self.kernel.name(self.needed));
                let text = format!("The {needed} would hang with nothing to bear it while {it}");
                (text, self.kernel.thing(self.needed).at)
            }
        };
        let ways = 0..self.todo.ways(self.kernel).len();
        let mut others = ways.map(|way| Todo { way, ..*self.todo });
        if others.any(|other| self.without.allows(self.kernel, &other)) {
            text.push_str(", as it is done here; another manner would do without");
        }
        text.push('.');
        let at = if at.line > 0 { at } else { self.kernel.thing(self.todo.thing).at };
        WhyLine { text, thing: Some(self.kernel.name(self.needed).to_owned()), at: Some(at) }
    }

    /// "taking off the starter motor", "undoing the leg screws": without a word that would have to
    /// know whether a name is of one thing or of several.
    fn it(&self) -> String {
        let called = self.called(self.todo.thing);
        match (self.todo.verb.opens(), self.kernel.thing(self.todo.thing).kind) {
            _ if self.todo.verb == StepVerb::Start => format!("starting {called} by hand"),
            (true, Kind::Part) => format!("taking off {called}"),
            (true, Kind::Tie) => format!("undoing {called}"),
            (true, Kind::Prep) => format!("making ready {called}"),
            (false, Kind::Prep) => format!("ending {called}"),
            (false, _) => format!("putting back {called}"),
        }
    }

    /// What would stand against the step, without the full stop, and where the file says so.
    fn blocked(&self, blocker: Blocker) -> (String, At) {
        let Self { kernel, todo, needed, .. } = *self;
        let name = |thing: ThingNo| kernel.name(thing);
        let (it, open, step) = (self.it(), name(needed), name(todo.thing));
        let way_at = todo.kernel_way(kernel).map_or(At::default(), |way| way.at);
        let own = thing_of(&blocker) == Some(needed);
        match blocker {
            Blocker::HeldBy(tie) if own => {
                let text = match todo.verb.opens() {
                    true => format!("{open} would hold the {step}, which comes off"),
                    false => format!("The {step} goes back before {open} can hold it"),
                };
                (text, kernel.thing(tie).at)
            }
            Blocker::HeldBy(tie) => {
                let text =
                    format!("With {} on it, {} would hold the {step}", self.stays(), name(tie));
                (text, kernel.thing(tie).at)
            }
            Blocker::Needs(prep) => self.needs(prep, todo.kernel_way(kernel)),
            Blocker::NotClear(_) if own => (format!("In the way while {it}: the {open}"), way_at),
            Blocker::NotClear(other) => {
                let text = format!("In the way while {it}: the {}", name(other));
                (format!("{text}, off with {}", self.stays()), way_at)
            }
            Blocker::NotAtBench => {
                let it = words::large(&it);
                (format!("{it} is bench work, so {} has to be off first", self.stays()), way_at)
            }
            Blocker::HangsBy(tie) => {
                let it = words::large(&it);
                let text = format!("{it} is bench work, and {} would keep it away", name(tie));
                (text, kernel.thing(tie).at)
            }
            Blocker::NotInMachine(_) | Blocker::EndsApart => {
                let text = format!("What is worked on would lie apart while {it}");
                (format!("{text}, were {} not {}", self.stays(), self.opened()), way_at)
            }
            Blocker::WouldHide(tie) => {
                let text = format!("With {} on it, the {step} would hide", self.stays());
                (format!("{text} the {} before it is home", name(tie)), kernel.thing(tie).at)
            }
            Blocker::StillNeededBy(other) => {
                let text = format!("\"{step}\" ends while the {} is open", name(other));
                (format!("{text}, and \"{open}\" then stands in for it"), kernel.thing(other).at)
            }
            Blocker::NotStarted(_) | Blocker::AlreadyDone => {
                (format!("The {open} has to be open while {it}"), way_at)
            }
        }
    }

    fn needs(&self, prep: ThingNo, way: Option<&KernelWay>) -> (String, At) {
        let kernel = self.kernel;
        let (it, needed) = (self.it(), kernel.name(prep));
        let of_thing = kernel.thing(self.todo.thing).needs.contains(&prep);
        let of_way = way.is_some_and(|way| way.needs.contains(&prep));
        let spot = way.and_then(|way| way.spot).filter(|_| !of_thing && !of_way);
        match spot {
            Some(spot) => {
                let from = &kernel.spots[spot.0];
                let text = format!("\"{needed}\" must be in force while {it}, from {from}");
                (text, kernel.thing(prep).at)
            }
            None => {
                let at =
                    if of_way { way.map_or(At::default(), |way| way.at) } else { At::default() };
                (format!("\"{needed}\" must be in force while {it}"), at)
            }
        }
    }

    /// The thing needed.
    fn stays(&self) -> String {
        self.called(self.needed)
    }

    /// A thing with its article; a condition in quotes.
    fn called(&self, thing: ThingNo) -> String {
        let it = self.kernel.thing(thing);
        match it.kind {
            Kind::Prep => format!("\"{}\"", it.name),
            Kind::Part | Kind::Tie => format!("the {}", it.name),
        }
    }

    fn opened(&self) -> &'static str {
        match self.kernel.thing(self.needed).kind {
            Kind::Part => "off",
            Kind::Tie => "undone",
            Kind::Prep => "in force",
        }
    }
}
