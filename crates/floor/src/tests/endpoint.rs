//! The endpoint for events: each once, whole requests refused only where they cannot be read.

use crate::limits::{BODY_BYTES_MAX, EVENTS_MAX};
use crate::tests::ship::{Ship, event};
use serde_json::{Value, json};

/// A browser that never got the answer sends again: it must not count twice, and an id that comes
/// with other content must not overwrite anything.
#[test]
fn each_id_once() {
    let ship = Ship::launch();
    let first = event("a", "undo", "cover screws");
    assert_eq!(
        ship.record(std::slice::from_ref(&first))[0],
        json!({"id": "a", "accepted": "new", "seq": 1})
    );
    assert_eq!(
        ship.record(std::slice::from_ref(&first))[0],
        json!({"id": "a", "accepted": "same", "seq": 1})
    );
    let other = ship.record(&[event("a", "undo", "pump hose")]);
    assert_eq!(other[0]["accepted"], "refused");
    assert!(other[0]["message"].as_str().unwrap().contains("says something else"), "{other:?}");
    let screen = ship.screen();
    assert_eq!(screen["seen"], 1);
    assert_eq!(screen["still_off"]["text"], "still off: 2 screws");
}

/// One bad entry does not hold up the others of the same request.
#[test]
fn refused_ones_do_not_hinder_the_others() {
    let ship = Ship::launch();
    let mut backwards = event("b", "take_back", "cover");
    backwards["of"] = json!("never sent");
    let mut unreadable = event("c c", "off", "cover");
    unreadable["note"] = json!("the id has a space");
    let answers = ship.record(&[
        event("a", "undo", "cover screws"),
        backwards,
        unreadable,
        event("d", "polish", "cover"),
        event("e", "off", "cover"),
    ]);
    let words: Vec<&Value> = answers.iter().map(|answer| &answer["accepted"]).collect();
    assert_eq!(words, ["new", "refused", "refused", "refused", "new"]);
    let refused = answers.iter().filter(|answer| answer["accepted"] == "refused");
    for answer in refused {
        assert!(answer["message"].as_str().unwrap().ends_with('.'), "{answer}");
    }
    assert_eq!(ship.screen()["seen"], 2);
}

/// What has happened can always be recorded: out of order, and of things the file does not know.
#[test]
fn the_past_is_never_refused() {
    let ship = Ship::launch();
    let answers = ship.record(&[event("a", "off", "pump"), event("b", "off", "parrot")]);
    assert_eq!(answers[0]["accepted"], "new");
    assert_eq!(answers[1]["accepted"], "new");
    let quiet = ship.screen()["quiet"].to_string();
    assert!(quiet.contains("parrot"), "{quiet}");
}

/// A request with a count that JSON can write and no counter can hold.
fn counted(count: &str) -> String {
    let good = json!({ "version": 1, "events": [event("a", "off", "cover")] }).to_string();
    let bad = good.replace("\"count\":1", &format!("\"count\":{count}"));
    assert_ne!(good, bad);
    bad
}

#[test]
fn garbage_is_refused_with_a_sentence() {
    let ship = Ship::launch();
    let good = event("a", "off", "cover");
    let deep = format!("{}{}", "[".repeat(20_000), "]".repeat(20_000));
    let mut extra = good.clone();
    extra["colour"] = json!("red");
    let bodies: Vec<Vec<u8>> = vec![
        b"".to_vec(),
        b"{".to_vec(),
        b"null".to_vec(),
        b"[]".to_vec(),
        vec![0xff; 300],
        deep.into_bytes(),
        json!({ "events": [good] }).to_string().into_bytes(),
        json!({ "version": 2, "events": [good] }).to_string().into_bytes(),
        json!({ "version": "1", "events": [good] }).to_string().into_bytes(),
        json!({ "version": 1, "events": {} }).to_string().into_bytes(),
        json!({ "version": 1, "events": [good, 7] }).to_string().into_bytes(),
        json!({ "version": 1, "events": [good, extra] }).to_string().into_bytes(),
        json!({ "version": 1, "events": [good, {"id": "x"}] }).to_string().into_bytes(),
        br#"{"version":1,"version":1,"events":[]}"#.to_vec(),
        counted("-1").into_bytes(),
        counted("1e99").into_bytes(),
    ];
    for body in bodies {
        let reply = ship.post(&body);
        let shown = String::from_utf8_lossy(&body[..body.len().min(80)]).into_owned();
        assert_eq!(reply.status, 400, "{shown}: {}", reply.body);
        let message = reply.json()["message"].as_str().unwrap().to_owned();
        assert!(message.ends_with('.') && message.len() < 400, "{shown}: {message}");
    }
    assert_eq!(ship.screen()["seen"], 0, "nothing of a refused request is recorded");
}

#[test]
fn limits_hold() {
    let ship = Ship::launch();
    let large = vec![b' '; BODY_BYTES_MAX + 1];
    assert_eq!(ship.post(&large).status, 413);
    let whole = vec![b' '; BODY_BYTES_MAX];
    assert_eq!(ship.post(&whole).status, 400, "the limit itself is let in and read");
    let chunked = [
        ("host", "127.0.0.1:PORT"),
        ("origin", "http://127.0.0.1:PORT"),
        ("content-type", "application/json"),
        ("transfer-encoding", "chunked"),
        ("content-length", "0"),
    ];
    let body = format!("{:x}\r\n{}\r\n0\r\n\r\n", large.len(), " ".repeat(large.len()));
    let reply = ship.send("POST", &ship.events_path(), &chunked[..4], body.as_bytes());
    assert!([413, 400].contains(&reply.status), "{}", reply.status);
    let many: Vec<Value> =
        (0..=EVENTS_MAX).map(|n| event(&format!("m{n}"), "off", "cover")).collect();
    let body = json!({ "version": 1, "events": many }).to_string();
    assert_eq!(ship.post(body.as_bytes()).status, 413);
    let body = json!({ "version": 1, "events": many[..EVENTS_MAX] }).to_string();
    assert_eq!(ship.post(body.as_bytes()).status, 200);
    assert_eq!(ship.screen()["seen"], EVENTS_MAX);
}

#[test]
fn no_such_job_thing_or_method() {
    let ship = Ship::launch();
    let job = ship.job.clone();
    for (path, status) in [
        ("/job/none-1".to_owned(), 404),
        ("/job/..%2F..%2Fetc".to_owned(), 404),
        ("/api/job/none-1/screen".to_owned(), 404),
        (format!("/api/job/{job}/holds?thing=parrot"), 404),
        (format!("/api/job/{job}/holds"), 400),
        (format!("/job/{job}/thing?thing="), 400),
        (format!("/api/job/{job}/events"), 405),
        ("/asset/x/..%2Fserve.rs".to_owned(), 404),
        ("/nothing".to_owned(), 404),
    ] {
        assert_eq!(ship.get(&path).status, status, "{path}");
    }
}

/// Many senders at once: every answer "new" stands in the record, each once, each in its place.
#[test]
fn many_at_once_lose_nothing() {
    let ship = Ship::launch();
    let mut seqs: Vec<u64> = std::thread::scope(|scope| {
        let one = |sender: usize| {
            let ship = &ship;
            scope.spawn(move || -> Vec<u64> {
                let each = (0..10).map(|n| {
                    let mut note = event(&format!("s{sender}n{n}"), "said", "cover");
                    note["note"] = json!(format!("{sender} {n}"));
                    ship.record(&[note])[0]["seq"].as_u64().unwrap()
                });
                each.collect()
            })
        };
        let all: Vec<_> = (0..8).map(one).collect();
        all.into_iter().flat_map(|thread| thread.join().unwrap()).collect()
    });
    seqs.sort_unstable();
    assert_eq!(seqs, (1..=80).collect::<Vec<u64>>());
}
