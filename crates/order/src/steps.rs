//! From the searched order to the steps of a plan, walked once more by the machine's own rules.

use lastbolt_machine::{Direction, Kernel, Kind, Minutes, Set, SpotNo, ThingNo, ToolNo};

use crate::answer::{Action, Step};
use crate::forbids::Forbids;
use crate::local::Local;
use crate::settled::{Move, Whole};

/// The steps of both directions and what is open at the turn.
#[derive(Clone)]
pub(crate) struct Walked {
    pub strip: Vec<Step>,
    pub build: Vec<Step>,
    pub off: Set,
    pub leak_look: Option<usize>,
    pub minutes: Minutes,
}

/// A step to be walked: what, by which way, and whether it only starts it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Act {
    pub thing: ThingNo,
    pub way: usize,
    pub is_start: bool,
}

/// Walks a searched order by the rules of the kernel; `None` if a step is not legal there.
pub(crate) fn walk<const W: usize>(
    kernel: &Kernel,
    local: &Local<W>,
    whole: &Whole,
) -> Option<Walked> {
    let go = |m: &Move| Act { thing: local.things[m.thing].no, way: m.way, is_start: m.is_start };
    let strip: Vec<Act> = whole.strip.iter().map(go).collect();
    let build: Vec<Act> = whole.build.iter().map(go).collect();
    walk_acts(kernel, &strip, &build)
}

/// Walks an order by the rules of the kernel; `None` if a step is not legal there.
pub(crate) fn walk_acts(kernel: &Kernel, strip: &[Act], build: &[Act]) -> Option<Walked> {
    let mut walker = Walker {
        kernel,
        forbids: Forbids::of(kernel, &kernel.open_at_start),
        open: kernel.open_at_start.clone(),
        started: kernel.no_things(),
        spot: kernel.spot_at_start,
        tool: kernel.tool_at_start,
        minutes: Minutes::ZERO,
        beads: Vec::new(),
    };
    let mut steps = |direction: Direction, all: &[Act]| {
        all.iter().map(|go| walker.step(direction, *go)).collect::<Option<Vec<_>>>()
    };
    let strip = steps(Direction::Strip, strip)?;
    let build = steps(Direction::Build, build)?;
    let mut off = kernel.open_at_start.clone();
    off.extend(strip.iter().map(|step| step.thing));
    let leak_look = build.iter().position(|step| walker.forbids.look().waits.has(step.thing));
    Some(Walked { strip, build, off, leak_look, minutes: walker.minutes })
}

/// Whether a step may be done where this is open and started, open time aside.
pub(crate) fn is_allowed(
    kernel: &Kernel,
    forbids: &Forbids,
    (direction, go): (Direction, Act),
    (open, started): (&Set, &Set),
) -> bool {
    let Act { thing, way, is_start } = go;
    let Some(way) = kernel.ways(thing, direction).get(way) else { return false };
    let legal = match direction {
        Direction::Strip => kernel.open_is_allowed(thing, way, open),
        Direction::Build if is_start => kernel.start_is_allowed(thing, way, open, started),
        Direction::Build => kernel.close_is_allowed(thing, way, open, started),
    };
    legal && forbids.allow(kernel, direction, thing, open, started)
}

/// What a step is called.
fn action(kernel: &Kernel, direction: Direction, go: Act) -> Action {
    let it = kernel.thing(go.thing);
    match (direction, it.kind) {
        (Direction::Strip, Kind::Part) => Action::Off,
        (Direction::Strip, Kind::Tie) => Action::Undo,
        (Direction::Strip, Kind::Prep) => Action::Prep,
        (Direction::Build, _) if go.is_start => Action::Start,
        (Direction::Build, Kind::Part) => Action::On,
        (Direction::Build, Kind::Tie) if it.group.is_some() => Action::Tighten,
        (Direction::Build, Kind::Tie) => Action::Make,
        (Direction::Build, Kind::Prep) => Action::End,
    }
}

/// Sealant that is laid: the minutes it has left and the ties to be made in them (R24).
struct Bead {
    left: Minutes,
    ties: Set,
}

struct Walker<'a> {
    kernel: &'a Kernel,
    forbids: Forbids,
    open: Set,
    started: Set,
    spot: Option<SpotNo>,
    tool: Option<ToolNo>,
    minutes: Minutes,
    beads: Vec<Bead>,
}

impl Walker<'_> {
    fn step(&mut self, direction: Direction, go: Act) -> Option<Step> {
        let kernel = self.kernel;
        let Act { thing, way: index, is_start } = go;
        let way = kernel.ways(thing, direction).get(index)?;
        if !is_allowed(kernel, &self.forbids, (direction, go), (&self.open, &self.started)) {
            return None;
        }
        let action = action(kernel, direction, go);
        match action {
            Action::Off | Action::Undo | Action::Prep => {
                self.open.add(thing);
            }
            Action::Start => {
                self.started.add(thing);
            }
            _ => {
                self.open.remove(thing);
                self.started.remove(thing);
            }
        }
        let tool = if is_start { None } else { way.tool };
        let minutes = if is_start { Minutes::ZERO } else { way.minutes };
        let change = kernel.spot_change(self.spot, way.spot) + kernel.tool_change(self.tool, tool);
        self.spot = way.spot.or(self.spot);
        self.tool = tool.or(self.tool);
        self.minutes += minutes + change;
        if direction == Direction::Build && !self.in_time(thing, minutes + change, is_start) {
            return None;
        }
        Some(Step { action, thing, way: index, spot: way.spot, tool, minutes, change })
    }

    /// R24: takes a step's minutes off every bead that is laid; `false` if one sets before its
    /// last tie is made.
    fn in_time(&mut self, thing: ThingNo, minutes: Minutes, is_start: bool) -> bool {
        for bead in &mut self.beads {
            bead.left = bead.left - minutes;
            if !is_start {
                bead.ties.remove(thing);
            }
        }
        let in_time = self.beads.iter().all(|bead| bead.left >= Minutes::ZERO);
        self.beads.retain(|bead| !bead.ties.is_empty());
        if let Some(left) = self.kernel.thing(thing).open_minutes
            && !is_start
        {
            let ties = self.kernel.bead_ties(thing, &self.open);
            self.beads.push(Bead { left, ties });
            self.beads.retain(|bead| !bead.ties.is_empty());
        }
        in_time
    }
}
