//! Pictures over the network: taken in or refused with a sentence, given out, shown and marked.

use lastbolt_testkit::pictures::{Hidden, jpeg};
use serde_json::{Value, json};

use crate::tests::pages::part;
use crate::tests::ship::{Reply, Ship, TOKEN, event};
use crate::tests::words::{forbidden, text_of};

const HOST: (&str, &str) = ("host", "127.0.0.1:PORT");
const ORIGIN: (&str, &str) = ("origin", "http://127.0.0.1:PORT");
const JPEG: (&str, &str) = ("content-type", "image/jpeg");

/// A photo whose hidden data says when it was taken, on that day of 2023 that the events of these
/// tests are of.
fn photo(number: u8, time: &str) -> Vec<u8> {
    let time = format!("2023:11:14 {time}");
    jpeg(80, 60, number, Hidden { time: Some(&time), offset: Some("+00:00"), ..Hidden::default() })
}

fn send(ship: &Ship, more: &[(&str, &str)], body: &[u8]) -> Reply {
    let headers: Vec<(&str, &str)> = [HOST, ORIGIN].into_iter().chain(more.to_vec()).collect();
    ship.send("POST", &format!("/api/job/{}/photos", ship.job), &headers, body)
}

/// Brings a photo, mentions it, and gives its name.
fn bring(ship: &Ship, number: u8, time: &str) -> String {
    let answer = send(ship, &[JPEG], &photo(number, time)).json();
    let name = answer["photo"].as_str().unwrap().to_owned();
    let more = json!({ "photo": name, "taken_at_ms": answer["taken_at_ms"] });
    said(ship, &format!("photo-{number}"), "photo", "", more);
    name
}

/// Records something about a photo.
fn said(ship: &Ship, id: &str, verb: &str, thing: &str, more: Value) {
    let mut event = event(id, verb, thing);
    if thing.is_empty() {
        event.as_object_mut().unwrap().remove("thing");
    }
    event["more"] = more;
    assert_eq!(ship.record(&[event])[0]["accepted"], "new", "{id}");
}

fn take_back(ship: &Ship, id: &str, of: &str) {
    let mut back = event(id, "take_back", "");
    back.as_object_mut().unwrap().remove("thing");
    back["of"] = json!(of);
    assert_eq!(ship.record(&[back])[0]["accepted"], "new", "{id}");
}

#[test]
fn a_picture_is_kept_and_given_out() {
    let ship = Ship::launch();
    let file = photo(0, "22:00:00");
    let first = send(&ship, &[JPEG], &file);
    assert_eq!(first.status, 200, "{}", first.body);
    let answer = first.json();
    // 2023-11-14 22:00:00 UTC.
    assert_eq!(answer["taken_at_ms"], json!(1_699_999_200_000_i64));
    assert_eq!((&answer["width"], &answer["height"]), (&json!(80), &json!(60)));
    assert_eq!(answer["new"], json!(true));
    assert_eq!(send(&ship, &[JPEG], &file).json()["new"], json!(false), "there once");
    let name = answer["photo"].as_str().unwrap();
    for path in [format!("photo/{name}"), format!("photo/{name}/small")] {
        let reply = ship.get(&format!("/job/{}/{path}", ship.job));
        assert_eq!(reply.status, 200, "{path}");
        assert!(reply.head.contains("content-type: image/jpeg"), "{}", reply.head);
        assert!(reply.head.contains("immutable"), "{}", reply.head);
        assert!(reply.head.contains("nosniff"), "{}", reply.head);
        assert!(reply.body.contains("JFIF"));
        assert!(!reply.body.contains("Exif") && !reply.body.contains("2023:11:14"));
    }
    assert_eq!(ship.screen()["seen"], 0, "a file alone is no entry");
}

/// The picture knows best, then the phone's zone, then the phone's guess.
#[test]
fn when_it_was_taken() {
    let ship = Ship::launch();
    let taken = |hidden: Hidden<'_>, more: &[(&str, &str)]| {
        let headers: Vec<(&str, &str)> = [JPEG].into_iter().chain(more.to_vec()).collect();
        send(&ship, &headers, &jpeg(80, 60, 0, hidden)).json()["taken_at_ms"].clone()
    };
    let at = |ms: i64| json!(ms);
    let none = Hidden::default();
    let time = Hidden { time: Some("2023:11:14 22:00:00"), ..none };
    let zone = Hidden { offset: Some("+02:00"), ..time };
    let phone = [("x-taken-at-ms", "1700000000000"), ("x-minutes-east", "60")];
    let utc = 1_699_999_200_000;
    assert_eq!(taken(zone, &phone), at(utc - 2 * 3_600_000));
    assert_eq!(taken(time, &phone), at(utc - 3_600_000));
    assert_eq!(taken(time, &phone[..1]), at(1_700_000_000_000));
    assert_eq!(taken(none, &phone), at(1_700_000_000_000));
    assert_eq!(taken(none, &[]), Value::Null);
    for bad in ["never", "-1", "99999999999999999", "5"] {
        assert_eq!(taken(none, &[("x-taken-at-ms", bad)]), Value::Null, "{bad}");
    }
}

#[test]
fn what_is_no_picture_is_refused_with_a_sentence() {
    let ship = Ship::launch();
    let good = photo(0, "22:00:00");
    let cases: [(&[u8], u16, &str); 5] = [
        (b"", 422, "empty"),
        (b"hello, not a picture", 415, "not a picture"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", 415, "set to take JPEG"),
        (&good[..good.len() / 2], 422, "whole"),
        (b"GIF89a....", 415, "GIF"),
    ];
    for (body, status, words) in cases {
        let reply = send(&ship, &[JPEG], body);
        assert_eq!(reply.status, status, "{words}: {}", reply.body);
        let message = reply.json()["message"].as_str().unwrap().to_owned();
        assert!(message.contains(words) && message.ends_with('.'), "{message}");
    }
    let reply = send(&ship, &[("content-type", "text/plain")], &good);
    assert_eq!(reply.status, 415);
    let reply = send(&ship, &[("content-type", "application/octet-stream")], &good);
    assert_eq!(reply.status, 200, "its bytes say what it is");
    let large = [JPEG, ("content-length", "41943041")];
    assert_eq!(send(&ship, &large, b"").status, 413);
    let elsewhere = ship.send("POST", "/api/job/none-1/photos", &[HOST, ORIGIN, JPEG], &good);
    assert_eq!(elsewhere.status, 404);
}

/// The same door as for entries: no page of another site, no program without the token. The wrong
/// twin without a door lets all of them in.
#[test]
fn pictures_go_through_the_door() {
    let good = photo(0, "22:00:00");
    let bearer = format!("Bearer {TOKEN}");
    let stranger = ("origin", "http://elsewhere.example");
    let cases: [(&[(&str, &str)], bool); 5] = [
        (&[HOST, JPEG], false),
        (&[HOST, JPEG, stranger], false),
        (&[("host", "elsewhere.example"), ORIGIN, JPEG], false),
        (&[HOST, JPEG, ORIGIN, ("sec-fetch-site", "cross-site")], false),
        (&[HOST, JPEG, ("authorization", &bearer)], true),
    ];
    let (ship, open) = (Ship::launch(), Ship::unguarded());
    for (headers, let_in) in cases {
        let path = |ship: &Ship| format!("/api/job/{}/photos", ship.job);
        let reply = ship.send("POST", &path(&ship), headers, &good);
        assert_eq!(reply.status, if let_in { 200 } else { 403 }, "{headers:?}");
        assert_eq!(open.send("POST", &path(&open), headers, &good).status, 200, "{headers:?}");
    }
}

#[test]
fn names_lead_nowhere_else() {
    let ship = Ship::launch();
    for name in ["..%2F..%2Fjob.db", "job.db", "a", &"A".repeat(64), &"a".repeat(64)] {
        let path = format!("/job/{}/photo/{name}", ship.job);
        assert_eq!(ship.get(&path).status, 404, "{name}");
        assert_eq!(ship.get(&format!("{path}/small")).status, 404, "{name}");
        let page = format!("/job/{}/photo?photo={name}", ship.job);
        assert_eq!(ship.get(&page).status, 404, "{name}");
    }
    assert_eq!(ship.get(&format!("/job/..%2F..%2Fx/photo/{}", "a".repeat(64))).status, 404);
}

/// Brought out of order they stand by the time they were taken, between what was done.
#[test]
fn sorted_in_by_time() {
    let ship = Ship::launch();
    // Everything of `event` is said at 22:14:20 UTC.
    ship.record(&[event("a", "undo", "cover screws")]);
    bring(&ship, 90, "22:20:00");
    bring(&ship, 30, "22:10:00");
    let page = part(&ship.page("/photos"), "photos");
    let text = page.join("|");
    let before = text.find("before \u{201c}Cover screws: 2 screws out\u{201d}");
    let after = text.find("after \u{201c}Cover screws: 2 screws out\u{201d}");
    assert!(before.is_some() && before < after, "{text}");
    assert!(text.find("22:10").unwrap() < text.find("22:20").unwrap(), "{text}");
}

#[test]
fn marked_left_out_and_not_exported() {
    let ship = Ship::launch();
    let name = bring(&ship, 30, "22:10:00");
    let page = |more: &str| ship.page(&format!("/photo?photo={name}{more}"));
    let tapped = page("&x=400&y=600");
    assert!(tapped.contains("What is there?"), "{tapped}");
    let record = "&quot;verb&quot;:&quot;pin&quot;";
    assert!(tapped.contains(record) && tapped.contains("&quot;x&quot;:400"), "{tapped}");
    assert!(!page("").contains(record) && !page("&x=2000&y=1").contains(record));
    let at = json!({ "photo": name, "x": 400, "y": 600 });
    said(&ship, "pin", "pin", "pump plug", at);
    let marked = page("");
    assert!(marked.contains("x=\"40.0%\" y=\"60.0%\""), "{marked}");
    assert!(part(&marked, "about").contains(&"pump plug".to_owned()), "{marked}");
    let on_record = |ship: &Ship| ship.page("/record").contains(&format!("photo/{name}/small"));
    assert!(on_record(&ship));
    said(&ship, "mine", "private", "", json!({ "photo": name }));
    assert!(page("").contains("Not exported."));
    assert!(!on_record(&ship), "a number plate stays here");
    take_back(&ship, "b1", "mine");
    assert!(on_record(&ship));
    take_back(&ship, "b2", "pin");
    assert!(!page("").contains("x=\"40.0%\""));
    take_back(&ship, "b3", "photo-30");
    let gone = ship.get(&format!("/job/{}/photo?photo={name}", ship.job));
    assert_eq!(gone.status, 404);
    assert!(ship.page("/photos").contains("No photos yet."));
}

/// An entry whose file is not there is shown as what it is.
#[test]
fn a_missing_file_is_shown_as_missing() {
    let ship = Ship::launch();
    let name = "ab".repeat(32);
    said(&ship, "p", "photo", "", json!({ "photo": name }));
    let list = part(&ship.page("/photos"), "photos").join("|");
    assert!(list.contains("missing") && list.contains("not in the job's folder"), "{list}");
    assert!(list.contains("when it was taken is not known"), "{list}");
    let page = ship.page(&format!("/photo?photo={name}"));
    assert!(page.contains("is not in the job") && !page.contains("data-shot"), "{page}");
}

/// At put-back the photo stands beside the step, with what is still off and nothing else.
#[test]
fn beside_the_step() {
    let ship = Ship::launch();
    let name = bring(&ship, 30, "22:10:00");
    for (id, thing, x) in [("1", "pump plug", 100), ("2", "cover screws", 500), ("3", "pump", 900)]
    {
        said(&ship, id, "pin", thing, json!({ "photo": name, "x": x, "y": 500 }));
    }
    assert!(!ship.page("").contains("data-before"), "nothing is off yet");
    let steps = [
        ("undo", "cover screws"),
        ("off", "cover"),
        ("prep", "battery isolated"),
        ("undo", "pump plug"),
        ("undo", "pump hose"),
        ("off", "pump"),
        ("on", "pump"),
    ];
    for (number, (verb, thing)) in steps.into_iter().enumerate() {
        ship.record(&[event(&format!("s{number}"), verb, thing)]);
    }
    let mut seen = Vec::new();
    for number in 0..12 {
        let screen = ship.screen();
        let next = &screen["next"];
        let Some(button) = next["buttons"].get(0) else { break };
        let page = ship.page("");
        let thing = button["thing"].as_str().unwrap();
        if thing == "pump plug" {
            assert!(page.contains("Photo with its mark"), "{page}");
            assert!(page.contains("x=\"10.0%\"") && page.contains("x=\"50.0%\""), "{page}");
            assert!(!page.contains("x=\"90.0%\""), "the pump is home");
            assert!(
                ["hollow", "half"]
                    .iter()
                    .any(|fill| page.contains(&format!("tag mark {fill} here"))),
                "its own tag is larger"
            );
            seen.push("plug");
        }
        let mut tap = event(&format!("t{number}"), button["verb"].as_str().unwrap(), thing);
        tap["seen"] = screen["seen"].clone();
        ship.record(&[tap]);
    }
    assert!(seen.contains(&"plug"), "the plug was asked for");
}

#[test]
fn photo_pages_speak_the_trade() {
    let ship = Ship::launch();
    let name = bring(&ship, 30, "22:10:00");
    said(&ship, "pin", "pin", "pump plug", json!({ "photo": name, "x": 1, "y": 999 }));
    said(&ship, "mine", "private", "", json!({ "photo": name }));
    let paths = [
        "/photos".to_owned(),
        "/photos?thing=pump%20plug".to_owned(),
        format!("/photo?photo={name}"),
        format!("/photo?photo={name}&x=1&y=1"),
    ];
    for path in paths {
        let page = ship.page(&path);
        assert_eq!(forbidden(&text_of(&page)), Vec::<String>::new(), "{path}");
        assert!(!page.contains("style="), "{path}: the policy forbids inline style");
    }
}
