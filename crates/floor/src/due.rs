//! What falls due after jobs that were handed over: asked again when Lastbolt is opened next, and
//! at the next job on the same machine.

use std::sync::Arc;

use lastbolt_job::{due_of, read_case};
use lastbolt_store::{Garage, Headers, JobHeader, Listed};

use crate::clock::now_ms;

/// The most jobs that are looked into, the youngest first.
const JOBS_MAX: usize = 40;
/// The most lines that are shown.
const LINES_MAX: usize = 30;

/// Something that falls due.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due {
    /// The job that it comes from.
    pub job: String,
    /// Its title.
    pub title: String,
    /// The machine.
    pub machine: String,
    /// What, and when.
    pub text: String,
    /// What was answered last, if anything: "not yet".
    pub said: Option<String>,
}

/// Gives what falls due of every job that was handed over. Slow: reads the garage folder; not for
/// a thread that answers requests.
pub fn due(garage: &Garage) -> Vec<Due> {
    due_again(garage, &mut Headers::default())
}

/// Gives the same, with what was read before of the list of jobs.
pub(crate) fn due_again(garage: &Garage, headers: &mut Headers) -> Vec<Due> {
    let listed = garage.list_jobs_again(headers).unwrap_or_default();
    let over = |one| match one {
        Listed::Job(job) if job.finished => Some(job),
        _ => None,
    };
    let mut jobs: Vec<JobHeader> = listed.into_iter().filter_map(over).collect();
    jobs.sort_by_key(|job| std::cmp::Reverse(job.last_at_ms.unwrap_or(job.created_at_ms)));
    jobs.truncate(JOBS_MAX);
    // A job that cannot be read is passed over: the page of today says why.
    let mut all: Vec<Due> = jobs.iter().filter_map(|job| of_job(garage, job)).flatten().collect();
    all.truncate(LINES_MAX);
    all
}

/// Gives what falls due of earlier jobs on the machine of a job, blanks and capitals aside. Slow,
/// as [`due`].
pub fn due_of_machine(garage: &Garage, machine: &str, but: &str) -> Vec<Due> {
    let tidy = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    let asked = tidy(machine);
    let mut all = due(garage);
    all.retain(|due| due.job != but && tidy(&due.machine) == asked);
    all
}

fn of_job(garage: &Garage, header: &JobHeader) -> Option<Vec<Due>> {
    let job = garage.open_job(header.id.as_str()).ok()?;
    let base = Arc::new(read_case(&job.sources().ok()?).ok()?.case);
    let points = due_of(&base, job.log().records(), now_ms());
    let due = |point: lastbolt_job::view::Point| Due {
        job: header.id.as_str().to_owned(),
        title: header.title.clone(),
        machine: base.model.title(),
        text: point.text,
        said: point.said.map(|said| said.answer),
    };
    Some(points.into_iter().map(due).collect())
}
