//! The phones that a garage has let in: kept beside its jobs, so that they stay in when the server
//! begins anew. Of what a phone shows to be let in only a hash is kept.

use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use crate::disk::{beside, private_file, sync_dir};
use crate::error::StoreError;
use crate::garage::Garage;
use crate::limits::{PHONE_FILE_BYTES_MAX, PHONES_MAX};

const NAME: &str = "phones.json";
/// The version of the file; another one is refused.
const VERSION: u32 = 1;

/// Holds what a garage remembers about phones.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptPhones {
    /// The version of the file.
    pub version: u32,
    /// A word that tells this garage from others on the same machine: part of a cookie's name.
    pub tag: String,
    /// The number of the phone let in last; none is used twice.
    pub last: u32,
    /// The port served on last where no job was asked for.
    pub port: Option<u16>,
    /// Those that are let in, in the order in which they came.
    pub phones: Vec<KeptPhone>,
}

/// Holds one phone that is let in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptPhone {
    /// The name that the server gave it, as `phone 1`.
    pub name: String,
    /// SHA-256 of what it shows, as 64 hexadecimal digits.
    pub hash: String,
    /// It may see every job.
    pub whole_garage: bool,
    /// Else the ids of those that it may see, the last one let in to last.
    pub jobs: Vec<String>,
    /// When it was let in \[ms since 1970, UTC\].
    pub let_in_at_ms: i64,
    /// When it was last heard, as far as that is kept \[ms since 1970, UTC\].
    pub heard_at_ms: i64,
}

impl KeptPhones {
    /// Gives an empty list for a garage with this tag.
    pub fn new(tag: String) -> Self {
        Self { version: VERSION, tag, ..Self::default() }
    }
}

impl Garage {
    /// Gives what is remembered about phones; none where no phone was ever let in.
    ///
    /// # Errors
    /// Fails when the file cannot be read, is no such file, or is from another version; it is left
    /// as it is.
    pub fn phones(&self) -> Result<Option<KeptPhones>, StoreError> {
        let path = self.phones_path();
        let file = match File::open(&path) {
            Ok(file) => file,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(StoreError::io(&path, "read")(error)),
        };
        let mut text = String::new();
        let read = file.take(PHONE_FILE_BYTES_MAX).read_to_string(&mut text);
        read.map_err(StoreError::io(&path, "read"))?;
        let damaged = |detail: &str| StoreError::Damaged {
            path: path.clone(),
            detail: format!("{detail}; move the file away, then let the phones in anew"),
        };
        let kept: KeptPhones =
            serde_json::from_str(&text).map_err(|_| damaged("it is no list of phones"))?;
        let is_word = |word: &str| {
            (1..=64).contains(&word.len()) && word.bytes().all(|b| b.is_ascii_hexdigit())
        };
        if kept.version != VERSION {
            return Err(damaged("it is from another version"));
        }
        if !is_word(&kept.tag) || kept.phones.iter().any(|phone| !is_word(&phone.hash)) {
            return Err(damaged("a word in it is none that was written here"));
        }
        Ok(Some(kept))
    }

    /// Keeps what is to be remembered about phones in place of what was, readable by the user
    /// only, on the disk when this returns. For the holder of the garage's lock.
    ///
    /// # Errors
    /// Fails when there are more than [`PHONES_MAX`] or the disk does not keep it; the file from
    /// before then stays.
    pub fn keep_phones(&self, phones: &KeptPhones) -> Result<(), StoreError> {
        if phones.phones.len() > PHONES_MAX {
            return Err(StoreError::refused(format!(
                "More than {PHONES_MAX} phones are let in; shut some out first."
            )));
        }
        let path = self.phones_path();
        let text = serde_json::to_string_pretty(phones).map_err(|error| StoreError::Io {
            path: path.clone(),
            doing: "write",
            error: error.into(),
        })?;
        let part = beside(&path, ".part");
        // A leftover part may have other rights: it is made anew.
        let _ = fs::remove_file(&part);
        let written = private_file(&part)
            .and_then(|mut file| file.write_all(text.as_bytes()).and_then(|()| file.sync_all()));
        written.map_err(StoreError::io(&part, "write"))?;
        fs::rename(&part, &path).map_err(StoreError::io(&path, "write"))?;
        sync_dir(self.dir())
    }

    fn phones_path(&self) -> PathBuf {
        self.dir().join(NAME)
    }
}
