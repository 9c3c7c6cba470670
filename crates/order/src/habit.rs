//! The order as a mechanic would do it: among orders of nearly the least minutes, one that can be
//! kept in mind.
//!
//! A found order is improved by moving runs of steps within their direction. Every moved step is
//! judged by the rules of the kernel where it comes to stand, minutes are counted anew, and the
//! whole is walked once more at the end; what comes off stays the same. No claim to be the
//! tidiest: the nearest that single moves lead to, within a limit of looks.

use std::cell::Cell;

use lastbolt_machine::{Direction, Kernel, Minutes, Set, SpotNo, ToolNo};

use crate::answer::{Action, Plan, Step};
use crate::forbids::Forbids;
use crate::steps::{Act, is_allowed, walk_acts};
use crate::untidy::{A_MINUTE, Memo, Seen, Trait, points, room, spot_of, traits};

/// How much longer than the least an order may take, in thousandths of a per cent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Tolerance(pub u32);

impl Tolerance {
    /// No longer than the least.
    pub const NONE: Self = Self(0);
    /// Three per cent, where nobody says otherwise.
    pub const USUAL: Self = Self(3000);

    /// The most minutes that an order may take where `least` is the least.
    pub fn most(self, least: Minutes) -> Minutes {
        let more = i128::from(least.0.max(0)) * i128::from(self.0) / 100_000;
        Minutes(least.0.saturating_add(i64::try_from(more).unwrap_or(i64::MAX)))
    }
}

/// How an order is made to read well.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Habit {
    /// What it may cost.
    pub tolerance: Tolerance,
    /// Where moving begins, for choices between equals.
    pub seed: u64,
    /// How many steps and changed orders may be looked at.
    pub looks: u32,
}

impl Default for Habit {
    fn default() -> Self {
        Self { tolerance: Tolerance::USUAL, seed: 1, looks: 60_000 }
    }
}

/// How many places in a row a run may not fit before it is pushed no further.
const MISFITS: usize = 6;
/// What walking a whole order counts as.
const LOOKS_A_WALK: u32 = 200;

/// Gives an order that reads better than the plan's within the tolerance, or the plan as it is.
/// `least` is kept, and lowered if the order that is given is even quicker.
#[must_use]
pub fn tidy(kernel: &Kernel, plan: Plan, habit: &Habit) -> Plan {
    let mut bench = Bench::of(kernel, &plan, habit);
    while bench.may_look() && bench.pass() {}
    let [strip, build] = &bench.orders;
    let go = |lines: &[Line]| lines.iter().map(|line| line.go).collect::<Vec<_>>();
    let Some(walked) = walk_acts(kernel, &go(strip), &go(build)) else { return plan };
    if walked.minutes > bench.most || walked.off != plan.off {
        return plan;
    }
    let least = plan.least.min(walked.minutes);
    Plan {
        strip: walked.strip,
        build: walked.build,
        leak_look: walked.leak_look,
        off: walked.off,
        minutes: walked.minutes,
        least,
        bound: plan.bound.min(least),
        proved: plan.proved || plan.bound >= least,
        nodes: plan.nodes,
    }
}

/// A step with all that is asked about it.
#[derive(Clone, Copy)]
struct Line {
    go: Act,
    seen: Seen,
    spot: Option<SpotNo>,
    tool: Option<ToolNo>,
}

/// What is open and started.
type State = (Set, Set);

/// A run of steps: from where, how many.
type Run = (usize, usize);

struct Bench<'a> {
    kernel: &'a Kernel,
    forbids: Forbids,
    /// Strip and build.
    orders: [Vec<Line>; 2],
    /// Minutes of the steps without changes.
    work: Minutes,
    most: Minutes,
    worth: u64,
    has_beads: bool,
    looks: Cell<u32>,
    seed: u64,
    memo: Memo,
    size: usize,
}

impl<'a> Bench<'a> {
    fn of(kernel: &'a Kernel, plan: &Plan, habit: &Habit) -> Self {
        let traits = traits(kernel, &plan.off);
        let lines = |steps: &[Step]| steps.iter().map(|s| line(s, &traits)).collect::<Vec<_>>();
        let work = plan.strip.iter().chain(&plan.build).map(|step| step.minutes).sum();
        let sealed = |step: &Step| kernel.thing(step.thing).open_minutes.is_some();
        let mut bench = Self {
            kernel,
            forbids: Forbids::of(kernel, &kernel.open_at_start),
            orders: [lines(&plan.strip), lines(&plan.build)],
            work,
            most: habit.tolerance.most(plan.least).max(plan.minutes),
            worth: 0,
            has_beads: plan.build.iter().any(sealed),
            looks: Cell::new(habit.looks),
            seed: habit.seed,
            memo: Memo::default(),
            size: room(kernel),
        };
        bench.worth = bench.value(None).unwrap_or(u64::MAX);
        bench
    }

    fn may_look(&self) -> bool {
        self.looks.get() > 0
    }

    fn look(&self, count: u32) {
        self.looks.set(self.looks.get().saturating_sub(count));
    }

    /// Tries every run of steps once; says whether any was moved.
    fn pass(&mut self) -> bool {
        let mut moved = false;
        for side in 0..2 {
            let count = self.orders[side].len();
            let first = if count > 0 { (self.seed % count as u64) as usize } else { 0 };
            for at in (first..count).chain(0..first) {
                for run in self.runs(side, at) {
                    if !self.may_look() {
                        return false;
                    }
                    moved |= self.improve(side, run);
                }
            }
        }
        moved
    }

    /// The runs that begin at a step: a whole corner, a whole joint, or the step itself, unless it
    /// lies well among its own.
    fn runs(&self, side: usize, at: usize) -> Vec<Run> {
        let lines = &self.orders[side];
        let head = lines[at].seen;
        let joint = |line: &Line| line.seen.what.joint == head.what.joint;
        let corner = |line: &Line| line.seen.spot == head.spot;
        let before = at.checked_sub(1).map(|before| &lines[before]);
        let length = |same: &dyn Fn(&Line) -> bool| {
            let begins = before.is_none_or(|line| !same(line));
            let count = lines[at..].iter().take_while(|line| same(line)).count();
            if begins { count } else { 1 }
        };
        let among = before.is_some_and(&joint) && lines.get(at + 1).is_some_and(&joint);
        let mut runs = vec![(at, length(&corner)), (at, length(&joint)), (at, 1)];
        if among && !head.what.wants_its_own_place() {
            runs.retain(|run| run.1 > 1);
        }
        runs.dedup();
        runs
    }

    /// Moves a run to where the order is worth most; says whether it was moved.
    fn improve(&mut self, side: usize, run: Run) -> bool {
        let mut best: Option<(u64, Vec<Line>)> = None;
        for to in self.places(side, run) {
            self.look(1);
            let changed = moved(&self.orders[side], run, to);
            let known = best.as_ref().map_or(self.worth, |(worth, _)| *worth);
            if let Some(worth) = self.value(Some((side, &changed)))
                && worth < known
            {
                best = Some((worth, changed));
            }
        }
        let Some((worth, changed)) = best else { return false };
        let before = std::mem::replace(&mut self.orders[side], changed);
        if self.has_beads && !self.is_legal() {
            self.orders[side] = before;
            return false;
        }
        self.worth = worth;
        true
    }

    /// Open time asks for minutes, so the whole is walked.
    fn is_legal(&self) -> bool {
        self.look(LOOKS_A_WALK);
        let go = |lines: &[Line]| lines.iter().map(|line| line.go).collect::<Vec<_>>();
        walk_acts(self.kernel, &go(&self.orders[0]), &go(&self.orders[1])).is_some()
    }

    /// What an order comes to with one direction changed; `None` above the tolerance.
    fn value(&mut self, changed: Option<(usize, &[Line])>) -> Option<u64> {
        let side = |number: usize| match changed {
            Some((side, lines)) if side == number => lines,
            _ => &self.orders[number],
        };
        let (strip, build) = (side(0), side(1));
        let minutes = self.work + self.changes(strip.iter().chain(build));
        if minutes > self.most {
            return None;
        }
        let seen = |line: &Line| line.seen;
        let points = points(strip.iter().map(seen), self.size, &mut self.memo)
            + points(build.iter().rev().map(seen), self.size, &mut self.memo);
        Some(points * 1000 + minutes.0.unsigned_abs() * A_MINUTE)
    }

    fn changes<'l>(&self, lines: impl Iterator<Item = &'l Line>) -> Minutes {
        let (mut spot, mut tool) = (self.kernel.spot_at_start, self.kernel.tool_at_start);
        let mut sum = Minutes::ZERO;
        for line in lines {
            sum += self.kernel.spot_change(spot, line.spot);
            sum += self.kernel.tool_change(tool, line.tool);
            spot = line.spot.or(spot);
            tool = line.tool.or(tool);
        }
        sum
    }

    /// Where a run may go: before which step, counted in the order as it is.
    fn places(&self, side: usize, run: Run) -> Vec<usize> {
        let states = self.states(side, run);
        let mut places = Vec::new();
        self.push_forward(side, run, &states, &mut places);
        self.push_back(side, run, &states, &mut places);
        places
    }

    /// What is open before each step up to the run.
    fn states(&self, side: usize, run: Run) -> Vec<State> {
        let none = self.kernel.no_things();
        let mut state = (self.kernel.open_at_start.clone(), none);
        if side == 1 {
            state.0.extend(self.orders[0].iter().map(|line| line.go.thing));
        }
        let mut states = vec![state.clone()];
        for line in &self.orders[side][..run.0] {
            does(side, line.go, &mut state);
            states.push(state.clone());
        }
        states
    }

    /// Earlier: each step that is passed has to go after the run.
    fn push_forward(&self, side: usize, run: Run, states: &[State], places: &mut Vec<usize>) {
        let lines = &self.orders[side];
        let moving = &lines[run.0..run.0 + run.1];
        let mut misfits = 0;
        for at in (0..run.0).rev() {
            // With the run done before it, whether the passed step goes is the same wherever the
            // run stands.
            let mut after = states[at].clone();
            moving.iter().for_each(|line| does(side, line.go, &mut after));
            if !self.allows(side, lines[at].go, &after) {
                return;
            }
            if !self.is_seam(lines, at, run) {
                continue;
            }
            if self.go_all(side, moving, &mut states[at].clone()) {
                places.push(at);
                misfits = 0;
            } else {
                misfits += 1;
            }
            if misfits > MISFITS {
                return;
            }
        }
    }

    /// Later: each step that is passed has to go without the run.
    fn push_back(&self, side: usize, run: Run, states: &[State], places: &mut Vec<usize>) {
        let lines = &self.orders[side];
        let moving = &lines[run.0..run.0 + run.1];
        let mut without = states[run.0].clone();
        let mut misfits = 0;
        for (at, line) in lines.iter().enumerate().skip(run.0 + run.1) {
            if !self.allows(side, line.go, &without) {
                return;
            }
            does(side, line.go, &mut without);
            if !self.is_seam(lines, at + 1, run) {
                continue;
            }
            if self.go_all(side, moving, &mut without.clone()) {
                places.push(at + 1);
                misfits = 0;
            } else {
                misfits += 1;
            }
            if misfits > MISFITS {
                return;
            }
        }
    }

    /// A place between two joints, or at one's own: nothing is torn apart there.
    fn is_seam(&self, lines: &[Line], at: usize, run: Run) -> bool {
        let joint = |at: usize| lines.get(at).map(|line| line.seen.what.joint);
        let own = joint(run.0);
        at == 0 || joint(at) != joint(at - 1) || joint(at) == own
    }

    fn go_all(&self, side: usize, lines: &[Line], state: &mut State) -> bool {
        lines.iter().all(|line| {
            let goes = self.allows(side, line.go, state);
            does(side, line.go, state);
            goes
        })
    }

    fn allows(&self, side: usize, go: Act, state: &State) -> bool {
        self.look(1);
        let direction = if side == 0 { Direction::Strip } else { Direction::Build };
        is_allowed(self.kernel, &self.forbids, (direction, go), (&state.0, &state.1))
    }
}

fn line(step: &Step, traits: &[Trait]) -> Line {
    Line {
        go: Act { thing: step.thing, way: step.way, is_start: step.action == Action::Start },
        seen: Seen { what: traits[step.thing.0], spot: spot_of(step) },
        spot: step.spot,
        tool: step.tool,
    }
}

fn does(side: usize, go: Act, (open, started): &mut State) {
    if side == 0 {
        open.add(go.thing);
    } else if go.is_start {
        started.add(go.thing);
    } else {
        open.remove(go.thing);
        started.remove(go.thing);
    }
}

/// The lines with a run put before the step that is `to` now.
fn moved(lines: &[Line], (from, count): Run, to: usize) -> Vec<Line> {
    let mut changed = lines.to_vec();
    if to <= from {
        changed[to..from + count].rotate_right(count);
    } else {
        changed[from..to].rotate_left(count);
    }
    changed
}
