//! Walking a list of steps by the rules: what is legal next, what it costs, what it leaves.

use std::rc::Rc;

use lastbolt_machine::kernel::Blocker;
use lastbolt_machine::{Direction, Kernel, KernelWay, Kind, Minutes, Set, SpotNo, ThingNo, ToolNo};
use lastbolt_order::{Action, Forbids, Plan};

use crate::view::StepVerb;

/// A step still to be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Todo {
    pub(crate) verb: StepVerb,
    pub(crate) thing: ThingNo,
    /// Index in the thing's ways (opening) or back ways.
    pub(crate) way: usize,
}

impl Todo {
    pub(crate) fn ways<'k>(&self, kernel: &'k Kernel) -> &'k [KernelWay] {
        let it = kernel.thing(self.thing);
        if self.verb.opens() { &it.ways } else { &it.back }
    }

    pub(crate) fn kernel_way<'k>(&self, kernel: &'k Kernel) -> Option<&'k KernelWay> {
        self.ways(kernel).get(self.way)
    }

    /// Minutes of the step itself; a start takes none.
    pub(crate) fn minutes(&self, kernel: &Kernel) -> Minutes {
        match self.verb {
            StepVerb::Start | StepVerb::Look => Minutes::ZERO,
            _ => self.kernel_way(kernel).map_or(Minutes::ZERO, |way| way.minutes),
        }
    }
}

/// The steps of a plan.
pub(crate) fn steps_of(plan: &Plan) -> Vec<Todo> {
    let verb = |action| match action {
        Action::Off => StepVerb::Off,
        Action::On => StepVerb::On,
        Action::Undo => StepVerb::Undo,
        Action::Make => StepVerb::Make,
        Action::Start => StepVerb::Start,
        Action::Tighten => StepVerb::Tighten,
        Action::Prep => StepVerb::Prep,
        Action::End => StepVerb::End,
    };
    let all = plan.strip.iter().chain(&plan.build);
    all.map(|s| Todo { verb: verb(s.action), thing: s.thing, way: s.way }).collect()
}

/// Where a walk is.
#[derive(Clone, Debug)]
pub(crate) struct Stand {
    pub(crate) open: Set,
    pub(crate) started: Set,
    pub(crate) spot: Option<SpotNo>,
    pub(crate) tool: Option<ToolNo>,
    /// What was asked for and is not met yet, each a set that must be open at once.
    pub(crate) pending: Vec<Set>,
    /// What bearing fixings and the leak look forbid, where a list is made; what has happened is
    /// not asked.
    pub(crate) forbids: Option<Rc<Forbids>>,
}

impl Stand {
    /// What is open and not started: what the ways see.
    pub(crate) fn seen(&self) -> Set {
        self.open.minus(&self.started)
    }

    /// Minutes to change to a way's place and tool.
    pub(crate) fn change(&self, kernel: &Kernel, step: &Todo) -> Minutes {
        let Some(way) = step.kernel_way(kernel) else { return Minutes::ZERO };
        let tool = if step.verb == StepVerb::Start { None } else { way.tool };
        kernel.spot_change(self.spot, way.spot) + kernel.tool_change(self.tool, tool)
    }

    /// Whether a step may be done here by its way.
    pub(crate) fn allows(&self, kernel: &Kernel, step: &Todo) -> bool {
        let Some(way) = step.kernel_way(kernel) else { return false };
        let thing = step.thing;
        let goes = match step.verb {
            StepVerb::Off | StepVerb::Undo | StepVerb::Prep => {
                !self.open.has(thing) && kernel.holds(thing, way, &self.seen())
            }
            StepVerb::Start => kernel.start_is_allowed(thing, way, &self.open, &self.started),
            StepVerb::Tighten if !self.open.has(thing) => kernel.holds(thing, way, &self.seen()),
            StepVerb::Make if kernel.thing(thing).group.is_some() => false,
            StepVerb::Look => true,
            _ => {
                !self.pending.iter().any(|set| set.has(thing))
                    && (kernel.thing(thing).group.is_none() || self.started.has(thing))
                    && kernel.close_is_allowed(thing, way, &self.open, &self.started)
            }
        };
        goes && self.is_not_forbidden(kernel, step)
    }

    fn is_not_forbidden(&self, kernel: &Kernel, step: &Todo) -> bool {
        let direction = if step.verb.opens() { Direction::Strip } else { Direction::Build };
        let allow = |forbids: &Rc<Forbids>| {
            forbids.allow(kernel, direction, step.thing, &self.open, &self.started)
        };
        step.verb == StepVerb::Look || self.forbids.as_ref().is_none_or(allow)
    }

    /// The same, with what bearing fixings and the leak look forbid from here.
    pub(crate) fn with_forbids(mut self, kernel: &Kernel) -> Self {
        self.forbids = Some(Rc::new(Forbids::of(kernel, &self.open)));
        self
    }

    /// The step by its own way, else by the cheapest other that is allowed here.
    pub(crate) fn fit(&self, kernel: &Kernel, step: &Todo) -> Option<Todo> {
        if self.allows(kernel, step) {
            return Some(*step);
        }
        let others = (0..step.ways(kernel).len()).map(|way| Todo { way, ..*step });
        others
            .filter(|other| self.allows(kernel, other))
            .min_by_key(|other| other.minutes(kernel) + self.change(kernel, other))
    }

    /// Does a step, allowed or not.
    pub(crate) fn apply(&mut self, kernel: &Kernel, step: &Todo) -> Minutes {
        let change = self.change(kernel, step);
        if let Some(way) = step.kernel_way(kernel)
            && step.verb != StepVerb::Look
        {
            self.spot = way.spot.or(self.spot);
            if step.verb != StepVerb::Start {
                self.tool = way.tool.or(self.tool);
            }
        }
        match step.verb {
            StepVerb::Off | StepVerb::Undo | StepVerb::Prep => {
                self.open.add(step.thing);
                let open = &self.open;
                self.pending.retain(|set| !set.is_within(open));
            }
            StepVerb::Start => {
                self.started.add(step.thing);
            }
            StepVerb::Look => {}
            _ => {
                self.open.remove(step.thing);
                self.started.remove(step.thing);
            }
        }
        change + step.minutes(kernel)
    }

    /// What stands against a step by its way.
    pub(crate) fn against(&self, kernel: &Kernel, step: &Todo) -> Vec<Blocker> {
        let Some(way) = step.kernel_way(kernel) else { return Vec::new() };
        let mut blockers = kernel.blockers(step.thing, way, &self.seen());
        if !step.verb.opens() && self.open.has(step.thing) && step.verb != StepVerb::Start {
            blockers.extend(kernel.closing_blockers(step.thing, &self.open, &self.started));
        }
        blockers
    }

    /// The way of a step with the least against it, then the fewest minutes, and what that is.
    pub(crate) fn best(&self, kernel: &Kernel, step: &Todo) -> Option<(Todo, Vec<Blocker>)> {
        let all = (0..step.ways(kernel).len()).map(|way| Todo { way, ..*step });
        all.map(|todo| {
            let against = self.against(kernel, &todo);
            (todo, against)
        })
        .min_by_key(|(todo, against)| {
            (against.len(), todo.minutes(kernel) + self.change(kernel, todo))
        })
    }

    /// Everything that still has to be closed at the end (R1).
    pub(crate) fn left_open(&self, kernel: &Kernel) -> Vec<ThingNo> {
        let stays = |&t: &ThingNo| kernel.leave_off.has(t) || kernel.thing(t).by_itself;
        self.open.iter().filter(|t| !stays(t)).collect()
    }
}

/// A walked list: every step by a way that is allowed where it stands, and what it costs.
#[derive(Clone, Debug)]
pub(crate) struct Walked {
    pub(crate) steps: Vec<Todo>,
    pub(crate) minutes: Minutes,
}

/// Walks a list to its end: legal at every step, everything asked for met, all closed at the end.
pub(crate) fn walk(kernel: &Kernel, from: &Stand, list: &[Todo]) -> Option<Walked> {
    let mut stand = begin(from, list);
    let mut steps = Vec::with_capacity(list.len());
    let mut minutes = Minutes::ZERO;
    for step in list {
        let step = stand.fit(kernel, step)?;
        minutes += stand.apply(kernel, &step);
        steps.push(step);
    }
    let done = stand.pending.is_empty() && stand.left_open(kernel).is_empty();
    done.then_some(Walked { steps, minutes })
}

/// Where the walk of a list begins: what the list starts by hand anew counts as undone (R18).
pub(crate) fn begin(from: &Stand, list: &[Todo]) -> Stand {
    let mut stand = from.clone();
    for step in list.iter().filter(|s| s.verb == StepVerb::Start) {
        stand.started.remove(step.thing);
    }
    stand
}

/// Takes out what has become pointless: opening what is open, closing what is closed.
pub(crate) fn drop_moot(from: &Stand, list: &[Todo]) -> Vec<Todo> {
    let mut stand = from.clone();
    let mut kept = Vec::with_capacity(list.len());
    for step in list {
        let thing = step.thing;
        let moot = match step.verb {
            StepVerb::Off | StepVerb::Undo | StepVerb::Prep => !stand.open.add(thing),
            StepVerb::Start => !stand.open.has(thing) || !stand.started.add(thing),
            StepVerb::Look => true,
            _ => {
                let was = stand.open.has(thing);
                stand.open.remove(thing);
                stand.started.remove(thing);
                !was
            }
        };
        if !moot {
            kept.push(*step);
        }
    }
    kept
}

/// Whether a part covers a fixing or connection now (R12): on its seat, in the same place.
pub(crate) fn covers(kernel: &Kernel, part: ThingNo, tie: ThingNo, open: &Set) -> bool {
    !open.has(part) && Some(kernel.root(part, open)) == kernel.place(tie, open)
}

/// The parts that cover a fixing or connection now.
pub(crate) fn covered_by(kernel: &Kernel, tie: ThingNo, open: &Set) -> Vec<ThingNo> {
    let hidden_by = kernel.thing(tie).hidden_by.iter().copied();
    hidden_by.filter(|&part| covers(kernel, part, tie, open)).collect()
}

/// The fixings and connections among `disturbed` that are made, in sight, and covered as soon as
/// a part goes on: their last look is now (R12).
pub(crate) fn last_looks_before(
    kernel: &Kernel,
    part: ThingNo,
    open: &Set,
    disturbed: &Set,
) -> Vec<ThingNo> {
    let after = open.without(part);
    let is_due = |&tie: &ThingNo| {
        let it = kernel.thing(tie);
        it.kind == Kind::Tie
            && !open.has(tie)
            && !it.hidden_by.is_empty()
            && !kernel.leave_off.has(tie)
            && covered_by(kernel, tie, open).is_empty()
            && !covered_by(kernel, tie, &after).is_empty()
    };
    disturbed.iter().filter(is_due).collect()
}
