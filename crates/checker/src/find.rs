//! Which way a step in words means, and why none of them will do.

use lastbolt_machine::{At, Minutes};

use crate::book::{Kind, Way};
use crate::open::No;
use crate::order::{Action, Step};
use crate::verdict::{Phase, Reason};
use crate::walker::{Move, Walker};

impl Walker {
    /// Finds the cheapest way that a step means and that holds (R4), and holds its stated
    /// minutes against the recomputed ones (R16).
    pub(crate) fn find(&self, step: &Step) -> Result<Move, Box<Reason>> {
        if step.action == Action::Look {
            return self.leak_look().map_err(|text| self.refuse("R28", text, None));
        }
        let x = self.named(step)?;
        self.action_fits(x, step)?;
        let opens = matches!(step.action, Action::Off | Action::Undo | Action::Prep);
        let allowed = match step.action {
            Action::Start => self.may_start(x),
            _ if opens => self.may_open(x),
            _ => self.may_close(x),
        };
        allowed.map_err(|broken| self.broken(broken))?;
        let meant = self.meant(x, step)?;
        let mut best: Option<Move> = None;
        let mut why_not = None;
        for number in meant {
            let way = &self.ways(x, step.action)[number];
            if let Err(broken) = self.holds(x, way) {
                why_not = why_not.or(Some(broken));
                continue;
            }
            let next = self.priced(x, step.action, number);
            if let Err(broken) = self.book.in_time(&self.key.beads, &next) {
                why_not = why_not.or(Some(broken));
                continue;
            }
            if best.is_none_or(|b| next.minutes + next.change < b.minutes + b.change) {
                best = Some(next);
            }
        }
        match (best, why_not) {
            (Some(next), _) => self.minutes_agree(step, &next).map(|()| next),
            (None, Some(broken)) => Err(self.broken(broken)),
            (None, None) => Err(self.refuse("R4", format!("\"{}\" has no way.", step.id), None)),
        }
    }

    fn named(&self, step: &Step) -> Result<No, Box<Reason>> {
        self.book.names.get(&step.id).copied().ok_or_else(|| {
            let what = if self.book.fixed.contains(&step.id) { "fixed" } else { "not known" };
            self.refuse("R22", format!("\"{}\" is {what}.", step.id), None)
        })
    }

    /// The action suits the thing and the phase (R1, R13).
    fn action_fits(&self, x: No, step: &Step) -> Result<(), Box<Reason>> {
        let kind = self.book.things[x].kind;
        let (building, grouped) = (self.key.building, self.book.things[x].group.is_some());
        let at = Some(self.book.things[x].at);
        let fits = match step.action {
            Action::Off | Action::On => kind == Kind::Part,
            Action::Undo | Action::Make | Action::Start | Action::Tighten => kind == Kind::Tie,
            Action::Prep | Action::End => kind == Kind::Prep,
            Action::Look => false,
        };
        let word = step.action.word();
        if !fits {
            let text = format!("\"{word}\" is no step for \"{}\".", step.id);
            return Err(self.refuse("R1", text, at));
        }
        let opens = matches!(step.action, Action::Off | Action::Undo | Action::Prep);
        if opens == building {
            let when = if building { "putting back" } else { "taking apart" };
            let text = format!("\"{word}\" is no step while {when}.");
            return Err(self.refuse("R1", text, at));
        }
        if step.action == Action::Make && grouped {
            let text = format!("\"{}\" is started and then tightened.", step.id);
            return Err(self.refuse("R13", text, at));
        }
        if step.action == Action::Tighten && !grouped {
            let text = format!("\"{}\" is made in one step.", step.id);
            return Err(self.refuse("R13", text, at));
        }
        Ok(())
    }

    /// The ways with the step's spot and tool and, if it states them, its minutes.
    fn meant(&self, x: No, step: &Step) -> Result<Vec<usize>, Box<Reason>> {
        let start = step.action == Action::Start;
        let spot_is = |way: &Way| way.from.map(|s| &self.book.spots[s]) == step.from.as_ref();
        let tool_is = |way: &Way| {
            let tool = way.tool.filter(|_| !start).map(|t| &self.book.tools[t]);
            tool == step.tool.as_ref()
        };
        let ways = self.ways(x, step.action);
        let at = Some(self.book.things[x].at);
        if ways.is_empty() {
            let text = format!("\"{}\" cannot be handled by itself.", step.id);
            return Err(self.refuse("R4", text, at));
        }
        let fit = |number: &usize| spot_is(&ways[*number]) && tool_is(&ways[*number]);
        let by_place: Vec<usize> = (0..ways.len()).filter(fit).collect();
        if by_place.is_empty() {
            let from = step.from.as_deref().unwrap_or("anywhere");
            let tool = step.tool.as_deref().unwrap_or("the hand");
            let text = format!("\"{}\" has no way from {from} with {tool}.", step.id);
            return Err(self.refuse("R4", text, at));
        }
        let minutes = |number: usize| if start { Minutes::ZERO } else { ways[number].minutes };
        let Some(stated) = step.minutes else { return Ok(by_place) };
        let exact: Vec<usize> =
            by_place.iter().copied().filter(|&number| minutes(number) == stated).collect();
        if exact.is_empty() {
            let right = minutes(by_place[0]);
            let text = format!("\"{}\" takes {right} minutes, not {stated}.", step.id);
            return Err(self.refuse("R16", text, Some(ways[by_place[0]].at)));
        }
        Ok(exact)
    }

    fn minutes_agree(&self, step: &Step, next: &Move) -> Result<(), Box<Reason>> {
        match step.change {
            Some(stated) if stated != next.change => {
                let (id, right) = (&step.id, next.change);
                let text = format!("Getting to \"{id}\" takes {right} minutes, not {stated}.");
                Err(self.refuse("R15", text, None))
            }
            _ => Ok(()),
        }
    }

    fn broken(&self, broken: crate::broken::Broken) -> Box<Reason> {
        let at = Some(broken.at(&self.book));
        self.refuse(broken.rule(), broken.sentence(&self.book), at)
    }

    pub(crate) fn refuse(&self, rule: &'static str, text: String, at: Option<At>) -> Box<Reason> {
        let phase = if self.key.building { Phase::Build } else { Phase::Strip };
        Box::new(Reason { step: None, phase, rule, text, at })
    }
}
