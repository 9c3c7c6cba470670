//! What this garage has used before: kinds of fixings, and machines. Read from its jobs.

use std::collections::BTreeMap;
use std::sync::Arc;

use lastbolt_files::Source;
use lastbolt_job::{Case, export, read_case, read_model, see};
use lastbolt_ledger::{Recorded, Verb};
use lastbolt_store::{FileRole, Garage, Job, JobHeader, JobId, Listed};

/// The most jobs that are looked into, the youngest first.
const JOBS_MAX: usize = 40;
/// The most machines that are offered.
const MACHINES_MAX: usize = 12;

/// Kinds that are offered in a garage that has recorded nothing yet, the commonest first (common
/// practice, no source), then the rest of those that the trade has.
pub(crate) const KINDS: [&str; 29] = [
    "screw",
    "nut",
    "clip",
    "plug",
    "earth",
    "hose",
    "clamp",
    "cable",
    "stud",
    "union",
    "banjo",
    "V-clamp",
    "quick joint",
    "push-in pipe",
    "push peg",
    "hook",
    "circlip",
    "roll pin",
    "dowel",
    "press fit",
    "spline",
    "taper",
    "key",
    "ball joint",
    "cable tie",
    "tape",
    "belt",
    "chain",
    "spring",
];

/// Gives every kind, those used most first; those never used keep the order of [`KINDS`].
pub(crate) fn kinds<'a>(used: impl IntoIterator<Item = &'a (String, u64)>) -> Vec<String> {
    let mut counted: Vec<(String, u64)> = KINDS.iter().map(|kind| ((*kind).into(), 0)).collect();
    for (kind, times) in used {
        match counted.iter_mut().find(|(known, _)| known == kind) {
            Some((_, sum)) => *sum += times,
            None => counted.push((kind.clone(), *times)),
        }
    }
    counted.sort_by_key(|(_, times)| std::cmp::Reverse(*times));
    counted.into_iter().map(|(kind, _)| kind).collect()
}

/// Counts in how many handfuls each kind was.
pub(crate) fn kinds_of(records: &[Recorded]) -> Vec<(String, u64)> {
    let mut counted: BTreeMap<&str, u64> = BTreeMap::new();
    let took = records.iter().filter(|recorded| recorded.event.verb == Verb::Took);
    for tie in took.filter_map(|r| r.event.more.as_ref()).flat_map(|more| &more.ties) {
        *counted.entry(tie.kind.as_str()).or_default() += 1;
    }
    counted.into_iter().map(|(kind, times)| (kind.to_owned(), times)).collect()
}

/// Counts the kinds in the jobs of a garage. Slow: not for a thread that answers requests.
pub(crate) fn kinds_used(garage: &Garage) -> Vec<(String, u64)> {
    let jobs = youngest(garage).into_iter().filter_map(|job| open(garage, &job));
    jobs.flat_map(|job| kinds_of(job.log().records())).collect()
}

/// A machine that this garage has had a job on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Known {
    /// What it is called.
    pub(crate) machine: String,
    /// The last job on it, and how much is known from there.
    pub(crate) known: String,
}

/// Gives the machines of a garage, the last first, each once. Slow, as [`kinds_used`].
pub(crate) fn machines(garage: &Garage) -> Vec<Known> {
    let mut known: Vec<Known> = Vec::new();
    for header in youngest(garage) {
        let Some(job) = open(garage, &header) else { continue };
        let Some((machine, parts)) = machine_of(&job) else { continue };
        if !known.iter().any(|one| one.machine == machine) {
            let known_from = known_from(&machine, &header, parts);
            known.push(Known { machine, known: known_from });
        }
        if known.len() == MACHINES_MAX {
            break;
        }
    }
    known
}

/// A machine that an earlier job of the garage knows, as a file.
#[derive(Clone, Debug)]
pub struct KnownMachine {
    /// The job that knows it.
    pub job: JobId,
    /// Its machine file, with everything that was recorded.
    pub text: String,
    /// What that file says.
    pub case: Case,
}

/// Finds the last job on a machine of that name, blanks and capitals aside, that knows anything
/// about it. Slow, as [`kinds_used`].
pub fn known_machine(garage: &Garage, machine: &str) -> Option<KnownMachine> {
    let tidy = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    let asked = tidy(machine);
    youngest(garage).into_iter().find_map(|header| {
        let job = open(garage, &header)?;
        let base = read_case(&job.sources().ok()?).ok()?.case;
        if tidy(&base.model.title()) != asked {
            return None;
        }
        let files = job.files().ok()?;
        let text = &files.iter().find(|file| file.role == FileRole::Machine)?.text;
        let base = Arc::new(base);
        let (_, drawn) = see(&base, job.log().records());
        let text = export(text, &base.model.machine, drawn.as_deref(), job.log().records());
        let case = read_case(&[Source::new("machine.toml", text.clone())]).ok()?.case;
        let knows = !case.kernel.things.is_empty();
        knows.then_some(KnownMachine { job: header.id, text, case })
    })
}

/// Jobs that cannot be read are passed over: the page of today says why.
fn youngest(garage: &Garage) -> Vec<JobHeader> {
    let listed = garage.list_jobs().unwrap_or_default();
    let job = |listed| if let Listed::Job(job) = listed { Some(job) } else { None };
    let mut jobs: Vec<JobHeader> = listed.into_iter().filter_map(job).collect();
    jobs.sort_by_key(|job| std::cmp::Reverse(job.last_at_ms.unwrap_or(job.created_at_ms)));
    jobs.truncate(JOBS_MAX);
    jobs
}

fn open(garage: &Garage, job: &JobHeader) -> Option<Job> {
    garage.open_job(job.id.as_str()).ok()
}

/// What a job's machine is called, if it is, and how many parts its files have.
fn machine_of(job: &Job) -> Option<(String, usize)> {
    let (model, _) = read_model(&job.sources().ok()?).ok()?;
    let machine = model.machine.machine.as_ref()?.value.trim().to_owned();
    Some((machine, model.machine.parts.len()))
}

/// "Tarn camper: clutch; 14 parts known".
fn known_from(machine: &str, header: &JobHeader, parts: usize) -> String {
    let parts = u32::try_from(parts).unwrap_or(u32::MAX);
    match parts {
        // What was recorded in a job from nothing is counted when the next one begins.
        0 if header.title == machine => String::new(),
        0 => header.title.clone(),
        _ => format!("{}; {} known", header.title, lastbolt_job::pieces(parts, "part")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Used kinds come first, the rest in the fixed order, none twice, own words too.
    #[test]
    fn most_used_first() {
        let used = [("hose".to_owned(), 3), ("bayonet".to_owned(), 1), ("hose".to_owned(), 1)];
        let all = kinds(&used);
        assert_eq!(all[..4], ["hose", "bayonet", "screw", "nut"]);
        assert_eq!(all.len(), KINDS.len() + 1);
        assert_eq!(kinds(&[]), KINDS);
    }
}
