//! From the searched order to the steps of a plan, walked once more by the machine's own rules.

use lastbolt_machine::{Direction, Kernel, Kind, LeakLook, Minutes, Set, SpotNo, ThingNo, ToolNo};

use crate::answer::{Action, Step};
use crate::local::Local;
use crate::settled::{Move, Whole};

/// The steps of both directions and what is open at the turn.
pub(crate) struct Walked {
    pub strip: Vec<Step>,
    pub build: Vec<Step>,
    pub off: Set,
    pub leak_look: Option<usize>,
    pub minutes: Minutes,
}

/// One action of an order: a thing, by which of its ways, and whether it is only started.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Act {
    pub thing: ThingNo,
    pub way: usize,
    pub is_start: bool,
}

/// Walks an order by the rules of the kernel; `None` if a step is not legal there.
pub(crate) fn walk<const W: usize>(
    kernel: &Kernel,
    local: &Local<W>,
    whole: &Whole,
) -> Option<Walked> {
    let act = |m: &Move| Act { thing: local.things[m.thing].no, way: m.way, is_start: m.is_start };
    let acts = |moves: &[Move]| moves.iter().map(act).collect::<Vec<_>>();
    walk_acts(kernel, &acts(&whole.strip), &acts(&whole.build))
}

/// The same for actions by the kernel's own numbers.
pub(crate) fn walk_acts(kernel: &Kernel, strip: &[Act], build: &[Act]) -> Option<Walked> {
    let mut walker = Walker {
        kernel,
        open: kernel.open_at_start.clone(),
        started: kernel.no_things(),
        spot: kernel.spot_at_start,
        tool: kernel.tool_at_start,
        minutes: Minutes::ZERO,
        found_hanging: kernel.hanging(&kernel.open_at_start, &kernel.no_things()),
        look: kernel.leak_look(),
        beads: Vec::new(),
    };
    let strip = strip
        .iter()
        .map(|act| walker.step(Direction::Strip, act.thing, act.way, false))
        .collect::<Option<Vec<_>>>()?;
    let off = walker.open.clone();
    let build = build
        .iter()
        .map(|act| walker.step(Direction::Build, act.thing, act.way, act.is_start))
        .collect::<Option<Vec<_>>>()?;
    let leak_look = build.iter().position(|step| walker.look.waits.has(step.thing));
    Some(Walked { strip, build, off, leak_look, minutes: walker.minutes })
}

/// Sealant that is laid: the minutes it has left and the ties to be made in them (R24).
struct Bead {
    left: Minutes,
    ties: Set,
}

struct Walker<'a> {
    kernel: &'a Kernel,
    open: Set,
    started: Set,
    spot: Option<SpotNo>,
    tool: Option<ToolNo>,
    minutes: Minutes,
    found_hanging: Vec<ThingNo>,
    look: LeakLook,
    beads: Vec<Bead>,
}

impl Walker<'_> {
    fn step(
        &mut self,
        direction: Direction,
        thing: ThingNo,
        index: usize,
        is_start: bool,
    ) -> Option<Step> {
        let kernel = self.kernel;
        let way = kernel.ways(thing, direction).get(index)?;
        let it = kernel.thing(thing);
        let grouped = it.group.is_some();
        let (legal, action) = match direction {
            Direction::Strip => {
                let action = match it.kind {
                    Kind::Part => Action::Off,
                    Kind::Tie => Action::Undo,
                    Kind::Prep => Action::Prep,
                };
                (kernel.open_is_allowed(thing, way, &self.open), action)
            }
            Direction::Build if is_start => {
                let legal = kernel.start_is_allowed(thing, way, &self.open, &self.started);
                (legal, Action::Start)
            }
            Direction::Build => {
                let action = match it.kind {
                    Kind::Part => Action::On,
                    Kind::Tie if grouped => Action::Tighten,
                    Kind::Tie => Action::Make,
                    Kind::Prep => Action::End,
                };
                (kernel.close_is_allowed(thing, way, &self.open, &self.started), action)
            }
        };
        if !legal || !self.bearing_allows(direction, thing) || self.waits_for_look(direction, thing)
        {
            return None;
        }
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

    /// R23: while a part hangs, only its own are stepped; what was found hanging binds nobody
    /// until it is put back.
    fn bearing_allows(&self, direction: Direction, thing: ThingNo) -> bool {
        let mut hanging = self.kernel.hanging(&self.open, &self.started);
        if direction == Direction::Strip {
            hanging.retain(|part| !self.found_hanging.contains(part));
        }
        self.kernel.may_step_while_hanging(thing, &hanging, &self.open)
    }

    /// R28: a cover or a tie across its boundary while something else is still open.
    fn waits_for_look(&self, direction: Direction, thing: ThingNo) -> bool {
        direction == Direction::Build
            && self.look.waits.has(thing)
            && self.look.open_before(self.kernel, &self.open).is_some()
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
