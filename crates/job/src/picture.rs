//! A job as of its last record: the machine as far as file and record know it, and where it is.

use std::sync::Arc;

use lastbolt_ledger::Recorded;
use lastbolt_machine::model::GarageSpec;
use lastbolt_sketch::{Drawn, draw, has_something};

use crate::advance::{Now, bring_up};
use crate::case::{Case, JobModel};
use crate::day::agreed::{agreed, not_checked};
use crate::gate::gate_of;
use crate::hazards::mark;
use crate::kept::KeptPlan;
use crate::screen::screen_as;
use crate::taken::is_taking_apart;
use crate::view::{Day, DayGate, Gate, RecordView, Screen, Stops};

/// A job as of its last record. What a file does not know is drawn from the record.
#[derive(Clone, Debug)]
pub struct Picture {
    /// What the job's files know.
    pub base: Arc<Case>,
    /// What files and record know.
    pub case: Arc<Case>,
    /// The record as it was entered.
    pub records: Vec<Recorded>,
    /// What was drawn, if the record has anything that no file knows; its plain records are those
    /// that `now` is the fold of.
    pub drawn: Option<Arc<Drawn>>,
    /// Where the machine really is, and the list from there.
    pub now: Now,
    /// What the garage has now; none: its file cannot be used, and the job's copy counts.
    pub garage: Option<Arc<GarageSpec>>,
}

impl Picture {
    /// Makes the picture of a record. `kept` is that of an earlier call with a beginning of the
    /// same record, or none; `nodes` limits each call of the planner.
    pub fn of(
        base: Arc<Case>,
        records: Vec<Recorded>,
        kept: Option<KeptPlan>,
        nodes: u64,
    ) -> Picture {
        let (case, drawn) = see(&base, &records);
        let kept = match &drawn {
            Some(drawn) => kept.map(|kept| kept.renamed(|name| drawn.notes.now_called(name))),
            None => kept,
        };
        let plain = drawn.as_ref().map_or(records.as_slice(), |drawn| &drawn.plain);
        let now = bring_up(&case, plain, kept, nodes);
        Picture { base, case, records, drawn, now, garage: None }
    }

    /// The same job in a garage that has this now: wrenches and adapters are those of now.
    #[must_use]
    pub fn in_garage(self, garage: Option<Arc<GarageSpec>>) -> Picture {
        Picture { garage, ..self }
    }

    /// Gives what the garage has: now, or when the job began.
    pub fn garage(&self) -> &GarageSpec {
        self.garage.as_deref().unwrap_or(&self.case.model.garage)
    }

    /// Makes the picture of a longer record of the same job.
    pub fn and(&self, new: Vec<Recorded>, nodes: u64) -> Picture {
        let mut records = self.records.clone();
        records.extend(new);
        let longer = Picture::of(self.base.clone(), records, Some(self.now.kept.clone()), nodes);
        longer.in_garage(self.garage.clone())
    }

    /// Gives the plain records: one thing each, under the names of now.
    pub fn plain(&self) -> &[Recorded] {
        self.drawn.as_ref().map_or(self.records.as_slice(), |drawn| &drawn.plain)
    }

    /// Gives the number of the last record; 0 for none.
    pub fn seen(&self) -> u64 {
        self.records.last().map_or(0, |record| record.seq)
    }

    /// Gives the working screen; see [`crate::screen`].
    pub fn screen(&self, now_ms: i64) -> Screen {
        let more_may_come_off = is_taking_apart(self);
        let mut screen = screen_as(&self.case, &self.records, &self.now, now_ms, more_may_come_off);
        let state = &self.now.live.state;
        if !state.gates.is_empty() || state.is_finished() {
            screen.quiet.extend(agreed(self, &self.day(now_ms)));
        }
        screen
    }

    /// Gives a gate, with what the day asks before it. `now_ms` is the time of day
    /// \[ms since 1970, UTC\].
    pub fn gate(&self, gate: DayGate, now_ms: i64) -> Gate {
        gate_of(self, gate, &self.day(now_ms))
    }

    /// Gives the day around the work.
    pub fn day(&self, now_ms: i64) -> Day {
        crate::day::day(self, now_ms)
    }

    /// Gives what stands across the working screen: how it was left, a break, what broke.
    pub fn stops(&self, now_ms: i64) -> Stops {
        crate::day::pause::stops(&crate::day::Ask::of(self, now_ms))
    }

    /// Gives the record of the job, as of its last entry.
    pub fn record(&self) -> RecordView {
        let mut record = crate::record(&self.case, &self.records, &self.now);
        let said_at_ms = self.records.last().map_or(0, |last| last.event.said_at_ms);
        record.not_checked = not_checked(self, &self.day(said_at_ms));
        record
    }
}

/// The case with the hazards that people marked.
fn marked(case: &Arc<Case>, records: &[Recorded], drawn: Option<&Drawn>) -> Arc<Case> {
    let called = |name: &str| match drawn {
        Some(drawn) => drawn.notes.now_called(name).unwrap_or_else(|| name.to_owned()),
        None => name.to_owned(),
    };
    let mut machine = case.model.machine.clone();
    if !mark::put(&mut machine, &mark::said(records), called) {
        return case.clone();
    }
    let with = Case::new(JobModel { machine, ..case.model.clone() });
    with.map_or_else(|_| case.clone(), Arc::new)
}

/// Gives the case that files and record make, and what was drawn.
pub fn see(base: &Arc<Case>, records: &[Recorded]) -> (Arc<Case>, Option<Arc<Drawn>>) {
    if !has_something(records) {
        return (marked(base, records, None), None);
    }
    let drawn = draw(&base.model.machine, &base.model.job, records);
    let model = JobModel {
        machine: drawn.machine.clone(),
        job: drawn.job.clone(),
        minutes: base.model.minutes.clone(),
        garage: base.model.garage.clone(),
    };
    match Case::new(model) {
        Ok(case) => (marked(&Arc::new(case), records, Some(&drawn)), Some(Arc::new(drawn))),
        // A drawn machine that cannot be used is a fault here; the record stays usable.
        Err(problems) => {
            debug_assert!(problems.is_empty(), "BUG: a machine that cannot be: {problems:?}");
            (base.clone(), Some(Arc::new(drawn)))
        }
    }
}
