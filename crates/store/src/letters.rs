//! The letter that the bags of a job carry. It is kept with the job, so that it never changes,
//! whatever is begun, handed over, moved away or brought back; a job of an earlier version has the
//! one of its place in the list until it is opened for work next.

use crate::error::StoreError;
use crate::garage::{Garage, JobHeader, Listed};
use crate::job::Job;

/// The key under which a job keeps its letter.
pub(crate) const LETTER: &str = "letter";
/// The key under which it keeps the one that it had in another garage.
pub(crate) const LETTER_WAS: &str = "letter_was";
/// How many letters there are before numbers come to them.
const LETTERS: usize = 26;

/// Gives the letter of every job, in the order in which they were begun: the one that it keeps,
/// else that of its place, else the first that is free.
pub fn letters(jobs: &[JobHeader]) -> Vec<(String, String)> {
    let mut order: Vec<&JobHeader> = jobs.iter().collect();
    order.sort_by(|a, b| (a.created_at_ms, a.id.as_str()).cmp(&(b.created_at_ms, b.id.as_str())));
    let mut used: Vec<String> = Vec::new();
    let mut named: Vec<Option<String>> = vec![None; order.len()];
    for (at, job) in order.iter().enumerate() {
        // Of two that keep the same one the older has it.
        if let Some(letter) = job.letter.as_ref().filter(|letter| !used.contains(letter)) {
            used.push(letter.clone());
            named[at] = Some(letter.clone());
        }
    }
    for (at, name) in named.iter_mut().enumerate() {
        if name.is_none() {
            let letter = Some(nth(at)).filter(|letter| !used.contains(letter));
            let letter = letter.unwrap_or_else(|| free(&used));
            used.push(letter.clone());
            *name = Some(letter);
        }
    }
    let letters = named.into_iter().map(Option::unwrap_or_default);
    order.iter().map(|job| job.id.as_str().to_owned()).zip(letters).collect()
}

/// The first letter that none of these is.
fn free(used: &[String]) -> String {
    let all = (0..=used.len()).map(nth);
    all.into_iter().find(|letter| !used.contains(letter)).unwrap_or_default()
}

/// "A" to "Z", then "A2" to "Z2".
fn nth(at: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(at % LETTERS).unwrap_or(0));
    match at / LETTERS {
        0 => letter.to_string(),
        round => format!("{letter}{}", round + 1),
    }
}

impl Garage {
    /// Gives the letter of every job that can be read.
    ///
    /// # Errors
    /// As [`Garage::list_jobs`].
    pub fn letters(&self) -> Result<Vec<(String, String)>, StoreError> {
        Ok(letters(&self.headers()?))
    }

    /// Keeps the letter of a job with it, where it has none of its own yet. For the one writer.
    ///
    /// # Errors
    /// Fails when the list cannot be read or the disk does not keep it.
    pub fn keep_letter(&self, job: &Job) -> Result<(), StoreError> {
        if job.meta(LETTER)?.is_some() {
            return Ok(());
        }
        let all = self.letters()?;
        match all.iter().find(|(id, _)| id == job.id().as_str()) {
            Some((_, letter)) => job.set_meta(LETTER, letter),
            // A job of no garage has no letter.
            None => Ok(()),
        }
    }

    /// A letter that no job of the garage has, but for one that is replaced.
    pub(crate) fn free_letter(&self, but: &str) -> Result<(Vec<String>, String), StoreError> {
        let all = self.letters()?;
        let used = all.into_iter().filter(|(id, _)| id != but).map(|(_, letter)| letter);
        let used: Vec<String> = used.collect();
        // Not one that somebody has seen on a bag of a job that lay here before.
        let next = nth(used.len());
        let next = if used.contains(&next) { free(&used) } else { next };
        Ok((used, next))
    }

    fn headers(&self) -> Result<Vec<JobHeader>, StoreError> {
        let job = |one| if let Listed::Job(job) = one { Some(job) } else { None };
        Ok(self.list_jobs()?.into_iter().filter_map(job).collect())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test: what fails here fails it")]

    use super::*;
    use crate::id::JobId;

    fn job(id: &str, created_at_ms: i64, letter: Option<&str>) -> JobHeader {
        JobHeader {
            id: JobId::new(id).unwrap(),
            title: id.to_owned(),
            source: String::new(),
            created_at_ms,
            last_at_ms: None,
            records: 0,
            finished: false,
            given_up: None,
            left: None,
            started: false,
            reopened: false,
            letter: letter.map(str::to_owned),
        }
    }

    fn of<'a>(all: &'a [(String, String)], id: &str) -> &'a str {
        &all.iter().find(|(of, _)| of == id).unwrap().1
    }

    /// A letter on a bag cannot change: not when an older job is brought back, nor when one goes.
    #[test]
    fn a_job_keeps_its_letter() {
        let kept = [job("tarn-1", 5, Some("A")), job("kelp-1", 6, Some("B"))];
        let with_older = [vec![job("moss-1", 1, None)], kept.to_vec()].concat();
        let all = letters(&with_older);
        assert_eq!((of(&all, "tarn-1"), of(&all, "kelp-1"), of(&all, "moss-1")), ("A", "B", "C"));
        assert_eq!(of(&letters(&kept[1..]), "kelp-1"), "B", "the other one went");
        // The wrong twin, letters by the order of beginning, gives the bags of tarn to moss.
        let by_order = letters(&[job("moss-1", 1, None), job("tarn-1", 5, None)]);
        assert_eq!((of(&by_order, "moss-1"), of(&by_order, "tarn-1")), ("A", "B"));
    }

    /// Jobs of earlier versions have the letter that they had; two of one letter are told apart.
    #[test]
    fn earlier_jobs_and_twins() {
        let earlier = letters(&[job("kelp-1", 2, None), job("tarn-1", 1, None)]);
        assert_eq!(earlier, [("tarn-1".into(), "A".into()), ("kelp-1".into(), "B".into())]);
        let twins = letters(&[job("kelp-1", 2, Some("B")), job("tarn-1", 1, Some("B"))]);
        assert_eq!((of(&twins, "tarn-1"), of(&twins, "kelp-1")), ("B", "A"));
        assert_eq!((nth(25), nth(26), nth(53)), ("Z".into(), "A2".into(), "B3".into()));
    }
}
