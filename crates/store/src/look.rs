//! Judging a file without touching it: the first bytes, then a check of the whole, on a view that
//! cannot write (or on a copy, where a write-ahead log stands beside the file).

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use rusqlite::{Connection, OpenFlags};

use crate::disk::{Scratch, beside};
use crate::error::StoreError;
use crate::schema::Kind;

/// How often a copy is tried again when the file changed meanwhile.
const COPIES_MAX: u32 = 8;
/// What may stand beside a database and hold part of its content.
const SIDE_FILES: [&str; 2] = ["-wal", "-journal"];

/// A judged file, open for reading in a way that leaves it and its folder as they are.
#[derive(Debug)]
pub(crate) struct View {
    pub(crate) conn: Connection,
    _copy: Option<Scratch>,
}

/// Judges a file: is it one of ours, whole, and of a version that is known here?
pub(crate) fn look(path: &Path, kind: Kind) -> Result<View, StoreError> {
    look_at_bytes(path, kind)?;
    let view = if has_side_files(path) { view_of_copy(path, kind)? } else { view_in_place(path)? };
    look_inside(&view.conn, path, kind)?;
    Ok(view)
}

/// Judges by the first hundred bytes alone.
fn look_at_bytes(path: &Path, kind: Kind) -> Result<(), StoreError> {
    let about = match fs::metadata(path) {
        Ok(about) => about,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            return Err(StoreError::Missing { path: path.to_owned() });
        }
        Err(error) => return Err(StoreError::io(path, "read")(error)),
    };
    if !about.is_file() {
        return Err(StoreError::NotAFile { path: path.to_owned() });
    }
    if about.len() == 0 {
        return Err(StoreError::Empty { path: path.to_owned() });
    }
    if about.len() > kind.bytes_max {
        return Err(StoreError::TooBig { path: path.to_owned(), most: kind.bytes_max });
    }
    let mut header = Vec::with_capacity(100);
    let file = fs::File::open(path).map_err(StoreError::io(path, "read"))?;
    file.take(100).read_to_end(&mut header).map_err(StoreError::io(path, "read"))?;
    judge_header(&header, path, kind)
}

/// Judges a header: bytes 0 to 15 say SQLite, 60 to 63 the version, 68 to 71 whose file it is.
fn judge_header(header: &[u8], path: &Path, kind: Kind) -> Result<(), StoreError> {
    let path = path.to_owned();
    if !header.starts_with(b"SQLite format 3\0") {
        return Err(StoreError::NotADatabase { path, noun: kind.noun });
    }
    let number = |at: usize| -> Option<i32> {
        header.get(at..at + 4)?.try_into().ok().map(i32::from_be_bytes)
    };
    let (Some(version), Some(application)) = (number(60), number(68)) else {
        return Err(StoreError::Damaged { path, detail: "it ends in its first bytes".into() });
    };
    judge_numbers(i64::from(application), i64::from(version), path, kind)
}

fn judge_numbers(app: i64, version: i64, path: PathBuf, kind: Kind) -> Result<(), StoreError> {
    if app != i64::from(kind.application_id) {
        return Err(StoreError::Foreign { path, noun: kind.noun });
    }
    if version > i64::from(kind.version) {
        return Err(StoreError::Newer { path, version, known: kind.version });
    }
    if version < 1 {
        return Err(StoreError::Damaged { path, detail: format!("its format is {version}") });
    }
    Ok(())
}

fn has_side_files(path: &Path) -> bool {
    SIDE_FILES.iter().any(|suffix| fs::symlink_metadata(beside(path, suffix)).is_ok())
}

/// Opens the file itself. Nobody has it open (a log would stand beside it), so it is declared
/// unchanging: then SQLite makes no log and no shared memory beside it.
fn view_in_place(path: &Path) -> Result<View, StoreError> {
    let full = std::path::absolute(path).map_err(StoreError::io(path, "read"))?;
    let uri = format!("file://{}?immutable=1", percent(&full));
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_URI
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(uri, flags).map_err(StoreError::sql(path))?;
    Ok(View { conn, _copy: None })
}

/// Copies the file with what stands beside it, and opens the copy.
fn view_of_copy(path: &Path, kind: Kind) -> Result<View, StoreError> {
    for _ in 0..COPIES_MAX {
        let before = stamps(path);
        if before.iter().flatten().map(|(size, _)| size).sum::<u64>() > 2 * kind.bytes_max {
            return Err(StoreError::TooBig { path: path.to_owned(), most: kind.bytes_max });
        }
        let scratch = Scratch::anywhere()?;
        let copy = scratch.dir().join("copy.db");
        fs::copy(path, &copy).map_err(StoreError::io(path, "copy"))?;
        for suffix in SIDE_FILES {
            let side = beside(path, suffix);
            match fs::copy(&side, beside(&copy, suffix)) {
                Ok(_) => {}
                Err(error) if error.kind() == std::io::ErrorKind::NotFound => {}
                Err(error) => return Err(StoreError::io(&side, "copy")(error)),
            }
        }
        if stamps(path) != before {
            continue;
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let conn = Connection::open_with_flags(&copy, flags).map_err(StoreError::sql(path))?;
        return Ok(View { conn, _copy: Some(scratch) });
    }
    Err(StoreError::Busy { path: path.to_owned() })
}

/// Size and time of a file and of each side file.
pub(crate) type Stamps = [Option<(u64, Option<SystemTime>)>; 3];

/// Size and time of the file and of each side file, to see whether they changed.
pub(crate) fn stamps(path: &Path) -> Stamps {
    let stamp = |path: &Path| fs::metadata(path).ok().map(|m| (m.len(), m.modified().ok()));
    [stamp(path), stamp(&beside(path, SIDE_FILES[0])), stamp(&beside(path, SIDE_FILES[1]))]
}

/// Judges the content: numbers as the log leaves them, structure, tables, nothing added.
fn look_inside(conn: &Connection, path: &Path, kind: Kind) -> Result<(), StoreError> {
    let damaged = |error: rusqlite::Error| match StoreError::sql(path)(error) {
        StoreError::Sql { path, detail } => StoreError::Damaged { path, detail },
        other => other,
    };
    guard(conn).map_err(damaged)?;
    let number = |name: &str| conn.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let application = number("application_id").map_err(damaged)?;
    let version = number("user_version").map_err(damaged)?;
    judge_numbers(application, version, path.to_owned(), kind)?;
    let verdict: String =
        conn.query_row("PRAGMA quick_check(1)", [], |row| row.get(0)).map_err(damaged)?;
    if verdict != "ok" {
        let detail = verdict.chars().take(200).collect();
        return Err(StoreError::Damaged { path: path.to_owned(), detail });
    }
    for probe in (kind.probes)(version) {
        conn.prepare(probe).map_err(damaged)?;
    }
    let strange: i64 = conn
        .query_row(
            "SELECT count(*) FROM sqlite_schema WHERE type NOT IN ('table', 'index')",
            [],
            |row| row.get(0),
        )
        .map_err(damaged)?;
    if strange > 0 {
        let detail = "it has parts that Lastbolt never makes".to_owned();
        return Err(StoreError::Damaged { path: path.to_owned(), detail });
    }
    Ok(())
}

/// Trusts nothing that a file brings with it.
pub(crate) fn guard(conn: &Connection) -> rusqlite::Result<()> {
    conn.pragma_update(None, "trusted_schema", false)?;
    conn.pragma_update(None, "cell_size_check", true)?;
    conn.pragma_update(None, "mmap_size", 0)
}

/// Writes a path as part of a `file:` address.
fn percent(path: &Path) -> String {
    let mut text = String::new();
    let bytes = path.as_os_str().as_encoded_bytes();
    if !bytes.starts_with(b"/") && !bytes.starts_with(b"\\") {
        text.push('/');
    }
    for &byte in bytes {
        match byte {
            b'\\' if cfg!(windows) => text.push('/'),
            b'/' | b'.' | b'_' | b'-' | b'~' => text.push(char::from(byte)),
            b':' if cfg!(windows) => text.push(':'),
            _ if byte.is_ascii_alphanumeric() => text.push(char::from(byte)),
            _ => text.push_str(&format!("%{byte:02X}")),
        }
    }
    text
}
