//! Backing a job up into one file.

use std::fs;
use std::path::Path;

use crate::container::{self, Packed};
use crate::disk::{Scratch, sync_dir, sync_file};
use crate::error::StoreError;
use crate::garage::DB_NAME;
use crate::job::Job;
use crate::limits::{PHOTO_BYTES_MAX, PHOTOS_MAX};
use crate::look::look;
use crate::schema::{BACKUP, JOB};

/// The folder of photos in a job's folder, and how their names begin in a backup.
pub(crate) const PHOTOS: &str = "photos";

impl Job {
    /// Writes a backup of the job, database and photos, as one file; `now_ms` \[ms since 1970,
    /// UTC\] is kept in it. The job may go on meanwhile.
    ///
    /// It is made beside the destination, checked whole, and only then gets its name. An older
    /// backup of the same job is replaced; anything else that stands there is left.
    ///
    /// # Errors
    /// Fails when the destination is taken or the disk does not keep it; what stood there stands.
    pub fn backup(&self, file: &Path, now_ms: i64) -> Result<(), StoreError> {
        let file = std::path::absolute(file).map_err(StoreError::io(file, "find"))?;
        let unique = self.unique()?;
        check_destination(&file, &unique)?;
        let folder = file.parent().unwrap_or(Path::new("."));
        let scratch = Scratch::inside(folder)?;
        let copy = scratch.dir().join(DB_NAME);
        self.copy_into(&copy)?;
        drop(look(&copy, JOB)?);
        let part = scratch.dir().join("backup");
        let title = self.title()?;
        let about = [
            ("id", self.id().as_str()),
            ("unique", unique.as_str()),
            ("title", title.as_str()),
            ("made_at_ms", &now_ms.to_string()),
            ("made_by", concat!("lastbolt ", env!("CARGO_PKG_VERSION"))),
        ];
        let mut files = vec![Packed { name: DB_NAME.to_owned(), from: copy }];
        files.extend(self.photo_files()?);
        container::write(&part, &about, &files)?;
        prove(&part)?;
        sync_file(&part)?;
        fs::rename(&part, &file).map_err(StoreError::io(&file, "write"))?;
        sync_dir(folder)
    }

    fn photo_files(&self) -> Result<Vec<Packed>, StoreError> {
        let Some(dir) = self.folder().map(|folder| folder.join(PHOTOS)) else {
            return Ok(Vec::new());
        };
        let entries = match fs::read_dir(&dir) {
            Ok(entries) => entries,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => return Err(StoreError::io(&dir, "read")(error)),
        };
        let mut photos = Vec::new();
        for entry in entries {
            let entry = entry.map_err(StoreError::io(&dir, "read"))?;
            let about = entry.metadata().map_err(StoreError::io(&entry.path(), "read"))?;
            let name = entry.file_name();
            let Some(name) = name.to_str().filter(|name| is_photo_name(name)) else { continue };
            if !about.is_file() {
                continue;
            }
            if about.len() > PHOTO_BYTES_MAX {
                return Err(StoreError::TooBig { path: entry.path(), most: PHOTO_BYTES_MAX });
            }
            photos.push(Packed { name: format!("{PHOTOS}/{name}"), from: entry.path() });
            if photos.len() > PHOTOS_MAX {
                return Err(StoreError::refused(format!(
                    "{}: there are more than {PHOTOS_MAX} photos; a backup does not hold them.",
                    dir.display()
                )));
            }
        }
        photos.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(photos)
    }
}

/// Tells whether a name is one of a photo: nothing that leads out of its folder, nothing hidden.
pub(crate) fn is_photo_name(name: &str) -> bool {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-');
    (1..=100).contains(&name.len()) && !name.starts_with('.') && name.chars().all(plain)
}

fn check_destination(file: &Path, unique: &str) -> Result<(), StoreError> {
    if fs::symlink_metadata(file).is_err() {
        return Ok(());
    }
    let taken = || StoreError::DestinationTaken { path: file.to_owned() };
    let old = look(file, BACKUP).map_err(|_| taken())?;
    match container::about(&old.conn, "unique", file) {
        Ok(of) if of == unique && !unique.is_empty() => Ok(()),
        _ => Err(taken()),
    }
}

/// Reads a written backup back, every byte of it.
fn prove(part: &Path) -> Result<(), StoreError> {
    let view = look(part, BACKUP)?;
    for name in container::names(&view.conn, part)? {
        container::unpack(&view.conn, &name, &mut std::io::sink(), part, part)?;
    }
    Ok(())
}
