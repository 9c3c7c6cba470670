//! The real process is killed in the middle of keeping pictures: afterwards every picture is whole
//! or absent, nothing that was acknowledged is lost, and no unfinished work stays.
//!
//! This does not test power loss; that the disk is asked to keep it is the store's own test.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[path = "common/killed.rs"]
mod killed;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU32, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use lastbolt_ledger::Verb;
use lastbolt_photo::{name_of, take_in};
use lastbolt_store::{Garage, Serving};
use lastbolt_testkit::pictures::{Hidden, jpeg};
use serde_json::{Value, json};

use killed::Server;

const ROUNDS: u64 = 20;
const SENDERS: u32 = 3;
/// In so many rounds at least the process has to end while a picture is being written.
const IN_THE_MIDDLE_MIN: usize = 2;
/// How long a server may take until it has kept something.
const LOAD_TIME: Duration = Duration::from_secs(60);

/// What was sent and acknowledged.
#[derive(Default)]
struct Sent {
    count: AtomicU32,
    /// Names of pictures.
    kept: Mutex<BTreeSet<String>>,
    /// The picture by the id of the entry that mentions it.
    mentioned: Mutex<BTreeMap<String, String>>,
}

/// Sends one picture after the other, each with its entry, until the server is gone.
fn send(serving: &Serving, job: &str, sender: u32, sent: &Sent) {
    let agent: ureq::Agent = ureq::Agent::config_builder()
        .timeout_global(Some(Duration::from_secs(20)))
        .http_status_as_error(false)
        .proxy(None)
        .build()
        .into();
    let post = |what: &str, kind: &str, body: &[u8]| -> Option<Value> {
        let answer = agent
            .post(format!("{}/api/job/{job}/{what}", serving.address))
            .header("content-type", kind)
            .header("authorization", format!("Bearer {}", serving.token))
            .send(body);
        // A server that was killed answers nothing: then nothing is acknowledged.
        let mut answer = answer.ok()?;
        let text = answer.body_mut().read_to_string().ok()?;
        assert!(answer.status().is_success(), "{}: {text}", answer.status());
        Some(serde_json::from_str(&text).unwrap())
    };
    loop {
        let number = sent.count.fetch_add(1, Ordering::Relaxed) + 1;
        // Another size each: two colours next to each other may come out alike.
        let wide = u16::try_from(600 + number % 600).unwrap();
        let high = u16::try_from(450 + number / 600).unwrap();
        let file = jpeg(wide, high, 100, Hidden::default());
        let Some(answer) = post("photos", "image/jpeg", &file) else { return };
        assert_eq!(answer["new"], true, "each picture is another one: {answer}");
        let name = answer["photo"].as_str().unwrap().to_owned();
        sent.kept.lock().unwrap().insert(name.clone());
        let id = format!("photo-{number}");
        let event = json!({
            "id": id, "sender": format!("phone {sender}"), "count": number, "seen": 0,
            "said_at_ms": 1_700_000_000_000_u64, "verb": "photo", "more": { "photo": name },
        });
        let body = json!({ "version": 1, "events": [event] }).to_string();
        let Some(answer) = post("events", "application/json", body.as_bytes()) else { return };
        assert_eq!(answer["answers"][0]["accepted"], "new", "{answer}");
        sent.mentioned.lock().unwrap().insert(id, name);
    }
}

/// The folders of unfinished work in a garage, at any depth.
fn unfinished(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        if entry.file_name().to_string_lossy().starts_with(".new-") {
            all.push(entry.path());
        } else if entry.path().is_dir() {
            all.extend(unfinished(&entry.path()));
        }
    }
    all
}

/// Reads a folder of pictures: the names of those that are whole.
///
/// # Errors
/// Says which file is none of a picture, or half of one.
fn whole(folder: &Path) -> Result<BTreeSet<String>, String> {
    let mut all = BTreeSet::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let file = entry.file_name().to_string_lossy().into_owned();
        let bytes = fs::read(entry.path()).map_err(|error| error.to_string())?;
        let name = file.strip_suffix(".jpg").ok_or_else(|| format!("{file}: what is that?"))?;
        match name.strip_suffix(".s") {
            // The small copy bears the name of the other: whole is what can be read to its end.
            Some(_) => {
                let ends = bytes.ends_with(&[0xff, 0xd9]);
                take_in(&bytes).ok().filter(|_| ends).ok_or_else(|| format!("{file}: half"))?;
            }
            None => {
                let is_whole = name_of(&bytes) == name && all.insert(name.to_owned());
                is_whole.then_some(()).ok_or_else(|| format!("{file}: half"))?;
            }
        }
    }
    Ok(all)
}

/// Half a file, one that was cut to nothing and a strange one are found out; a lone small copy is
/// none of these.
#[test]
fn the_judge_finds_half_a_picture() {
    let good = take_in(&jpeg(300, 200, 7, Hidden::default())).unwrap();
    let judge = |files: &[(&str, &[u8])]| {
        let folder = tempfile::tempdir().unwrap();
        for (ending, bytes) in files {
            fs::write(folder.path().join(format!("{}{ending}", good.name)), bytes).unwrap();
        }
        whole(folder.path())
    };
    let (image, small) = (good.image.as_slice(), good.small.as_slice());
    assert_eq!(judge(&[(".jpg", image), (".s.jpg", small)]), Ok([good.name.clone()].into()));
    assert_eq!(judge(&[(".s.jpg", small)]), Ok(BTreeSet::new()));
    assert!(judge(&[(".jpg", &image[..image.len() - 1])]).is_err());
    assert!(judge(&[(".jpg", &[])]).is_err());
    assert!(judge(&[(".jpg", image), (".s.jpg", &small[..small.len() / 2])]).is_err());
    assert!(judge(&[(".part", image)]).is_err());
}

/// Looks whether everything acknowledged is there, and whatever is mentioned is whole.
fn look(garage: &Path, job: &str, sent: &Sent) -> usize {
    let job = Garage::open(garage).unwrap().open_job(job).unwrap();
    let found = whole(&job.folder().unwrap().join("photos")).unwrap();
    for name in sent.kept.lock().unwrap().iter() {
        assert!(found.contains(name), "acknowledged and lost: {name}");
    }
    let events = job.log().records().iter().map(|record| &record.event);
    let photos = events.filter(|event| event.verb == Verb::Photo);
    let mentioned: BTreeMap<String, String> = photos
        .map(|event| {
            let name = event.more.clone().and_then(|more| more.photo).unwrap();
            assert!(found.contains(&name), "mentioned and absent: {name}");
            (event.id.as_str().to_owned(), name)
        })
        .collect();
    for (id, name) in sent.mentioned.lock().unwrap().iter() {
        assert_eq!(mentioned.get(id), Some(name), "an acknowledged entry is lost");
    }
    found.len()
}

#[test]
fn a_picture_is_whole_or_absent() {
    let garage = tempfile::tempdir().unwrap();
    let sent = Sent::default();
    let mut in_the_middle = 0;
    for round in 0..ROUNDS {
        let before = sent.mentioned.lock().unwrap().len();
        let mut server = Server::begin(garage.path());
        assert_eq!(unfinished(garage.path()), Vec::<PathBuf>::new(), "what was left is swept");
        let serving = Serving::read(garage.path()).unwrap().expect("it serves");
        let job = server.job.clone();
        thread::scope(|scope| {
            for sender in 0..SENDERS {
                let (serving, job, sent) = (&serving, &job, &sent);
                scope.spawn(move || send(serving, job, sender, sent));
            }
            let began = Instant::now();
            let is_under_load = || sent.mentioned.lock().unwrap().len() > before;
            while !is_under_load() || unfinished(garage.path()).is_empty() {
                if began.elapsed() > LOAD_TIME {
                    server.kill();
                    panic!("round {round}: the server keeps nothing");
                }
                thread::yield_now();
            }
            // A little later from round to round, to meet other moments of the writing.
            thread::sleep(Duration::from_micros(200 * (round % 8)));
            server.kill();
        });
        let left = unfinished(garage.path()).len();
        in_the_middle += usize::from(left > 0);
        let found = look(garage.path(), &job, &sent);
        println!("round {round}: {found} whole, {left} unfinished");
    }
    assert!(in_the_middle >= IN_THE_MIDDLE_MIN, "only {in_the_middle} kills met the writing");
}
