//! Beginning a job: whole, or not at all.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use rusqlite::Connection;

use crate::disk::{Scratch, sync_dir, sync_file};
use crate::error::StoreError;
use crate::garage::{DB_NAME, Garage};
use crate::id::{JobId, slug};
use crate::job::{JobFile, write_meta};
use crate::letters::LETTER;
use crate::limits::{FILE_BYTES_MAX, FILES_MAX, SOURCE_CHARS_MAX, TITLE_CHARS_MAX};
use crate::schema::{JOB_APPLICATION_ID, migrate};

/// How many numbers are tried before giving up.
const NUMBERS_MAX: u32 = 1000;

impl Garage {
    /// Begins a job: makes its folder and database with its own copy of the files, and gives its
    /// id. `source` is the path of the file that it is begun from; `now_ms` \[ms since 1970,
    /// UTC\] is kept as the time it was begun.
    ///
    /// It is made in an unfinished folder that then gets its name, so there is never half a job.
    ///
    /// # Errors
    /// Fails when a limit is passed or the disk does not keep it; then there is no new job.
    pub fn begin(
        &self,
        title: &str,
        source: &str,
        files: &[JobFile],
        now_ms: i64,
    ) -> Result<JobId, StoreError> {
        check(title, source, files)?;
        let slug = slug(title);
        let first = self.next_number(&slug)?;
        let (_, letter) = self.free_letter("")?;
        let jobs = self.jobs_dir();
        for number in first..first.saturating_add(NUMBERS_MAX) {
            let id = JobId::numbered(&slug, number);
            let scratch = Scratch::inside(&jobs)?;
            let db = scratch.dir().join(DB_NAME);
            let about = [("title", title), ("source", source), (LETTER, letter.as_str())];
            create_db(&db, &id, &about, files, now_ms)?;
            sync_file(&db)?;
            sync_dir(scratch.dir())?;
            if settle(scratch.dir(), &self.job_dir(&id))? {
                sync_dir(&jobs)?;
                return Ok(id);
            }
        }
        Err(StoreError::refused(format!(
            "There are too many jobs named \"{slug}\" in {}; give this one another title.",
            self.dir().display()
        )))
    }

    /// One more than the highest number that this slug has, so that an id is not soon used again.
    fn next_number(&self, slug: &str) -> Result<u32, StoreError> {
        let mut highest = 0;
        for dir in [self.jobs_dir(), self.replaced_dir()] {
            let entries = match fs::read_dir(&dir) {
                Ok(entries) => entries,
                Err(error) if error.kind() == std::io::ErrorKind::NotFound => continue,
                Err(error) => return Err(StoreError::io(&dir, "read")(error)),
            };
            for entry in entries {
                let entry = entry.map_err(StoreError::io(&dir, "read"))?;
                let name = entry.file_name();
                // A replaced one has ".1" and so on after its id.
                let id = name.to_str().and_then(|name| name.split('.').next());
                let id = id.and_then(|id| JobId::new(id).ok());
                let number = id.and_then(|id| id.number_after(slug)).unwrap_or(0);
                highest = highest.max(number);
            }
        }
        Ok(highest.saturating_add(1))
    }
}

/// Gives an unfinished folder its name; tells whether that was free.
pub(crate) fn settle(unfinished: &Path, dir: &Path) -> Result<bool, StoreError> {
    if fs::symlink_metadata(dir).is_ok() {
        return Ok(false);
    }
    // A folder of that name with something in it, made just now, still refuses the rename.
    match fs::rename(unfinished, dir) {
        Ok(()) => Ok(true),
        Err(_) if fs::symlink_metadata(dir).is_ok() => Ok(false),
        Err(error) => Err(StoreError::io(dir, "create")(error)),
    }
}

fn create_db(
    path: &Path,
    id: &JobId,
    about: &[(&str, &str)],
    files: &[JobFile],
    now_ms: i64,
) -> Result<(), StoreError> {
    let sql = StoreError::sql(path);
    let mut conn = Connection::open(path).map_err(&sql)?;
    conn.pragma_update(None, "synchronous", "FULL").map_err(&sql)?;
    conn.pragma_update(None, "application_id", JOB_APPLICATION_ID).map_err(&sql)?;
    migrate(&mut conn, path)?;
    let write = conn.transaction().map_err(&sql)?;
    let unique = crate::random_token()?;
    let created = now_ms.to_string();
    let own = [
        ("id", id.as_str()),
        ("unique", &unique),
        ("created_at_ms", &created),
        ("made_by", concat!("lastbolt ", env!("CARGO_PKG_VERSION"))),
    ];
    for (key, value) in own.iter().chain(about) {
        write_meta(&write, key, value, path)?;
    }
    for file in files {
        write
            .execute(
                "INSERT INTO files (name, role, text) VALUES (?1, ?2, ?3)",
                [file.name.as_str(), file.role.as_str(), file.text.as_str()],
            )
            .map_err(&sql)?;
    }
    write.commit().map_err(&sql)?;
    conn.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())).map_err(&sql)?;
    conn.close().map_err(|(_, error)| sql(error))
}

fn check(title: &str, source: &str, files: &[JobFile]) -> Result<(), StoreError> {
    let too_long = |text: &str, most: usize| text.chars().count() > most;
    if title.trim().is_empty() || too_long(title, TITLE_CHARS_MAX) {
        return Err(StoreError::refused(format!(
            "A job's title has 1 to {TITLE_CHARS_MAX} characters; give it one."
        )));
    }
    if too_long(source, SOURCE_CHARS_MAX) {
        return Err(StoreError::refused(format!(
            "The path of the file is longer than {SOURCE_CHARS_MAX} characters; move the file."
        )));
    }
    if files.len() > FILES_MAX {
        return Err(StoreError::refused(format!("A job keeps at most {FILES_MAX} files.")));
    }
    let mut names = BTreeSet::new();
    for file in files {
        if file.name.is_empty() || too_long(&file.name, SOURCE_CHARS_MAX) {
            return Err(StoreError::refused(format!(
                "A kept file's name has 1 to {SOURCE_CHARS_MAX} characters."
            )));
        }
        if file.text.len() > FILE_BYTES_MAX {
            return Err(StoreError::refused(format!(
                "{}: the file is larger than {} MiB; a job does not keep it.",
                file.name,
                FILE_BYTES_MAX / (1024 * 1024)
            )));
        }
        if !names.insert(&file.name) {
            return Err(StoreError::refused(format!(
                "{}: two files of one job have this name.",
                file.name
            )));
        }
    }
    Ok(())
}
