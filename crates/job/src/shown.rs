//! The list as it is shown: the kept steps, a last look before each cover, and what is loose.

use lastbolt_ledger::Verb;
use lastbolt_machine::{Kernel, Kind, LEAK_LOOK, Minutes, Set, ThingNo};

use crate::advance::Now;
use crate::case::Case;
use crate::live::Live;
use crate::view::StepVerb;
use crate::walk::{Stand, Todo, begin, covered_by, last_looks_before};

/// A step of the shown list.
#[derive(Clone, Debug)]
pub(crate) struct Shown {
    pub(crate) todo: Todo,
    /// For a look: the part that covers it.
    pub(crate) before: Option<ThingNo>,
    /// The state just before it.
    pub(crate) stand: Stand,
    /// Minutes of the changes before it.
    pub(crate) change: Minutes,
}

impl Shown {
    /// Minutes of the step itself.
    pub(crate) fn minutes(&self, kernel: &Kernel) -> Minutes {
        self.todo.minutes(kernel)
    }

    /// Whether a fixing is made here while a cover is in its place: no last look exists.
    pub(crate) fn is_made_unseen(&self, kernel: &Kernel) -> bool {
        matches!(self.todo.verb, StepVerb::Make | StepVerb::Tighten)
            && kernel.thing(self.todo.thing).kind == Kind::Tie
            && !covered_by(kernel, self.todo.thing, &self.stand.open).is_empty()
    }
}

/// The list of a job in hand.
pub(crate) fn list(case: &Case, now: &Now) -> Vec<Shown> {
    let kernel = &case.kernel;
    let live = &now.live;
    let steps = with_loose(case, live, now.kept.todo(kernel));
    let answered = |tie: ThingNo| live.look(kernel, tie).is_some();
    let shown = with_looks(kernel, &live.stand(case), &steps, &live.disturbed, &answered);
    with_leak_look(kernel, shown, live.state.looks.contains_key(LEAK_LOOK))
}

/// Puts the leak look before the first step that waits for it (R28), unless it was done and
/// nothing else had to be closed since.
pub(crate) fn with_leak_look(kernel: &Kernel, mut shown: Vec<Shown>, done: bool) -> Vec<Shown> {
    let look = kernel.leak_look();
    let closes = |s: &Shown| !s.todo.verb.opens() && s.todo.verb != StepVerb::Look;
    let first = shown.iter().position(|s| closes(s) && look.waits.has(s.todo.thing));
    let Some(at) = first else { return shown };
    let cover = look.waits.iter().find(|&part| kernel.thing(part).after_leak_look);
    let is_before = |s: &Shown| closes(s) && !look.needed.has(s.todo.thing);
    if let Some(thing) = cover
        && (!done || shown[..at].iter().any(is_before))
    {
        let todo = Todo { verb: StepVerb::Look, thing, way: 0 };
        let stand = shown[at].stand.clone();
        shown.insert(at, Shown { todo, before: None, stand, change: Minutes::ZERO });
    }
    shown
}

/// Whether a step is the leak look: every other look is at a fixing or connection.
pub(crate) fn is_leak_look(kernel: &Kernel, todo: &Todo) -> bool {
    todo.verb == StepVerb::Look && kernel.thing(todo.thing).kind == Kind::Part
}

/// Puts a look before each part that covers what was disturbed.
pub(crate) fn with_looks(
    kernel: &Kernel,
    from: &Stand,
    steps: &[Todo],
    disturbed: &Set,
    answered: &dyn Fn(ThingNo) -> bool,
) -> Vec<Shown> {
    let mut stand = begin(from, steps);
    let mut disturbed = disturbed.clone();
    let mut opened = kernel.no_things();
    let mut shown = Vec::with_capacity(steps.len());
    for todo in steps {
        if todo.verb == StepVerb::On {
            for tie in last_looks_before(kernel, todo.thing, &stand.open, &disturbed) {
                if opened.has(tie) || !answered(tie) {
                    let look = Todo { verb: StepVerb::Look, thing: tie, way: 0 };
                    shown.push(Shown {
                        todo: look,
                        before: Some(todo.thing),
                        stand: stand.clone(),
                        change: Minutes::ZERO,
                    });
                }
            }
        }
        if todo.verb.opens() {
            disturbed.add(todo.thing);
            opened.add(todo.thing);
        }
        let change = stand.change(kernel, todo);
        shown.push(Shown { todo: *todo, before: None, stand: stand.clone(), change });
        stand.apply(kernel, todo);
    }
    shown
}

/// Puts in a step for each thing that is made but loose (R25): as late as it can still be
/// reached and is not covered.
fn with_loose(case: &Case, live: &Live, mut steps: Vec<Todo>) -> Vec<Todo> {
    let kernel = &case.kernel;
    for thing in live.loose.iter() {
        if steps.iter().any(|t| t.thing == thing) || kernel.leave_off.has(thing) {
            continue;
        }
        let partly = live.mark(kernel, thing).is_some_and(|m| m.last_verb == Verb::Undo);
        let verb = if partly { StepVerb::Make } else { StepVerb::Tighten };
        let step = Todo { verb, thing, way: 0 };
        let (at, way) = latest(kernel, &live.stand(case), &steps, thing);
        steps.insert(at, Todo { way, ..step });
    }
    steps
}

/// The last place in a list where a made thing is reached and in sight, and by which way; the end
/// by the first way if there is none.
fn latest(kernel: &Kernel, from: &Stand, steps: &[Todo], thing: ThingNo) -> (usize, usize) {
    let mut stand = begin(from, steps);
    let mut found = (steps.len(), 0);
    for at in 0..=steps.len() {
        let seen = stand.seen();
        if covered_by(kernel, thing, &stand.open).is_empty() {
            let ways = kernel.thing(thing).back.iter().enumerate();
            let held = ways.filter(|(_, way)| kernel.holds(thing, way, &seen));
            if let Some((way, _)) = held.min_by_key(|(_, way)| way.minutes) {
                found = (at, way);
            }
        }
        if let Some(step) = steps.get(at) {
            stand.apply(kernel, step);
        }
    }
    found
}
