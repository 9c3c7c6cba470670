//! Taking a hidden machine apart in some legal order, by the checker's rules.

use lastbolt_checker::{Action, Step, Walker, Wishes};
use lastbolt_machine::{JobSpec, Machine, Ref, Way};

use super::deep::deep_set;
use crate::rng::Rng;

/// How the person works.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// Any legal next thing.
    Anyhow,
    /// Stays at a place while there is something to do there, and rather finishes a part before
    /// the next.
    Orderly,
}

/// One thing that was opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opened {
    /// Which, by its hidden name.
    pub thing: String,
    /// Whether it is a part, a fixing, or the set-up of a place.
    pub action: Action,
    /// The place of the way.
    pub spot: Option<String>,
    /// The tool of the way.
    pub tool: Option<String>,
}

/// A machine taken apart.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Strip {
    /// What was opened, in order, set-ups of places among it.
    pub opened: Vec<Opened>,
}

impl Strip {
    /// The job of putting it back: what is open, where the person stands, what they hold.
    pub fn job(&self) -> JobSpec {
        let spot = self.opened.iter().rev().find_map(|opened| opened.spot.as_ref());
        let tool = self.opened.iter().rev().find_map(|opened| opened.tool.as_ref());
        JobSpec {
            already: self.opened.iter().map(|opened| Ref::bare(&opened.thing)).collect(),
            at: spot.map(Ref::bare),
            holding: tool.map(Ref::bare),
            ..JobSpec::default()
        }
    }

    /// Parts and fixings, set-ups left out.
    pub fn things(&self) -> impl Iterator<Item = &Opened> {
        self.opened.iter().filter(|opened| opened.action != Action::Prep)
    }
}

/// Takes apart all that some deep job opens; nothing if the machine cannot be taken apart.
pub fn strip(machine: &Machine, manner: Manner, rng: &mut Rng) -> Option<Strip> {
    let mut left = deep_set(machine, rng);
    let mut walker = Walker::new(machine, &JobSpec::default(), &Wishes::default()).ok()?;
    let mut strip = Strip::default();
    let mut goal: Option<String> = None;
    let mut stands: Option<String> = None;
    // What no way asks for is not set up.
    left.retain(|name| wanted(machine, name, None));
    while !left.is_empty() {
        let moves = walker.moves();
        let mut steps: Vec<_> = moves.iter().map(|next| (walker.step(next), *next)).collect();
        steps.retain(|(step, _)| left.contains(&step.id));
        let number = match manner {
            Manner::Anyhow => any_thing(&steps.iter().map(|s| &s.0).collect::<Vec<_>>(), rng)?,
            Manner::Orderly => {
                let desk = Desk { machine, left: &left, stands: &stands, goal: &goal };
                desk.next(&steps.iter().map(|s| &s.0).collect::<Vec<_>>(), rng)?
            }
        };
        let (step, next) = steps.swap_remove(number);
        walker.take(&next);
        left.retain(|name| *name != step.id);
        if step.action != Action::Prep {
            goal = Desk { machine, left: &left, stands: &stands, goal: &goal }.goal_after(&step);
        }
        stands = step.from.clone().or(stands);
        let (thing, action, spot, tool) = (step.id, step.action, step.from, step.tool);
        strip.opened.push(Opened { thing, action, spot, tool });
        left.retain(|name| wanted(machine, name, Some(&strip)));
    }
    Some(strip)
}

/// Any legal thing, each as likely as the other, and then any of its ways.
fn any_thing(steps: &[&Step], rng: &mut Rng) -> Option<usize> {
    let mut things: Vec<&str> = steps.iter().map(|step| step.id.as_str()).collect();
    things.sort_unstable();
    things.dedup();
    let thing = rng.pick(&things)?;
    let ways: Vec<usize> = (0..steps.len()).filter(|&n| steps[n].id == *thing).collect();
    rng.pick(&ways).copied()
}

/// A set-up is wanted while something that is still to be opened may need it; anything else is.
fn wanted(machine: &Machine, name: &str, done: Option<&Strip>) -> bool {
    let Some(spot) = machine.spots.iter().find(|s| format!("{} set up", s.id.name()) == name)
    else {
        return true;
    };
    let open = |id: &Ref| {
        done.is_some_and(|strip| strip.opened.iter().any(|opened| opened.thing == id.value))
    };
    let there = |ways: &Option<Vec<Way>>| {
        ways.iter().flatten().any(|way| way.from.as_ref().map(Ref::name) == Some(spot.id.name()))
    };
    machine.ties.iter().any(|tie| !open(&tie.id) && there(&tie.ways))
        || machine.parts.iter().any(|part| !open(&part.id) && there(&part.ways))
}

/// What an orderly person looks at.
struct Desk<'a> {
    machine: &'a Machine,
    left: &'a [String],
    stands: &'a Option<String>,
    goal: &'a Option<String>,
}

impl Desk<'_> {
    /// The next step: for the part that is being worked on, here before elsewhere, quick before
    /// slow, set-ups only when nothing else can be done.
    fn next(&self, steps: &[&Step], rng: &mut Rng) -> Option<usize> {
        let rank = |step: &Step| {
            let here = step.from.is_none() || step.from == *self.stands;
            let mine = self.goal.as_ref().is_some_and(|goal| self.is_for(&step.id, goal));
            let sets_up = step.action == Action::Prep;
            let is_part = step.action == Action::Off;
            match (sets_up, mine, here) {
                (true, ..) => 5,
                (_, true, true) => i32::from(is_part),
                (_, false, true) if self.goal.is_some() => 3,
                (_, true, false) => 2,
                (_, false, true) => 2,
                _ => 4,
            }
        };
        // Now and then something is done out of turn.
        if rng.percent(6) {
            let ready: Vec<usize> =
                (0..steps.len()).filter(|&n| steps[n].action != Action::Prep).collect();
            if let Some(&number) = rng.pick(&ready) {
                return Some(number);
            }
        }
        let best = steps.iter().map(|step| rank(step)).min()?;
        let fit: Vec<usize> = (0..steps.len()).filter(|&n| rank(steps[n]) == best).collect();
        let id = &steps[*rng.pick(&fit)?].id;
        let ways = fit.iter().copied().filter(|&n| steps[n].id == *id);
        ways.min_by_key(|&n| (steps[n].minutes, steps[n].change, n))
    }

    /// Which part is worked on after a step: the one that the fixing holds, none after a part.
    fn goal_after(&self, step: &Step) -> Option<String> {
        if step.action == Action::Off {
            return None;
        }
        let waits = |name: &Ref| self.left.contains(&name.value);
        let tie = self.machine.ties.iter().find(|tie| tie.id.name() == step.id)?;
        match self.goal {
            Some(goal) if self.left.contains(goal) => Some(goal.clone()),
            _ => tie.joins.iter().find(|name| waits(name)).map(|name| name.value.clone()),
        }
    }

    fn is_for(&self, id: &str, goal: &str) -> bool {
        let holds = |name: &str| {
            let tie = self.machine.ties.iter().find(|tie| tie.id.name() == id);
            tie.is_some_and(|tie| tie.joins.iter().any(|end| end.name() == name))
        };
        id == goal || holds(goal)
    }
}
