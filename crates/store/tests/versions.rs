//! Why: a job begun with one version is gone on with in the next. Each version's database is kept
//! as it was and must open.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

mod common;

use common::{everything, here, undo};
use lastbolt_ledger::{Accepted, More, State, Verb};
use lastbolt_store::{JOB_VERSION, Job, KeptPlan, Listed};
use rusqlite::Connection;

#[test]
fn version_1_opens_and_goes_on() {
    let here = here();
    let dir = here.garage.dir().join("jobs").join("kelp-impeller-1");
    std::fs::create_dir(&dir).unwrap();
    let path = dir.join("job.db");
    let conn = Connection::open(&path).unwrap();
    conn.execute_batch(include_str!("data/version-1.sql")).unwrap();
    conn.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())).unwrap();
    drop(conn);

    // Listing reads it as it is.
    let before = everything(here.garage.dir());
    let listed = here.garage.list_jobs().unwrap();
    assert!(matches!(&listed[..], [Listed::Job(job)] if job.records == 4), "{listed:?}");
    assert!(everything(here.garage.dir()) == before);

    let mut job = Job::open(&path).unwrap();
    assert_eq!(job.id().as_str(), "kelp-impeller-1");
    assert_eq!(job.title().unwrap(), "Kelp impeller");
    assert_eq!(job.files().unwrap()[0].text, "machine = \"Kelp\"");
    assert_eq!(job.log().len(), 4);
    assert_eq!(job.log().records()[3].event.verb, Verb::Other("polish".into()));
    let state = State::fold(job.log().records());
    assert_eq!(state.marks.keys().collect::<Vec<_>>(), ["lower screws"]);
    assert_eq!(state.marks["lower screws"].pieces, Some(2));

    assert_eq!(job.kept_plan().unwrap(), None);
    job.keep_plan(&KeptPlan { made_at: 4, text: "{}".into() }).unwrap();
    assert_eq!(job.append(&[undo("a", 1)], 0).unwrap(), [Accepted::New(5)]);
    drop(job);
    let header = std::fs::read(&path).unwrap();
    assert_eq!(header[60..64], JOB_VERSION.to_be_bytes(), "brought up to this version");
    assert_eq!(Job::open(&path).unwrap().log().len(), 5);
}

/// An entry of the new shape goes into an old job and comes back whole.
#[test]
fn version_2_opens_and_takes_handfuls() {
    let here = here();
    let path = here.temp.path().join("job.db");
    let conn = Connection::open(&path).unwrap();
    conn.execute_batch(include_str!("data/version-2.sql")).unwrap();
    conn.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())).unwrap();
    drop(conn);
    let mut job = Job::open(&path).unwrap();
    assert_eq!((job.log().len(), job.kept_plan().unwrap().unwrap().text), (4, "kept".into()));
    let more = More::from_text(r#"{"ties":[{"kind":"nut","count":3}]}"#).unwrap();
    let mut took = undo("b", 1);
    (took.verb, took.thing, took.more) = (Verb::Took, None, Some(more.clone()));
    assert_eq!(job.append(&[took], 0).unwrap(), [Accepted::New(5)]);
    drop(job);
    assert_eq!(Job::open(&path).unwrap().log().records()[4].event.more, Some(more));
}

/// What a day brings goes into an old job and is understood.
#[test]
fn version_3_opens_and_takes_the_day() {
    let here = here();
    let path = here.temp.path().join("job.db");
    let conn = Connection::open(&path).unwrap();
    conn.execute_batch(include_str!("data/version-3.sql")).unwrap();
    conn.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())).unwrap();
    drop(conn);
    let mut job = Job::open(&path).unwrap();
    assert_eq!(job.log().len(), 5);
    let more = More::from_text(r#"{"point":"start.leak"}"#).unwrap();
    let mut ticked = undo("b", 1);
    (ticked.verb, ticked.thing, ticked.more) = (Verb::Ticked, None, Some(more));
    ticked.note = Some("dry".into());
    assert_eq!(job.append(&[ticked], 0).unwrap(), [Accepted::New(6)]);
    drop(job);
    let job = Job::open(&path).unwrap();
    let state = State::fold(job.log().records());
    assert_eq!(state.ticks[&("start.leak".to_owned(), None)].answer, "dry");
    assert_eq!(std::fs::read(&path).unwrap()[60..64], JOB_VERSION.to_be_bytes());
}

/// A brought-up database and a new one have the same tables.
#[test]
fn both_ways_lead_to_the_same_tables() {
    let here = here();
    let id = common::begin(&here.garage);
    let old = here.temp.path().join("old.db");
    Connection::open(&old).unwrap().execute_batch(include_str!("data/version-1.sql")).unwrap();
    drop(Job::open(&old).unwrap());
    let tables = |path: &std::path::Path| {
        let conn = Connection::open(path).unwrap();
        let mut rows = conn.prepare("SELECT name, sql FROM sqlite_schema ORDER BY name").unwrap();
        let plain = |sql: Option<String>| sql.map(|s| s.split_whitespace().collect::<String>());
        rows.query_map([], |row| Ok((row.get::<_, String>(0)?, plain(row.get(1)?))))
            .unwrap()
            .collect::<Result<Vec<_>, _>>()
            .unwrap()
    };
    assert_eq!(tables(&old), tables(&common::db(&here.garage, &id)));
}

/// What was promised about the disk is what is set.
#[test]
fn a_new_job_is_ours_by_its_first_bytes() {
    let here = here();
    let id = common::begin(&here.garage);
    let header = std::fs::read(common::db(&here.garage, &id)).unwrap();
    assert_eq!(&header[68..72], b"LBJB");
    assert_eq!(header[60..64], JOB_VERSION.to_be_bytes());
    assert_eq!(header[18..20], [2, 2], "write-ahead log");
}
