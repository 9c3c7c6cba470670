//! Why: a job is what a person did all day; what was acknowledged must be there again, and what
//! was not must not be there by half.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

mod common;

use common::{begin, db, event, here, machine_file, undo};
use lastbolt_ledger::{Accepted, More, Refusal, Verb};
use lastbolt_store::{
    BATCH_MAX, FILE_BYTES_MAX, FileRole, Job, JobFile, KeptPlan, Listed, StoreError,
};

#[test]
fn a_job_keeps_what_it_was_given() {
    let here = here();
    let files = [
        machine_file(),
        JobFile { name: "job.toml".into(), role: FileRole::Job, text: "[job]\n".into() },
        JobFile { name: "garage.toml".into(), role: FileRole::Garage, text: "ä\u{feff}".into() },
    ];
    let id = here.garage.begin("Kelp: impeller!", "/demo/kelp", &files, 77).unwrap();
    assert_eq!(id.as_str(), "kelp-impeller-1");
    let job = here.garage.open_job("kelp-impeller-1").unwrap();
    assert_eq!(job.title().unwrap(), "Kelp: impeller!");
    assert_eq!(job.source().unwrap(), "/demo/kelp");
    assert_eq!(job.meta("created_at_ms").unwrap().as_deref(), Some("77"));
    let mut kept = job.files().unwrap();
    kept.sort_by_key(|file| file.role);
    assert_eq!(kept, files);

    assert_eq!(job.port().unwrap(), None);
    job.set_port(4321).unwrap();
    assert_eq!(job.kept_plan().unwrap(), None);
    job.keep_plan(&KeptPlan { made_at: 3, text: "{}".into() }).unwrap();
    job.keep_plan(&KeptPlan { made_at: 4, text: "{1}".into() }).unwrap();
    drop(job);
    let job = here.garage.open_job("kelp-impeller-1").unwrap();
    assert_eq!(job.port().unwrap(), Some(4321));
    assert_eq!(job.kept_plan().unwrap(), Some(KeptPlan { made_at: 4, text: "{1}".into() }));
}

/// What an entry of a verb must carry besides the plain fields, in the text form of databases.
fn carried(verb: &Verb) -> Option<More> {
    let photo = "ab".repeat(32);
    let text = match verb {
        Verb::Took => r#"{"part": {"name": "tray"}, "ties": [{"kind": "nut", "count": 3}]}"#,
        Verb::Merged => r#"{"into": "other"}"#,
        Verb::Fact => r#"{"fact": "sits"}"#,
        Verb::Answered => r#"{"kind": "seen", "these": ["a"], "those": ["b"]}"#,
        Verb::Expected => r#"{"kind": "earth"}"#,
        Verb::Noted => r#"{"kind": "buy", "price": "12,50", "minutes": 90, "due": "Monday"}"#,
        Verb::Ticked => r#"{"point": "road.level", "asked": "Level right?", "means": "phone"}"#,
        Verb::Round => r#"{"round": 2, "wrench": "long", "setting": "40 N·m", "by_hand": true}"#,
        Verb::Photo | Verb::Private => &format!(r#"{{"photo": "{photo}"}}"#),
        Verb::Pin => &format!(r#"{{"photo": "{photo}", "x": 1, "y": 1000}}"#),
        _ => return None,
    };
    Some(More::from_text(text).unwrap())
}

#[test]
fn every_field_comes_back() {
    let here = here();
    let id = begin(&here.garage);
    let mut job = here.garage.open_job(id.as_str()).unwrap();
    let mut full = event("phone", 1, Verb::Undo, Some("plug \"x\""));
    full.sender = "phone ä".into();
    full.spot = Some("above".into());
    full.tool = Some("hex 8".into());
    full.person = Some("Ida".into());
    full.note = Some("two\nlines".into());
    full.pieces = Some(2);
    full.count = (1 << 53) - 1;
    full.said_at_ms = -5;
    let events: Vec<_> = [full]
        .into_iter()
        .chain(Verb::ALL.into_iter().zip(2..).map(|(verb, number)| {
            let mut event = event("p", number, verb.clone(), None);
            event.thing = (verb != Verb::Moved).then(|| "thing".to_owned());
            event.note = Some("note".into());
            event.spot = Some("below".into());
            let is_of = [Verb::TakeBack, Verb::Found, Verb::NotFound, Verb::TakenOut];
            event.of = is_of.contains(&verb).then(|| "p-2".parse_id());
            event.pieces = [Verb::Split, Verb::Expected].contains(&verb).then_some(2);
            event.more = carried(&verb);
            event
        }))
        .collect();
    let answers = job.append(&events, 42).unwrap();
    let expect: Vec<_> = (1..=events.len() as u64).map(Accepted::New).collect();
    assert_eq!(answers, expect);
    drop(job);
    let job = here.garage.open_job(id.as_str()).unwrap();
    let kept: Vec<_> = job.log().records().iter().map(|r| r.event.clone()).collect();
    assert_eq!(kept, events);
    assert!(job.log().records().iter().all(|r| r.recorded_at_ms == 42));
}

trait ParseId {
    fn parse_id(&self) -> lastbolt_ledger::EventId;
}

impl ParseId for str {
    fn parse_id(&self) -> lastbolt_ledger::EventId {
        lastbolt_ledger::EventId::new(self).expect("an id")
    }
}

/// A refused one does not hinder the others, and each has its own answer in its place.
#[test]
fn each_event_has_its_answer() {
    let here = here();
    let id = begin(&here.garage);
    let mut job = here.garage.open_job(id.as_str()).unwrap();
    job.append(&[undo("a", 1)], 0).unwrap();
    let mut other = undo("a", 1);
    other.thing = Some("another".into());
    let unknown = event("a", 3, Verb::Other("polish".into()), None);
    let sent = [undo("a", 1), other, unknown, undo("a", 2), undo("a", 2)];
    let answers = job.append(&sent, 0).unwrap();
    assert_eq!(answers[0], Accepted::Same(1));
    assert!(matches!(&answers[1], Accepted::Refused(Refusal::OtherContent { seq: 1, .. })));
    assert!(matches!(&answers[2], Accepted::Refused(Refusal::Event(_))));
    assert_eq!(answers[3..], [Accepted::New(2), Accepted::Same(2)]);
    drop(job);
    assert_eq!(here.garage.open_job(id.as_str()).unwrap().log().len(), 2);
}

#[test]
fn too_many_at_once_record_nothing() {
    let here = here();
    let id = begin(&here.garage);
    let mut job = here.garage.open_job(id.as_str()).unwrap();
    let many: Vec<_> = (0..=BATCH_MAX as u64).map(|number| undo("a", number)).collect();
    assert!(matches!(job.append(&many, 0), Err(StoreError::Refused { .. })));
    assert!(job.log().is_empty());
    assert_eq!(job.append(&many[1..], 0).unwrap().len(), BATCH_MAX);
}

/// A command and a server may have the same job open, one after the other writing: neither loses
/// or repeats what the other recorded.
#[test]
fn two_who_have_it_open() {
    let here = here();
    let id = begin(&here.garage);
    let mut one = here.garage.open_job(id.as_str()).unwrap();
    let mut two = here.garage.open_job(id.as_str()).unwrap();
    assert_eq!(one.append(&[undo("a", 1)], 0).unwrap(), [Accepted::New(1)]);
    assert_eq!(
        two.append(&[undo("a", 1), undo("b", 1)], 0).unwrap(),
        [Accepted::Same(1), Accepted::New(2)]
    );
    assert_eq!(one.events_since(0).len(), 1);
    one.refresh().unwrap();
    assert_eq!(one.events_since(1)[0].event, undo("b", 1));
    assert_eq!(one.append(&[undo("a", 2)], 0).unwrap(), [Accepted::New(3)]);
}

/// When the disk refuses, nothing counts as recorded, and the same is taken later.
#[test]
fn a_failed_write_records_nothing() {
    let here = here();
    let id = begin(&here.garage);
    let mut job = here.garage.open_job(id.as_str()).unwrap();
    job.append(&[undo("a", 1)], 0).unwrap();
    let other = rusqlite::Connection::open(job.path()).unwrap();
    other
        .execute_batch(
            "CREATE TRIGGER refuse BEFORE INSERT ON events WHEN new.id = 'a-3' \
             BEGIN SELECT RAISE(ABORT, 'disk says no'); END",
        )
        .unwrap();
    let sent = [undo("a", 2), undo("a", 3)];
    assert!(matches!(job.append(&sent, 0), Err(StoreError::Sql { .. })));
    assert_eq!(job.log().len(), 1);
    other.execute_batch("DROP TRIGGER refuse").unwrap();
    assert_eq!(job.append(&sent, 0).unwrap(), [Accepted::New(2), Accepted::New(3)]);
}

#[test]
fn what_begin_refuses() {
    let here = here();
    let refused = |title: &str, files: &[JobFile]| {
        let answer = here.garage.begin(title, "/x", files, 0);
        assert!(matches!(answer, Err(StoreError::Refused { .. })), "{answer:?}");
    };
    refused(" ", &[]);
    refused(&"x".repeat(201), &[]);
    refused("x", &[machine_file(), machine_file()]);
    let huge = JobFile { text: "x".repeat(FILE_BYTES_MAX + 1), ..machine_file() };
    refused("x", &[huge]);
    let many: Vec<_> = (0..65).map(|n| JobFile { name: n.to_string(), ..machine_file() }).collect();
    refused("x", &many);
    assert_eq!(here.garage.list_jobs().unwrap().len(), 0);
    assert_eq!(common::everything(here.garage.dir()).len(), 1, "only the empty folder of jobs");
}

#[test]
fn ids_are_never_given_twice() {
    let here = here();
    let ids: Vec<_> = (0..3).map(|_| begin(&here.garage).to_string()).collect();
    assert_eq!(ids, ["kelp-impeller-1", "kelp-impeller-2", "kelp-impeller-3"]);
    std::fs::remove_dir_all(here.garage.job_dir(&"kelp-impeller-2".parse_job())).unwrap();
    assert_eq!(begin(&here.garage).as_str(), "kelp-impeller-4");
    let mut unique: Vec<_> = ["1", "3", "4"]
        .iter()
        .map(|n| here.garage.open_job(&format!("kelp-impeller-{n}")).unwrap().unique().unwrap())
        .collect();
    unique.sort();
    unique.dedup();
    assert_eq!(unique.len(), 3);
    assert!(unique.iter().all(|word| word.len() == 32));
}

trait ParseJob {
    fn parse_job(&self) -> lastbolt_store::JobId;
}

impl ParseJob for str {
    fn parse_job(&self) -> lastbolt_store::JobId {
        lastbolt_store::JobId::new(self).expect("an id")
    }
}

#[test]
fn the_list_tells_what_is_finished() {
    let here = here();
    let (one, two) = (begin(&here.garage), begin(&here.garage));
    let source = "/demo/kelp";
    assert_eq!(here.garage.find_unfinished_by_source(source).unwrap(), Some(two.clone()));
    let mut job = here.garage.open_job(two.as_str()).unwrap();
    job.append(&[event("a", 1, Verb::Finished, None)], 55).unwrap();
    // While it is open its log stands beside it: the list must see it all the same.
    assert_eq!(here.garage.find_unfinished_by_source(source).unwrap(), Some(one.clone()));
    let mut back = event("a", 2, Verb::TakeBack, None);
    back.of = Some("a-1".parse_id());
    job.append(&[back], 66).unwrap();
    assert_eq!(here.garage.find_unfinished_by_source(source).unwrap(), Some(two.clone()));
    assert_eq!(here.garage.find_unfinished_by_source("/other").unwrap(), None);
    let listed = here.garage.list_jobs().unwrap();
    let [Listed::Job(first), Listed::Job(second)] = &listed[..] else { panic!("{listed:?}") };
    assert_eq!((&first.id, first.records, first.last_at_ms), (&one, 0, None));
    assert_eq!((&second.id, second.records, second.last_at_ms), (&two, 2, Some(66)));
    assert_eq!((second.title.as_str(), second.finished), ("Kelp impeller", false));
}

#[test]
fn a_job_is_found_by_id_folder_or_database() {
    let here = here();
    let id = begin(&here.garage);
    let folder = here.garage.job_dir(&id);
    for name in [id.as_str(), folder.to_str().unwrap(), db(&here.garage, &id).to_str().unwrap()] {
        assert_eq!(here.garage.open_job(name).unwrap().id(), &id);
    }
    let missing = here.garage.open_job("kelp-impeller-9");
    assert!(matches!(missing, Err(StoreError::NoSuchJob { .. })));
    // Carried elsewhere under another name it is still the same job.
    let elsewhere = here.temp.path().join("Carried Off.db");
    std::fs::copy(db(&here.garage, &id), &elsewhere).unwrap();
    assert_eq!(Job::open(&elsewhere).unwrap().id(), &id);
}
