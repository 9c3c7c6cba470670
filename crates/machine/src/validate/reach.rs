//! What can never be opened: a fixpoint over the kernel, and the chain of statements behind it.
//!
//! In place, opening more never hurts, so all that can ever come off is found by adding whatever
//! can be opened until nothing more can. But a part that rides goes away with its carrier, a tie
//! that joins no fixed part goes away with what it joins, and a part may be put aside: with these
//! the result is an upper estimate. What is *not* in it can certainly never be opened; what is in
//! it may still turn out impossible, which only planning shows.

use std::cell::Cell;
use std::collections::VecDeque;

use crate::at::At;
use crate::kernel::{BENCH, End, Kernel, KernelWay, Kind, ThingNo};
use crate::set::Set;

/// How many looks are taken at most; a machine that would need more (far beyond any real one) is
/// not looked at to the end, and everything in it may be opened as far as is known.
const LOOKS_MAX: usize = 20_000_000;

/// One statement of the file that keeps something from being opened.
#[derive(Clone, Debug, PartialEq)]
pub struct Statement {
    /// The thing that cannot be opened.
    pub thing: ThingNo,
    /// What it waits for, if that is another thing.
    pub waits_for: Option<ThingNo>,
    /// Where it is written.
    pub at: At,
    /// The statement, for people; without its line.
    pub text: String,
}

/// What can be opened from the start of a job, at most.
#[derive(Debug)]
pub struct Reach<'a> {
    kernel: &'a Kernel,
    /// The carriers of each part, nearest first.
    carriers: Vec<Vec<ThingNo>>,
    can_open: Set,
    /// Looks that may still be taken.
    looks: Cell<usize>,
}

/// The things that can certainly never be opened from the start of the job.
pub fn unreachable(kernel: &Kernel) -> Set {
    let reach = Reach::new(kernel);
    kernel.all().filter(|&thing| !reach.can_open(thing)).collect()
}

impl<'a> Reach<'a> {
    /// Finds all that can be opened, at most.
    ///
    /// Riding must not go in a circle.
    pub fn new(kernel: &'a Kernel) -> Self {
        let carriers = kernel.all().map(|thing| carriers(kernel, thing)).collect();
        let can_open = kernel.open_at_start.clone();
        let mut reach = Self { kernel, carriers, can_open, looks: Cell::new(LOOKS_MAX) };
        reach.grow();
        if reach.looks.get() == 0 {
            reach.can_open.extend(kernel.all());
        }
        reach
    }

    /// Whether it is not certain that the thing can never be opened.
    pub fn can_open(&self, thing: ThingNo) -> bool {
        self.can_open.has(thing)
    }

    /// The statements that keep a thing from being opened: for each of its ways the first thing
    /// in the way, and so on for those, none twice; empty if it can be opened.
    pub fn because(&self, thing: ThingNo) -> Vec<Statement> {
        let mut all = Vec::new();
        if self.can_open(thing) {
            return all;
        }
        let mut seen = self.kernel.no_things();
        seen.add(thing);
        let mut todo = VecDeque::from([thing]);
        while let Some(thing) = todo.pop_front() {
            for statement in self.statements(thing, &seen) {
                if let Some(next) = statement.waits_for
                    && !self.can_open(next)
                    && seen.add(next)
                {
                    todo.push_back(next);
                }
                all.push(statement);
            }
        }
        all
    }

    /// One statement for a thing that is held whatever way is taken, else one for each way.
    fn statements(&self, thing: ThingNo, seen: &Set) -> Vec<Statement> {
        let it = self.kernel.thing(thing);
        let name = &it.name;
        if let Some(best) = pick(self.always(thing), seen) {
            return vec![self.say(thing, best)];
        }
        if it.ways.is_empty() {
            let text = match (it.kind, it.rides) {
                (Kind::Part, Some(_)) => {
                    format!("\"{name}\" comes off only with the part it rides on")
                }
                _ => format!("there is no way left to open \"{name}\""),
            };
            return vec![Statement { thing, waits_for: None, at: it.at, text }];
        }
        let each = it.ways.iter().filter_map(|way| pick(self.against(thing, way), seen));
        each.map(|against| self.say(thing, against)).collect()
    }

    /// Counts looks.
    fn spend(&self, looks: usize) {
        self.looks.set(self.looks.get().saturating_sub(looks));
    }

    fn grow(&mut self) {
        let waiting = self.waiting();
        let mut todo: VecDeque<ThingNo> = self.kernel.all().collect();
        let mut queued = vec![true; self.kernel.things.len()];
        while let Some(thing) = todo.pop_front() {
            if self.looks.get() == 0 {
                return;
            }
            queued[thing.0] = false;
            if self.can_open.has(thing) || !self.opens(thing) {
                continue;
            }
            self.can_open.add(thing);
            for &other in &waiting[thing.0] {
                if !std::mem::replace(&mut queued[other.0], true) {
                    todo.push_back(other);
                }
            }
        }
    }

    /// For each thing those that may open once it is open.
    fn waiting(&self) -> Vec<Vec<ThingNo>> {
        let kernel = self.kernel;
        let mut waiting = vec![Vec::new(); kernel.things.len()];
        for thing in kernel.all() {
            let it = kernel.thing(thing);
            let mut named: Vec<ThingNo> = it.needs.clone();
            for way in &it.ways {
                named.extend(way.clear.iter().chain(&way.needs).chain(&way.spot_needs));
            }
            named.push(thing);
            if it.kind == Kind::Part {
                let load = self.whole_load(thing);
                named.extend(load.iter().flat_map(|part| kernel.thing(part).ties.clone()));
                named.extend(load.iter());
            }
            let mut all = kernel.no_things();
            for thing in named {
                self.spend(1 + self.kernel.thing(thing).joins.len());
                if self.looks.get() == 0 {
                    return waiting;
                }
                all.add(thing);
                all.extend(self.carriers[thing.0].iter().copied());
                for part in parts(&kernel.thing(thing).joins) {
                    all.add(part);
                    all.extend(self.carriers[part.0].iter().copied());
                }
            }
            for other in all.iter() {
                waiting[other.0].push(thing);
            }
        }
        waiting
    }

    fn opens(&self, thing: ThingNo) -> bool {
        let ways = &self.kernel.thing(thing).ways;
        !ways.is_empty()
            && self.always(thing).next().is_none()
            && ways.iter().any(|way| self.against(thing, way).next().is_none())
    }

    /// What stands against a thing whatever way is taken: needs, and ties that hold a part.
    fn always(&self, thing: ThingNo) -> impl Iterator<Item = Against> + '_ {
        let it = self.kernel.thing(thing);
        let missing = it.needs.iter().filter(|need| !self.can_open.has(**need));
        let needs =
            missing.map(|&need| Against { how: How::Needs, waits_for: Some(need), at: it.at });
        let parts = (it.kind == Kind::Part).then_some(thing);
        let held = parts.into_iter().flat_map(|part| self.certainly_held_by(part));
        let held = held.map(|tie| {
            let at = self.kernel.thing(tie).at;
            Against { how: How::HeldBy, waits_for: Some(tie), at }
        });
        needs.chain(held)
    }

    /// What certainly stands against one way.
    fn against<'b>(
        &'b self,
        thing: ThingNo,
        way: &'b KernelWay,
    ) -> impl Iterator<Item = Against> + 'b {
        let all = way.needs.iter().chain(&way.spot_needs);
        let missing = all.filter(|need| !self.can_open.has(**need));
        let needs =
            missing.map(|&need| Against { how: How::Needs, waits_for: Some(need), at: way.at });
        let places = self.places(thing, way);
        let nowhere = places.is_empty().then(|| {
            let carrier = self.carriers[thing.0].first().copied();
            let waits_for = carrier.or_else(|| self.ends(thing).first().copied());
            let waits_for = waits_for.filter(|other| !self.can_open.has(*other));
            Against { how: How::AtTheBench, waits_for, at: way.at }
        });
        // The place where least is in the way; the machine if they are alike.
        let blocked = |place: &Option<ThingNo>| -> Vec<ThingNo> {
            let clear = way.clear.iter().copied();
            clear.filter(|other| !self.may_be_clear(*other, thing, *place)).collect()
        };
        let blocked = places.iter().map(blocked).min_by_key(Vec::len).unwrap_or_default();
        let blocked = blocked.into_iter().map(|other| Against {
            how: How::First,
            waits_for: Some(other),
            at: way.at,
        });
        needs.chain(nowhere).chain(blocked)
    }

    /// What stands against a thing, in words.
    fn say(&self, thing: ThingNo, against: Against) -> Statement {
        let name = self.kernel.name(thing);
        let other = against.waits_for.map_or("", |other| self.kernel.name(other));
        let is_part = against.waits_for.is_some_and(|t| self.kernel.thing(t).kind == Kind::Part);
        let done = if is_part { "off" } else { "undone" };
        let text = match against.how {
            How::Needs => format!("\"{name}\" needs \"{other}\""),
            How::HeldBy => format!("\"{name}\" is held by \"{other}\""),
            How::AtTheBench => format!("\"{name}\" is done at the bench, where it never gets"),
            How::First => format!("\"{name}\" needs \"{other}\" {done} first"),
        };
        Statement { thing, waits_for: against.waits_for, at: against.at, text }
    }

    /// Where the thing may lie when this way is taken: `None` is the machine.
    fn places(&self, thing: ThingNo, way: &KernelWay) -> Vec<Option<ThingNo>> {
        let machine = (way.spot != Some(BENCH)).then_some(None);
        if self.kernel.thing(thing).kind == Kind::Prep {
            return vec![None];
        }
        let loose: Vec<Option<ThingNo>> = match way.spot {
            Some(spot) if spot != BENCH => Vec::new(),
            _ => self.loose_places(thing).into_iter().map(Some).collect(),
        };
        machine.into_iter().chain(loose).collect()
    }

    /// The loose parts that a thing may lie on while it is still on or made.
    fn loose_places(&self, thing: ThingNo) -> Vec<ThingNo> {
        let it = self.kernel.thing(thing);
        if it.kind == Kind::Part {
            let carriers = self.carriers[thing.0].iter().copied();
            return carriers.filter(|carrier| self.can_open.has(*carrier)).collect();
        }
        let hung = |part: ThingNo| {
            let loose = self.seats(part).into_iter().filter(|p| self.can_open.has(*p));
            loose.into_iter().any(|p| self.kernel.thing(p).stays.contains(&thing))
        };
        let candidates = self.ends(thing).into_iter().flat_map(|part| self.seats(part));
        let mut all: Vec<ThingNo> = candidates
            .filter(|place| {
                self.can_open.has(*place)
                    && it.joins.iter().all(|end| match end {
                        End::Fixed(_) => false,
                        End::Part(part) => self.seats(*part).contains(place) || hung(*part),
                    })
            })
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Whether `other` may be clear for work on `thing` at `place`.
    fn may_be_clear(&self, other: ThingNo, thing: ThingNo, place: Option<ThingNo>) -> bool {
        // Away from the place: something between the part and the place is off by itself (but
        // not what `thing` itself sits on there), or the part never was there.
        let away = |part: ThingNo| {
            let seats = self.seats(part);
            let below = match place {
                None => seats.as_slice(),
                Some(place) => match seats.iter().position(|seat| *seat == place) {
                    Some(index) => &seats[..index],
                    None => return true,
                },
            };
            let goes = |seat: &ThingNo| {
                *seat != thing && self.can_open.has(*seat) && !self.holds_up(*seat, thing)
            };
            below.iter().any(goes)
        };
        let it = self.kernel.thing(other);
        self.spend(1 + it.joins.len());
        match it.kind {
            Kind::Part => away(other),
            Kind::Tie => {
                self.can_open.has(other)
                    || it.joins.is_empty()
                    || it.joins.iter().any(|end| match end {
                        End::Fixed(_) => place.is_some(),
                        End::Part(part) => away(*part),
                    })
            }
            Kind::Prep => false,
        }
    }

    /// Whether `thing` goes away with `seat`: so while it is worked on elsewhere, `seat` is on.
    fn holds_up(&self, seat: ThingNo, thing: ThingNo) -> bool {
        let it = self.kernel.thing(thing);
        match it.kind {
            Kind::Part => self.carriers[thing.0].contains(&seat),
            Kind::Tie => {
                !self.kernel.thing(seat).stays.contains(&thing)
                    && parts(&it.joins).any(|end| self.seats(end).contains(&seat))
            }
            Kind::Prep => false,
        }
    }

    /// The ties that hold a part whatever else is opened.
    fn certainly_held_by(&self, part: ThingNo) -> Vec<ThingNo> {
        let whole = self.whole_load(part);
        let mut certain = vec![part];
        let mut held = Vec::new();
        while let Some(at) = certain.pop() {
            let it = self.kernel.thing(at);
            certain.extend(it.riders.iter().filter(|rider| !self.can_open.has(**rider)));
            for &tie in &it.ties {
                if !self.can_open.has(tie)
                    && !self.kernel.thing(part).stays.contains(&tie)
                    && !self.kernel.is_inside(tie, &whole)
                    && !held.contains(&tie)
                {
                    held.push(tie);
                }
            }
        }
        held
    }

    /// A part and everything that may ride on it.
    fn whole_load(&self, part: ThingNo) -> Set {
        let mut load = self.kernel.no_things();
        load.add(part);
        let mut todo = vec![part];
        while let Some(at) = todo.pop() {
            self.spend(1);
            todo.extend(self.kernel.thing(at).riders.iter().filter(|rider| load.add(**rider)));
        }
        load
    }

    /// The part itself and what carries it, nearest first.
    fn seats(&self, part: ThingNo) -> Vec<ThingNo> {
        std::iter::once(part).chain(self.carriers[part.0].iter().copied()).collect()
    }

    /// The parts that a tie joins.
    fn ends(&self, tie: ThingNo) -> Vec<ThingNo> {
        parts(&self.kernel.thing(tie).joins).collect()
    }
}

/// What stands against opening something.
#[derive(Clone, Copy, Debug)]
struct Against {
    how: How,
    waits_for: Option<ThingNo>,
    at: At,
}

#[derive(Clone, Copy, Debug)]
enum How {
    Needs,
    HeldBy,
    AtTheBench,
    First,
}

/// What to show: something already spoken of, else the first.
fn pick(all: impl Iterator<Item = Against>, seen: &Set) -> Option<Against> {
    let all: Vec<Against> = all.collect();
    let spoken_of = all.iter().find(|a| a.waits_for.is_some_and(|thing| seen.has(thing)));
    spoken_of.or(all.first()).copied()
}

fn parts(joins: &[End]) -> impl Iterator<Item = ThingNo> {
    joins.iter().filter_map(|end| match end {
        End::Fixed(_) => None,
        End::Part(part) => Some(*part),
    })
}

fn carriers(kernel: &Kernel, thing: ThingNo) -> Vec<ThingNo> {
    let mut all = Vec::new();
    let mut at = thing;
    while let Some(carrier) = kernel.thing(at).rides {
        all.push(carrier);
        at = carrier;
    }
    all
}
