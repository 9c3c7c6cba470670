//! The machine compiled for one job, and the formal rules as questions about a set of open things.
//!
//! A *set of open things* holds the parts that are off, the ties that are undone and the preps
//! that are in force. Every rule is a question about that set; by which way something came to be
//! open is never remembered.

use crate::at::At;
use crate::minutes::Minutes;
use crate::problem::Problem;
use crate::set::Set;

/// The number of a part, tie or prep in [`Kernel::things`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ThingNo(pub usize);

/// The number of a spot in [`Kernel::spots`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SpotNo(pub usize);

/// The number of a tool in [`Kernel::tools`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ToolNo(pub usize);

/// The bench is always spot 0.
pub const BENCH: SpotNo = SpotNo(0);

/// What sort of thing it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A part: off or on.
    Part,
    /// A tie: undone or made.
    Tie,
    /// A prep: in force or not.
    Prep,
}

/// One end of a tie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum End {
    /// A part that never comes off (the number counts `fixed`).
    Fixed(usize),
    /// A part.
    Part(ThingNo),
}

/// Where something lies (R5).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// In the machine.
    Machine,
    /// On (or as) a loose part.
    Loose(ThingNo),
}

/// Taking apart or putting back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Direction {
    /// Taking apart: things are opened.
    Strip,
    /// Putting back: things are closed.
    Build,
}

/// One way of dealing with a thing, in numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KernelWay {
    /// From which spot; `None` = wherever one stands.
    pub spot: Option<SpotNo>,
    /// With which tool; `None` = by hand.
    pub tool: Option<ToolNo>,
    /// How long it takes.
    pub minutes: Minutes,
    /// Whether the minutes come from the table (R27).
    pub guessed: bool,
    /// Parts off and ties undone first.
    pub clear: Vec<ThingNo>,
    /// Preps of this way alone.
    pub needs: Vec<ThingNo>,
    /// Preps of the spot.
    pub spot_needs: Vec<ThingNo>,
    /// By feel.
    pub feel: bool,
    /// Extra things to have ready.
    pub also: Vec<String>,
    /// Where it is written.
    pub at: At,
}

/// A part, tie or prep, in numbers.
#[derive(Clone, Debug)]
pub struct Thing {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Where it is written.
    pub at: At,
    /// Its number in `Machine::parts`, `ties` or `preps`; for a set-up prep in `spots`.
    pub written: usize,
    /// Whether it is the set-up of a spot (R14).
    pub is_set_up: bool,
    /// Ways of opening it.
    pub ways: Vec<KernelWay>,
    /// Ways of closing it.
    pub back: Vec<KernelWay>,
    /// What would be its ways of opening if it were not to be left alone: where it is open all the
    /// same, what they need has to stay in force (R11).
    pub left_alone: Vec<KernelWay>,
    /// A prep that ends by itself.
    pub by_itself: bool,
    /// Preps needed by all its ways.
    pub needs: Vec<ThingNo>,
    /// The part it rides on.
    pub rides: Option<ThingNo>,
    /// Parts that ride on it, directly.
    pub riders: Vec<ThingNo>,
    /// Ties that may stay made when it comes off.
    pub stays: Vec<ThingNo>,
    /// What a tie joins.
    pub joins: Vec<End>,
    /// Ties that join this part, directly.
    pub ties: Vec<ThingNo>,
    /// Parts that hide this tie.
    pub hidden_by: Vec<ThingNo>,
    /// Its `together` group.
    pub group: Option<usize>,
    /// Unattended minutes after a prep was done.
    pub wait: Minutes,
    /// Minutes until a tie counts as made for the end of preps.
    pub sets: Minutes,
    /// A tie that carries weight (R23).
    pub bears: bool,
    /// Minutes from its going on until the last tie of its boundary is made (R24).
    pub open_minutes: Option<Minutes>,
    /// A cover that waits for the leak look (R28).
    pub after_leak_look: bool,
    /// Undone, it leaves something open that dirt falls into or that runs out: a hose, a union.
    pub leaves_open: bool,
    /// Asks for a second pair of hands: by the file, or heavier than one person lifts.
    pub asks_for_two: bool,
}

/// Minutes between spots or tools, both directions alike.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Changes {
    size: usize,
    minutes: Vec<Minutes>,
}

impl Changes {
    /// A square table filled by a function of two different numbers; 0 on the diagonal.
    pub fn from_fn(size: usize, mut minutes: impl FnMut(usize, usize) -> Minutes) -> Self {
        let mut all = Vec::with_capacity(size * size);
        for a in 0..size {
            for b in 0..size {
                all.push(if a == b { Minutes::ZERO } else { minutes(a, b) });
            }
        }
        Self { size, minutes: all }
    }

    /// Minutes from one to the other.
    pub fn between(&self, a: usize, b: usize) -> Minutes {
        self.minutes[a * self.size + b]
    }

    /// How many spots or tools it knows.
    pub fn size(&self) -> usize {
        self.size
    }

    /// The same with every change at its cheapest detour.
    #[must_use]
    pub fn with_detours(&self) -> Self {
        let mut eased = self.clone();
        for via in 0..self.size {
            for a in 0..self.size {
                for b in 0..self.size {
                    let detour = eased.between(a, via) + eased.between(via, b);
                    let direct = &mut eased.minutes[a * self.size + b];
                    *direct = (*direct).min(detour);
                }
            }
        }
        eased
    }

    /// Whether no detour is cheaper than the direct change, over the numbers in use (R15).
    pub fn is_metric(&self, used: &[usize]) -> bool {
        used.iter().all(|&a| {
            used.iter().all(|&b| {
                used.iter()
                    .all(|&via| self.between(a, b) <= self.between(a, via) + self.between(via, b))
            })
        })
    }
}

/// The machine compiled for one job.
#[derive(Clone, Debug)]
pub struct Kernel {
    /// Parts, then ties, then preps, each in the order of the file; set-ups last.
    pub things: Vec<Thing>,
    /// Names of the fixed parts.
    pub fixed: Vec<String>,
    /// Names of the spots; 0 is the bench.
    pub spots: Vec<String>,
    /// Names of the tools.
    pub tools: Vec<String>,
    /// Minutes between spots.
    pub spot_changes: Changes,
    /// Minutes from tool to tool.
    pub tool_changes: Changes,
    /// Groups made together.
    pub groups: Vec<Vec<ThingNo>>,
    /// What is open at the start.
    pub open_at_start: Set,
    /// Where the person is at the start.
    pub spot_at_start: Option<SpotNo>,
    /// The tool in the hand at the start.
    pub tool_at_start: Option<ToolNo>,
    /// What has to be open at the turn (R2), what is open at the start left out.
    pub targets: Set,
    /// What is not put back (R17).
    pub leave_off: Set,
    /// Things to know: what R17 and R18 added to the open things.
    pub notes: Vec<Problem>,
}

/// One thing that stands against an action.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Blocker {
    /// A part must be off first, or a tie undone.
    NotClear(ThingNo),
    /// A prep must be in force.
    Needs(ThingNo),
    /// A made tie still holds the part.
    HeldBy(ThingNo),
    /// The way works only at the bench, and the thing is in the machine.
    NotAtBench,
    /// The way works only in the machine, and the thing lies loose with this part.
    NotInMachine(ThingNo),
    /// The way works only at the bench, and the loose part still hangs by this made tie.
    HangsBy(ThingNo),
    /// What the tie joins lies apart.
    EndsApart,
    /// Going back: this open tie would be hidden.
    WouldHide(ThingNo),
    /// Going back: this open thing still needs the prep.
    StillNeededBy(ThingNo),
    /// Going back: this member of the group has not been started.
    NotStarted(ThingNo),
    /// It is already as it should be.
    AlreadyDone,
}

impl Thing {
    /// The thing is not to be opened any more.
    pub fn leave_alone(&mut self) {
        self.left_alone.append(&mut self.ways);
    }

    /// All its ways, also those of opening that it is not to be opened by.
    pub fn all_ways(&self) -> impl Iterator<Item = &KernelWay> {
        self.ways.iter().chain(&self.left_alone).chain(&self.back)
    }

    /// For each of its ways of opening, also where it is to be left alone, what has to be in force
    /// for it and holds it open (R11; no spot needs).
    pub fn opening_needs(
        &self,
    ) -> impl Iterator<Item = impl Iterator<Item = &ThingNo> + Clone> + Clone {
        self.ways.iter().chain(&self.left_alone).map(|way| self.needs.iter().chain(&way.needs))
    }
}

impl Kernel {
    /// The thing with this number.
    pub fn thing(&self, thing: ThingNo) -> &Thing {
        &self.things[thing.0]
    }

    /// The name of a thing.
    pub fn name(&self, thing: ThingNo) -> &str {
        &self.things[thing.0].name
    }

    /// The thing with this name.
    pub fn find(&self, name: &str) -> Option<ThingNo> {
        self.things.iter().position(|t| t.name == name).map(ThingNo)
    }

    /// All thing numbers.
    pub fn all(&self) -> impl Iterator<Item = ThingNo> + use<> {
        (0..self.things.len()).map(ThingNo)
    }

    /// An empty set of the right size.
    pub fn no_things(&self) -> Set {
        Set::with_room(self.things.len())
    }

    /// The ways of a thing in a direction.
    pub fn ways(&self, thing: ThingNo, direction: Direction) -> &[KernelWay] {
        match direction {
            Direction::Strip => &self.thing(thing).ways,
            Direction::Build => &self.thing(thing).back,
        }
    }

    /// Minutes of a change of spot; nothing where either is not known (R15).
    pub fn spot_change(&self, from: Option<SpotNo>, to: Option<SpotNo>) -> Minutes {
        match (from, to) {
            (Some(a), Some(b)) => self.spot_changes.between(a.0, b.0),
            _ => Minutes::ZERO,
        }
    }

    /// Minutes of a change of tool; nothing where either is not known (R15).
    pub fn tool_change(&self, from: Option<ToolNo>, to: Option<ToolNo>) -> Minutes {
        match (from, to) {
            (Some(a), Some(b)) => self.tool_changes.between(a.0, b.0),
            _ => Minutes::ZERO,
        }
    }

    /// Where a part lies (kernel `root`).
    pub fn root(&self, part: ThingNo, open: &Set) -> Place {
        let mut at = part;
        loop {
            if open.has(at) {
                return Place::Loose(at);
            }
            match self.thing(at).rides {
                Some(carrier) => at = carrier,
                None => return Place::Machine,
            }
        }
    }

    /// The part and all that is on it (kernel `load`).
    pub fn load(&self, part: ThingNo, open: &Set) -> Set {
        let mut load = self.no_things();
        load.add(part);
        let mut todo = vec![part];
        while let Some(at) = todo.pop() {
            for &rider in &self.thing(at).riders {
                if !open.has(rider) && load.add(rider) {
                    todo.push(rider);
                }
            }
        }
        load
    }

    /// The one place where all that a tie joins lies; `None` if the ends lie apart
    /// (kernel `place`).
    pub fn place(&self, tie: ThingNo, open: &Set) -> Option<Place> {
        let mut place = None;
        for end in &self.thing(tie).joins {
            let root = match end {
                End::Fixed(_) => Place::Machine,
                End::Part(part) => self.root(*part, open),
            };
            if let Place::Loose(q) = root
                && self.thing(q).stays.contains(&tie)
            {
                continue;
            }
            match place {
                None => place = Some(root),
                Some(other) if other == root => {}
                Some(_) => return None,
            }
        }
        place
    }

    /// Where a thing is worked on, or `None` if it cannot be worked on at all.
    pub fn work_place(&self, thing: ThingNo, open: &Set) -> Option<Place> {
        match self.thing(thing).kind {
            Kind::Part => Some(self.root(thing, open)),
            Kind::Tie => self.place(thing, open),
            Kind::Prep => Some(Place::Machine),
        }
    }

    /// Whether `thing` is clear for work at `place` (R6).
    pub fn is_clear(&self, thing: ThingNo, place: Place, open: &Set) -> bool {
        match self.thing(thing).kind {
            Kind::Part => self.root(thing, open) != place,
            Kind::Tie => open.has(thing) || self.place(thing, open) != Some(place),
            Kind::Prep => false,
        }
    }

    /// Whether a way of a thing works when `open` is open (kernel `holds`); for closing, the
    /// started ties must have been taken out of `open` already.
    pub fn holds(&self, thing: ThingNo, way: &KernelWay, open: &Set) -> bool {
        let mut holds = true;
        self.examine(thing, way, open, &mut |_| {
            holds = false;
            false
        });
        holds
    }

    /// All that stands against a way of a thing; empty where it works.
    pub fn blockers(&self, thing: ThingNo, way: &KernelWay, open: &Set) -> Vec<Blocker> {
        let mut found = Vec::new();
        self.examine(thing, way, open, &mut |blocker| {
            found.push(blocker);
            true
        });
        found
    }

    /// Reports each blocker of a way until `report` says to stop by `false`.
    fn examine(
        &self,
        thing: ThingNo,
        way: &KernelWay,
        open: &Set,
        report: &mut dyn FnMut(Blocker) -> bool,
    ) {
        let at_start = open;
        let open = open.without(thing);
        let it = self.thing(thing);
        let needs = it.needs.iter().chain(&way.needs).chain(&way.spot_needs);
        for &prep in needs {
            if !open.has(prep) && !report(Blocker::Needs(prep)) {
                return;
            }
        }
        let Some(place) = self.work_place(thing, &open) else {
            report(Blocker::EndsApart);
            return;
        };
        if let Some(spot) = way.spot
            && it.kind != Kind::Prep
        {
            let wrong = match place {
                Place::Machine if spot == BENCH => Some(Blocker::NotAtBench),
                Place::Loose(part) if spot != BENCH => Some(Blocker::NotInMachine(part)),
                Place::Loose(part) => self
                    .hangs_by(part, &open)
                    .or_else(|| self.hangs_itself(thing, part, at_start))
                    .map(Blocker::HangsBy),
                Place::Machine => None,
            };
            if wrong.is_some_and(|blocker| !report(blocker)) {
                return;
            }
        }
        for &other in &way.clear {
            if !self.is_clear(other, place, &open) && !report(Blocker::NotClear(other)) {
                return;
            }
        }
        if it.kind == Kind::Part {
            for tie in self.holding(thing, &open) {
                if !report(Blocker::HeldBy(tie)) {
                    return;
                }
            }
        }
    }

    /// The made tie by which a loose part hangs in the machine, if there is one (R5, R8): one that
    /// may stay made, with one end in the load and one outside.
    pub fn hangs_by(&self, loose: ThingNo, open: &Set) -> Option<ThingNo> {
        let on = |end: &End| match end {
            End::Fixed(_) => false,
            End::Part(part) => self.root(*part, open) == Place::Loose(loose),
        };
        let stays = self.thing(loose).stays.iter().copied();
        stays.into_iter().find(|&tie| {
            let joins = &self.thing(tie).joins;
            !open.has(tie) && joins.iter().any(on) && !joins.iter().all(on)
        })
    }

    /// The made tie by which a part that is off still hangs somewhere else than where it is to go,
    /// so that it cannot go on at the bench.
    fn hangs_itself(&self, thing: ThingNo, seat: ThingNo, open: &Set) -> Option<ThingNo> {
        if self.thing(thing).kind != Kind::Part || !open.has(thing) {
            return None;
        }
        let root = |end: &End| match end {
            End::Fixed(_) => Place::Machine,
            End::Part(part) => self.root(*part, open),
        };
        let here = |end: &End| root(end) == Place::Loose(thing);
        let away = |end: &End| !here(end) && root(end) != Place::Loose(seat);
        self.thing(thing).stays.iter().copied().find(|&tie| {
            let joins = &self.thing(tie).joins;
            !open.has(tie) && joins.iter().any(here) && joins.iter().any(away)
        })
    }

    /// The made ties across the boundary of a part's load that keep it on its seat (R3, R8).
    pub fn holding(&self, part: ThingNo, open: &Set) -> Vec<ThingNo> {
        let load = self.load(part, &open.without(part));
        let mut holding = Vec::new();
        for inner in load.iter() {
            for &tie in &self.thing(inner).ties {
                if !open.has(tie)
                    && !self.thing(part).stays.contains(&tie)
                    && !self.is_inside(tie, &load)
                    && !holding.contains(&tie)
                {
                    holding.push(tie);
                }
            }
        }
        holding
    }

    /// Whether all that a tie joins is in the load.
    pub fn is_inside(&self, tie: ThingNo, load: &Set) -> bool {
        self.thing(tie).joins.iter().all(|end| match end {
            End::Fixed(_) => false,
            End::Part(part) => load.has(*part),
        })
    }

    /// Whether anything that a tie joins is in the load.
    pub fn meets(&self, tie: ThingNo, load: &Set) -> bool {
        self.thing(tie).joins.iter().any(|end| match end {
            End::Fixed(_) => false,
            End::Part(part) => load.has(*part),
        })
    }

    /// What forbids closing a thing besides its ways: hidden ties (R12), preps still needed
    /// (R11), group members not started (R13).
    pub fn closing_blockers(&self, thing: ThingNo, open: &Set, started: &Set) -> Vec<Blocker> {
        match self.thing(thing).kind {
            Kind::Part => self.would_hide(thing, open),
            Kind::Prep => {
                self.still_needed_by(thing, open).into_iter().map(Blocker::StillNeededBy).collect()
            }
            Kind::Tie => self.not_started(thing, open, started),
        }
    }

    /// Whether a thing may be closed by this way (kernel `close`).
    pub fn close_is_allowed(
        &self,
        thing: ThingNo,
        way: &KernelWay,
        open: &Set,
        started: &Set,
    ) -> bool {
        open.has(thing)
            && !self.leave_off.has(thing)
            && self.holds(thing, way, &open.minus(started))
            && self.closing_blockers(thing, open, started).is_empty()
    }

    /// Whether a member of a group may be started by this way (kernel `start`).
    pub fn start_is_allowed(
        &self,
        thing: ThingNo,
        way: &KernelWay,
        open: &Set,
        started: &Set,
    ) -> bool {
        self.thing(thing).group.is_some()
            && open.has(thing)
            && !started.has(thing)
            && !self.leave_off.has(thing)
            && self.holds(thing, way, &open.minus(started))
    }

    /// Whether a thing may be opened by this way (kernel `open`).
    pub fn open_is_allowed(&self, thing: ThingNo, way: &KernelWay, open: &Set) -> bool {
        !open.has(thing) && self.holds(thing, way, open)
    }

    fn would_hide(&self, part: ThingNo, open: &Set) -> Vec<Blocker> {
        let load = self.load(part, &open.without(part));
        open.iter()
            .filter(|&tie| {
                !self.leave_off.has(tie)
                    && self.thing(tie).hidden_by.iter().any(|&hider| load.has(hider))
                    && !self.meets(tie, &load)
            })
            .map(Blocker::WouldHide)
            .collect()
    }

    /// Open things that would be left without a way of opening if the prep ended (R11).
    pub fn still_needed_by(&self, prep: ThingNo, open: &Set) -> Vec<ThingNo> {
        let after = open.without(prep);
        open.iter()
            .filter(|&other| {
                let it = self.thing(other);
                if other == prep || it.by_itself || self.leave_off.has(other) {
                    return false;
                }
                let mut names = it.opening_needs();
                names.clone().any(|mut n| n.any(|&need| need == prep))
                    && !names.any(|mut n| n.all(|&need| after.has(need)))
            })
            .collect()
    }

    fn not_started(&self, tie: ThingNo, open: &Set, started: &Set) -> Vec<Blocker> {
        let Some(group) = self.thing(tie).group else {
            return Vec::new();
        };
        self.groups[group]
            .iter()
            .filter(|&&m| open.has(m) && !started.has(m) && !self.leave_off.has(m))
            .map(|&m| Blocker::NotStarted(m))
            .collect()
    }
}
