//! The one writer of a garage, and where the running server is found.

use std::fmt;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::disk::{beside, private_file};
use crate::error::StoreError;
use crate::garage::Garage;
use crate::limits::SERVING_BYTES_MAX;

const LOCK_NAME: &str = "garage.lock";
const SERVING_NAME: &str = "serving.json";
/// A reader holds the lock for an instant to see whether it is free: so a writer tries again.
const TRIES: u32 = 10;
const BETWEEN_TRIES: Duration = Duration::from_millis(10);

/// Says where a running server is found, for commands on the same machine.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Serving {
    /// The version of the program.
    pub version: String,
    /// Its process number.
    pub pid: u32,
    /// Its address, as `http://127.0.0.1:4000`.
    pub address: String,
    /// What a command shows to be let in. Never printed.
    pub token: String,
}

impl fmt::Debug for Serving {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Serving")
            .field("version", &self.version)
            .field("pid", &self.pid)
            .field("address", &self.address)
            .finish_non_exhaustive()
    }
}

/// Says who writes in a garage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Who {
    /// Nobody: the lock is free.
    Nobody,
    /// A command, or a server that has not said yet where it is.
    Somebody,
    /// A server.
    Server(Serving),
}

impl Serving {
    /// Reads where the server of a garage is; none when nothing serves it, whatever an old side
    /// file says.
    ///
    /// # Errors
    /// Fails when the lock cannot be tried.
    pub fn read(dir: &Path) -> Result<Option<Serving>, StoreError> {
        match who(dir)? {
            Who::Server(serving) => Ok(Some(serving)),
            Who::Nobody | Who::Somebody => Ok(None),
        }
    }
}

/// Tells who writes in a garage folder.
///
/// # Errors
/// Fails when the lock cannot be tried.
pub fn who(dir: &Path) -> Result<Who, StoreError> {
    let path = dir.join(LOCK_NAME);
    let file = match File::open(&path) {
        Ok(file) => file,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Who::Nobody),
        Err(error) => return Err(StoreError::io(&path, "read")(error)),
    };
    // Shared, so that two who only look never take each other for a writer.
    match file.try_lock_shared() {
        Ok(()) => Ok(Who::Nobody),
        Err(TryLockError::WouldBlock) => Ok(read_side_file(dir).map_or(Who::Somebody, Who::Server)),
        Err(TryLockError::Error(error)) => Err(StoreError::io(&path, "lock")(error)),
    }
}

fn read_side_file(dir: &Path) -> Option<Serving> {
    let file = File::open(dir.join(SERVING_NAME)).ok()?;
    let mut text = String::new();
    file.take(SERVING_BYTES_MAX).read_to_string(&mut text).ok()?;
    serde_json::from_str(&text).ok()
}

/// Holds the right to write in a garage; the operating system gives it to one process at a time
/// and takes it back from a killed one. Dropping it gives it up.
#[derive(Debug)]
pub struct GarageLock {
    /// Locked as long as it is open.
    _file: File,
    garage: Garage,
}

impl GarageLock {
    /// Takes the lock of a garage folder, making the folder if it is not there, and removes what
    /// a killed writer left unfinished.
    ///
    /// # Errors
    /// Fails when another process holds it ([`StoreError::Held`]) or the file cannot be made.
    pub fn acquire(dir: &Path) -> Result<GarageLock, StoreError> {
        let garage = Garage::open(dir)?;
        let path = garage.dir().join(LOCK_NAME);
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(&path)
            .map_err(StoreError::io(&path, "create"))?;
        for attempt in 1..=TRIES {
            match file.try_lock() {
                Ok(()) => {
                    let lock = GarageLock { _file: file, garage };
                    lock.forget_serving();
                    lock.garage.sweep();
                    return Ok(lock);
                }
                Err(TryLockError::WouldBlock) if attempt < TRIES => {
                    std::thread::sleep(BETWEEN_TRIES);
                }
                Err(TryLockError::WouldBlock) => break,
                Err(TryLockError::Error(error)) => {
                    return Err(StoreError::io(&path, "lock")(error));
                }
            }
        }
        let held_by = read_side_file(garage.dir()).map_or(Who::Somebody, Who::Server);
        Err(StoreError::Held { garage: garage.dir().to_owned(), who: held_by })
    }

    /// Gives the garage that is locked.
    pub fn garage(&self) -> &Garage {
        &self.garage
    }

    /// Says where this process serves, in a side file that only the user can read.
    ///
    /// # Errors
    /// Fails when the file cannot be written.
    pub fn announce(&self, serving: &Serving) -> Result<(), StoreError> {
        let path = self.serving_path();
        let part = beside(&path, ".part");
        let text = serde_json::to_string(serving).map_err(|error| StoreError::Io {
            path: path.clone(),
            doing: "write",
            error: error.into(),
        })?;
        // A leftover part may have other rights: it is made anew.
        let _ = fs::remove_file(&part);
        let written = private_file(&part).and_then(|mut file| file.write_all(text.as_bytes()));
        written.map_err(StoreError::io(&part, "write"))?;
        fs::rename(&part, &path).map_err(StoreError::io(&path, "write"))
    }

    fn serving_path(&self) -> PathBuf {
        self.garage.dir().join(SERVING_NAME)
    }

    fn forget_serving(&self) {
        // One that stays is ignored as soon as the lock is free.
        let _ = fs::remove_file(self.serving_path());
    }
}

impl Drop for GarageLock {
    fn drop(&mut self) {
        self.forget_serving();
    }
}
