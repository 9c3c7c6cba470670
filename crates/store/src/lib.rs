//! The garage folder: one job one SQLite file, the lock of its one writer, backups.
//!
//! Layout, invariants, recovery, versions and limits stand in `docs/garage-folder.md`.
//!
//! * [`Garage`]: the folder; lists, begins and opens jobs, backs up and restores;
//! * [`Job`]: one open job; appends events, and answers only after they are on disk;
//! * [`Photos`]: the pictures of a job, files named by their content;
//! * [`GarageLock`] and [`Serving`]: who writes, and where the running server is found.
//!
//! A foreign, damaged or newer file is refused with a sentence and left as it is, byte for byte.

mod backup;
mod begin;
mod container;
mod disk;
mod error;
mod garage;
mod home;
mod id;
mod job;
mod letters;
mod limits;
mod lock;
mod look;
mod own_file;
mod phones;
mod photos;
mod restore;
mod rows;
mod schema;

pub use error::StoreError;
pub use garage::{Garage, Headers, JobHeader, Listed};
pub use home::default_garage_dir;
pub use id::JobId;
pub use job::{FileRole, Job, JobFile, KeptPlan};
pub use letters::letters;
pub use limits::{
    BATCH_MAX, DB_BYTES_MAX, FILE_BYTES_MAX, FILES_MAX, GARAGE_FILE_BYTES_MAX,
    JOB_PHOTOS_BYTES_MAX, JOB_PHOTOS_MAX, JOBS_MAX, META_BYTES_MAX, PHONES_MAX, PHOTO_BYTES_MAX,
    PHOTOS_MAX, PLAN_BYTES_MAX, SOURCE_CHARS_MAX, TITLE_CHARS_MAX,
};
pub use lock::{GarageLock, Serving, Who, who};
pub use phones::{KeptPhone, KeptPhones};
pub use photos::{PhotoSize, Photos};
pub use schema::{BACKUP_APPLICATION_ID, BACKUP_VERSION, JOB_APPLICATION_ID, JOB_VERSION};

use rusqlite::Connection;

/// Makes a token of 32 random hexadecimal digits, for [`Serving::token`] and the like.
///
/// # Errors
/// Fails when the random source of the embedded database does not open.
pub fn random_token() -> Result<String, StoreError> {
    let failed = |error: rusqlite::Error| StoreError::Sql {
        path: "the random source".into(),
        detail: error.to_string(),
    };
    let conn = Connection::open_in_memory().map_err(failed)?;
    conn.query_row("SELECT lower(hex(randomblob(16)))", [], |row| row.get(0)).map_err(failed)
}
