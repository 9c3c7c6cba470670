//! `garage.toml`: what the garage has once and for all. A file for people; here it is text.

use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::PathBuf;

use crate::disk::{beside, sync_dir};
use crate::error::StoreError;
use crate::garage::Garage;
use crate::limits::GARAGE_FILE_BYTES_MAX;

const NAME: &str = "garage.toml";

impl Garage {
    /// Gives the path of the garage file, whether or not it is there.
    pub fn own_file_path(&self) -> PathBuf {
        self.dir().join(NAME)
    }

    /// Gives the text of the garage file; none where there is none.
    ///
    /// # Errors
    /// Fails when it cannot be read, is larger than [`GARAGE_FILE_BYTES_MAX`], or is no text in
    /// UTF-8; it is left as it is.
    pub fn own_file(&self) -> Result<Option<String>, StoreError> {
        let path = self.own_file_path();
        let file = match File::open(&path) {
            Ok(file) => file,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(StoreError::io(&path, "read")(error)),
        };
        let mut bytes = Vec::new();
        let read = file.take(GARAGE_FILE_BYTES_MAX + 1).read_to_end(&mut bytes);
        read.map_err(StoreError::io(&path, "read"))?;
        if bytes.len() as u64 > GARAGE_FILE_BYTES_MAX {
            return Err(StoreError::TooBig { path, most: GARAGE_FILE_BYTES_MAX });
        }
        let text = String::from_utf8(bytes).map_err(|_| {
            StoreError::refused(format!(
                "{}: this is no plain text in UTF-8; save it as that in an editor.",
                path.display()
            ))
        })?;
        Ok(Some(text))
    }

    /// Puts a text in place of the garage file, on the disk when this returns. For the holder of
    /// the garage's lock.
    ///
    /// # Errors
    /// Fails when the disk does not keep it; the file from before then stays.
    pub fn keep_own_file(&self, text: &str) -> Result<(), StoreError> {
        // Where the file is a link, what it leads to is changed and the link stays.
        let named = self.own_file_path();
        let path = fs::canonicalize(&named).unwrap_or(named);
        let part = beside(&path, ".part");
        let _ = fs::remove_file(&part);
        let written = File::create(&part)
            .and_then(|mut file| file.write_all(text.as_bytes()).and_then(|()| file.sync_all()));
        written.map_err(StoreError::io(&part, "write"))?;
        if let Ok(before) = fs::metadata(&path) {
            // Who may read it stays as the user has set it; one that cannot be set so is no loss.
            let _ = fs::set_permissions(&part, before.permissions());
        }
        fs::rename(&part, &path).map_err(StoreError::io(&path, "write"))?;
        path.parent().map_or(Ok(()), sync_dir)
    }
}
