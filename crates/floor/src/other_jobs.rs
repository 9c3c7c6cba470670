//! The jobs of a garage beside the one in hand, each with the letter that its bags carry.

use lastbolt_store::{Garage, JobHeader, Listed, letters};

/// The most jobs that are offered to go to.
const OTHERS_MAX: usize = 8;

/// Another job in hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct OtherJob {
    /// Its id.
    pub(crate) id: String,
    /// Its title.
    pub(crate) title: String,
    /// The letter that its bags carry.
    pub(crate) letter: String,
}

/// Gives the other jobs in hand, the last touched first, and the letter of this one. Slow: reads
/// the garage folder; not for a thread that answers requests.
pub(crate) fn others(garage: &Garage, here: &str) -> (String, Vec<OtherJob>) {
    let mut jobs = jobs(garage);
    let letters = letters(&jobs);
    let letter = |id: &str| {
        let found = letters.iter().find(|(of, _)| of == id);
        found.map(|(_, letter)| letter.clone()).unwrap_or_default()
    };
    jobs.retain(|job| !job.finished && job.id.as_str() != here);
    jobs.sort_by_key(|job| std::cmp::Reverse(job.last_at_ms.unwrap_or(job.created_at_ms)));
    let other = |job: JobHeader| OtherJob {
        letter: letter(job.id.as_str()),
        id: job.id.as_str().to_owned(),
        title: job.title,
    };
    (letter(here), jobs.into_iter().take(OTHERS_MAX).map(other).collect())
}

/// Gives the letter that the bags of a job carry. Slow, as [`others`].
pub fn letter(garage: &Garage, job: &str) -> String {
    others(garage, job).0
}

fn jobs(garage: &Garage) -> Vec<JobHeader> {
    let listed = garage.list_jobs().unwrap_or_default();
    listed
        .into_iter()
        .filter_map(|one| if let Listed::Job(job) = one { Some(job) } else { None })
        .collect()
}
