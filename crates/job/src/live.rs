//! Where the machine really is: the fold of the record joined with the machine.

use lastbolt_ledger::{Look, Mark, Recorded, Standing, State, Verb, steps};
use lastbolt_machine::{End, Kernel, Kind, Set, SpotNo, ThingNo, ToolNo};

use crate::case::{Book, Case};
use crate::view::Phase;
use crate::walk::{Stand, covered_by};

/// Where the machine really is, and what was asked for and is not met yet.
#[derive(Clone, Debug)]
pub struct Live {
    /// The fold of the record.
    pub state: State,
    /// Open for planning: off, undone, in force, in by hand, started, taken as undone (R17, R18).
    pub open: Set,
    /// Fixings of a group that are started.
    pub started: Set,
    /// Made or on, but not finished: slackened, or some of the pieces out.
    pub loose: Set,
    /// Taken as undone since what they join lay apart, and nobody has recorded them (R18).
    pub not_recorded: Set,
    /// Everything that was open at any time of this job.
    pub disturbed: Set,
    /// Made while a cover was in its place: there was no last look.
    pub made_unseen: Set,
    /// Which of [`Case::targets`] are met, each by the record with this number (0: from the start).
    pub met: Vec<Option<u64>>,
    /// Where the person stands, as far as the machine file knows the spot.
    pub spot: Option<SpotNo>,
    /// The tool in the hand, as far as the machine file knows it.
    pub tool: Option<ToolNo>,
    /// Recorded names that the machine file does not know.
    pub unknown: Vec<String>,
}

impl Live {
    /// Joins a record with the machine.
    pub fn of(case: &Case, records: &[Recorded]) -> Self {
        let mut fold = Fold::new(case);
        let mut steps = steps(records);
        while let Some(recorded) = steps.step() {
            fold.take(steps.state(), recorded);
        }
        fold.finish(steps.into_state())
    }

    /// Tells where the job is. The bench is a matter of the next step, see [`Phase::Bench`].
    pub fn phase(&self, case: &Case) -> Phase {
        if self.state.is_finished() {
            Phase::Finished
        } else if self.met.iter().any(Option::is_none) {
            Phase::TakeApart
        } else if self.unfinished(&case.kernel).next().is_some() {
            Phase::PutBack
        } else {
            Phase::FirstStart
        }
    }

    /// Gives everything that a gate asks about: what is open and has to be closed, and what is
    /// loose (R25).
    pub fn unfinished<'a>(&'a self, kernel: &'a Kernel) -> impl Iterator<Item = ThingNo> + 'a {
        kernel.all().filter(|&thing| {
            let open = self.open.has(thing) && !kernel.thing(thing).by_itself;
            (open || self.loose.has(thing)) && !kernel.leave_off.has(thing)
        })
    }

    /// Gives how a thing was recorded to stand.
    pub fn mark(&self, kernel: &Kernel, thing: ThingNo) -> Option<&Mark> {
        self.state.mark(kernel.name(thing))
    }

    /// Gives the answer to a last look, if there is one since the thing was opened.
    pub fn look(&self, kernel: &Kernel, thing: ThingNo) -> Option<&Look> {
        self.state.looks.get(kernel.name(thing))
    }

    /// Counts the pieces that are not finished.
    pub fn pieces_open(&self, case: &Case, thing: ThingNo) -> u32 {
        let count = Book::of(case).count(thing);
        match self.mark(&case.kernel, thing) {
            Some(mark) if !self.not_recorded.has(thing) => mark.pieces_open(count),
            _ if self.open.has(thing) => count,
            _ => 0,
        }
    }

    /// Gives the home fixings and connections that are covered and nobody has looked at, with
    /// the covers; those made unseen had no last look and are not among them.
    pub fn not_looked_at(&self, kernel: &Kernel) -> Vec<(ThingNo, Vec<ThingNo>)> {
        let of = |tie: ThingNo| {
            let home = !self.open.has(tie) && !kernel.leave_off.has(tie);
            let looked = matches!(self.look(kernel, tie), Some(Look::Looked { .. }));
            let passed = matches!(self.look(kernel, tie), Some(Look::PassedBy { .. }));
            let had_look = passed || !self.made_unseen.has(tie);
            if !home || looked || !had_look {
                return None;
            }
            let covers = covered_by(kernel, tie, &self.open);
            (passed || !covers.is_empty()).then_some((tie, covers))
        };
        self.disturbed.iter().filter_map(of).collect()
    }

    pub(crate) fn stand(&self, case: &Case) -> Stand {
        let unmet = case.targets.iter().zip(&self.met).filter(|(_, met)| met.is_none());
        let unmet = unmet.map(|(target, _)| target.things.clone());
        Stand {
            open: self.open.clone(),
            started: self.started.clone(),
            spot: self.spot,
            tool: self.tool,
            pending: unmet.chain(self.to_reach(&case.kernel)).collect(),
            forbids: None,
        }
    }

    /// What has to be open to finish what is loose and cannot be reached or seen now (R25), by
    /// the way that wants least of it.
    pub(crate) fn to_reach<'a>(&'a self, kernel: &'a Kernel) -> impl Iterator<Item = Set> + 'a {
        let loose = self.loose.iter().filter(|&thing| !kernel.leave_off.has(thing));
        loose.filter_map(move |thing| {
            let it = kernel.thing(thing);
            let ways = it.back.iter().map(|way| {
                let mut wanted = kernel.no_things();
                let needs = it.needs.iter().chain(&way.needs).chain(&way.spot_needs);
                wanted.extend(way.clear.iter().chain(needs).copied());
                wanted.extend(covered_by(kernel, thing, &self.open));
                wanted
            });
            let lacking = |wanted: &Set| wanted.minus(&self.open).len();
            ways.min_by_key(lacking).filter(|wanted| lacking(wanted) > 0)
        })
    }
}

/// The fold with the machine beside it.
struct Fold<'a> {
    case: &'a Case,
    open: Set,
    started: Set,
    loose: Set,
    not_recorded: Set,
    disturbed: Set,
    made_unseen: Set,
    met: Vec<Option<u64>>,
}

impl<'a> Fold<'a> {
    fn new(case: &'a Case) -> Self {
        let kernel = &case.kernel;
        let open = kernel.open_at_start.clone();
        let none = || kernel.no_things();
        let met = vec![None; case.targets.len()];
        let mut fold = Self {
            case,
            disturbed: open.clone(),
            open,
            started: none(),
            loose: none(),
            not_recorded: none(),
            made_unseen: none(),
            met,
        };
        fold.meet(0);
        fold
    }

    fn take(&mut self, state: &State, recorded: &Recorded) {
        let event = &recorded.event;
        let Some(name) = event.thing.as_deref() else { return };
        let Some(thing) = self.case.kernel.find(name) else { return };
        if event.verb == Verb::Settled {
            self.not_recorded.remove(thing);
        }
        if event.verb.sets_standing()
            && let Some(mark) = state.mark(name)
        {
            self.stand(thing, mark);
            self.part_ways();
            self.meet(recorded.seq);
        }
    }

    /// Takes over how one thing stands.
    fn stand(&mut self, thing: ThingNo, mark: &Mark) {
        let kernel = &self.case.kernel;
        let count = Book::of(self.case).count(thing);
        let standing = mark.standing_of(count);
        let was_open = self.open.has(thing);
        self.not_recorded.remove(thing);
        self.loose.remove(thing);
        self.started.remove(thing);
        if standing.is_open_for_planning() {
            self.open.add(thing);
            self.disturbed.add(thing);
            self.made_unseen.remove(thing);
            if standing == Standing::Started && kernel.thing(thing).group.is_some() {
                self.started.add(thing);
            }
            return;
        }
        self.open.remove(thing);
        if mark.is_unfinished(count) {
            self.loose.add(thing);
            self.disturbed.add(thing);
            self.made_unseen.remove(thing);
        }
        let closed_now = was_open && kernel.thing(thing).kind == Kind::Tie;
        if closed_now && !covered_by(kernel, thing, &self.open).is_empty() {
            self.made_unseen.add(thing);
        }
    }

    /// Ties whose ends lie apart though nobody recorded them count as undone (R18), and stay so
    /// until somebody says.
    fn part_ways(&mut self) {
        let kernel = &self.case.kernel;
        for tie in kernel.all() {
            let it = kernel.thing(tie);
            let joins_a_part = it.joins.iter().any(|end| matches!(end, End::Part(_)));
            let apart = it.kind == Kind::Tie
                && joins_a_part
                && !self.open.has(tie)
                && kernel.place(tie, &self.open).is_none();
            if apart {
                self.open.add(tie);
                self.disturbed.add(tie);
                self.made_unseen.remove(tie);
                self.not_recorded.add(tie);
            }
        }
    }

    fn meet(&mut self, seq: u64) {
        for (target, met) in self.case.targets.iter().zip(&mut self.met) {
            if met.is_none() && target.things.is_within(&self.open) {
                *met = Some(seq);
            }
        }
    }

    fn finish(self, state: State) -> Live {
        let kernel = &self.case.kernel;
        let word =
            |stated: &Option<lastbolt_ledger::Stated>| stated.as_ref().map(|s| s.text.clone());
        let spot = word(&state.spot);
        let spot = spot.map_or(kernel.spot_at_start, |name| {
            kernel.spots.iter().position(|s| *s == name).map(SpotNo)
        });
        let tool = word(&state.tool);
        let tool = tool.map_or(kernel.tool_at_start, |name| {
            kernel.tools.iter().position(|t| *t == name).map(ToolNo)
        });
        let names = state.marks.keys();
        let unknown = names.filter(|name| kernel.find(name).is_none()).cloned().collect();
        Live {
            open: self.open,
            started: self.started,
            loose: self.loose,
            not_recorded: self.not_recorded,
            disturbed: self.disturbed,
            made_unseen: self.made_unseen,
            met: self.met,
            spot,
            tool,
            unknown,
            state,
        }
    }
}
