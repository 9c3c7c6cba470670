//! The part of a kernel that can matter for a question, renumbered, with the rules on masks.
//!
//! What can matter is a closure over "names": a thing that nothing mentions and that is no target
//! never pays for coming off while changes of spot and tool obey the triangle (R15).

use lastbolt_machine::{End, Kernel, Kind, Set, ThingNo};

use crate::bearing::Borne;
use crate::clauses::{Clauses, boundary_clauses, way_clauses};
use crate::mask::Mask;

/// Index of the strip in pairs by direction.
pub(crate) const STRIP: usize = 0;
/// Index of the build back in pairs by direction.
pub(crate) const BUILD: usize = 1;

/// The spot number that stands for "wherever one stands"; also "not known yet" in a state.
pub(crate) const ANYWHERE: u16 = u16::MAX;
/// The bench, as in the kernel.
pub(crate) const BENCH: u16 = 0;

/// One way, with local numbers.
#[derive(Clone, Debug)]
pub(crate) struct LocalWay<const W: usize> {
    /// Index in the kernel's list of ways.
    pub index: usize,
    pub spot: u16,
    pub tool: u16,
    pub minutes: i64,
    /// Preps needed: of the thing, the way and the spot.
    pub needs: Mask<W>,
    pub clear: Vec<usize>,
}

/// One thing, with local numbers.
#[derive(Clone, Debug)]
pub(crate) struct LocalThing<const W: usize> {
    pub no: ThingNo,
    pub kind: Kind,
    /// Ways by direction.
    pub ways: [Vec<LocalWay<W>>; 2],
    /// For each way of opening, the preps that it and the thing name (R11; no spot needs).
    pub opening_needs: Vec<Mask<W>>,
    pub by_itself: bool,
    pub leave_off: bool,
    /// The carriers: the one it rides on, the one that rides on, and so on.
    pub chain: Vec<usize>,
    pub riders: Vec<usize>,
    pub stays: Mask<W>,
    /// Parts that a tie joins.
    pub ends: Vec<usize>,
    /// Whether a tie joins a fixed part.
    pub has_fixed_end: bool,
    /// Ties that join this part.
    pub ties: Vec<usize>,
    pub hidden_by: Mask<W>,
    pub group: Option<usize>,
    /// A tie that carries weight (R23).
    pub bears: bool,
    /// Open time of the sealant it goes on with (R24).
    pub open_minutes: Option<i64>,
}

/// The kernel's relevant part.
#[derive(Clone, Debug)]
pub(crate) struct Local<const W: usize> {
    pub things: Vec<LocalThing<W>>,
    pub groups: Vec<Vec<usize>>,
    pub open_at_start: Mask<W>,
    pub targets: Mask<W>,
    /// Ties hidden by each part.
    pub hides: Vec<Mask<W>>,
    /// For each thing the parts whose leaving can take it to another place while it stays as it
    /// is; a part is one of its own.
    pub movers: Vec<Mask<W>>,
    /// Whether changes obey the triangle over all spots and tools in use (R15).
    pub metric: bool,
    pub spot_at_start: u16,
    pub tool_at_start: u16,
    /// Ties that carry weight (R23).
    pub bears: Mask<W>,
    /// Parts that such ties can bear, with those ties.
    pub borne: Vec<Borne<W>>,
    /// Parts that hang at the start.
    pub found_hanging: Mask<W>,
    /// For each tie the preps that its ways need, directly or through others; for other things
    /// nothing.
    pub preps_of: Vec<Mask<W>>,
    /// Things that go on with sealant (R24).
    pub beads: Vec<usize>,
    /// For each tie that is sealant the ties of the same joint.
    pub same_joint: Vec<Mask<W>>,
    /// How changes count that come after a bead only because it asks for no spot or no tool.
    pub pending: Pending,
    /// By direction and thing, for each way its clauses.
    pub clauses: [Vec<Vec<Clauses<W>>>; 2],
    /// For each part, what must be open for it to leave or take its seat.
    pub boundary: Vec<Clauses<W>>,
    /// What waits for the leak look (R28), and the preps that it may find in force.
    pub waits: Mask<W>,
    pub needed_after: Mask<W>,
}

/// How a change of spot or tool counts that comes after a bead of sealant only because the step
/// that lays it asks for none (R24).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Pending {
    /// Not at all: a lower bound, and the true minutes in all but odd cases.
    Free,
    /// As the dearest there is: whatever is in time like this is in time.
    Dearest,
    /// As it is; only without doing at once.
    Exact,
}

/// Lists the things that can matter; all of them if changes do not obey the triangle.
pub(crate) fn relevant(kernel: &Kernel, metric: bool) -> Vec<ThingNo> {
    if !metric {
        return kernel.all().collect();
    }
    let mut seen = kernel.no_things();
    let mut todo: Vec<ThingNo> = kernel.open_at_start.iter().chain(kernel.targets.iter()).collect();
    while let Some(no) = todo.pop() {
        if seen.add(no) {
            mentions(kernel, no, &mut todo);
        }
    }
    seen.iter().collect()
}

fn mentions(kernel: &Kernel, no: ThingNo, out: &mut Vec<ThingNo>) {
    let it = kernel.thing(no);
    out.extend(&it.needs);
    for way in it.ways.iter().chain(&it.back) {
        out.extend(way.clear.iter().chain(&way.needs).chain(&way.spot_needs));
    }
    out.extend(it.opening_needs().flatten());
    out.extend(it.rides.iter().chain(&it.riders).chain(&it.stays).chain(&it.ties));
    for end in &it.joins {
        if let End::Part(part) = end {
            // The part itself may have to move, or carry the tie to the bench.
            // What a bearing tie bears may have to come off once the tie is undone (R23).
            let carried = it.bears || kernel.thing(*part).rides.is_some();
            let mobile = it.joins.iter().all(|e| matches!(e, End::Part(_)));
            if carried || mobile || !kernel.thing(*part).riders.is_empty() {
                out.push(*part);
            }
        }
    }
    if let Some(group) = it.group {
        out.extend(&kernel.groups[group]);
    }
}

/// Whether changes obey the triangle over what any way uses.
pub(crate) fn is_metric(kernel: &Kernel) -> bool {
    let mut spots: Vec<usize> = kernel.spot_at_start.iter().map(|s| s.0).collect();
    let mut tools: Vec<usize> = kernel.tool_at_start.iter().map(|t| t.0).collect();
    for thing in &kernel.things {
        for way in thing.ways.iter().chain(&thing.back) {
            spots.extend(way.spot.map(|s| s.0));
            tools.extend(way.tool.map(|t| t.0));
        }
    }
    for list in [&mut spots, &mut tools] {
        list.sort_unstable();
        list.dedup();
    }
    kernel.spot_changes.is_metric(&spots) && kernel.tool_changes.is_metric(&tools)
}

impl<const W: usize> Local<W> {
    /// Renumbers the given things; there may be at most `64 * W`.
    pub(crate) fn new(kernel: &Kernel, relevant: &[ThingNo], metric: bool) -> Self {
        let mut numbers = vec![usize::MAX; kernel.things.len()];
        for (local, no) in relevant.iter().enumerate() {
            numbers[no.0] = local;
        }
        let number = |no: ThingNo| Some(numbers[no.0]).filter(|n| *n != usize::MAX);
        let things: Vec<LocalThing<W>> =
            relevant.iter().map(|&no| local_thing(kernel, no, &number)).collect();
        let mut hides = vec![Mask::EMPTY; things.len()];
        for (no, thing) in things.iter().enumerate() {
            for hider in thing.hidden_by.iter() {
                hides[hider].add(no);
            }
        }
        let groups = kernel
            .groups
            .iter()
            .map(|group| group.iter().filter_map(|&m| number(m)).collect())
            .collect();
        let mut local = Self {
            groups,
            movers: Vec::new(),
            open_at_start: kernel.open_at_start.iter().filter_map(number).collect(),
            targets: kernel.targets.iter().filter_map(number).collect(),
            hides,
            metric,
            spot_at_start: kernel.spot_at_start.map_or(ANYWHERE, |s| s.0 as u16),
            tool_at_start: kernel.tool_at_start.map_or(ANYWHERE, |t| t.0 as u16),
            bears: (0..things.len()).filter(|&t| things[t].bears).collect(),
            borne: Vec::new(),
            found_hanging: Mask::EMPTY,
            preps_of: Vec::new(),
            beads: (0..things.len()).filter(|&t| things[t].open_minutes.is_some()).collect(),
            same_joint: Vec::new(),
            pending: Pending::Free,
            clauses: [Vec::new(), Vec::new()],
            boundary: Vec::new(),
            waits: Mask::EMPTY,
            needed_after: Mask::EMPTY,
            things,
        };
        local.movers = (0..local.things.len()).map(|thing| local.movers_of(thing)).collect();
        local.clauses = [STRIP, BUILD].map(|direction| {
            let of = |thing: usize| {
                let ways = &local.things[thing].ways[direction];
                ways.iter().map(|way| way_clauses(&local, thing, way)).collect()
            };
            (0..local.things.len()).map(of).collect()
        });
        local.boundary = (0..local.things.len()).map(|t| boundary_clauses(&local, t)).collect();
        local.forbid(kernel, &number);
        local
    }

    /// Takes over what the rules need that only forbid orders.
    fn forbid(&mut self, kernel: &Kernel, number: &impl Fn(ThingNo) -> Option<usize>) {
        let all = 0..self.things.len();
        for part in all.clone().filter(|&t| self.things[t].kind == Kind::Part) {
            let may_bear = self.bears.iter().filter(|&tie| self.seats(tie).has(part));
            let may_bear: Mask<W> = may_bear.collect();
            if !may_bear.is_empty() {
                self.borne.push((part, may_bear));
            }
        }
        let everything: Set = kernel.all().collect();
        let local = |set: &Set| set.iter().filter_map(number).collect::<Mask<W>>();
        for it in &self.things {
            let is_tie = it.kind == Kind::Tie;
            let preps = is_tie.then(|| local(&kernel.preps_of(vec![it.no])));
            self.preps_of.push(preps.unwrap_or(Mask::EMPTY));
            let sealant = is_tie && it.open_minutes.is_some();
            let joint = sealant.then(|| local(&kernel.bead_ties(it.no, &everything)));
            self.same_joint.push(joint.unwrap_or(Mask::EMPTY));
        }
        let found = kernel.hanging(&kernel.open_at_start, &kernel.no_things());
        self.found_hanging = found.into_iter().filter_map(number).collect();
        let look = kernel.leak_look();
        self.waits = local(&look.waits);
        self.needed_after = local(&look.needed);
    }

    fn movers_of(&self, thing: usize) -> Mask<W> {
        let it = &self.things[thing];
        match it.kind {
            Kind::Part => it.chain.iter().copied().chain([thing]).collect(),
            Kind::Tie if it.has_fixed_end => Mask::EMPTY,
            Kind::Tie => {
                let seats = self.seats(thing);
                if seats.iter().any(|part| self.things[part].stays.has(thing)) {
                    return seats;
                }
                // All that it joins has to move together.
                let each = it.ends.iter().map(|&e| self.movers_of(e));
                each.reduce(|a, b| a.and(&b)).unwrap_or(Mask::EMPTY)
            }
            Kind::Prep => Mask::EMPTY,
        }
    }

    /// The parts that a tie joins and those that carry them.
    pub(crate) fn seats(&self, tie: usize) -> Mask<W> {
        let ends = self.things[tie].ends.iter();
        ends.flat_map(|&e| self.things[e].chain.iter().copied().chain([e])).collect()
    }

    /// The loose part that a part lies on, or `None` in the machine (kernel `root`).
    pub(crate) fn root(&self, part: usize, open: &Mask<W>) -> Option<usize> {
        if open.has(part) {
            return Some(part);
        }
        self.things[part].chain.iter().copied().find(|&carrier| open.has(carrier))
    }

    /// Where a tie can be worked on: `Err` if its ends lie apart (kernel `place`).
    pub(crate) fn place(&self, tie: usize, open: &Mask<W>) -> Result<Option<usize>, Apart> {
        let it = &self.things[tie];
        let mut place = it.has_fixed_end.then_some(None);
        for &end in &it.ends {
            let root = self.root(end, open);
            if root.is_some_and(|q| self.things[q].stays.has(tie)) {
                continue;
            }
            match place {
                None => place = Some(root),
                Some(other) if other == root => {}
                Some(_) => return Err(Apart),
            }
        }
        place.ok_or(Apart)
    }

    /// Whether a loose part hangs in the machine by a made connection that may stay (R5).
    fn hangs(&self, loose: usize, open: &Mask<W>) -> bool {
        self.things[loose].stays.minus(open).iter().any(|tie| {
            let it = &self.things[tie];
            let on = |&end: &usize| self.root(end, open) == Some(loose);
            it.ends.iter().any(on) && (it.has_fixed_end || !it.ends.iter().all(on))
        })
    }

    /// Whether a part, once off, still hangs somewhere else than where it is to go on.
    pub(crate) fn hangs_itself(&self, part: usize, open: &Mask<W>) -> bool {
        let seat = self.root(part, &open.without(part));
        let open = open.with(part);
        self.things[part].stays.minus(&open).iter().any(|tie| {
            let it = &self.things[tie];
            let here = |&end: &usize| self.root(end, &open) == Some(part);
            let away = |&end: &usize| {
                let root = self.root(end, &open);
                root != Some(part) && root != seat
            };
            it.ends.iter().any(here)
                && (it.has_fixed_end && seat.is_some() || it.ends.iter().any(away))
        })
    }

    /// Whether a thing is clear for work at a place (R6).
    fn is_clear(&self, thing: usize, place: Option<usize>, open: &Mask<W>) -> bool {
        match self.things[thing].kind {
            Kind::Part => self.root(thing, open) != place,
            Kind::Tie => open.has(thing) || self.place(thing, open) != Ok(place),
            Kind::Prep => false,
        }
    }

    /// Whether a way works (kernel `holds`). `open` has the started ties taken out; the thing
    /// itself is counted as on.
    pub(crate) fn holds(&self, thing: usize, way: &LocalWay<W>, open: &Mask<W>) -> bool {
        let open = open.without(thing);
        let it = &self.things[thing];
        if !way.needs.is_within(&open) {
            return false;
        }
        let place = match it.kind {
            Kind::Part => self.root(thing, &open),
            Kind::Tie => match self.place(thing, &open) {
                Ok(place) => place,
                Err(Apart) => return false,
            },
            Kind::Prep => None,
        };
        if it.kind != Kind::Prep && way.spot != ANYWHERE {
            let fits = match place {
                None => way.spot != BENCH,
                // A loose part that hangs by a made connection is not at the bench (R5).
                Some(q) => way.spot == BENCH && !self.hangs(q, &open),
            };
            if !fits {
                return false;
            }
        }
        way.clear.iter().all(|&other| self.is_clear(other, place, &open))
            && (it.kind != Kind::Part || self.is_free(thing, &open))
    }

    /// The part and all that is on it (kernel `load`).
    pub(crate) fn load(&self, part: usize, open: &Mask<W>) -> Mask<W> {
        let mut load = Mask::EMPTY.with(part);
        let mut todo = load;
        while !todo.is_empty() {
            let riders = todo.iter().flat_map(|at| self.things[at].riders.iter().copied());
            todo = riders.collect::<Mask<W>>().minus(open).minus(&load);
            load = load.or(&todo);
        }
        load
    }

    /// Whether no made tie crosses the boundary of the part's load, but those that may stay.
    fn is_free(&self, part: usize, open: &Mask<W>) -> bool {
        let load = self.load(part, open);
        let stays = &self.things[part].stays;
        load.iter().all(|inner| {
            self.things[inner]
                .ties
                .iter()
                .all(|&tie| open.has(tie) || stays.has(tie) || self.is_inside(tie, &load))
        })
    }

    /// Whether all that a tie joins is in the load.
    pub(crate) fn is_inside(&self, tie: usize, load: &Mask<W>) -> bool {
        let it = &self.things[tie];
        !it.has_fixed_end && it.ends.iter().all(|&end| load.has(end))
    }

    /// Whether closing the part would hide an open tie (R12).
    pub(crate) fn would_hide(&self, part: usize, open: &Mask<W>) -> bool {
        let load = self.load(part, &open.without(part));
        load.iter().any(|inner| {
            self.hides[inner].and(open).iter().any(|tie| {
                let it = &self.things[tie];
                !it.leave_off && !it.ends.iter().any(|&end| load.has(end))
            })
        })
    }

    /// Whether an open thing would be left without a way of opening if the prep ended (R11).
    pub(crate) fn is_still_needed(&self, prep: usize, open: &Mask<W>) -> bool {
        let after = open.without(prep);
        open.iter().any(|other| {
            let it = &self.things[other];
            other != prep
                && !it.by_itself
                && !it.leave_off
                && it.opening_needs.iter().any(|needs| needs.has(prep))
                && !it.opening_needs.iter().any(|needs| needs.is_within(&after))
        })
    }
}

/// The ends of a tie lie apart: it can be neither made nor undone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Apart;

fn local_thing<const W: usize>(
    kernel: &Kernel,
    no: ThingNo,
    number: &impl Fn(ThingNo) -> Option<usize>,
) -> LocalThing<W> {
    let it = kernel.thing(no);
    let mask = |list: &[ThingNo]| list.iter().filter_map(|&n| number(n)).collect::<Mask<W>>();
    let list = |list: &[ThingNo]| list.iter().filter_map(|&n| number(n)).collect::<Vec<_>>();
    let ways = |ways: &[lastbolt_machine::KernelWay]| {
        ways.iter()
            .enumerate()
            .map(|(index, way)| LocalWay {
                index,
                spot: way.spot.map_or(ANYWHERE, |s| s.0 as u16),
                tool: way.tool.map_or(ANYWHERE, |t| t.0 as u16),
                minutes: way.minutes.0,
                needs: mask(&it.needs).or(&mask(&way.needs)).or(&mask(&way.spot_needs)),
                clear: list(&way.clear),
            })
            .collect()
    };
    let mut chain = Vec::new();
    let mut at = it.rides;
    while let Some(carrier) = at {
        // A circle of carriers is refused when the file is read; never walk one for ever.
        if chain.len() > kernel.things.len() {
            break;
        }
        chain.extend(number(carrier));
        at = kernel.thing(carrier).rides;
    }
    let mut ends = Vec::new();
    let mut has_fixed_end = false;
    for end in &it.joins {
        match end {
            End::Fixed(_) => has_fixed_end = true,
            // A part that nothing can take off (not relevant) is as good as fixed.
            End::Part(part) => match number(*part) {
                Some(part) => ends.push(part),
                None => has_fixed_end = true,
            },
        }
    }
    LocalThing {
        no,
        kind: it.kind,
        ways: [ways(&it.ways), ways(&it.back)],
        opening_needs: it
            .opening_needs()
            .map(|needs| needs.filter_map(|&n| number(n)).collect())
            .collect(),
        by_itself: it.by_itself,
        leave_off: kernel.leave_off.has(no),
        chain,
        riders: list(&it.riders),
        stays: mask(&it.stays),
        ends,
        has_fixed_end,
        ties: list(&it.ties),
        hidden_by: mask(&it.hidden_by),
        group: it.group,
        bears: it.bears,
        open_minutes: it.open_minutes.map(|m| m.0),
    }
}
