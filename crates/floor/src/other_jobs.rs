//! The jobs of a garage beside the one in hand, each with the letter that its bags carry.

use lastbolt_store::{Garage, JobHeader, Listed};

/// The most jobs that are offered to go to.
const OTHERS_MAX: usize = 8;
/// How many letters there are before numbers come to them.
const LETTERS: usize = 26;

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

/// The letters in the order in which the jobs were begun: a job keeps its own for as long as it
/// lies in the garage, whatever is begun or finished meanwhile.
fn letters(jobs: &[JobHeader]) -> Vec<(String, String)> {
    let mut all: Vec<(i64, &str)> =
        jobs.iter().map(|job| (job.created_at_ms, job.id.as_str())).collect();
    all.sort_unstable();
    let named = all.into_iter().enumerate();
    named.map(|(at, (_, id))| (id.to_owned(), nth(at))).collect()
}

/// "A" to "Z", then "A2" to "Z2".
fn nth(at: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(at % LETTERS).unwrap_or(0));
    match at / LETTERS {
        0 => letter.to_string(),
        round => format!("{letter}{}", round + 1),
    }
}

#[cfg(test)]
mod tests {
    use lastbolt_store::JobId;

    use super::*;

    fn job(id: &str, created_at_ms: i64, finished: bool) -> JobHeader {
        JobHeader {
            id: JobId::new(id).unwrap(),
            title: id.to_owned(),
            source: String::new(),
            created_at_ms,
            last_at_ms: None,
            records: 0,
            finished,
            given_up: None,
            left: None,
            started: false,
            reopened: false,
        }
    }

    /// A letter on a bag cannot change: not when another job is finished, nor when one is begun.
    #[test]
    fn a_job_keeps_its_letter() {
        let before = letters(&[job("kelp-1", 2, false), job("tarn-1", 1, false)]);
        let after =
            letters(&[job("moss-1", 3, false), job("kelp-1", 2, false), job("tarn-1", 1, true)]);
        assert_eq!(before, [("tarn-1".into(), "A".into()), ("kelp-1".into(), "B".into())]);
        assert_eq!(after[..2], before[..]);
        // The wrong twin, letters by what is in hand only, gives the bag of kelp to moss.
        let in_hand = letters(&[job("moss-1", 3, false), job("kelp-1", 2, false)]);
        assert_ne!(in_hand[0], before[1]);
        assert_eq!((nth(25), nth(26), nth(53)), ("Z".into(), "A2".into(), "B3".into()));
    }
}
