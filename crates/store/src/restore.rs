//! Restoring a job from a backup: whole, or not at all.

use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::Connection;

use crate::backup::{PHOTOS, is_photo_name};
use crate::begin::settle;
use crate::container;
use crate::disk::{Scratch, sync_dir, sync_file};
use crate::error::StoreError;
use crate::garage::{DB_NAME, Garage};
use crate::id::JobId;
use crate::job::{open_for_writing, read_meta, write_meta};
use crate::letters::{LETTER, LETTER_WAS};
use crate::limits::PHOTOS_MAX;
use crate::look::look;
use crate::schema::{BACKUP, JOB};

/// How many replaced jobs of one id are kept at most.
const REPLACED_MAX: u32 = 10_000;

impl Garage {
    /// Restores a job from a backup and gives its id.
    ///
    /// With `replace`, a job of that id in the garage is first kept aside in `replaced`; nobody
    /// may have it open. Nothing is ever thrown away.
    ///
    /// # Errors
    /// Fails when the backup is foreign, damaged or newer, or the job is in the garage and
    /// `replace` is not given; then the garage is as it was.
    pub fn restore(&self, file: &Path, replace: bool) -> Result<JobId, StoreError> {
        let view = look(file, BACKUP)?;
        let id = JobId::new(&container::about(&view.conn, "id", file)?).map_err(|_| {
            StoreError::Damaged { path: file.to_owned(), detail: "its job has no id".into() }
        })?;
        let unique = container::about(&view.conn, "unique", file)?;
        let dir = self.job_dir(&id);
        let stands = fs::symlink_metadata(&dir).is_ok();
        if stands && !replace {
            return Err(self.exists(id, &unique));
        }
        let scratch = Scratch::inside(&self.jobs_dir())?;
        unpack_all(&view.conn, scratch.dir(), file)?;
        let db = scratch.dir().join(DB_NAME);
        check_inside(&db, &unique, file)?;
        self.give_free_letter(&db, &id)?;
        let aside = if stands { Some(self.put_aside(&id)?) } else { None };
        let settled = settle(scratch.dir(), &dir);
        if let (Some(aside), false) = (&aside, matches!(settled, Ok(true))) {
            fs::rename(aside, &dir).map_err(StoreError::io(aside, "put back"))?;
        }
        if !settled? {
            return Err(self.exists(id, &unique));
        }
        sync_dir(&self.jobs_dir())?;
        Ok(id)
    }

    /// A letter that another job here has is no letter to know bags by.
    fn give_free_letter(&self, db: &Path, id: &JobId) -> Result<(), StoreError> {
        let (used, free) = self.free_letter(id.as_str())?;
        let view = look(db, JOB)?;
        let own = read_meta(&view.conn, LETTER, db)?;
        drop(view);
        if own.as_ref().is_some_and(|own| !used.contains(own)) {
            return Ok(());
        }
        let conn = open_for_writing(db)?;
        write_meta(&conn, LETTER, &free, db)?;
        if let Some(own) = own {
            write_meta(&conn, LETTER_WAS, &own, db)?;
        }
        conn.close().map_err(|(_, error)| StoreError::sql(db)(error))?;
        sync_file(db)
    }

    fn exists(&self, id: JobId, unique: &str) -> StoreError {
        let path = self.job_dir(&id).join(DB_NAME);
        let here = look(&path, JOB).and_then(|view| read_meta(&view.conn, "unique", &path));
        let other_job = matches!(here, Ok(Some(here)) if here != unique);
        StoreError::JobExists { id, other_job }
    }

    fn put_aside(&self, id: &JobId) -> Result<PathBuf, StoreError> {
        let replaced = self.replaced_dir();
        fs::create_dir_all(&replaced).map_err(StoreError::io(&replaced, "create"))?;
        for number in 1..=REPLACED_MAX {
            let aside = replaced.join(format!("{id}.{number}"));
            if settle(&self.job_dir(id), &aside)? {
                sync_dir(&replaced)?;
                return Ok(aside);
            }
        }
        Err(StoreError::refused(format!(
            "{}: too many replaced jobs are kept; move some away.",
            replaced.display()
        )))
    }
}

/// Writes every file of a backup into an empty folder. Names that a backup never has are damage.
fn unpack_all(conn: &Connection, dir: &Path, path: &Path) -> Result<(), StoreError> {
    let damaged =
        |detail: &str| StoreError::Damaged { path: path.to_owned(), detail: detail.to_owned() };
    let names = container::names(conn, path)?;
    if names.len() > PHOTOS_MAX + 1 {
        return Err(damaged("it has too many files"));
    }
    let photos = dir.join(PHOTOS);
    for name in &names {
        let to = match name.strip_prefix(PHOTOS).and_then(|rest| rest.strip_prefix('/')) {
            Some(photo) if is_photo_name(photo) => {
                fs::create_dir_all(&photos).map_err(StoreError::io(&photos, "create"))?;
                photos.join(photo)
            }
            None if name == DB_NAME => dir.join(DB_NAME),
            _ => return Err(damaged("it has a file that no backup has")),
        };
        let mut out = fs::File::create_new(&to).map_err(StoreError::io(&to, "create"))?;
        container::unpack(conn, name, &mut out, &to, path)?;
        drop(out);
        sync_file(&to)?;
    }
    if photos.is_dir() {
        sync_dir(&photos)?;
    }
    sync_dir(dir)
}

/// Judges the database that was in a backup as any other, and that it is the job it says.
fn check_inside(db: &Path, unique: &str, backup: &Path) -> Result<(), StoreError> {
    let named = |error| match error {
        StoreError::Newer { version, known, .. } => {
            StoreError::Newer { path: backup.to_owned(), version, known }
        }
        other => StoreError::Damaged {
            path: backup.to_owned(),
            detail: format!("the job in it cannot be used: {other}"),
        },
    };
    let view = look(db, JOB).map_err(named)?;
    if read_meta(&view.conn, "unique", db)?.as_deref() != Some(unique) {
        return Err(StoreError::Damaged {
            path: backup.to_owned(),
            detail: "the job in it is another one".into(),
        });
    }
    Ok(())
}
