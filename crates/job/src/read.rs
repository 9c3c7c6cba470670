//! From the texts that a job keeps to a case.

use lastbolt_files::{Document, Source, read};
use lastbolt_machine::model::GarageSpec;
use lastbolt_machine::{FileNo, JobSpec, Level, Machine, Problem, validate};

use crate::case::{Case, JobModel};

/// A case, with things to know about its files.
#[derive(Clone, Debug)]
pub struct ReadCase {
    /// The case.
    pub case: Case,
    /// Notes; no errors.
    pub notes: Vec<Problem>,
}

/// Reads a case from its files: one machine file, at most one job file (else the machine file's
/// own job) and at most one garage file, in any order.
///
/// # Errors
/// Every problem of the files, errors and notes.
pub fn read_case(sources: &[Source]) -> Result<ReadCase, Vec<Problem>> {
    let (model, problems) = read_model(sources)?;
    let case = Case::new(model).map_err(|more| {
        let mut all = problems.clone();
        all.extend(more);
        all
    })?;
    Ok(ReadCase { case, notes: problems })
}

/// Reads a job model from its files, as [`read_case`] does, and gives it with the notes.
///
/// # Errors
/// Every problem of the files, errors and notes.
pub fn read_model(sources: &[Source]) -> Result<(JobModel, Vec<Problem>), Vec<Problem>> {
    let mut problems = Vec::new();
    let mut machine: Option<Box<Machine>> = None;
    let mut job: Option<JobSpec> = None;
    let mut garage = GarageSpec::default();
    for index in 0..sources.len() {
        let Ok(number) = u16::try_from(index) else { break };
        let (document, of_file) = read(sources, FileNo(number));
        problems.extend(of_file);
        match document {
            Document::Machine(read) => machine = Some(read),
            Document::Job(read) => job = Some(read.job),
            Document::Garage(read) => garage = read,
        }
    }
    let Some(machine) = machine else {
        problems.push(Problem::error(
            lastbolt_machine::At::default(),
            "no-machine",
            "There is no machine file among the files.",
            "Give the machine file, or name it in the job file under machine_file.",
        ));
        return Err(problems);
    };
    let job = job.or_else(|| machine.job.clone()).unwrap_or_default();
    problems.extend(validate(&machine, Some(&job)));
    problems.sort_by_key(|problem| problem.at);
    problems.dedup();
    if problems.iter().any(|problem| problem.level == Level::Error) {
        return Err(problems);
    }
    let minutes = garage.minutes.clone();
    Ok((JobModel { machine: *machine, job, minutes, garage }, problems))
}
