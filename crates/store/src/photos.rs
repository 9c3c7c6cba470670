//! A job's pictures: files named by their content, each with a small copy beside it.

use std::fs;
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use crate::backup::PHOTOS;
use crate::disk::{Scratch, sync_dir, sync_file};
use crate::error::StoreError;
use crate::garage::Garage;
use crate::id::JobId;
use crate::job::Job;
use crate::limits::{JOB_PHOTOS_BYTES_MAX, JOB_PHOTOS_MAX, PHOTO_BYTES_MAX};

/// How many characters the name of a picture has: SHA-256 in hexadecimal digits.
const NAME_CHARS: usize = 64;
/// The endings of a picture's two files.
const ENDINGS: [&str; 2] = [".jpg", ".s.jpg"];

/// Says which file of a picture is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhotoSize {
    /// The picture itself.
    Whole,
    /// Its small copy.
    Small,
}

/// Holds the folder of one job's pictures.
///
/// A picture that no entry mentions is harmless; one that is mentioned and missing is shown as
/// missing. So a picture is kept first and mentioned afterwards, in that order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photos {
    /// The job's folder.
    folder: PathBuf,
}

impl Garage {
    /// Gives the pictures of a job, whether or not it is there.
    pub fn photos(&self, id: &JobId) -> Photos {
        Photos { folder: self.job_dir(id) }
    }
}

impl Job {
    /// Gives the job's pictures.
    pub fn photos(&self) -> Photos {
        Photos { folder: self.folder().unwrap_or(Path::new(".")).to_owned() }
    }
}

impl Photos {
    /// Keeps a picture and its small copy under the name of its content; tells whether it is new.
    /// Only for the one writer of the garage, one at a time.
    ///
    /// Both are written under another name, brought to the disk, and then renamed, the picture
    /// itself last: where it is, the small one is.
    ///
    /// # Errors
    /// Fails when the name is none, a limit is passed, or the disk does not keep it; a picture
    /// kept before stands.
    pub fn keep(&self, name: &str, whole: &[u8], small: &[u8]) -> Result<bool, StoreError> {
        check_name(name)?;
        let dir = self.folder.join(PHOTOS);
        let files = [(PhotoSize::Small, small), (PhotoSize::Whole, whole)];
        let stands = |(size, bytes): &(PhotoSize, &[u8])| {
            fs::metadata(self.path(name, *size))
                .is_ok_and(|about| about.is_file() && about.len() == bytes.len() as u64)
        };
        if files.iter().all(stands) {
            return Ok(false);
        }
        self.check_room(whole.len().max(small.len()) as u64, (whole.len() + small.len()) as u64)?;
        // Beside the job's folder: swept with other unfinished work if this ends here.
        let parent = self.folder.parent().unwrap_or(&self.folder);
        let scratch = Scratch::inside(parent)?;
        if let Err(error) = fs::create_dir(&dir) {
            if error.kind() != ErrorKind::AlreadyExists {
                return Err(StoreError::io(&dir, "create")(error));
            }
        } else {
            sync_dir(&self.folder)?;
        }
        for (size, bytes) in files {
            let path = self.path(name, size);
            let part = scratch.dir().join(file_name(name, size));
            let written = fs::File::create_new(&part).and_then(|mut file| file.write_all(bytes));
            written.map_err(StoreError::io(&path, "write"))?;
            sync_file(&part)?;
            fs::rename(&part, &path).map_err(StoreError::io(&path, "write"))?;
        }
        sync_dir(&dir)?;
        Ok(true)
    }

    /// Gives a picture's file; none where it is not there. Where only the small copy is missing
    /// the picture itself stands in for it.
    ///
    /// # Errors
    /// Fails when the name is none, or the file cannot be read.
    pub fn read(&self, name: &str, size: PhotoSize) -> Result<Option<Vec<u8>>, StoreError> {
        check_name(name)?;
        let path = self.path(name, size);
        match fs::File::open(&path) {
            Ok(file) => {
                let mut bytes = Vec::new();
                let read = file.take(PHOTO_BYTES_MAX).read_to_end(&mut bytes);
                read.map_err(StoreError::io(&path, "read"))?;
                Ok(Some(bytes))
            }
            Err(error) if error.kind() != ErrorKind::NotFound => {
                Err(StoreError::io(&path, "read")(error))
            }
            Err(_) if size == PhotoSize::Small => self.read(name, PhotoSize::Whole),
            Err(_) => Ok(None),
        }
    }

    /// Tells whether a picture is there.
    pub fn has(&self, name: &str) -> bool {
        check_name(name).is_ok() && self.path(name, PhotoSize::Whole).is_file()
    }

    fn path(&self, name: &str, size: PhotoSize) -> PathBuf {
        self.folder.join(PHOTOS).join(file_name(name, size))
    }

    /// Looks whether one more picture is within the limits.
    fn check_room(&self, largest: u64, more: u64) -> Result<(), StoreError> {
        if largest > PHOTO_BYTES_MAX {
            return Err(StoreError::refused(format!(
                "The picture is larger than {} MiB and is not kept.",
                PHOTO_BYTES_MAX / (1024 * 1024)
            )));
        }
        let dir = self.folder.join(PHOTOS);
        let entries = match fs::read_dir(&dir) {
            Ok(entries) => entries,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
            Err(error) => return Err(StoreError::io(&dir, "read")(error)),
        };
        let (mut pictures, mut bytes) = (0, 0_u64);
        for entry in entries {
            let entry = entry.map_err(StoreError::io(&dir, "read"))?;
            let about = entry.metadata().map_err(StoreError::io(&entry.path(), "read"))?;
            let name = entry.file_name();
            pictures += usize::from(!name.as_encoded_bytes().ends_with(ENDINGS[1].as_bytes()));
            bytes = bytes.saturating_add(about.len());
        }
        if pictures >= JOB_PHOTOS_MAX || bytes.saturating_add(more) > JOB_PHOTOS_BYTES_MAX {
            return Err(StoreError::refused(format!(
                "This job has {pictures} pictures of {} MiB in all; a job keeps at most \
                 {JOB_PHOTOS_MAX}, and at most {} MiB. Nothing was kept.",
                bytes / (1024 * 1024),
                JOB_PHOTOS_BYTES_MAX / (1024 * 1024)
            )));
        }
        Ok(())
    }
}

fn file_name(name: &str, size: PhotoSize) -> String {
    let ending = match size {
        PhotoSize::Whole => ENDINGS[0],
        PhotoSize::Small => ENDINGS[1],
    };
    format!("{name}{ending}")
}

/// A name that leads nowhere else.
fn check_name(name: &str) -> Result<(), StoreError> {
    let is_digit = |c: char| c.is_ascii_digit() || ('a'..='f').contains(&c);
    if name.len() == NAME_CHARS && name.chars().all(is_digit) {
        return Ok(());
    }
    Err(StoreError::refused(format!(
        "A picture's name has {NAME_CHARS} hexadecimal digits in small letters."
    )))
}
