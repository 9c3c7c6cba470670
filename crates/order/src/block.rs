//! Several things put into a known order as one run in each direction: what hangs together, so
//! that none of them can be put in by itself.

use lastbolt_machine::{Direction, Kernel, Minutes, Set, SpotNo, ThingNo, ToolNo};

use crate::forbids::Forbids;
use crate::steps::{Act, Walked, is_allowed, walk_acts};

/// The most runs of each direction that are tried with the rest of the order.
const MOST_RUNS: usize = 12;
/// The most steps that are looked at for one run, and for all of one direction.
const LOOKS_A_RUN: u32 = 500;
const MOST_LOOKS: u32 = 20_000;

/// Opens things in one run and closes them in one, each where that is cheapest; `None` where no
/// place is found. What is `moved` is open already and is closed in that run too, not where it was.
/// Gives both directions and the walk of the whole.
pub(crate) fn put_run(
    kernel: &Kernel,
    known: &Walked,
    (strip, build): (&[Act], &[Act]),
    (things, moved): (&[ThingNo], &[ThingNo]),
) -> Option<(Vec<Act>, Vec<Act>, Walked)> {
    if things.iter().chain(moved).any(|&thing| kernel.thing(thing).group.is_some()) {
        return None;
    }
    let is_stripped_only = build.is_empty();
    let build: Vec<Act> = build.iter().filter(|act| !moved.contains(&act.thing)).copied().collect();
    let forbids = Forbids::of(kernel, &kernel.open_at_start);
    let bench = Bench { kernel, forbids: &forbids };
    let mut off = known.off.clone();
    off.extend(things.iter().copied());
    let stays = |&thing: &ThingNo| kernel.leave_off.has(thing) || kernel.thing(thing).by_itself;
    let closed = things.iter().chain(moved).filter(|thing| !stays(thing));
    let closed: Vec<ThingNo> = closed.copied().collect();
    let opening = bench.runs(Direction::Strip, strip, kernel.open_at_start.clone(), things);
    let closing = match is_stripped_only {
        true => vec![Run { at: 0, acts: Vec::new(), minutes: Minutes::ZERO }],
        false => bench.runs(Direction::Build, &build, off, &closed),
    };
    for open in opening.iter().take(MOST_RUNS) {
        for close in closing.iter().take(MOST_RUNS) {
            let (strip, build) = (open.put_into(strip), close.put_into(&build));
            if let Some(walked) = walk_acts(kernel, &strip, &build) {
                return Some((strip, build, walked));
            }
        }
    }
    None
}

/// A run of actions for one place of an order.
struct Run {
    at: usize,
    acts: Vec<Act>,
    minutes: Minutes,
}

impl Run {
    fn put_into(&self, order: &[Act]) -> Vec<Act> {
        let (before, after) = order.split_at(self.at.min(order.len()));
        [before, &self.acts, after].concat()
    }
}

struct Bench<'a> {
    kernel: &'a Kernel,
    forbids: &'a Forbids,
}

/// Where a run would begin.
#[derive(Clone)]
struct Stand {
    open: Set,
    started: Set,
    spot: Option<SpotNo>,
    tool: Option<ToolNo>,
}

impl Bench<'_> {
    /// The runs that are legal where they stand, for every place of an order, cheapest first.
    fn runs(&self, direction: Direction, order: &[Act], open: Set, things: &[ThingNo]) -> Vec<Run> {
        let started = self.kernel.no_things();
        let mut stand = Stand { open, started, spot: None, tool: None };
        let mut runs = Vec::new();
        let mut all_looks = MOST_LOOKS;
        for at in 0..=order.len() {
            let some = LOOKS_A_RUN.min(all_looks);
            let mut looks = some;
            let mut acts = Vec::new();
            if let Some(minutes) = self.run(direction, &stand, things, &mut acts, &mut looks) {
                runs.push(Run { at, acts, minutes });
            }
            all_looks -= some - looks;
            if let Some(act) = order.get(at) {
                self.go(direction, &mut stand, *act);
            }
        }
        runs.sort_by_key(|run| run.minutes);
        runs
    }

    /// Steps all of these in a row, always the cheapest that leads to an end.
    fn run(
        &self,
        direction: Direction,
        stand: &Stand,
        things: &[ThingNo],
        acts: &mut Vec<Act>,
        looks: &mut u32,
    ) -> Option<Minutes> {
        let is_left = |thing: &&ThingNo| acts.iter().all(|act| act.thing != **thing);
        let left: Vec<ThingNo> = things.iter().filter(is_left).copied().collect();
        if left.is_empty() {
            return Some(Minutes::ZERO);
        }
        let mut choices: Vec<(bool, Minutes, Act)> = Vec::new();
        for thing in left {
            for (way, it) in self.kernel.ways(thing, direction).iter().enumerate() {
                *looks = looks.checked_sub(1)?;
                let act = Act { thing, way, is_start: false };
                let (open, started) = (&stand.open, &stand.started);
                if is_allowed(self.kernel, self.forbids, (direction, act), (open, started)) {
                    let change = self.kernel.spot_change(stand.spot, it.spot)
                        + self.kernel.tool_change(stand.tool, it.tool);
                    // What bears weight is undone last and made first.
                    let bears = self.kernel.thing(thing).bears == (direction == Direction::Strip);
                    choices.push((bears, change + it.minutes, act));
                }
            }
        }
        choices.sort_by_key(|&(bears, minutes, _)| (bears, minutes));
        for (_, minutes, act) in choices {
            let mut next = stand.clone();
            self.go(direction, &mut next, act);
            acts.push(act);
            if let Some(rest) = self.run(direction, &next, things, acts, looks) {
                return Some(minutes + rest);
            }
            acts.pop();
        }
        None
    }

    fn go(&self, direction: Direction, stand: &mut Stand, act: Act) {
        let Some(way) = self.kernel.ways(act.thing, direction).get(act.way) else { return };
        stand.spot = way.spot.or(stand.spot);
        if act.is_start {
            stand.started.add(act.thing);
            return;
        }
        stand.tool = way.tool.or(stand.tool);
        match direction {
            Direction::Strip => {
                stand.open.add(act.thing);
            }
            Direction::Build => {
                stand.open.remove(act.thing);
                stand.started.remove(act.thing);
            }
        }
    }
}
