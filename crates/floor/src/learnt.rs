//! What a garage's finished jobs say about its usual minutes. It is only ever offered.

use std::sync::Arc;

use lastbolt_job::{Learnt, Took, learnt, read_case, took};
use lastbolt_machine::Minutes;
use lastbolt_store::{Garage, JobHeader, Listed};

use crate::own::Own;

/// The most jobs that are looked into, the youngest first.
const JOBS_MAX: usize = 40;

/// What was learnt of a kind, beside what counts now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offered {
    /// What was learnt.
    pub learnt: Learnt,
    /// What counts as usual now.
    pub usual: Minutes,
    /// The garage's file says so; else it is guessed.
    pub is_own: bool,
}

impl Offered {
    /// Says it in one sentence: "You took about 0.4 min for one clip, 23 times; ...".
    pub fn sentence(&self, number: impl Fn(&str) -> String) -> String {
        let Learnt { kind, minutes, times, low, high } = &self.learnt;
        let number = |minutes: Minutes| number(&minutes.to_string());
        let now = if self.is_own { "your file says" } else { "the guess is" };
        format!(
            "You took about {} min for one {kind}, {times} times (half of them between {} and {}); \
             {now} {}.",
            number(*minutes),
            number(*low),
            number(*high),
            number(self.usual),
        )
    }
}

/// Gives what is offered: what was learnt from jobs that were handed over and is another number
/// than what counts now. Slow: reads the garage folder; not for a thread that answers requests.
pub fn offered(garage: &Garage, own: &Own) -> Vec<Offered> {
    let listed = garage.list_jobs().unwrap_or_default();
    let over = |one| match one {
        Listed::Job(job) if job.finished && job.given_up.is_none() => Some(job),
        _ => None,
    };
    let mut jobs: Vec<JobHeader> = listed.into_iter().filter_map(over).collect();
    jobs.sort_by_key(|job| std::cmp::Reverse(job.last_at_ms.unwrap_or(job.created_at_ms)));
    jobs.truncate(JOBS_MAX);
    // A job that cannot be read is passed over: the page of today says why.
    let all: Vec<Took> = jobs.iter().filter_map(|job| of_job(garage, job)).flatten().collect();
    let offer = |learnt: Learnt| {
        let (usual, is_own) = own.spec.minutes.one(&learnt.kind);
        learnt.differs(usual).then_some(Offered { learnt, usual, is_own })
    };
    learnt(&all).into_iter().filter_map(offer).collect()
}

fn of_job(garage: &Garage, header: &JobHeader) -> Option<Vec<Took>> {
    let job = garage.open_job(header.id.as_str()).ok()?;
    let base = Arc::new(read_case(&job.sources().ok()?).ok()?.case);
    Some(took(&base, job.log().records()))
}
