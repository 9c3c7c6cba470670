//! The garage folder: its layout, its list of jobs, and finding one.

use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};

use lastbolt_ledger::{Recorded, State};

use crate::disk::UNFINISHED;
use crate::error::StoreError;
use crate::id::JobId;
use crate::job::{Job, read_id, read_meta};
use crate::letters::LETTER;
use crate::limits::JOBS_MAX;
use crate::look::{Stamps, look, stamps};
use crate::rows;
use crate::schema::JOB;

/// The name of a job's database in its folder.
pub(crate) const DB_NAME: &str = "job.db";

/// Holds a garage folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Garage {
    dir: PathBuf,
}

/// Holds what a list of jobs shows of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobHeader {
    /// Its id.
    pub id: JobId,
    /// Its title.
    pub title: String,
    /// The path of the file that it was begun from.
    pub source: String,
    /// When it was begun \[ms since 1970, UTC\].
    pub created_at_ms: i64,
    /// When its last record was made \[ms since 1970, UTC\], if it has any.
    pub last_at_ms: Option<i64>,
    /// How many records it has.
    pub records: u64,
    /// It is finished.
    pub finished: bool,
    /// It was given up: why, as far as that was said.
    pub given_up: Option<String>,
    /// It was left standing and not taken up again: how, as far as that was said.
    pub left: Option<String>,
    /// It had its first start.
    pub started: bool,
    /// It was finished once and opened again.
    pub reopened: bool,
    /// The letter that its bags carry, where it keeps one.
    pub letter: Option<String>,
}

/// The headers that were read before: a list read again looks only into jobs that have changed
/// (size or time of the database or of what stands beside it).
#[derive(Debug, Default)]
pub struct Headers {
    known: HashMap<PathBuf, (Stamps, JobHeader)>,
}

/// Holds one row of the list of jobs.
#[derive(Debug)]
pub enum Listed {
    /// A job.
    Job(JobHeader),
    /// A folder whose database cannot be used; it was left as it is.
    Unusable {
        /// The folder.
        folder: PathBuf,
        /// Why.
        error: StoreError,
    },
}

impl Garage {
    /// Opens a garage folder, making it if it is not there.
    ///
    /// # Errors
    /// Fails when the folder cannot be made.
    pub fn open(dir: &Path) -> Result<Garage, StoreError> {
        let dir = std::path::absolute(dir).map_err(StoreError::io(dir, "find"))?;
        let garage = Garage { dir };
        let jobs = garage.jobs_dir();
        fs::create_dir_all(&jobs).map_err(StoreError::io(&jobs, "create"))?;
        Ok(garage)
    }

    /// Gives the folder, as an absolute path.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    /// Gives the folder of a job, whether or not it is there.
    pub fn job_dir(&self, id: &JobId) -> PathBuf {
        self.jobs_dir().join(id.as_str())
    }

    pub(crate) fn jobs_dir(&self) -> PathBuf {
        self.dir.join("jobs")
    }

    pub(crate) fn replaced_dir(&self) -> PathBuf {
        self.dir.join("replaced")
    }

    /// Lists the jobs, by id; those that cannot be used too, with the reason. Touches none.
    ///
    /// # Errors
    /// Fails when the folder cannot be read or has more than [`JOBS_MAX`] jobs.
    pub fn list_jobs(&self) -> Result<Vec<Listed>, StoreError> {
        self.list_jobs_again(&mut Headers::default())
    }

    /// Lists the jobs as [`Garage::list_jobs`] does, looking only into those that have changed
    /// since they were read last.
    ///
    /// # Errors
    /// As [`Garage::list_jobs`].
    pub fn list_jobs_again(&self, headers: &mut Headers) -> Result<Vec<Listed>, StoreError> {
        let jobs = self.jobs_dir();
        let mut folders = Vec::new();
        for entry in fs::read_dir(&jobs).map_err(StoreError::io(&jobs, "read"))? {
            let entry = entry.map_err(StoreError::io(&jobs, "read"))?;
            let hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
            if !hidden && entry.path().is_dir() {
                folders.push(entry.path());
            }
            if folders.len() > JOBS_MAX {
                return Err(StoreError::refused(format!(
                    "{}: there are more than {JOBS_MAX} jobs; move old ones away.",
                    jobs.display()
                )));
            }
        }
        folders.sort();
        headers.known.retain(|folder, _| folders.binary_search(folder).is_ok());
        Ok(folders.into_iter().map(|folder| list_one(folder, headers)).collect())
    }

    /// Finds the unfinished job that was begun from a file, the youngest if there are several.
    ///
    /// # Errors
    /// Fails when the folder cannot be read.
    pub fn find_unfinished_by_source(&self, source: &str) -> Result<Option<JobId>, StoreError> {
        let mut found: Option<JobHeader> = None;
        for listed in self.list_jobs()? {
            let Listed::Job(job) = listed else { continue };
            if job.finished || job.source != source {
                continue;
            }
            if found.as_ref().is_none_or(|old| old.created_at_ms <= job.created_at_ms) {
                found = Some(job);
            }
        }
        Ok(found.map(|job| job.id))
    }

    /// Finds the database of a job given by its id, its folder or its database; an id comes
    /// first.
    ///
    /// # Errors
    /// Fails when there is none.
    pub fn find_job(&self, job: &str) -> Result<PathBuf, StoreError> {
        if let Ok(id) = JobId::new(job) {
            let dir = self.job_dir(&id);
            if dir.is_dir() {
                return Ok(dir.join(DB_NAME));
            }
        }
        let path = Path::new(job);
        if path.is_dir() {
            return Ok(path.join(DB_NAME));
        }
        if path.exists() {
            return Ok(path.to_owned());
        }
        let asked = job.chars().take(200).collect();
        Err(StoreError::NoSuchJob { asked, garage: self.dir.clone() })
    }

    /// Opens a job given by its id, its folder or its database.
    ///
    /// # Errors
    /// Fails when there is none, or it is foreign, damaged or newer; it is then left as it is.
    pub fn open_job(&self, job: &str) -> Result<Job, StoreError> {
        Job::open(&self.find_job(job)?)
    }

    /// Removes unfinished folders that a killed program left. Only for the one writer.
    pub(crate) fn sweep(&self) {
        let Ok(entries) = fs::read_dir(self.jobs_dir()) else { return };
        for entry in entries.flatten() {
            if entry.file_name().as_encoded_bytes().starts_with(UNFINISHED.as_bytes()) {
                // One that cannot be removed is in nobody's way.
                let _ = fs::remove_dir_all(entry.path());
            }
        }
    }
}

fn list_one(folder: PathBuf, headers: &mut Headers) -> Listed {
    let path = folder.join(DB_NAME);
    // Before it is read: what is written meanwhile is then seen as a change.
    let before = stamps(&path);
    if let Some((as_of, header)) = headers.known.get(&folder)
        && *as_of == before
    {
        return Listed::Job(header.clone());
    }
    match read_header(&path) {
        Ok(header) => {
            headers.known.insert(folder, (before, header.clone()));
            Listed::Job(header)
        }
        Err(error) => Listed::Unusable { folder, error },
    }
}

/// Reads what a list shows, without touching the database.
fn read_header(path: &Path) -> Result<JobHeader, StoreError> {
    let view = look(path, JOB)?;
    let meta = |key: &str| Ok(read_meta(&view.conn, key, path)?.unwrap_or_default());
    let (records, last_at_ms, has_turns): (i64, Option<i64>, bool) = view
        .conn
        .query_row(
            "SELECT count(*), (SELECT recorded_at_ms FROM events ORDER BY seq DESC LIMIT 1), \
             EXISTS (SELECT 1 FROM events WHERE verb IN \
             ('finished', 'left_standing', 'first_start')) FROM events",
            [],
            |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
        )
        .map_err(StoreError::sql(path))?;
    let events = if has_turns { rows::read_after(&view.conn, 0, path)? } else { Vec::new() };
    let state = State::fold(&events);
    Ok(JobHeader {
        id: read_id(&view.conn, path)?,
        title: meta("title")?,
        source: meta("source")?,
        created_at_ms: meta("created_at_ms")?.parse().unwrap_or(0),
        last_at_ms,
        records: u64::try_from(records).unwrap_or(0),
        finished: state.is_finished(),
        given_up: state.given_up.clone(),
        left: state.left.as_ref().map(|left| left.text.clone().unwrap_or_default()),
        started: !state.first_starts.is_empty(),
        reopened: is_reopened(&state, &events),
        letter: read_meta(&view.conn, LETTER, path)?.filter(|letter| !letter.is_empty()),
    })
}

fn is_reopened(state: &State, events: &[Recorded]) -> bool {
    let stands = |recorded: &&Recorded| !state.withdrawn.contains(&recorded.seq);
    let reopened = |recorded: &Recorded| recorded.event.verb == lastbolt_ledger::Verb::Reopened;
    !state.is_finished() && events.iter().filter(stands).any(reopened)
}
