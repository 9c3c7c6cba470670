//! The job database's versions: one ordered list of migrations, only ever appended to.
//!
//! How to add one: 1. append its SQL to [`MIGRATIONS`]; 2. add what it makes to [`probes`];
//! 3. keep a database of the version before as a fixture in `tests/data` and open it in
//! `tests/versions.rs`; 4. a row in `docs/garage-folder.md`.

use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};

use crate::error::StoreError;

/// Marks a job database ("LBJB" in ASCII), in bytes 68 to 71 of the file.
pub const JOB_APPLICATION_ID: i32 = 0x4C42_4A42;
/// Marks a backup ("LBBK" in ASCII).
pub const BACKUP_APPLICATION_ID: i32 = 0x4C42_424B;
/// The newest version of a job database that is known here.
pub const JOB_VERSION: i32 = MIGRATIONS.len() as i32;
/// The newest version of a backup that is known here.
pub const BACKUP_VERSION: i32 = 1;

/// Migration `i` leads from version `i` to version `i + 1`.
const MIGRATIONS: [&str; 4] = [
    "CREATE TABLE meta (
       key   TEXT NOT NULL PRIMARY KEY,
       value TEXT NOT NULL
     ) STRICT;
     CREATE TABLE files (
       name TEXT NOT NULL PRIMARY KEY,
       role TEXT NOT NULL CHECK (role IN ('machine', 'job', 'garage')),
       text TEXT NOT NULL
     ) STRICT;
     CREATE TABLE events (
       seq            INTEGER NOT NULL PRIMARY KEY,
       id             TEXT NOT NULL UNIQUE,
       recorded_at_ms INTEGER NOT NULL,
       sender         TEXT NOT NULL,
       count          INTEGER NOT NULL,
       seen           INTEGER NOT NULL,
       said_at_ms     INTEGER NOT NULL,
       verb           TEXT NOT NULL,
       thing          TEXT,
       spot           TEXT,
       tool           TEXT,
       person         TEXT,
       note           TEXT,
       pieces         INTEGER,
       of             TEXT
     ) STRICT;",
    "CREATE TABLE plan (
       one     INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
       made_at INTEGER NOT NULL,
       text    TEXT NOT NULL
     ) STRICT;",
    "ALTER TABLE events ADD COLUMN more TEXT;",
    // Words only: the verbs from `noted` on, which an older version would not understand.
    "SELECT 1;",
];

/// A kind of file of ours, as its first bytes tell.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Kind {
    pub(crate) application_id: i32,
    pub(crate) version: i32,
    pub(crate) noun: &'static str,
    pub(crate) bytes_max: u64,
    /// Gives queries that must be possible in a file of that version.
    pub(crate) probes: fn(i64) -> &'static [&'static str],
}

/// A job's database.
pub(crate) const JOB: Kind = Kind {
    application_id: JOB_APPLICATION_ID,
    version: JOB_VERSION,
    noun: "job",
    bytes_max: crate::limits::DB_BYTES_MAX,
    probes,
};

/// A backup.
pub(crate) const BACKUP: Kind = Kind {
    application_id: BACKUP_APPLICATION_ID,
    version: BACKUP_VERSION,
    noun: "backup",
    bytes_max: crate::limits::BACKUP_BYTES_MAX,
    probes: |_| crate::container::PROBES,
};

fn probes(version: i64) -> &'static [&'static str] {
    const ALL: [&str; 5] = [
        "SELECT key, value FROM meta",
        "SELECT name, role, text FROM files",
        "SELECT seq, id, recorded_at_ms, sender, count, seen, said_at_ms, verb, thing, spot, \
         tool, person, note, pieces, of FROM events",
        "SELECT one, made_at, text FROM plan",
        "SELECT more FROM events",
    ];
    match version {
        ..2 => &ALL[..3],
        2 => &ALL[..4],
        _ => &ALL,
    }
}

/// Brings a database up to the newest version, each migration whole or not at all.
pub(crate) fn migrate(conn: &mut Connection, path: &Path) -> Result<(), StoreError> {
    let sql = StoreError::sql(path);
    loop {
        let step = conn.transaction_with_behavior(TransactionBehavior::Immediate).map_err(&sql)?;
        let version: i32 =
            step.pragma_query_value(None, "user_version", |row| row.get(0)).map_err(&sql)?;
        let Some(migration) = usize::try_from(version).ok().and_then(|v| MIGRATIONS.get(v)) else {
            return Ok(());
        };
        step.execute_batch(migration).map_err(&sql)?;
        step.pragma_update(None, "user_version", version + 1).map_err(&sql)?;
        step.commit().map_err(&sql)?;
    }
}
