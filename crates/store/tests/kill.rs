//! Why: the power goes, the lid shuts, somebody ends the program. What was acknowledged is there
//! afterwards, each once. This test binary starts itself again as the writer (an environment
//! variable tells it), and kills it at random moments. A writer that acknowledges before it has
//! committed is kept as a wrong twin: the same check must reject it.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]
#![allow(clippy::print_stdout, reason = "the seed is printed, to run the same moments again")]

mod common;

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use common::{begin, here, undo};
use lastbolt_ledger::Accepted;
use lastbolt_store::Job;

const ROUNDS: u64 = 20;
const SEED: u64 = 20_241;
/// How many events the writer appends at a time.
const BATCH: usize = 3;
/// Names the database to write to, the number of the round, and whether to write wrongly.
const VARIABLE: &str = "LASTBOLT_KILL_WRITER";

/// Not a test of its own: the writer, when this binary was started as one.
#[test]
fn writer() {
    let Ok(order) = std::env::var(VARIABLE) else { return };
    let mut words = order.splitn(3, ' ');
    let twin = words.next() == Some("wrong");
    let round: u64 = words.next().unwrap().parse().unwrap();
    let mut job = Job::open(Path::new(words.next().unwrap())).unwrap();
    let mut number = round * 1_000_000;
    loop {
        let batch: Vec<_> = (0..BATCH as u64).map(|n| undo("a", number + n)).collect();
        number += BATCH as u64;
        if twin {
            acknowledge(batch.iter().map(|event| event.id.as_str()));
        }
        let answers = job.append(&batch, 0).unwrap();
        assert!(answers.iter().all(|answer| matches!(answer, Accepted::New(_))));
        if !twin {
            acknowledge(batch.iter().map(|event| event.id.as_str()));
        }
    }
}

fn acknowledge<'a>(ids: impl Iterator<Item = &'a str>) {
    let mut out = std::io::stdout().lock();
    for id in ids {
        writeln!(out, "acknowledged {id}").unwrap();
    }
    out.flush().unwrap();
}

/// Starts this binary again as a writer, and kills it if the test itself fails.
struct Writer(Child);

impl Writer {
    fn start(db: &Path, round: u64, twin: bool) -> Writer {
        let kind = if twin { "wrong" } else { "right" };
        let child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "writer", "--nocapture", "--test-threads", "1"])
            .env(VARIABLE, format!("{kind} {round} {}", db.display()))
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        Writer(child)
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A small generator (Knuth's constants).
struct Random(u64);

impl Random {
    fn below(&mut self, most: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }
}

/// Lets a writer write until it has acknowledged some, kills it a random moment later, and gives
/// every id that it acknowledged, those still in the pipe too.
fn write_and_kill(db: &Path, round: u64, twin: bool, random: &mut Random) -> Vec<String> {
    let mut writer = Writer::start(db, round, twin);
    let stdout = writer.0.stdout.take().unwrap();
    let wanted = 1 + random.below(60) as usize;
    let moment = Duration::from_micros(random.below(3000));
    let mut ids = Vec::new();
    let mut killed = false;
    let mut out = BufReader::new(stdout);
    loop {
        let mut line = Vec::new();
        // A line without its end was cut off by the kill: nobody has been told.
        if out.read_until(b'\n', &mut line).unwrap() == 0 || line.pop() != Some(b'\n') {
            break;
        }
        let line = String::from_utf8_lossy(&line).into_owned();
        ids.extend(line.split_once("acknowledged ").map(|(_, id)| id.to_owned()));
        if !killed && ids.len() >= wanted {
            // A moment in time, not a wait for something: the kill is to hit anywhere in a write.
            let until = Instant::now() + moment;
            while Instant::now() < until {
                std::hint::spin_loop();
            }
            writer.0.kill().unwrap();
            killed = true;
        }
    }
    assert!(killed, "the writer ended by itself after {} entries", ids.len());
    ids
}

/// Counts the acknowledged ids that are not there exactly once.
fn lost(db: &Path, acknowledged: &[String]) -> usize {
    let job = Job::open(db).unwrap();
    let mut times: BTreeMap<&str, u32> = BTreeMap::new();
    for recorded in job.log().records() {
        *times.entry(recorded.event.id.as_str()).or_default() += 1;
    }
    acknowledged.iter().filter(|id| times.get(id.as_str()) != Some(&1)).count()
}

/// Sends again what was acknowledged, as a phone does that lost the answer.
fn send_again(db: &Path, acknowledged: &[String]) {
    let mut job = Job::open(db).unwrap();
    let before = job.log().len();
    assert_eq!(before % BATCH, 0, "half of a batch was recorded");
    for ids in acknowledged.chunks(500) {
        let number = |id: &String| id.strip_prefix("a-").unwrap().parse().unwrap();
        let events: Vec<_> = ids.iter().map(|id| undo("a", number(id))).collect();
        let answers = job.append(&events, 1).unwrap();
        assert!(answers.iter().all(|answer| matches!(answer, Accepted::Same(_))));
    }
    drop(job);
    assert_eq!(Job::open(db).unwrap().log().len(), before);
}

/// Runs all rounds on one database and gives how many acknowledged records were lost.
fn rounds(db: &Path, twin: bool) -> (Vec<String>, usize) {
    println!("seed {SEED}, {ROUNDS} rounds, wrong twin: {twin}");
    let mut random = Random(SEED);
    let mut acknowledged = Vec::new();
    for round in 1..=ROUNDS {
        acknowledged.extend(write_and_kill(db, round, twin, &mut random));
    }
    let lost = lost(db, &acknowledged);
    println!("{} acknowledged, {lost} lost", acknowledged.len());
    (acknowledged, lost)
}

fn job_db() -> (common::Here, PathBuf) {
    let here = here();
    let id = begin(&here.garage);
    let db = common::db(&here.garage, &id);
    (here, db)
}

#[test]
fn nothing_acknowledged_is_lost() {
    let (_here, db) = job_db();
    let (acknowledged, lost) = rounds(&db, false);
    assert!(acknowledged.len() >= ROUNDS as usize);
    assert_eq!(lost, 0);
    send_again(&db, &acknowledged);
}

#[test]
fn a_writer_that_acknowledges_first_is_rejected() {
    let (_here, db) = job_db();
    let (_, lost) = rounds(&db, true);
    assert!(lost > 0, "the check lets a wrong writer through");
}
