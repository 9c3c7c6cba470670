//! Why: a backup is what is left when the disk is not. It must come back whole, and neither
//! writing nor restoring one may cost anything that was there.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

mod common;

use std::fs;

use common::{Here, begin, db, everything, here, undo};
use lastbolt_store::{Garage, Job, JobId, Listed, PhotoSize, StoreError};
use rusqlite::Connection;

/// A garage with one job of three records and two photos, the job still open.
fn with_job() -> (Here, JobId, Job) {
    let here = here();
    let id = begin(&here.garage);
    let mut job = here.garage.open_job(id.as_str()).unwrap();
    job.append(&[undo("a", 1), undo("a", 2), undo("a", 3)], 0).unwrap();
    let photos = here.garage.job_dir(&id).join("photos");
    fs::create_dir(&photos).unwrap();
    fs::write(photos.join("a-1.jpg"), vec![7_u8; 3_000_000]).unwrap();
    fs::write(photos.join("a-2.jpg"), "").unwrap();
    fs::write(photos.join(".part"), "unfinished").unwrap();
    (here, id, job)
}

#[test]
fn a_backup_comes_back_whole() {
    let (here, id, job) = with_job();
    let file = here.temp.path().join("kelp.backup");
    job.backup(&file, 5).unwrap();
    let in_folder = fs::read_dir(here.temp.path()).unwrap().count();
    assert_eq!(in_folder, 2, "the garage and the backup, nothing unfinished");

    let other = Garage::open(&here.temp.path().join("other")).unwrap();
    assert_eq!(other.restore(&file, false).unwrap(), id);
    let restored = other.open_job(id.as_str()).unwrap();
    assert_eq!(restored.log().records(), job.log().records());
    assert_eq!(restored.files().unwrap(), job.files().unwrap());
    assert_eq!(restored.unique().unwrap(), job.unique().unwrap());
    let photos = other.job_dir(&id).join("photos");
    assert_eq!(fs::read(photos.join("a-1.jpg")).unwrap(), vec![7_u8; 3_000_000]);
    assert_eq!(fs::read(photos.join("a-2.jpg")).unwrap(), b"");
    assert_eq!(fs::read_dir(photos).unwrap().count(), 2);
}

/// Pictures come back under the same name; a backup made before there were any comes back too.
#[test]
fn pictures_come_back() {
    let (here, id, job) = with_job();
    let older = here.temp.path().join("older.backup");
    job.backup(&older, 5).unwrap();
    let name = "ab".repeat(32);
    assert!(job.photos().keep(&name, b"whole", b"small").unwrap());
    let newer = here.temp.path().join("newer.backup");
    job.backup(&newer, 6).unwrap();
    for (file, wanted) in [(&older, None), (&newer, Some(b"whole".to_vec()))] {
        let other = Garage::open(&file.with_extension("garage")).unwrap();
        other.restore(file, false).unwrap();
        assert_eq!(other.photos(&id).read(&name, PhotoSize::Whole).unwrap(), wanted);
        let small = wanted.map(|_| b"small".to_vec());
        assert_eq!(other.photos(&id).read(&name, PhotoSize::Small).unwrap(), small);
    }
}

#[test]
fn restoring_over_a_job_keeps_it_aside() {
    let (here, id, mut job) = with_job();
    let file = here.temp.path().join("kelp.backup");
    job.backup(&file, 5).unwrap();
    job.append(&[undo("a", 4)], 0).unwrap();
    drop(job);
    let before = everything(here.garage.dir());
    let refused = here.garage.restore(&file, false);
    assert!(matches!(refused, Err(StoreError::JobExists { other_job: false, .. })), "{refused:?}");
    assert!(everything(here.garage.dir()) == before);

    here.garage.restore(&file, true).unwrap();
    assert_eq!(here.garage.open_job(id.as_str()).unwrap().log().len(), 3);
    here.garage.restore(&file, true).unwrap();
    let replaced = here.garage.dir().join("replaced");
    let kept = |n: u32| Job::open(&replaced.join(format!("{id}.{n}")).join("job.db")).unwrap();
    assert_eq!(kept(1).log().len(), 4, "the one with the fourth record");
    assert_eq!(kept(2).log().len(), 3);
    assert_eq!(kept(1).id(), &id);
    assert_eq!(begin(&here.garage).as_str(), "kelp-impeller-2");
}

#[test]
fn another_job_of_that_id_is_told_apart() {
    let (here, _, job) = with_job();
    let file = here.temp.path().join("kelp.backup");
    job.backup(&file, 5).unwrap();
    let other = Garage::open(&here.temp.path().join("other")).unwrap();
    begin(&other);
    let refused = other.restore(&file, false);
    assert!(matches!(refused, Err(StoreError::JobExists { other_job: true, .. })), "{refused:?}");
}

#[test]
fn only_an_older_backup_of_the_same_job_is_written_over() {
    let (here, id, mut job) = with_job();
    let path = |name: &str| here.temp.path().join(name);
    let taken = |file: &std::path::Path| {
        // The open job's own shared memory changes with every look at it.
        let all = || {
            let mut all = everything(here.temp.path());
            all.retain(|path, _| !path.to_string_lossy().ends_with("-shm"));
            all
        };
        let before = all();
        let answer = job.backup(file, 5);
        assert!(matches!(answer, Err(StoreError::DestinationTaken { .. })), "{answer:?}");
        assert!(all() == before);
    };
    fs::write(path("letter.txt"), "dear").unwrap();
    taken(&path("letter.txt"));
    fs::write(path("empty"), "").unwrap();
    taken(&path("empty"));
    fs::create_dir(path("folder")).unwrap();
    taken(&path("folder"));
    taken(&db(&here.garage, &id));
    let second = begin(&here.garage);
    here.garage.open_job(second.as_str()).unwrap().backup(&path("second"), 5).unwrap();
    taken(&path("second"));
    assert!(job.backup(&path("no such folder").join("x"), 5).is_err());

    job.backup(&path("own"), 5).unwrap();
    job.append(&[undo("a", 4)], 0).unwrap();
    job.backup(&path("own"), 6).unwrap();
    let other = Garage::open(&path("other")).unwrap();
    other.restore(&path("own"), false).unwrap();
    assert_eq!(other.open_job(id.as_str()).unwrap().log().len(), 4);
}

/// Changes a backup, then restoring it must be refused and leave both as they are.
#[track_caller]
fn refused(change: impl FnOnce(&std::path::Path), expect: fn(&StoreError) -> bool) {
    let (here, _, job) = with_job();
    let folder = here.temp.path().join("backups");
    fs::create_dir(&folder).unwrap();
    let file = folder.join("kelp.backup");
    job.backup(&file, 5).unwrap();
    drop(job);
    let other = Garage::open(&here.temp.path().join("other")).unwrap();
    change(&file);
    let before = (everything(&folder), everything(other.dir()));
    let error = other.restore(&file, false).expect_err("it must be refused");
    assert!(expect(&error), "{error:?}");
    assert!(error.to_string().contains("kelp.backup"), "{error}");
    assert!((everything(&folder), everything(other.dir())) == before);
    // With the job in place: it is not put aside for something that cannot be restored.
    let before = everything(here.garage.dir());
    assert!(here.garage.restore(&file, true).is_err());
    assert!(everything(here.garage.dir()) == before);
}

fn sql(change: &'static str) -> impl FnOnce(&std::path::Path) {
    move |path| Connection::open(path).unwrap().execute_batch(change).unwrap()
}

fn is_damaged(error: &StoreError) -> bool {
    matches!(error, StoreError::Damaged { .. })
}

#[test]
fn a_damaged_backup_is_refused() {
    refused(
        |path| fs::write(path, fs::read(path).unwrap().split_at(100_000).0).unwrap(),
        is_damaged,
    );
    // Whole as a database, but not what was put in.
    refused(sql("UPDATE pieces SET bytes = zeroblob(length(bytes)) WHERE number = 1"), is_damaged);
    refused(sql("DELETE FROM pieces WHERE name = 'photos/a-1.jpg' AND number = 0"), is_damaged);
    refused(sql("DELETE FROM files WHERE name = 'job.db'"), is_damaged);
    refused(sql("DELETE FROM about WHERE key = 'unique'"), is_damaged);
    refused(sql("UPDATE about SET value = 'x' WHERE key = 'unique'"), is_damaged);
    refused(sql("UPDATE about SET value = '../x' WHERE key = 'id'"), is_damaged);
}

/// Names that lead out of the job's folder.
#[test]
fn a_backup_writes_nowhere_else() {
    for name in ["../x", "photos/../../x", "photos/", "photos/.x", "/x", "x", "photos/a/b"] {
        let change = format!("UPDATE files SET name = '{name}' WHERE name = 'photos/a-2.jpg'");
        refused(|path| Connection::open(path).unwrap().execute_batch(&change).unwrap(), is_damaged);
    }
}

#[test]
fn a_foreign_or_newer_backup_is_refused() {
    refused(
        |path| fs::write(path, "dear").unwrap(),
        |e| matches!(e, StoreError::NotADatabase { .. }),
    );
    refused(sql("PRAGMA application_id = 1"), |e| matches!(e, StoreError::Foreign { .. }));
    refused(sql("PRAGMA user_version = 9"), |e| matches!(e, StoreError::Newer { version: 9, .. }));
}

/// The file is a backup of this version, the job in it is of a newer one.
#[test]
fn a_backup_of_a_newer_job_is_refused() {
    let (here, id, job) = with_job();
    drop(job);
    let newer = db(&here.garage, &id);
    let conn = Connection::open(&newer).unwrap();
    let job = here.garage.open_job(id.as_str()).unwrap();
    let file = here.temp.path().join("kelp.backup");
    conn.pragma_update(None, "user_version", 99).unwrap();
    let refused = job.backup(&file, 0);
    assert!(matches!(refused, Err(StoreError::Newer { version: 99, .. })), "{refused:?}");
    assert!(!file.exists());
}

#[test]
fn unfinished_work_is_no_job() {
    let (here, _, job) = with_job();
    fs::create_dir(here.garage.dir().join("jobs").join(".new-1-1")).unwrap();
    assert!(matches!(here.garage.list_jobs().unwrap()[..], [Listed::Job(_)]));
    drop(lastbolt_store::GarageLock::acquire(here.garage.dir()).unwrap());
    assert!(!here.garage.dir().join("jobs").join(".new-1-1").exists());
    drop(job);
}

/// Bags carry the job's letter: an older job that is brought back moves nobody's, and one whose
/// letter is taken gets another and says which it was.
#[test]
fn bags_keep_their_letters() {
    let (here, moss, job) = with_job();
    let file = here.temp.path().join("moss.backup");
    job.backup(&file, 5).unwrap();
    assert_eq!(job.meta("letter").unwrap().as_deref(), Some("A"));
    let kelp = begin(&here.garage);
    let other = Garage::open(&here.temp.path().join("other")).unwrap();
    let (first, second) = (begin_again(&other, "Tarn", 10), begin_again(&other, "Fern", 11));
    let before = other.letters().unwrap();
    let restored = other.restore(&file, false).unwrap();
    assert_eq!(restored, moss);
    let after = other.letters().unwrap();
    for id in [&first, &second] {
        let of = |all: &[(String, String)]| {
            all.iter().find(|(of, _)| of == id.as_str()).unwrap().1.clone()
        };
        assert_eq!(of(&before), of(&after), "{id}");
    }
    let restored = other.open_job(moss.as_str()).unwrap();
    assert_eq!(restored.meta("letter").unwrap().as_deref(), Some("C"));
    assert_eq!(restored.meta("letter_was").unwrap().as_deref(), Some("A"));
    // Back where it was, in its own place, it has its own letter.
    drop(job);
    here.garage.restore(&file, true).unwrap();
    let back = here.garage.open_job(moss.as_str()).unwrap();
    assert_eq!(back.meta("letter").unwrap().as_deref(), Some("A"));
    assert_eq!(back.meta("letter_was").unwrap(), None);
    assert_eq!(here.garage.open_job(kelp.as_str()).unwrap().meta("letter").unwrap().unwrap(), "B");
}

fn begin_again(garage: &Garage, title: &str, now_ms: i64) -> JobId {
    garage.begin(title, "", &[], now_ms).unwrap()
}
