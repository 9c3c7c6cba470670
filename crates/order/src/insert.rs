//! A first order for more targets: the known order with what is missing put in where that costs
//! least. No claim to be best; every order given was walked by the rules.

use lastbolt_machine::kernel::Blocker;
use lastbolt_machine::{
    Direction, End, Kernel, KernelWay, Kind, Minutes, Set, SpotNo, ThingNo, ToolNo,
};

use crate::answer::{Plan, Step};
use crate::block;
use crate::steps::{Act, Walked, walk_acts};

/// The most things that are put in one after the other.
const MOST_THINGS: usize = 60;
/// The most places of a thing that are walked to see whether the rest is still legal.
const MOST_WALKS: usize = 12;

/// Puts what the kernel asks for besides into an order for fewer targets of the same machine;
/// `None` where that finds nothing legal. The bound is that of the order for fewer targets.
pub(crate) fn insert(kernel: &Kernel, base: &Plan, strip_only: bool) -> Option<Plan> {
    let act = |step: &Step| Act {
        thing: step.thing,
        way: step.way,
        is_start: step.action == crate::Action::Start,
    };
    let acts = |steps: &[Step]| steps.iter().map(act).collect::<Vec<_>>();
    let (strip, build) = (acts(&base.strip), acts(&base.build));
    let walked = walk_acts(kernel, &strip, &build)?;
    let mut order = Order { kernel, strip_only, strip, build, walked, put_in: 0 };
    for target in kernel.targets.iter() {
        order.put_somehow(target)?;
    }
    let Walked { strip, build, off, leak_look, minutes } = order.walked;
    let proved = minutes <= base.bound;
    let bound = base.bound.min(minutes);
    let least = minutes;
    Some(Plan { strip, build, leak_look, off, minutes, least, bound, proved, nodes: 0 })
}

#[derive(Clone)]
struct Order<'a> {
    kernel: &'a Kernel,
    strip_only: bool,
    strip: Vec<Act>,
    build: Vec<Act>,
    walked: Walked,
    put_in: usize,
}

/// A place for one more action, with what it costs.
#[derive(Clone, Copy)]
struct Place {
    minutes: i64,
    at: usize,
    way: usize,
}

impl Order<'_> {
    /// Puts a thing in, each thing that it takes by itself, else all of them or what is left of
    /// them in one run, or each part that hangs or goes on with sealant in a run of its own with
    /// what holds it: there little may come between.
    fn put_somehow(&mut self, thing: ThingNo) -> Option<()> {
        let before = self.clone();
        if self.put(thing, 0).is_some() {
            return Some(());
        }
        *self = before;
        let missing = self.missing(thing)?;
        let in_one = self.with_run(&missing);
        let in_joints = self.with_joints(&missing);
        for &other in missing.iter().filter(|&&other| other != thing) {
            self.try_put(other);
        }
        let left = self.still_missing(&missing);
        let in_two = if left == missing { None } else { self.with_run(&left) };
        let found = [in_one, in_joints, in_two].into_iter().flatten();
        *self = found.min_by_key(|order| order.walked.minutes)?;
        Some(())
    }

    /// The order with each part that asks for it put in as one run with its fixings, and what else
    /// is missing put in by itself before.
    fn with_joints(&self, missing: &[ThingNo]) -> Option<Self> {
        let mut order = self.clone();
        let joints: Vec<Vec<ThingNo>> =
            missing.iter().filter_map(|&part| self.joint(part, missing)).collect();
        let alone = |thing: &&ThingNo| joints.iter().all(|joint| !joint.contains(thing));
        for &thing in missing.iter().filter(alone) {
            order.try_put(thing);
        }
        for joint in &joints {
            // A fixing may hold two such parts; it is undone with the first.
            let left = order.still_missing(joint);
            let moved = order.off_by_itself(joint);
            // What sits on it goes back with it where that cannot wait (R24).
            order = order.with_run(&left).or_else(|| order.with_run_and(&left, &moved))?;
        }
        let left = order.still_missing(missing);
        if left.is_empty() { Some(order) } else { order.with_run(&left) }
    }

    /// A part with those of its fixings that are missing, deepest last, if something bears it or
    /// sealant sets between them.
    fn joint(&self, part: ThingNo, missing: &[ThingNo]) -> Option<Vec<ThingNo>> {
        let it = self.kernel.thing(part);
        if it.kind != Kind::Part {
            return None;
        }
        let is_its = |tie: &&ThingNo| it.ties.contains(tie);
        let ties: Vec<ThingNo> = missing.iter().filter(is_its).copied().collect();
        let asks = |thing: &ThingNo| {
            let it = self.kernel.thing(*thing);
            it.bears || it.open_minutes.is_some()
        };
        let joint: Vec<ThingNo> = ties.into_iter().chain([part]).collect();
        joint.iter().any(asks).then_some(joint)
    }

    /// What rides on parts of a joint and is off by itself, with the fixings that hold it there.
    fn off_by_itself(&self, joint: &[ThingNo]) -> Vec<ThingNo> {
        let rides = |part: &ThingNo| {
            self.kernel.thing(*part).rides.is_some_and(|carrier| joint.contains(&carrier))
        };
        let riders: Vec<ThingNo> = self.walked.off.iter().filter(rides).collect();
        let on_it = |end: &End| match end {
            End::Part(part) => riders.contains(part) || joint.contains(part),
            End::Fixed(_) => false,
        };
        let holds = |tie: &ThingNo| {
            let joins = &self.kernel.thing(*tie).joins;
            !joins.is_empty() && joins.iter().all(on_it)
        };
        let ties = self.walked.off.iter().filter(holds);
        ties.chain(riders.iter().copied()).filter(|thing| !joint.contains(thing)).collect()
    }

    /// Those of some things that are not put in yet.
    fn still_missing(&self, things: &[ThingNo]) -> Vec<ThingNo> {
        things.iter().filter(|thing| !self.walked.off.has(**thing)).copied().collect()
    }

    /// Puts a thing in, with what it takes; leaves everything as it is where that does not go.
    fn try_put(&mut self, thing: ThingNo) {
        let before = self.clone();
        if self.put(thing, 0).is_none() {
            *self = before;
        }
    }

    /// The order with things put in as one run in each direction.
    fn with_run(&self, things: &[ThingNo]) -> Option<Self> {
        self.with_run_and(things, &[])
    }

    /// The same with what is open already and goes back in that run.
    fn with_run_and(&self, things: &[ThingNo], moved: &[ThingNo]) -> Option<Self> {
        let orders = (self.strip.as_slice(), self.build.as_slice());
        let things = (things, moved);
        let (strip, build, walked) = block::put_run(self.kernel, &self.walked, orders, things)?;
        Some(Self { strip, build, walked, ..self.clone() })
    }

    /// All that is missing for a thing, in both directions, itself included; deepest first.
    fn missing(&self, thing: ThingNo) -> Option<Vec<ThingNo>> {
        let mut off = self.walked.off.with(thing);
        let mut all = vec![thing];
        let mut at = 0;
        while let Some(&next) = all.get(at) {
            at += 1;
            for direction in self.directions() {
                for needed in self.needed(next, *direction, &off)? {
                    if off.add(needed) {
                        all.push(needed);
                    }
                }
            }
            if all.len() > MOST_THINGS {
                return None;
            }
        }
        all.reverse();
        Some(all)
    }

    /// Puts a thing in, after what has to be open for it.
    fn put(&mut self, thing: ThingNo, depth: usize) -> Option<()> {
        if self.walked.off.has(thing) {
            return Some(());
        }
        self.put_in += 1;
        if depth > MOST_THINGS || self.put_in > MOST_THINGS {
            return None;
        }
        for direction in self.directions() {
            let mut off = self.walked.off.clone();
            off.add(thing);
            for needed in self.needed(thing, *direction, &off)? {
                self.put(needed, depth + 1)?;
            }
        }
        if self.walked.off.has(thing) {
            return Some(());
        }
        let places = self.strip_places(thing);
        for place in places.iter().take(MOST_WALKS) {
            let mut strip = self.strip.clone();
            let act = Act { thing, way: place.way, is_start: false };
            strip.insert(place.at, act);
            if self.put_back(thing, &strip).is_some() {
                self.strip = strip;
                return Some(());
            }
        }
        None
    }

    fn directions(&self) -> &'static [Direction] {
        if self.strip_only { &[Direction::Strip] } else { &[Direction::Strip, Direction::Build] }
    }

    /// What is missing for the way of a thing that misses least.
    fn needed(&self, thing: ThingNo, direction: Direction, off: &Set) -> Option<Vec<ThingNo>> {
        let kernel = self.kernel;
        if direction == Direction::Build && kernel.thing(thing).by_itself {
            return Some(Vec::new());
        }
        let missing = |way: &KernelWay| -> Option<(usize, Minutes, Vec<ThingNo>)> {
            let blockers = kernel.blockers(thing, way, off);
            let things = blockers.into_iter().map(|blocker| match blocker {
                Blocker::NotClear(t) | Blocker::Needs(t) | Blocker::HeldBy(t) => Some(t),
                // Where it lies changes on the way: its place among the steps decides.
                _ => None,
            });
            let things: Vec<ThingNo> = things.flatten().collect();
            let unsteppable = |t: &&ThingNo| kernel.thing(**t).ways.is_empty();
            let hopeless = things.iter().filter(unsteppable).count();
            (hopeless == 0).then_some((things.len(), way.minutes, things))
        };
        let ways = kernel.ways(thing, direction).iter().filter_map(missing);
        ways.min_by_key(|(count, minutes, _)| (*count, *minutes)).map(|(_, _, things)| things)
    }

    /// Where a thing can be opened, cheapest first.
    fn strip_places(&self, thing: ThingNo) -> Vec<Place> {
        let kernel = self.kernel;
        let around = Around::of(self);
        let mut places = Vec::new();
        let mut open = kernel.open_at_start.clone();
        for at in 0..=self.strip.len() {
            for (way, it) in kernel.thing(thing).ways.iter().enumerate() {
                if kernel.open_is_allowed(thing, it, &open) {
                    places.push(Place { minutes: around.more(at, it), at, way });
                }
            }
            if let Some(act) = self.strip.get(at) {
                open.add(act.thing);
            }
        }
        // Late and short where it costs the same.
        places.sort_by_key(|place| (place.minutes, usize::MAX - place.at));
        places
    }

    /// Closes a thing again in the cheapest place; keeps the order if there is one.
    fn put_back(&mut self, thing: ThingNo, strip: &[Act]) -> Option<()> {
        let kernel = self.kernel;
        let it = kernel.thing(thing);
        if self.strip_only || it.by_itself || kernel.leave_off.has(thing) {
            self.walked = walk_acts(kernel, strip, &self.build)?;
            return Some(());
        }
        let mut walks = 0;
        for place in self.build_places(thing, strip.len()) {
            let mut build = self.build.clone();
            build.insert(place.at, Act { thing, way: place.way, is_start: false });
            if it.group.is_some() {
                let first = build.iter().position(|act| self.tightens(act, thing));
                let at = first.unwrap_or(place.at).min(place.at);
                build.insert(at, Act { thing, way: place.way, is_start: true });
            }
            if let Some(walked) = walk_acts(kernel, strip, &build) {
                (self.walked, self.build) = (walked, build);
                return Some(());
            }
            walks += 1;
            if walks >= MOST_WALKS {
                break;
            }
        }
        None
    }

    fn tightens(&self, act: &Act, thing: ThingNo) -> bool {
        let group = self.kernel.thing(thing).group;
        !act.is_start && self.kernel.thing(act.thing).group == group
    }

    /// Where a thing can be closed, cheapest first.
    fn build_places(&self, thing: ThingNo, strip_len: usize) -> Vec<Place> {
        let kernel = self.kernel;
        let around = Around::of(self);
        let mut places = Vec::new();
        let mut open = self.walked.off.with(thing);
        let mut started = kernel.no_things();
        if kernel.thing(thing).group.is_some() {
            started.add(thing);
        }
        for at in 0..=self.build.len() {
            for (way, it) in kernel.thing(thing).back.iter().enumerate() {
                if kernel.holds(thing, it, &open.minus(&started)) {
                    let before = strip_len - 1 + at;
                    places.push(Place { minutes: around.more(before, it), at, way });
                }
            }
            if let Some(act) = self.build.get(at) {
                if act.is_start {
                    started.add(act.thing);
                } else {
                    open.remove(act.thing);
                    started.remove(act.thing);
                }
            }
        }
        places.sort_by_key(|place| (place.minutes, place.at));
        places
    }
}

/// The spot and tool before and after each place of an order.
struct Around<'a> {
    kernel: &'a Kernel,
    before: Vec<(Option<SpotNo>, Option<ToolNo>)>,
    after: Vec<(Option<SpotNo>, Option<ToolNo>)>,
}

impl<'a> Around<'a> {
    fn of(order: &Order<'a>) -> Self {
        let kernel = order.kernel;
        let used: Vec<(Option<SpotNo>, Option<ToolNo>)> = order
            .walked
            .strip
            .iter()
            .chain(&order.walked.build)
            .map(|step| (step.spot, step.tool))
            .collect();
        let mut before = vec![(kernel.spot_at_start, kernel.tool_at_start)];
        for (at, (spot, tool)) in used.iter().enumerate() {
            before.push((spot.or(before[at].0), tool.or(before[at].1)));
        }
        let mut after = vec![(None, None)];
        for (at, (spot, tool)) in used.iter().rev().enumerate() {
            after.push((spot.or(after[at].0), tool.or(after[at].1)));
        }
        after.reverse();
        Self { kernel, before, after }
    }

    /// What an action costs in one place: its minutes and the changes that it adds.
    fn more(&self, at: usize, way: &KernelWay) -> i64 {
        let at = at.min(self.before.len() - 1);
        let ((spot, tool), (next_spot, next_tool)) = (self.before[at], self.after[at]);
        let mut minutes = way.minutes.0;
        if way.spot.is_some() {
            let through = self.kernel.spot_change(spot, way.spot)
                + self.kernel.spot_change(way.spot, next_spot);
            minutes += through.0 - self.kernel.spot_change(spot, next_spot).0;
        }
        if way.tool.is_some() {
            let through = self.kernel.tool_change(tool, way.tool)
                + self.kernel.tool_change(way.tool, next_tool);
            minutes += through.0 - self.kernel.tool_change(tool, next_tool).0;
        }
        minutes
    }
}
