//! A job that has begun is planned from where the machine really is (R18): what is open counts as
//! found open, what was asked for and is met is not asked for again.

use std::sync::Arc;

use lastbolt_job::{Case, JobModel, Live, see};
use lastbolt_ledger::Recorded;
use lastbolt_machine::{CompileError, JobSpec, Machine, Ref};

/// Gives the question "how on from here" as a job of its own.
///
/// # Errors
/// Every name that is not known, with its place.
pub(crate) fn from_here(model: JobModel, records: &[Recorded]) -> Result<JobModel, CompileError> {
    if records.is_empty() {
        return Ok(model);
    }
    let (case, drawn) = see(&Arc::new(Case::new(model)?), records);
    let live = Live::of(&case, drawn.as_ref().map_or(records, |drawn| &drawn.plain));
    let kernel = &case.kernel;
    let mut asked = case.targets.iter().zip(&live.met);
    let mut unmet = |names: &[Ref]| -> Vec<Ref> {
        let with = names.iter().zip(asked.by_ref());
        with.filter(|(_, (_, met))| met.is_none()).map(|(name, _)| name.clone()).collect()
    };
    // The targets of a case stand in this order.
    let (renew, off, bring) =
        (unmet(&case.model.job.renew), unmet(&case.model.job.off), unmet(&case.model.job.bring));
    let fitted = case.model.job.comes_fitted.iter();
    let comes_fitted: Vec<Ref> =
        fitted.filter(|part| rides_on(&case.model.machine, part, &renew)).cloned().collect();
    let job = JobSpec {
        renew,
        off,
        bring,
        comes_fitted,
        already: live.open.iter().map(|thing| Ref::bare(kernel.name(thing))).collect(),
        at: live.spot.map(|spot| Ref::bare(kernel.spots[spot.0].clone())),
        holding: live.tool.map(|tool| Ref::bare(kernel.tools[tool.0].clone())),
        ..case.model.job.clone()
    };
    Ok(JobModel { job, ..case.model.clone() })
}

/// Whether a part sits on one of these, directly or through others.
fn rides_on(machine: &Machine, part: &Ref, carriers: &[Ref]) -> bool {
    let mut name = part.name();
    // No chain is longer than there are parts; circles were refused before.
    for _ in 0..machine.parts.len() {
        let written = machine.parts.iter().find(|part| part.id.name() == name);
        let Some(carrier) = written.and_then(|part| part.rides.as_ref()) else { return false };
        if carriers.iter().any(|one| one.name() == carrier.name()) {
            return true;
        }
        name = carrier.name();
    }
    false
}
