//! A job that has begun is planned from where the machine really is (R18): what is open counts as
//! found open, what was asked for and is met is not asked for again.

use std::sync::Arc;

use lastbolt_job::view::{PlanView, StepVerb};
use lastbolt_job::{Case, JobModel, Live, see};
use lastbolt_ledger::Recorded;
use lastbolt_machine::model::Back;
use lastbolt_machine::{At, CompileError, JobSpec, Machine, Prep, Ref, Sited, ThingNo, Way};

/// What the condition is called that stands for finishing what is slack, after the thing's name.
const FINISHED: &str = ": finished";

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
    let mut model = JobModel { job, ..case.model.clone() };
    for thing in live.loose.iter().filter(|&thing| !kernel.leave_off.has(thing)) {
        let prep = finishing(&case, &live, thing);
        model.job.bring.push(prep.id.clone());
        model.machine.preps.push(prep);
    }
    Ok(model)
}

/// What is slack or partly out is made for the planner, with a step that finishes it (R25): a
/// condition by its ways back, in sight.
fn finishing(case: &Case, live: &Live, thing: ThingNo) -> Prep {
    let kernel = &case.kernel;
    let it = kernel.thing(thing);
    let name = |thing: &ThingNo| Ref::bare(kernel.name(*thing));
    let covers = it.hidden_by.iter().filter(|&&part| !live.open.has(part));
    let ways = it.back.iter().map(|way| Way {
        from: way.spot.map(|spot| Ref::bare(kernel.spots[spot.0].clone())),
        tool: way.tool.map(|tool| Ref::bare(kernel.tools[tool.0].clone())),
        minutes: Some(Sited::new(way.minutes, At::default())),
        clear: way.clear.iter().chain(covers.clone()).map(name).collect(),
        needs: way.needs.iter().map(name).collect(),
        feel: way.feel,
        ..Way::default()
    });
    Prep {
        id: Ref::bare(format!("{}{FINISHED}", it.name)),
        ways: Some(ways.collect()),
        back: Back::ByItself(At::default()),
        needs: it.needs.iter().map(name).collect(),
        ..Prep::default()
    }
}

/// Gives what a condition that stands for finishing something is about.
fn finished<'a>(machine: &Machine, name: &'a str) -> Option<&'a str> {
    let is_it = |prep: &Prep| prep.id.name() == name && prep.id.at.line == 0;
    name.strip_suffix(FINISHED).filter(|_| machine.preps.iter().any(is_it))
}

/// Gives the condition that stands for finishing a thing, if there is one.
pub(crate) fn finishes(machine: &Machine, thing: &str) -> Option<String> {
    let name = format!("{thing}{FINISHED}");
    finished(machine, &name).is_some().then_some(name)
}

/// Says in a plan that what is slack is tightened, in place of the condition that stood for it.
pub(crate) fn say_what_is_tightened(view: &mut PlanView, machine: &Machine) {
    for step in &mut view.strip {
        let line = &mut step.line;
        let Some(thing) = finished(machine, &line.thing).map(str::to_owned) else { continue };
        line.verb = StepVerb::Tighten;
        line.text = format!("{thing}: finished, it is slack or partly out");
        line.thing = thing;
    }
    view.off.retain(|name| finished(machine, name).is_none());
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
