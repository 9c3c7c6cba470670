//! The backup file: a plain SQLite database that holds files in pieces, each with its size and
//! sum. `docs/garage-folder.md` describes it.

use std::fs::File;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use rusqlite::{Connection, params};

use crate::error::StoreError;
use crate::schema::{BACKUP_APPLICATION_ID, BACKUP_VERSION};

/// How many bytes a piece has at most.
const PIECE_BYTES: usize = 1024 * 1024;

const SCHEMA: &str = "
    CREATE TABLE about (
      key   TEXT NOT NULL PRIMARY KEY,
      value TEXT NOT NULL
    ) STRICT;
    CREATE TABLE files (
      name  TEXT NOT NULL PRIMARY KEY,
      bytes INTEGER NOT NULL,
      sum   TEXT NOT NULL
    ) STRICT;
    CREATE TABLE pieces (
      name   TEXT NOT NULL,
      number INTEGER NOT NULL,
      bytes  BLOB NOT NULL,
      PRIMARY KEY (name, number)
    ) STRICT;";

/// Queries that must be possible in a backup.
pub(crate) const PROBES: &[&str] = &[
    "SELECT key, value FROM about",
    "SELECT name, bytes, sum FROM files",
    "SELECT name, number, bytes FROM pieces",
];

/// What to put in under a name.
#[derive(Debug)]
pub(crate) struct Packed {
    pub(crate) name: String,
    pub(crate) from: PathBuf,
}

/// Writes a backup file that is not there yet.
pub(crate) fn write(
    path: &Path,
    about: &[(&str, &str)],
    files: &[Packed],
) -> Result<(), StoreError> {
    let sql = StoreError::sql(path);
    let mut conn = Connection::open(path).map_err(&sql)?;
    conn.pragma_update(None, "synchronous", "FULL").map_err(&sql)?;
    conn.pragma_update(None, "application_id", BACKUP_APPLICATION_ID).map_err(&sql)?;
    conn.pragma_update(None, "user_version", BACKUP_VERSION).map_err(&sql)?;
    let write = conn.transaction().map_err(&sql)?;
    write.execute_batch(SCHEMA).map_err(&sql)?;
    for (key, value) in about {
        write
            .execute("INSERT INTO about (key, value) VALUES (?1, ?2)", [key, value])
            .map_err(&sql)?;
    }
    for file in files {
        pack(&write, file, path)?;
    }
    write.commit().map_err(&sql)?;
    conn.close().map_err(|(_, error)| sql(error))
}

fn pack(conn: &Connection, file: &Packed, path: &Path) -> Result<(), StoreError> {
    let sql = StoreError::sql(path);
    let reading = || StoreError::io(&file.from, "read");
    let mut source = File::open(&file.from).map_err(reading())?;
    let mut sum = Sum::new();
    let mut total: i64 = 0;
    for number in 0_i64.. {
        let mut piece = Vec::new();
        let most = PIECE_BYTES as u64;
        Read::by_ref(&mut source).take(most).read_to_end(&mut piece).map_err(reading())?;
        if piece.is_empty() {
            break;
        }
        sum.add(&piece);
        total += piece.len() as i64;
        conn.execute(
            "INSERT INTO pieces (name, number, bytes) VALUES (?1, ?2, ?3)",
            params![file.name, number, piece],
        )
        .map_err(&sql)?;
    }
    conn.execute(
        "INSERT INTO files (name, bytes, sum) VALUES (?1, ?2, ?3)",
        params![file.name, total, sum.text()],
    )
    .map_err(&sql)?;
    Ok(())
}

/// Gives the names of the files in a backup.
pub(crate) fn names(conn: &Connection, path: &Path) -> Result<Vec<String>, StoreError> {
    let sql = StoreError::sql(path);
    let mut statement = conn.prepare("SELECT name FROM files ORDER BY name").map_err(&sql)?;
    let rows = statement.query_map([], |row| row.get(0)).map_err(&sql)?;
    rows.collect::<Result<_, _>>().map_err(sql)
}

/// Reads what a backup says about itself.
pub(crate) fn about(conn: &Connection, key: &str, path: &Path) -> Result<String, StoreError> {
    conn.query_row("SELECT value FROM about WHERE key = ?1", [key], |row| row.get(0)).map_err(
        |_| StoreError::Damaged {
            path: path.to_owned(),
            detail: format!("it does not say its {key}"),
        },
    )
}

/// Writes a file of a backup out, checking its size and sum on the way.
pub(crate) fn unpack(
    conn: &Connection,
    name: &str,
    out: &mut dyn Write,
    to: &Path,
    path: &Path,
) -> Result<(), StoreError> {
    let sql = StoreError::sql(path);
    let damaged = |detail: String| StoreError::Damaged { path: path.to_owned(), detail };
    let (bytes, sum): (i64, String) = conn
        .query_row("SELECT bytes, sum FROM files WHERE name = ?1", [name], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })
        .map_err(|_| damaged(format!("it has no {name}")))?;
    let mut found = Sum::new();
    let mut total: i64 = 0;
    let mut statement = conn
        .prepare("SELECT number, bytes FROM pieces WHERE name = ?1 ORDER BY number")
        .map_err(&sql)?;
    let mut rows = statement.query([name]).map_err(&sql)?;
    let mut expected: i64 = 0;
    while let Some(row) = rows.next().map_err(&sql)? {
        let number: i64 = row.get(0).map_err(&sql)?;
        let piece: Vec<u8> = row.get(1).map_err(&sql)?;
        total += piece.len() as i64;
        if number != expected || total > bytes {
            return Err(damaged(format!("{name} is not whole")));
        }
        expected += 1;
        found.add(&piece);
        out.write_all(&piece).map_err(StoreError::io(to, "write"))?;
    }
    if total != bytes || found.text() != sum {
        return Err(damaged(format!("{name} is not what was put in")));
    }
    Ok(())
}

/// The 64-bit FNV-1a sum (Fowler, Noll, Vo): finds damage, not ill will.
#[derive(Debug)]
struct Sum(u64);

impl Sum {
    fn new() -> Sum {
        Sum(0xcbf2_9ce4_8422_2325)
    }

    fn add(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }

    fn text(&self) -> String {
        format!("{:016x}", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sum stands in files: it must stay what it is. Values from the authors' test vectors
    /// (draft-eastlake-fnv, appendix on test vectors): "" and "a" and "foobar".
    #[test]
    fn sum_is_fnv_1a() {
        for (text, expect) in
            [("", "cbf29ce484222325"), ("a", "af63dc4c8601ec8c"), ("foobar", "85944171f73967e8")]
        {
            let mut sum = Sum::new();
            sum.add(text.as_bytes());
            assert_eq!(sum.text(), expect);
        }
    }
}
