//! Reading and checking whatever files there are, together.

use lastbolt_machine::model::GarageSpec;
use lastbolt_machine::validate::no_more_than;
use lastbolt_machine::{FileNo, Machine, Problem, validate};

use crate::garage::garage_of;
use crate::job::{JobFile, job_of};
use crate::limits::PROBLEMS_MAX;
use crate::machine::machine_of;
use crate::source::{FileKind, Source, kind_of_text};
use crate::text::Text;

/// What a file turned out to be.
#[derive(Clone, Debug, PartialEq)]
pub enum Document {
    /// A machine file.
    Machine(Box<Machine>),
    /// A job file.
    Job(Box<JobFile>),
    /// A garage file.
    Garage(GarageSpec),
}

/// Reads one file as whatever it is; the problems are those of the file by itself.
pub fn read(sources: &[Source], file: FileNo) -> (Document, Vec<Problem>) {
    let text = Text::of(sources, file);
    match kind_of_text(&text) {
        FileKind::Machine => {
            let (machine, problems) = machine_of(text);
            (Document::Machine(Box::new(machine)), problems)
        }
        FileKind::Job => {
            let (job, problems) = job_of(text);
            (Document::Job(Box::new(job)), problems)
        }
        FileKind::Garage => {
            let (garage, problems) = garage_of(text);
            (Document::Garage(garage), problems)
        }
    }
}

/// Reads all files and says everything that is wrong with them, by themselves and together: each
/// job against the machine it names, if that was brought along.
pub fn check_all(sources: &[Source]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut machines = Vec::new();
    let mut jobs = Vec::new();
    for (index, source) in sources.iter().enumerate().take(usize::from(u16::MAX)) {
        let file = FileNo(u16::try_from(index).unwrap_or(u16::MAX));
        let (document, of_file) = read(sources, file);
        problems.extend(of_file);
        match document {
            Document::Machine(machine) => machines.push((source, machine)),
            Document::Job(job) => jobs.push((source, job)),
            Document::Garage(_) => {}
        }
    }
    for (source, machine) in &machines {
        let name = plain(&source.name);
        let of_this = jobs.iter().filter(|(from, job): &&(&Source, Box<JobFile>)| {
            let named = job.machine_file.as_ref().map(|name| beside(&from.name, name.name()));
            named.as_deref() == Some(name.as_str())
        });
        let own = machine.job.iter().chain(of_this.map(|(_, job)| &job.job));
        let mut any = false;
        for job in own {
            any = true;
            problems.extend(validate(machine, Some(job)));
        }
        if !any {
            problems.extend(validate(machine, None));
        }
    }
    problems.sort_by(|a, b| (a.at, a.kind, &a.message).cmp(&(b.at, b.kind, &b.message)));
    problems.dedup();
    no_more_than(PROBLEMS_MAX * sources.len().max(1), problems, 0)
}

/// The path of a file that is named relative to another.
pub fn beside(from: &str, name: &str) -> String {
    match from.rsplit_once(['/', '\\']) {
        Some((folder, _)) if !name.starts_with('/') => plain(&format!("{folder}/{name}")),
        _ => plain(name),
    }
}

/// A path without `.`, without `..` where that can be resolved, and with one sort of slash.
fn plain(path: &str) -> String {
    let mut steps: Vec<&str> = Vec::new();
    for step in path.split(['/', '\\']) {
        match step {
            "." => {}
            "" if !steps.is_empty() => {}
            ".." if steps.last().is_some_and(|last| !matches!(*last, ".." | "")) => {
                steps.pop();
            }
            _ => steps.push(step),
        }
    }
    steps.join("/")
}
