//! One open job.

use std::path::{Path, PathBuf};
use std::time::Duration;

use lastbolt_files::Source;
use lastbolt_ledger::{Accepted, Event, Log, Recorded};
use rusqlite::{Connection, OpenFlags, OptionalExtension, TransactionBehavior, params};

use crate::error::StoreError;
use crate::id::JobId;
use crate::limits::{BATCH_MAX, DB_BYTES_MAX, META_BYTES_MAX, PLAN_BYTES_MAX};
use crate::look::{guard, look};
use crate::rows;
use crate::schema::{JOB, migrate};

/// How long a write waits for another one to end.
const WAIT: Duration = Duration::from_secs(5);

/// Says what a kept file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FileRole {
    /// The machine file.
    Machine,
    /// The job file.
    Job,
    /// The garage file.
    Garage,
}

impl FileRole {
    /// Gives the text form.
    pub fn as_str(self) -> &'static str {
        match self {
            FileRole::Machine => "machine",
            FileRole::Job => "job",
            FileRole::Garage => "garage",
        }
    }

    fn read(text: &str) -> Option<FileRole> {
        [FileRole::Machine, FileRole::Job, FileRole::Garage]
            .into_iter()
            .find(|role| role.as_str() == text)
    }
}

/// Holds a file that the job keeps its own copy of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobFile {
    /// Its name, as messages give it; each once in a job.
    pub name: String,
    /// What it is.
    pub role: FileRole,
    /// Its text.
    pub text: String,
}

/// Holds a plan that was kept: derived, so it may be thrown away at any time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptPlan {
    /// The number of the last record that the plan knew.
    pub made_at: u64,
    /// The plan, in the form of whoever kept it.
    pub text: String,
}

/// Holds one job open.
///
/// Invariant: [`Job::log`] has only records that are on disk.
#[derive(Debug)]
pub struct Job {
    conn: Connection,
    path: PathBuf,
    id: JobId,
    log: Log,
}

impl Job {
    /// Opens a job's database, after judging it without touching it, and brings an older one up
    /// to this version.
    ///
    /// # Errors
    /// Fails when it is foreign, damaged or newer; it is then left as it is.
    pub fn open(path: &Path) -> Result<Job, StoreError> {
        drop(look(path, JOB)?);
        let mut conn = open_for_writing(path)?;
        migrate(&mut conn, path)?;
        let mut job =
            Job { id: read_id(&conn, path)?, conn, path: path.to_owned(), log: Log::default() };
        job.refresh()?;
        Ok(job)
    }

    /// Gives its id: the name of its folder where that is one, else what it was begun as.
    pub fn id(&self) -> &JobId {
        &self.id
    }

    /// Gives its database's path.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Gives its folder, if it has one.
    pub fn folder(&self) -> Option<&Path> {
        self.path.parent()
    }

    /// Gives the records as far as they were read or appended here.
    pub fn log(&self) -> &Log {
        &self.log
    }

    /// Gives the records after a number, as [`Log::since`].
    pub fn events_since(&self, seq: u64) -> &[Recorded] {
        self.log.since(seq)
    }

    /// Reads what another program has appended since.
    ///
    /// # Errors
    /// Fails when the database cannot be read or its records are no log.
    pub fn refresh(&mut self) -> Result<(), StoreError> {
        catch_up(&self.conn, &mut self.log, &self.path)
    }

    /// Appends events, each once, all in one transaction, and answers after they are on disk.
    ///
    /// The answers stand in the order of the events. Refused ones do not hinder the others.
    ///
    /// # Errors
    /// Fails as a whole, with nothing recorded, when there are more than [`BATCH_MAX`] or the
    /// disk does not keep them. The sender keeps them and sends them again: those that were
    /// recorded after all are then answered as the same.
    pub fn append(&mut self, events: &[Event], now_ms: i64) -> Result<Vec<Accepted>, StoreError> {
        if events.len() > BATCH_MAX {
            return Err(StoreError::refused(format!(
                "{} entries were sent at once; send at most {BATCH_MAX} at a time.",
                events.len()
            )));
        }
        let Job { conn, path, log, .. } = self;
        let sql = StoreError::sql(path);
        let write = conn.transaction_with_behavior(TransactionBehavior::Immediate).map_err(&sql)?;
        catch_up(&write, log, path)?;
        let before = log.last_seq();
        let answers = events.iter().map(|event| log.accept(event.clone(), now_ms)).collect();
        let kept = rows::insert(&write, log.since(before), path)
            .and_then(|()| write.commit().map_err(&sql));
        if let Err(error) = kept {
            log.forget_after(before);
            return Err(error);
        }
        Ok(answers)
    }

    /// Gives the files that the job keeps, by name.
    ///
    /// # Errors
    /// Fails when the database cannot be read.
    pub fn files(&self) -> Result<Vec<JobFile>, StoreError> {
        let sql = StoreError::sql(&self.path);
        let mut statement =
            self.conn.prepare("SELECT name, role, text FROM files ORDER BY name").map_err(&sql)?;
        let mut rows = statement.query([]).map_err(&sql)?;
        let mut files = Vec::new();
        while let Some(row) = rows.next().map_err(&sql)? {
            let role: String = row.get(1).map_err(&sql)?;
            let role = FileRole::read(&role).ok_or_else(|| StoreError::Damaged {
                path: self.path.clone(),
                detail: "a kept file is of no known kind".into(),
            })?;
            let name = row.get(0).map_err(&sql)?;
            files.push(JobFile { name, role, text: row.get(2).map_err(&sql)? });
        }
        Ok(files)
    }

    /// Gives the texts of those files, as the room of files reads them.
    ///
    /// # Errors
    /// Fails when the database cannot be read.
    pub fn sources(&self) -> Result<Vec<Source>, StoreError> {
        let files = self.files()?.into_iter();
        Ok(files.map(|file| Source::new(file.name, file.text)).collect())
    }

    /// Gives the value kept under a key.
    ///
    /// # Errors
    /// Fails when the database cannot be read.
    pub fn meta(&self, key: &str) -> Result<Option<String>, StoreError> {
        read_meta(&self.conn, key, &self.path)
    }

    /// Keeps a value under a key.
    ///
    /// # Errors
    /// Fails when it is larger than [`META_BYTES_MAX`] or the disk does not keep it.
    pub fn set_meta(&self, key: &str, value: &str) -> Result<(), StoreError> {
        if key.len().max(value.len()) > META_BYTES_MAX {
            return Err(StoreError::refused(format!(
                "The value of \"{}\" is larger than {META_BYTES_MAX} bytes.",
                key.chars().take(40).collect::<String>()
            )));
        }
        write_meta(&self.conn, key, value, &self.path)
    }

    /// Gives the title.
    ///
    /// # Errors
    /// Fails when the database cannot be read.
    pub fn title(&self) -> Result<String, StoreError> {
        Ok(self.meta("title")?.unwrap_or_default())
    }

    /// Gives the path of the file that the job was begun from.
    ///
    /// # Errors
    /// Fails when the database cannot be read.
    pub fn source(&self) -> Result<String, StoreError> {
        Ok(self.meta("source")?.unwrap_or_default())
    }

    /// Gives the word that no other job has, in any garage: what tells whether a backup is of
    /// this job.
    ///
    /// # Errors
    /// Fails when the database cannot be read.
    pub fn unique(&self) -> Result<String, StoreError> {
        Ok(self.meta("unique")?.unwrap_or_default())
    }

    /// Gives the port that the job was served on last.
    ///
    /// # Errors
    /// Fails when the database cannot be read.
    pub fn port(&self) -> Result<Option<u16>, StoreError> {
        Ok(self.meta("port")?.and_then(|port| port.parse().ok()))
    }

    /// Keeps the port, so that the job's address stays the same.
    ///
    /// # Errors
    /// Fails when the disk does not keep it.
    pub fn set_port(&self, port: u16) -> Result<(), StoreError> {
        self.set_meta("port", &port.to_string())
    }

    /// Gives the plan that was kept, if one was.
    ///
    /// # Errors
    /// Fails when the database cannot be read.
    pub fn kept_plan(&self) -> Result<Option<KeptPlan>, StoreError> {
        self.conn
            .query_row("SELECT made_at, text FROM plan WHERE one = 1", [], |row| {
                let made_at = row.get::<_, i64>(0)?;
                Ok(KeptPlan { made_at: u64::try_from(made_at).unwrap_or(0), text: row.get(1)? })
            })
            .optional()
            .map_err(StoreError::sql(&self.path))
    }

    /// Keeps a plan in place of the one before.
    ///
    /// # Errors
    /// Fails when it is larger than [`PLAN_BYTES_MAX`] or the disk does not keep it.
    pub fn keep_plan(&self, plan: &KeptPlan) -> Result<(), StoreError> {
        if plan.text.len() > PLAN_BYTES_MAX {
            return Err(StoreError::refused(format!(
                "The plan is larger than {PLAN_BYTES_MAX} bytes and is not kept."
            )));
        }
        let made_at = i64::try_from(plan.made_at).unwrap_or(i64::MAX);
        self.conn
            .execute(
                "INSERT INTO plan (one, made_at, text) VALUES (1, ?1, ?2) \
                 ON CONFLICT (one) DO UPDATE SET made_at = ?1, text = ?2",
                params![made_at, plan.text],
            )
            .map_err(StoreError::sql(&self.path))?;
        Ok(())
    }

    /// Writes a whole copy of the database as one file, as of now.
    pub(crate) fn copy_into(&self, path: &Path) -> Result<(), StoreError> {
        let mut copy = Connection::open(path).map_err(StoreError::sql(path))?;
        let backup =
            rusqlite::backup::Backup::new(&self.conn, &mut copy).map_err(StoreError::sql(path))?;
        backup.run_to_completion(1024, Duration::ZERO, None).map_err(StoreError::sql(path))?;
        drop(backup);
        copy.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))
            .map_err(StoreError::sql(path))?;
        copy.close().map_err(|(_, error)| StoreError::sql(path)(error))
    }
}

/// Opens a judged database: write-ahead log, every commit on the disk before it is answered.
pub(crate) fn open_for_writing(path: &Path) -> Result<Connection, StoreError> {
    let sql = StoreError::sql(path);
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(path, flags).map_err(&sql)?;
    conn.busy_timeout(WAIT).map_err(&sql)?;
    guard(&conn).map_err(&sql)?;
    let mode: String = conn
        .pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get(0))
        .map_err(&sql)?;
    if mode != "wal" {
        let detail = format!("its journal is \"{mode}\", and only a write-ahead log will do");
        return Err(StoreError::Sql { path: path.to_owned(), detail });
    }
    conn.pragma_update(None, "synchronous", "FULL").map_err(&sql)?;
    // macOS needs more than fsync for the same promise; elsewhere these change nothing.
    conn.pragma_update(None, "fullfsync", true).map_err(&sql)?;
    conn.pragma_update(None, "checkpoint_fullfsync", true).map_err(&sql)?;
    limit_size(&conn, path)?;
    Ok(conn)
}

fn limit_size(conn: &Connection, path: &Path) -> Result<(), StoreError> {
    let sql = StoreError::sql(path);
    let page: i64 = conn.pragma_query_value(None, "page_size", |row| row.get(0)).map_err(&sql)?;
    let most = i64::try_from(DB_BYTES_MAX).unwrap_or(i64::MAX) / page.max(512);
    conn.pragma_update_and_check(None, "max_page_count", most, |_| Ok(())).map_err(&sql)
}

fn catch_up(conn: &Connection, log: &mut Log, path: &Path) -> Result<(), StoreError> {
    for recorded in rows::read_after(conn, log.last_seq(), path)? {
        log.push_stored(recorded).map_err(|error| StoreError::Damaged {
            path: path.to_owned(),
            detail: error.to_string(),
        })?;
    }
    Ok(())
}

pub(crate) fn read_meta(
    conn: &Connection,
    key: &str,
    path: &Path,
) -> Result<Option<String>, StoreError> {
    conn.query_row("SELECT value FROM meta WHERE key = ?1", [key], |row| row.get(0))
        .optional()
        .map_err(StoreError::sql(path))
}

pub(crate) fn write_meta(
    conn: &Connection,
    key: &str,
    value: &str,
    path: &Path,
) -> Result<(), StoreError> {
    conn.execute(
        "INSERT INTO meta (key, value) VALUES (?1, ?2) \
         ON CONFLICT (key) DO UPDATE SET value = ?2",
        [key, value],
    )
    .map_err(StoreError::sql(path))?;
    Ok(())
}

/// Gives the name of the job's folder where that is an id, else the id kept inside.
pub(crate) fn read_id(conn: &Connection, path: &Path) -> Result<JobId, StoreError> {
    let full = std::path::absolute(path).map_err(StoreError::io(path, "read"))?;
    let folder = full.parent().and_then(Path::file_name).and_then(|name| name.to_str());
    let named_as_usual = full.file_name().is_some_and(|name| name == crate::garage::DB_NAME);
    if named_as_usual && let Some(Ok(id)) = folder.map(JobId::new) {
        return Ok(id);
    }
    let kept = read_meta(conn, "id", path)?.unwrap_or_default();
    JobId::new(&kept).map_err(|_| StoreError::Damaged {
        path: path.to_owned(),
        detail: "it does not say which job it is".into(),
    })
}
