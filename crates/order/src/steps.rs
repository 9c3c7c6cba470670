//! From the searched order to the steps of a plan, walked once more by the machine's own rules.

use lastbolt_machine::{Direction, Kernel, Kind, Minutes, Set, SpotNo, ThingNo, ToolNo};

use crate::answer::{Action, Step};
use crate::local::Local;
use crate::settled::{Move, Whole};

/// The steps of both directions and what is open at the turn.
pub(crate) struct Walked {
    pub strip: Vec<Step>,
    pub build: Vec<Step>,
    pub off: Set,
    pub minutes: Minutes,
}

/// Walks an order by the rules of the kernel; `None` if a step is not legal there.
pub(crate) fn walk<const W: usize>(
    kernel: &Kernel,
    local: &Local<W>,
    whole: &Whole,
) -> Option<Walked> {
    let mut walker = Walker {
        kernel,
        open: kernel.open_at_start.clone(),
        started: kernel.no_things(),
        spot: kernel.spot_at_start,
        tool: kernel.tool_at_start,
        minutes: Minutes::ZERO,
    };
    let number = |m: &Move| local.things[m.thing].no;
    let strip = whole
        .strip
        .iter()
        .map(|m| walker.step(Direction::Strip, number(m), m.way, false))
        .collect::<Option<Vec<_>>>()?;
    let off = walker.open.clone();
    let build = whole
        .build
        .iter()
        .map(|m| walker.step(Direction::Build, number(m), m.way, m.is_start))
        .collect::<Option<Vec<_>>>()?;
    Some(Walked { strip, build, off, minutes: walker.minutes })
}

struct Walker<'a> {
    kernel: &'a Kernel,
    open: Set,
    started: Set,
    spot: Option<SpotNo>,
    tool: Option<ToolNo>,
    minutes: Minutes,
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
        if !legal {
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
        Some(Step { action, thing, way: index, spot: way.spot, tool, minutes, change })
    }
}
