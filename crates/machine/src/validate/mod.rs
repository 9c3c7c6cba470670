//! Everything that is wrong with a written machine and job (R22).
//!
//! Nothing is refused at the first mistake: each rule has its own look at the whole machine, and
//! mistakes of one rule are left out of the machine before the next one looks.

mod changes;
mod circles;
mod clean;
mod job;
mod names;
mod nearest;
mod notes;
pub mod reach;
#[cfg(test)]
mod reach_tests;
mod stuck;
mod things;

pub use nearest::nearest;

use crate::model::{JobSpec, Machine};
use crate::problem::{Level, Problem};

use names::Names;

/// The problems found so far.
pub(crate) type Problems = Vec<Problem>;

/// Lists all problems of a machine and, if there is one, a job; errors and notes, in the order of
/// the files.
pub fn validate(machine: &Machine, job: Option<&JobSpec>) -> Vec<Problem> {
    let mut problems = Problems::new();
    let names = Names::new(machine, &mut problems);
    things::look(machine, &names, &mut problems);
    changes::look(machine, job, &names, &mut problems);
    let ride_circles = circles::rides(machine, &mut problems);
    circles::needs(machine, job, &mut problems);
    if let Some(job) = job {
        job::look(machine, job, &names, &mut problems);
    }
    notes::look(machine, &mut problems);
    let rides_are_right = !problems.iter().any(|p| p.kind == "wrong-rides");
    if ride_circles == 0 && rides_are_right {
        let empty = JobSpec::default();
        let (machine, job) = clean::without_mistakes(machine, job.unwrap_or(&empty), &names);
        stuck::look(&machine, &job, &mut problems);
    }
    problems.sort_by(|a, b| (a.at, a.kind, &a.message).cmp(&(b.at, b.kind, &b.message)));
    problems.dedup();
    problems
}

/// Cuts a list of problems (in order) down to what a person can read; a last one says how many
/// more there are. Notes give way to errors.
pub fn no_more_than(max: usize, mut problems: Vec<Problem>, more: usize) -> Vec<Problem> {
    let errors = problems.iter().filter(|problem| problem.level == Level::Error).count();
    if problems.len() <= max && more == 0 {
        return problems;
    }
    let all = problems.len() + more;
    if problems.len() > max {
        let mut notes = max.saturating_sub(errors);
        problems.retain(|problem| {
            let keep = problem.level == Level::Error || notes > 0;
            notes -= usize::from(keep && problem.level == Level::Note);
            keep
        });
        problems.truncate(max);
    }
    let at = problems.last().map(|last| last.at).unwrap_or_default();
    let level = if errors + more > 0 { Level::Error } else { Level::Note };
    problems.push(Problem {
        at,
        level,
        kind: "more-problems",
        message: format!("There are {} more problems.", all - problems.len()),
        help: "Mend those above first.".to_owned(),
    });
    problems
}
