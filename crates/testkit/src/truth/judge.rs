//! Whether an order of putting back is legal on the hidden machine, what it costs at least, and
//! whether its looks come before the true covers. Judged by the checker's rules.

use std::collections::BTreeMap;

use lastbolt_checker::{Action, Step, Walker, Wishes};
use lastbolt_machine::model::Back;
use lastbolt_machine::{
    Extra, JobSpec, Kernel, Machine, Minutes, Ref, SpotNo, ToolNo, Way, compile,
};

use super::engine::PutBack;
use super::strip::Strip;

/// What the best way back from the same open things costs, as far as a planner knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Best {
    /// Minutes of the best order known.
    pub minutes: Minutes,
    /// Nothing takes fewer minutes than this.
    pub bound: Minutes,
}

/// What a legal order comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judged {
    /// The least minutes in which things can be closed in this very order.
    pub minutes: Minutes,
    /// Set-ups of places that had to be brought into force first.
    pub set_up: Vec<Step>,
    /// The steps by which it is done in these minutes.
    pub steps: Vec<Step>,
}

/// A hidden fixing and whether it was looked at in time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Look {
    /// The fixing.
    pub tie: String,
    /// The first true cover that goes on.
    pub cover: String,
    /// Whether a look stands after it was made and before that cover goes on.
    pub in_time: bool,
}

/// Judges orders of putting back one strip; all names are hidden names.
#[derive(Clone, Debug)]
pub struct Judge<'a> {
    machine: &'a Machine,
    strip: &'a Strip,
    job: JobSpec,
}

/// The spot where the person is and the tool in the hand.
type Stand = (Option<SpotNo>, Option<ToolNo>);

/// The cheapest way to some stand: minutes, the stand before, the move.
type Reached = BTreeMap<Stand, (Minutes, Stand, usize)>;

impl<'a> Judge<'a> {
    /// Knows a machine and how it was taken apart.
    pub fn new(machine: &'a Machine, strip: &'a Strip) -> Self {
        Self { machine, strip, job: strip.job() }
    }

    /// Whether things can be closed in this order, each by some way that holds, and in how many
    /// minutes at least. Set-ups of places are put in where they are missing.
    ///
    /// # Errors
    /// The first thing that is wrong with it.
    pub fn order(&self, order: &[String]) -> Result<Judged, String> {
        let missing: Vec<String> = self
            .machine
            .spots
            .iter()
            .filter(|spot| spot.setup.is_some() || spot.pack.is_some())
            .map(|spot| format!("{} set up", spot.id.name()))
            .filter(|name| !self.job.already.iter().any(|open| open.name() == name))
            .collect();
        let mut best: Option<Judged> = None;
        let mut why = String::new();
        for some in 0..1_usize << missing.len().min(4) {
            let extra: Vec<&String> =
                (0..missing.len()).filter(|n| some >> n & 1 == 1).map(|n| &missing[n]).collect();
            match self.with_set_ups(order, &extra) {
                Ok(judged) if best.as_ref().is_none_or(|b| judged.minutes < b.minutes) => {
                    best = Some(judged);
                }
                Ok(_) => {}
                Err(reason) => why = reason,
            }
        }
        best.ok_or(why)
    }

    fn with_set_ups(&self, order: &[String], extra: &[&String]) -> Result<Judged, String> {
        let said = |reason: Box<lastbolt_checker::Reason>| reason.text;
        let wishes = Wishes::default();
        let mut walker = Walker::new(self.machine, &self.job, &wishes).map_err(said)?;
        let kernel = compile(self.machine, &self.job, &Extra::default())
            .map_err(|_| "the machine is not legal".to_owned())?;
        let mut set_up = Vec::new();
        for name in extra {
            let step = Step::new(Action::Prep, name, None, None);
            walker.apply(&step).map_err(said)?;
            set_up.push(step);
        }
        let before = walker.cost();
        walker.turn().map_err(said)?;
        let mut sum = Sum::new(&kernel);
        for (number, id) in order.iter().enumerate() {
            let closed = sum.closes(&mut walker, id);
            if !closed {
                return Err(format!(
                    "{} of {}, {id}: {}",
                    number + 1,
                    order.len(),
                    self.why(&walker, id)
                ));
            }
        }
        let open: Vec<String> = walker.open().into_iter().map(str::to_owned).collect();
        for id in open {
            let is_set_up =
                self.machine.spots.iter().any(|s| id == format!("{} set up", s.id.name()));
            if !is_set_up || !sum.closes(&mut walker, &id) {
                return Err(format!("{id} is never closed"));
            }
        }
        let (minutes, steps) = sum.least();
        Ok(Judged { minutes: before + minutes, set_up, steps })
    }

    /// Why a thing cannot be closed now, by its first way.
    fn why(&self, walker: &Walker, id: &str) -> String {
        let part = self.machine.parts.iter().find(|part| part.id.name() == id);
        let tie = self.machine.ties.iter().find(|tie| tie.id.name() == id);
        let (ways, back, action) = match (part, tie) {
            (Some(part), _) => (&part.ways, &part.back, Action::On),
            (_, Some(tie)) => (&tie.ways, &tie.back, Action::Make),
            _ => return "not known".to_owned(),
        };
        let ways: Vec<Way> = match (back, ways) {
            (Back::Ways(back), _) => back.clone(),
            (_, Some(ways)) => ways.clone(),
            _ => vec![Way::default()],
        };
        let one = |way: &Way| {
            let from = way.from.as_ref().map(Ref::name);
            let tool = way.tool.as_ref().map(Ref::name);
            let step = Step::new(action, id, from, tool);
            walker
                .clone()
                .apply(&step)
                .err()
                .map(|reason| format!("{} {}", reason.rule, reason.text))
        };
        let mut reasons: Vec<String> = ways.iter().filter_map(one).collect();
        reasons.dedup();
        reasons.join(" | ")
    }

    /// Every hidden fixing that was disturbed and whose cover goes on again.
    pub fn looks(&self, back: &PutBack) -> Vec<Look> {
        let at = |id: &str| back.order.iter().position(|name| name == id);
        let mut looks = Vec::new();
        for opened in self.strip.things() {
            let tie = self.machine.ties.iter().find(|tie| tie.id.name() == opened.thing);
            let Some(tie) = tie else { continue };
            let joins = |cover: &&Ref| tie.joins.iter().any(|end| end.name() == cover.name());
            let covers = tie.hidden_by.iter().filter(|cover| !joins(cover));
            let first = covers.filter_map(|cover| at(cover.name())).min();
            let (Some(made), Some(first)) = (at(tie.id.name()), first) else { continue };
            let in_time = back.looks.iter().any(|(of, before)| {
                of == tie.id.name() && at(before).is_some_and(|at| made < at && at <= first)
            });
            let cover = back.order[first].clone();
            looks.push(Look { tie: opened.thing.clone(), cover, in_time });
        }
        looks
    }
}

/// The least minutes of a given order, over all ways that hold.
struct Sum<'k> {
    kernel: &'k Kernel,
    layers: Vec<(Vec<Step>, Reached)>,
    start: Stand,
}

impl<'k> Sum<'k> {
    fn new(kernel: &'k Kernel) -> Self {
        let start = (kernel.spot_at_start, kernel.tool_at_start);
        Self { kernel, layers: Vec::new(), start }
    }

    /// Closes a thing by every way that holds; says whether there is one.
    fn closes(&mut self, walker: &mut Walker, id: &str) -> bool {
        let moves = walker.moves();
        let moves: Vec<_> =
            moves.iter().map(|m| (walker.step(m), *m)).filter(|(step, _)| step.id == id).collect();
        let Some((_, first)) = moves.first() else { return false };
        walker.take(first);
        let steps: Vec<Step> = moves.into_iter().map(|(step, _)| step).collect();
        let stands: Vec<(Stand, Minutes)> = match self.layers.last() {
            Some((_, reached)) => reached.iter().map(|(stand, by)| (*stand, by.0)).collect(),
            None => vec![(self.start, Minutes::ZERO)],
        };
        let mut reached = Reached::new();
        for (number, step) in steps.iter().enumerate() {
            let spot = step.from.as_ref().and_then(|from| named(&self.kernel.spots, from));
            let tool = step.tool.as_ref().and_then(|tool| named(&self.kernel.tools, tool));
            let (spot, tool) = (spot.map(SpotNo), tool.map(ToolNo));
            for &(stand, minutes) in &stands {
                let change =
                    self.kernel.spot_change(stand.0, spot) + self.kernel.tool_change(stand.1, tool);
                let minutes = minutes + change + step.minutes.unwrap_or(Minutes::ZERO);
                let there = (spot.or(stand.0), tool.or(stand.1));
                if reached.get(&there).is_none_or(|by| minutes < by.0) {
                    reached.insert(there, (minutes, stand, number));
                }
            }
        }
        self.layers.push((steps, reached));
        true
    }

    /// The least minutes and the steps that take them.
    fn least(self) -> (Minutes, Vec<Step>) {
        let end = self.layers.last().and_then(|(_, reached)| {
            reached.iter().min_by_key(|(_, by)| by.0).map(|(stand, by)| (*stand, by.0))
        });
        let Some((mut stand, minutes)) = end else { return (Minutes::ZERO, Vec::new()) };
        let mut steps = Vec::new();
        for (choices, reached) in self.layers.iter().rev() {
            let Some(&(_, before, number)) = reached.get(&stand) else { break };
            let mut step = choices[number].clone();
            step.change = None;
            steps.push(step);
            stand = before;
        }
        steps.reverse();
        (minutes, steps)
    }
}

fn named(names: &[String], name: &str) -> Option<usize> {
    names.iter().position(|known| known == name)
}
