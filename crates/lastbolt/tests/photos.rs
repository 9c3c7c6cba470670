//! Pictures from files: kept without a server and through one, and a file that is none keeps
//! nothing else from being kept.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use common::in_garage;
use lastbolt_ledger::Verb;
use lastbolt_store::{Garage, PhotoSize};
use lastbolt_testkit::pictures::{Hidden, jpeg};

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/kelp");

/// A picture that was taken at an hour of one day, in a file of that name.
fn picture(folder: &Path, name: &str, hour: u8) {
    let time = format!("2026:11:25 {hour:02}:00:00");
    let hidden = Hidden { time: Some(&time), offset: Some("+00:00"), ..Hidden::default() };
    fs::write(folder.join(name), jpeg(64, 48, hour * 10, hidden)).unwrap();
}

/// What the entries of a job mention: time taken in hours of the day, and thing.
fn mentioned(folder: &Path, job: &str) -> Vec<(i64, Option<String>)> {
    let garage = Garage::open(&folder.join("g")).unwrap();
    let job = garage.open_job(job).unwrap();
    let photos = job.photos();
    let events = job.log().records().iter().map(|r| &r.event);
    let all = events.filter(|event| event.verb == Verb::Photo).map(|event| {
        let more = event.more.clone().unwrap();
        let file = photos.read(&more.photo.unwrap(), PhotoSize::Whole).unwrap();
        assert!(file.unwrap().starts_with(&[0xff, 0xd8]), "its file is there");
        (more.taken_at_ms.unwrap() / 3_600_000 % 24, event.thing.clone())
    });
    all.collect()
}

/// The program as a server, ended when the test is over.
struct Server(Child);

impl Server {
    fn begin(folder: &Path, job: &str) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_lastbolt"))
            .args(["open", job, "--no-browser", "--garage", "g"])
            .current_dir(folder)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut first = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut first).unwrap();
        assert!(first.contains("/job/"), "{first}");
        Self(child)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn sorted_in_by_time_with_and_without_a_server() {
    for serves in [false, true] {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path();
        let job = in_garage(folder, &["begin", DEMO]).out.trim().to_owned();
        let server = serves.then(|| Server::begin(folder, &job));
        for (name, hour) in [("a.jpg", 12), ("b.jpg", 9), ("c.jpg", 10)] {
            picture(folder, name, hour);
        }
        fs::write(folder.join("words.jpg"), "no picture").unwrap();
        let words = ["photo", &job, "a.jpg", "b.jpg", "c.jpg", "--of", "cowl"];
        let ran = in_garage(folder, &words);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let files: Vec<&str> = ran.out.lines().map(|l| l.rsplit(' ').next().unwrap()).collect();
        assert_eq!(files, ["b.jpg", "c.jpg", "a.jpg"]);
        let cowl = || Some("cowl".to_owned());
        assert_eq!(mentioned(folder, &job), [(9, cowl()), (10, cowl()), (12, cowl())]);
        picture(folder, "d.jpg", 15);
        let ran = in_garage(folder, &["photo", &job, "words.jpg", "d.jpg", "none.jpg"]);
        assert_eq!(ran.code, 1);
        assert!(ran.err.contains("words.jpg: This is not a picture"), "{}", ran.err);
        assert!(ran.err.contains("none.jpg") && ran.err.contains("2 of 3"), "{}", ran.err);
        assert_eq!(mentioned(folder, &job).last(), Some(&(15, None)), "the good one is kept");
        drop(server);
    }
}

/// A handful with its picture: the picture is of the part, and one that is none stops it all.
#[test]
fn took_with_a_picture() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let words = ["begin", "--machine", "pump", "--after", "the seal"];
    let job = in_garage(folder, &words).out.trim().to_owned();
    fs::write(folder.join("words.jpg"), "no picture").unwrap();
    let ran = in_garage(folder, &["took", &job, "tray", "--tie", "nut:3", "--photo", "words.jpg"]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    let state = in_garage(folder, &["state", &job]);
    assert!(!state.out.contains("tray"), "nothing was recorded: {}", state.out);
    picture(folder, "tray.jpg", 9);
    let ran = in_garage(folder, &["took", &job, "tray", "--tie", "nut:3", "--photo", "tray.jpg"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(mentioned(folder, &job), [(9, Some("tray".to_owned()))]);
}
