//! Why: a file that is not ours, or that we do not understand, belongs to somebody. It is refused
//! with a sentence, and neither it nor its folder changes by a byte.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

mod common;

use std::fs;
use std::path::Path;

use common::{begin, db, everything, here, undo};
use lastbolt_store::{Job, Listed, StoreError};
use rusqlite::Connection;

/// Opens, lists and restores the file in every way; nothing may change.
#[track_caller]
fn refused(dir: &Path, file: &Path, expect: fn(&StoreError) -> bool) {
    let before = everything(dir);
    let error = Job::open(file).expect_err("it must be refused");
    assert!(expect(&error), "{error:?}");
    let sentence = error.to_string();
    assert!(sentence.contains(&*file.to_string_lossy()) && sentence.ends_with('.'), "{sentence}");
    assert!(everything(dir) == before, "opening changed something");
}

/// Puts a file in the place of a job's database and checks all that reads it.
#[track_caller]
fn refused_in_garage(make: impl FnOnce(&Path), expect: fn(&StoreError) -> bool) {
    let here = here();
    let (id, good) = (begin(&here.garage), begin(&here.garage));
    let path = db(&here.garage, &id);
    make(&path);
    refused(here.garage.dir(), &path, expect);
    let before = everything(here.garage.dir());
    let listed = here.garage.list_jobs().unwrap();
    let [Listed::Unusable { folder, error }, Listed::Job(other)] = &listed[..] else {
        panic!("{listed:?}")
    };
    assert_eq!(folder, &here.garage.job_dir(&id));
    assert!(expect(error), "{error:?}");
    assert_eq!(other.id, good);
    assert!(here.garage.open_job(id.as_str()).is_err());
    assert!(here.garage.restore(&path, false).is_err(), "it is no backup either");
    assert!(everything(here.garage.dir()) == before, "listing changed something");
}

/// A small generator (Knuth's constants), so that the bytes are the same every time.
fn random_bytes(count: usize, mut seed: u64) -> Vec<u8> {
    let mut next = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 56) as u8
    };
    (0..count).map(|_| next()).collect()
}

#[test]
fn random_bytes_are_refused() {
    for count in [1, 15, 16, 99, 100, 4096, 50_000] {
        refused_in_garage(
            |path| fs::write(path, random_bytes(count, count as u64)).unwrap(),
            |error| matches!(error, StoreError::NotADatabase { .. }),
        );
    }
}

#[test]
fn an_empty_file_is_refused() {
    refused_in_garage(
        |path| fs::write(path, "").unwrap(),
        |error| matches!(error, StoreError::Empty { .. }),
    );
}

#[test]
fn a_folder_is_refused() {
    refused_in_garage(
        |path| {
            fs::remove_file(path).unwrap();
            fs::create_dir(path).unwrap();
        },
        |error| matches!(error, StoreError::NotAFile { .. }),
    );
}

#[test]
fn a_missing_database_is_refused() {
    refused_in_garage(
        |path| fs::remove_file(path).unwrap(),
        |error| matches!(error, StoreError::Missing { .. }),
    );
}

/// Another program's database, in the mode in which opening it would change it.
fn foreign(path: &Path, application_id: i32) {
    fs::remove_file(path).unwrap();
    let conn = Connection::open(path).unwrap();
    conn.pragma_update(None, "application_id", application_id).unwrap();
    conn.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())).unwrap();
    conn.execute_batch("CREATE TABLE bills (a); INSERT INTO bills VALUES (1)").unwrap();
}

#[test]
fn another_programs_database_is_refused() {
    for application_id in [0, 7, lastbolt_store::BACKUP_APPLICATION_ID] {
        refused_in_garage(
            |path| foreign(path, application_id),
            |error| matches!(error, StoreError::Foreign { .. }),
        );
    }
}

/// It was not closed: part of it is still in the log beside it, which opening would take in.
#[test]
fn another_programs_unclosed_database_is_refused() {
    refused_in_garage(
        |path| {
            let made = path.with_file_name("made.db");
            fs::write(&made, "").unwrap();
            foreign(&made, 7);
            let conn = Connection::open(&made).unwrap();
            conn.execute_batch("INSERT INTO bills VALUES (2)").unwrap();
            leave_unclosed(&conn, &made, path);
        },
        |error| matches!(error, StoreError::Foreign { .. }),
    );
}

/// Leaves a copy as a killed program would, with its log, and closes and removes the original.
fn leave_unclosed(conn: &Connection, made: &Path, path: &Path) {
    let beside = |path: &Path, suffix: &str| format!("{}{suffix}", path.display());
    fs::copy(made, path).unwrap();
    fs::copy(beside(made, "-wal"), beside(path, "-wal")).unwrap();
    assert!(fs::metadata(beside(path, "-wal")).unwrap().len() > 0);
    conn.execute_batch("PRAGMA journal_mode = DELETE").unwrap();
    fs::remove_file(made).unwrap();
}

#[test]
fn a_newer_version_is_refused() {
    refused_in_garage(
        |path| {
            let conn = Connection::open(path).unwrap();
            conn.pragma_update(None, "user_version", 99).unwrap();
        },
        |error| matches!(error, StoreError::Newer { version: 99, .. }),
    );
}

/// A newer version brought it up and was killed: the first bytes still say the old version, only
/// the log knows.
#[test]
fn a_newer_version_that_only_the_log_knows_is_refused() {
    refused_in_garage(
        |path| {
            let made = path.with_file_name("made.db");
            fs::rename(path, &made).unwrap();
            let conn = Connection::open(&made).unwrap();
            conn.pragma_update(None, "user_version", 99).unwrap();
            leave_unclosed(&conn, &made, path);
            let header = fs::read(path).unwrap();
            assert_eq!(header[60..64], lastbolt_store::JOB_VERSION.to_be_bytes());
        },
        |error| matches!(error, StoreError::Newer { version: 99, .. }),
    );
}

/// The wrong twin: it simply opens the file and looks. That takes the log in, so the comparison
/// that all these tests make must see it.
#[test]
fn simply_opening_is_rejected() {
    let here = here();
    let dir = here.garage.dir();
    let (made, path) = (dir.join("made.db"), dir.join("bills.db"));
    fs::write(&made, "").unwrap();
    foreign(&made, 7);
    let conn = Connection::open(&made).unwrap();
    conn.execute_batch("INSERT INTO bills VALUES (2)").unwrap();
    leave_unclosed(&conn, &made, &path);
    drop(conn);
    let before = everything(dir);
    let naive = Connection::open(&path).unwrap();
    let id: i64 = naive.pragma_query_value(None, "application_id", |row| row.get(0)).unwrap();
    drop(naive);
    assert_eq!(id, 7);
    assert!(everything(dir) != before, "the comparison lets a wrong opener through");
}

fn with_records(path: &Path) {
    let mut job = Job::open(path).unwrap();
    for batch in 0..20 {
        let events: Vec<_> = (0..100).map(|n| undo("a", batch * 100 + n)).collect();
        job.append(&events, 0).unwrap();
    }
}

#[test]
fn a_truncated_database_is_refused() {
    for keep in [50, 100, 511, 4096, 20_000, 100_000] {
        refused_in_garage(
            |path| {
                with_records(path);
                let whole = fs::read(path).unwrap();
                assert!(whole.len() > keep);
                fs::write(path, &whole[..keep]).unwrap();
            },
            |error| matches!(error, StoreError::Damaged { .. }),
        );
    }
}

#[test]
fn a_damaged_page_is_refused() {
    refused_in_garage(
        |path| {
            with_records(path);
            let mut whole = fs::read(path).unwrap();
            let middle = whole.len() / 2 / 4096 * 4096;
            let noise = random_bytes(4096, 3);
            whole[middle..middle + 4096].copy_from_slice(&noise);
            fs::write(path, whole).unwrap();
        },
        |error| matches!(error, StoreError::Damaged { .. }),
    );
}

/// Structure whole, but not what this version wrote: a table gone, a trigger added, no version.
#[test]
fn a_changed_structure_is_refused() {
    for change in [
        "DROP TABLE events",
        "ALTER TABLE events DROP COLUMN note",
        "CREATE TRIGGER t AFTER INSERT ON events BEGIN DELETE FROM events; END",
        "CREATE VIEW v AS SELECT 1",
        "PRAGMA user_version = 0",
        "PRAGMA user_version = -1",
    ] {
        refused_in_garage(
            |path| Connection::open(path).unwrap().execute_batch(change).unwrap(),
            |error| matches!(error, StoreError::Damaged { .. }),
        );
    }
}

/// A hole in the record is found when the job is opened; the sentence says where.
#[test]
fn a_hole_in_the_record_is_refused() {
    let here = here();
    let id = begin(&here.garage);
    let path = db(&here.garage, &id);
    with_records(&path);
    Connection::open(&path).unwrap().execute_batch("DELETE FROM events WHERE seq = 7").unwrap();
    let error = Job::open(&path).expect_err("it must be refused");
    assert!(error.to_string().contains("entry number 7 is missing"), "{error}");
}

/// The right side of all this: looking at a good job changes nothing either.
#[test]
fn listing_touches_no_good_job() {
    let here = here();
    begin(&here.garage);
    let before = everything(here.garage.dir());
    assert!(matches!(here.garage.list_jobs().unwrap()[..], [Listed::Job(_)]));
    assert!(everything(here.garage.dir()) == before);
}
