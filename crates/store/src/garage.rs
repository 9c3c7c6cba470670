//! The garage folder: its layout, its list of jobs, and finding one.

use std::fs;
use std::path::{Path, PathBuf};

use lastbolt_ledger::State;

use crate::disk::UNFINISHED;
use crate::error::StoreError;
use crate::id::JobId;
use crate::job::{Job, read_id, read_meta};
use crate::limits::JOBS_MAX;
use crate::look::look;
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
        Ok(folders.into_iter().map(list_one).collect())
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

fn list_one(folder: PathBuf) -> Listed {
    match read_header(&folder.join(DB_NAME)) {
        Ok(header) => Listed::Job(header),
        Err(error) => Listed::Unusable { folder, error },
    }
}

/// Reads what a list shows, without touching the database.
fn read_header(path: &Path) -> Result<JobHeader, StoreError> {
    let view = look(path, JOB)?;
    let meta = |key: &str| Ok(read_meta(&view.conn, key, path)?.unwrap_or_default());
    let (records, last_at_ms, may_be_finished): (i64, Option<i64>, bool) = view
        .conn
        .query_row(
            "SELECT count(*), (SELECT recorded_at_ms FROM events ORDER BY seq DESC LIMIT 1), \
             EXISTS (SELECT 1 FROM events WHERE verb = 'finished') FROM events",
            [],
            |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
        )
        .map_err(StoreError::sql(path))?;
    let finished =
        may_be_finished && State::fold(&rows::read_after(&view.conn, 0, path)?).is_finished();
    Ok(JobHeader {
        id: read_id(&view.conn, path)?,
        title: meta("title")?,
        source: meta("source")?,
        created_at_ms: meta("created_at_ms")?.parse().unwrap_or(0),
        last_at_ms,
        records: u64::try_from(records).unwrap_or(0),
        finished,
    })
}
