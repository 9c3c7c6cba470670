//! Targets that nothing reaches, and circles of things that wait for each other.

use super::Problems;
use super::reach::{Reach, Statement};
use crate::at::FileNo;
use crate::compile::{Extra, compile};
use crate::kernel::{Kernel, Kind, ThingNo};
use crate::model::{JobSpec, Machine};
use crate::problem::{Level, Problem};

/// The most notes about things that no job asks for.
const NOTES_MAX: usize = 20;
/// The most statements of one chain that are printed.
const STATEMENTS_MAX: usize = 12;

/// Reports what can never be opened: as an error where the job asks for it, else as a note.
pub(crate) fn look(machine: &Machine, job: &JobSpec, out: &mut Problems) {
    let Ok(kernel) = compile(machine, job, &Extra::default()) else {
        return;
    };
    out.extend(kernel.notes.iter().cloned());
    let reach = Reach::new(&kernel);
    let mut told = kernel.no_things();
    let asked = |thing: &ThingNo| kernel.targets.has(*thing);
    let stuck: Vec<ThingNo> = kernel.all().filter(|thing| !reach.can_open(*thing)).collect();
    for thing in stuck.iter().copied().filter(asked) {
        let because = reach.because(thing);
        told.extend(because.iter().map(|s| s.thing));
        out.push(problem(&kernel, job, thing, &because));
    }
    let mut notes = 0;
    for thing in stuck.iter().copied().filter(|thing| !asked(thing)) {
        // A part without ways of its own comes off with its carrier, and is meant to.
        if told.has(thing) || kernel.thing(thing).ways.is_empty() || notes == NOTES_MAX {
            continue;
        }
        let because = reach.because(thing);
        let new = because.iter().all(|s| !told.has(s.thing));
        told.extend(because.iter().map(|s| s.thing));
        if new {
            notes += 1;
            let mut problem = problem(&kernel, job, thing, &because);
            problem.level = Level::Note;
            out.push(problem);
        }
    }
}

fn problem(kernel: &Kernel, job: &JobSpec, thing: ThingNo, because: &[Statement]) -> Problem {
    let name = kernel.name(thing);
    let asked_for = [&job.renew, &job.off, &job.bring].into_iter().flatten();
    let asked_for = asked_for.filter(|target| target.name() == name).map(|target| target.at);
    let at = asked_for.min().unwrap_or(kernel.thing(thing).at);
    let circle = because.iter().all(|s| s.waits_for.is_some());
    let kind = if circle { "circle" } else { "never-opens" };
    let can = match kernel.thing(thing).kind {
        Kind::Part => "can never come off",
        Kind::Tie => "can never be undone",
        Kind::Prep => "can never be done",
    };
    let wished =
        !(job.leave_alone.is_empty() && job.not_from.is_empty() && job.without_tools.is_empty());
    let help = if wished {
        "Take one of these out, or a wish of the job (leave_alone, not_from, without_tools)."
    } else if circle {
        "Take one of these out, or write another entry under `ways`."
    } else {
        "Write how it is done under `ways`."
    };
    Problem::error(at, kind, format!("\"{name}\" {can}: {}.", chain(because, at.file)), help)
}

/// `"a" needs "b" off first (line 12), "b" needs "a" off first (line 15)`.
fn chain(because: &[Statement], file: FileNo) -> String {
    let link = |statement: &Statement| {
        let elsewhere = if statement.at.file == file { "" } else { " of the machine file" };
        format!("{} (line {}{elsewhere})", statement.text, statement.at.line)
    };
    let mut links: Vec<String> = because.iter().take(STATEMENTS_MAX).map(link).collect();
    if because.len() > STATEMENTS_MAX {
        links.push(format!("and {} more", because.len() - STATEMENTS_MAX));
    }
    links.join(", ")
}
