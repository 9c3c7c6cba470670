//! The real process is killed at random moments under load: every acknowledged record is there
//! afterwards, exactly once, as it was sent.
//!
//! This does not test power loss; that the disk is asked to keep it is the store's own test.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[path = "common/killed.rs"]
mod killed;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use lastbolt_store::{Garage, Serving};
use serde_json::{Value, json};

use killed::Server;

const ROUNDS: u64 = 20;
const SENDERS: u64 = 4;
/// How long a server may take until it acknowledges something.
const LOAD_TIME: Duration = Duration::from_secs(30);
/// Change it to look at other moments; it is printed.
const SEED: u64 = 0x1a57_b017;

/// Numbers that look random and are the same every time.
struct Noise(u64);

impl Noise {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 16) % limit
    }
}

/// What was sent and acknowledged: the note by the id of its record.
#[derive(Default)]
struct Sent {
    acknowledged: Mutex<BTreeMap<String, String>>,
    count: AtomicU64,
}

/// One sender: posts small batches until the server is gone, and writes down what was answered.
fn send(serving: &Serving, job: &str, sender: u64, round: u64, sent: &Sent, over: &AtomicBool) {
    let agent: ureq::Agent = ureq::Agent::config_builder()
        .timeout_global(Some(Duration::from_secs(5)))
        .http_status_as_error(false)
        .proxy(None)
        .build()
        .into();
    let url = format!("{}/api/job/{job}/events", serving.address);
    let mut size = Noise(SEED ^ (sender + 1) ^ (round << 8));
    while !over.load(Ordering::Relaxed) {
        let events: Vec<Value> = (0..=size.below(5)).map(|_| event(sender, sent)).collect();
        let body = json!({ "version": 1, "events": events }).to_string();
        let answer = agent
            .post(&url)
            .header("content-type", "application/json")
            .header("authorization", format!("Bearer {}", serving.token))
            .send(&body);
        // A server that was killed answers nothing: then nothing is acknowledged.
        let Ok(mut answer) = answer else { return };
        let Ok(text) = answer.body_mut().read_to_string() else { return };
        assert!(answer.status().is_success(), "{}: {text}", answer.status());
        let answers: Value = serde_json::from_str(&text).unwrap();
        let answers = answers["answers"].as_array().unwrap();
        assert_eq!(answers.len(), events.len());
        let mut acknowledged = sent.acknowledged.lock().unwrap();
        for (event, answer) in events.iter().zip(answers) {
            assert_eq!(answer["accepted"], "new", "{answer}");
            let text = |key: &str| event[key].as_str().unwrap().to_owned();
            acknowledged.insert(text("id"), text("note"));
        }
    }
}

fn event(sender: u64, sent: &Sent) -> Value {
    let number = sent.count.fetch_add(1, Ordering::Relaxed) + 1;
    json!({
        "id": format!("phone-{sender}-{number}"),
        "sender": format!("phone {sender}"),
        "count": number,
        "seen": 0,
        "said_at_ms": 1_700_000_000_000_u64 + number,
        "verb": "said",
        "note": format!("note {number} of phone {sender}"),
    })
}

/// The first acknowledged record that is not there exactly once as it was sent.
fn lost(acknowledged: &BTreeMap<String, String>, found: &[(String, String)]) -> Option<String> {
    let mut by_id: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for (id, note) in found {
        by_id.entry(id).or_default().push(note);
    }
    let is_there = |id: &str, note: &str| by_id.get(id).is_some_and(|notes| notes == &[note]);
    acknowledged.iter().find(|(id, note)| !is_there(id, note)).map(|(id, _)| id.clone())
}

fn records(garage: &Path, job: &str) -> Vec<(String, String)> {
    let job = Garage::open(garage).unwrap().open_job(job).unwrap();
    let records = job.log().records();
    for (at, record) in records.iter().enumerate() {
        assert_eq!(record.seq, at as u64 + 1, "the numbers have no gap");
    }
    let one = |event: &lastbolt_ledger::Event| {
        (event.id.as_str().to_owned(), event.note.clone().unwrap_or_default())
    };
    records.iter().map(|record| one(&record.event)).collect()
}

/// Lists that lost one, have one twice, or changed one, are found out.
#[test]
fn the_judge_finds_a_loss() {
    let pair = |id: &str| (id.to_owned(), format!("note {id}"));
    let acknowledged: BTreeMap<String, String> = [pair("a"), pair("b")].into();
    let check = |found: &[(String, String)], expect: Option<&str>| {
        assert_eq!(lost(&acknowledged, found).as_deref(), expect);
    };
    check(&[pair("a"), pair("b")], None);
    check(&[pair("a"), pair("b"), pair("not acknowledged")], None);
    check(&[pair("a")], Some("b"));
    check(&[pair("a"), pair("b"), pair("a")], Some("a"));
    check(&[pair("a"), ("b".to_owned(), "another note".to_owned())], Some("b"));
}

/// Twenty kills under load, one job.
#[test]
fn no_acknowledged_record_is_lost() {
    println!("seed {SEED:#x}");
    let garage = tempfile::tempdir().unwrap();
    let sent = Sent::default();
    let mut moments = Noise(SEED);
    for round in 0..ROUNDS {
        let before = sent.acknowledged.lock().unwrap().len();
        let mut server = Server::begin(garage.path());
        let serving = Serving::read(garage.path()).unwrap().expect("it serves");
        let over = AtomicBool::new(false);
        let job = server.job.clone();
        let wait = moments.below(120);
        thread::scope(|scope| {
            for sender in 0..SENDERS {
                let (serving, job, sent, over) = (&serving, &job, &sent, &over);
                scope.spawn(move || send(serving, job, sender, round, sent, over));
            }
            // The moment is random on purpose: nothing is waited for but some load.
            let began = Instant::now();
            while sent.acknowledged.lock().unwrap().len() < before + 4 {
                if began.elapsed() > LOAD_TIME {
                    over.store(true, Ordering::Relaxed);
                    server.kill();
                    panic!("round {round}: the server acknowledges nothing");
                }
                thread::yield_now();
            }
            thread::sleep(Duration::from_millis(wait));
            server.kill();
            over.store(true, Ordering::Relaxed);
        });
        let acknowledged = sent.acknowledged.lock().unwrap();
        let found = records(garage.path(), &job);
        assert_eq!(lost(&acknowledged, &found), None, "round {round}, after {wait} ms");
        println!("round {round}: {} acknowledged, {} found", acknowledged.len(), found.len());
    }
}
