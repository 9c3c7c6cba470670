//! A job from nothing on the pages: begun, taken apart by the handful, corrected, asked about.

use serde_json::{Value, json};

use crate::tests::ship::{Ship, event};
use crate::tests::words::{forbidden, text_of};

const PAGES: [&str; 9] =
    ["/take", "/scribe", "/questions", "/now", "/list", "/lists", "/gate", "/record", "/plan"];

/// A handful as the page sends it.
fn took(id: &str, name: Option<&str>, kinds: &[(&str, u32)]) -> Value {
    let mut one = event(id, "took", "");
    one.as_object_mut().unwrap().remove("thing");
    let ties: Vec<Value> =
        kinds.iter().map(|(kind, count)| json!({ "kind": kind, "count": count })).collect();
    let part = match name {
        Some(name) => json!({ "name": name }),
        None => json!({}),
    };
    one["more"] = json!({ "part": part, "ties": ties });
    one["spot"] = json!("above");
    one
}

fn plain(id: &str, verb: &str) -> Value {
    let mut one = event(id, verb, "");
    one.as_object_mut().unwrap().remove("thing");
    one
}

fn with(mut event: Value, key: &str, value: Value) -> Value {
    event[key] = value;
    event
}

fn tray() -> Value {
    took("tray", Some("tray"), &[("nut", 3), ("clip", 1), ("earth", 1)])
}

/// Every page is drawn, speaks the trade and runs nothing that a person wrote.
fn look_through(ship: &Ship, when: &str) {
    for path in PAGES {
        let page = ship.page(path);
        let text = text_of(&page);
        assert_eq!(forbidden(&text), Vec::<String>::new(), "{when}, {path}");
        assert!(!page.contains("<i>saw</i>"), "{when}, {path}: words of a person are text");
        assert!(!page.contains("style=") && !page.contains("onclick"), "{when}, {path}");
    }
    for path in ["/", "/begin"] {
        let text = text_of(&ship.get(path).body);
        assert_eq!(forbidden(&text), Vec::<String>::new(), "{when}, {path}");
    }
}

/// From an empty job to one that is handed over and goes on, no page falls over.
#[test]
fn pages_of_every_stage() {
    let ship = Ship::from_nothing();
    look_through(&ship, "empty");
    ship.record(&[tray()]);
    look_through(&ship, "first");
    let corrected = [
        with(event("c1", "renamed", "tray"), "note", json!("battery tray")),
        with(event("c2", "split", "tray nuts"), "pieces", json!(1)),
        with(event("c3", "corrected", "tray clip"), "more", json!({ "kind": "hook" })),
        event("c4", "struck_out", "tray earth"),
    ];
    ship.record(&corrected);
    look_through(&ship, "corrected");
    let many: Vec<Value> = (0..200)
        .map(|number| took(&format!("m{number}"), None, &[("screw", number % 9 + 1)]))
        .collect();
    for some in many.chunks(100) {
        let answers = ship.record(some);
        assert!(answers.iter().all(|answer| answer["accepted"] == "new"));
    }
    let page = ship.page("/take");
    assert!(page.contains("161 earlier ones"), "the list has an end");
    look_through(&ship, "very long");
    ship.record(&[plain("over", "all_off")]);
    look_through(&ship, "all off");
    ship.record(&[plain("end", "finished")]);
    look_through(&ship, "finished");
    ship.record(&[plain("again", "reopened")]);
    look_through(&ship, "reopened");
}

#[test]
fn begun_with_two_answers() {
    let ship = Ship::launch();
    let today = ship.get("/").body;
    assert!(today.contains("href=\"/begin\""));
    let begun = ship.begin(r#"{"version": 1, "machine": "Bramble saw", "after": "spindle"}"#);
    assert_eq!(begun.json()["page"], "/job/bramble-saw-spindle-1/take");
    let again = ship.begin(r#"{"version": 1, "machine": "Bramble saw"}"#);
    assert_eq!(again.json()["job"], "bramble-saw-1");
    assert!(ship.get("/begin").body.contains("data-machine=\"Bramble saw\""), "one tap next time");
    for (body, why) in [
        (r#"{"version": 1, "machine": "  "}"#, "machine is not said"),
        (r#"{"version": 2, "machine": "x"}"#, "Version 2"),
        (r#"{"version": 1, "after": "x"}"#, "machine"),
        (r#"{"version": 1, "machine": "x", "owner": "y"}"#, "owner"),
        ("[]", "version"),
    ] {
        let reply = ship.begin(body);
        assert_eq!(reply.status, 400, "{body}");
        assert!(reply.json()["message"].as_str().unwrap().contains(why), "{body}: {}", reply.body);
    }
    let long = json!({ "version": 1, "machine": "m".repeat(91) }).to_string();
    assert_eq!(ship.begin(&long).status, 400);
    let jobs = text_of(&ship.get("/").body);
    assert_eq!(jobs.matches("Bramble saw").count(), 2, "{jobs}");
}

/// A page of another site begins no job; without the guard it would.
#[test]
fn nobody_else_begins_one() {
    let body = br#"{"version": 1, "machine": "x"}"#;
    let headers = [
        ("host", "127.0.0.1:PORT"),
        ("origin", "http://elsewhere.example"),
        ("content-type", "application/json"),
    ];
    let ship = Ship::launch();
    assert_eq!(ship.send("POST", "/api/begin", &headers, body).status, 403);
    assert!(!ship.get("/begin").body.contains("data-machine=\"x\""));
    assert_eq!(Ship::unguarded().send("POST", "/api/begin", &headers, body).status, 200);
}

/// Taking apart is the page that is wanted until all is off; then it is the working screen.
#[test]
fn which_page_is_wanted() {
    let ship = Ship::from_nothing();
    let job = format!("/job/{}", ship.job);
    let leads_to_take = |ship: &Ship| {
        let reply = ship.get(&job);
        reply.status == 303 && reply.head.contains(&format!("location: {job}/take"))
    };
    assert!(leads_to_take(&ship));
    ship.record(&[tray()]);
    assert!(leads_to_take(&ship));
    ship.record(&[plain("over", "all_off")]);
    assert_eq!(ship.get(&job).status, 200);
    ship.record(&[with(plain("back", "take_back"), "of", json!("over"))]);
    assert!(leads_to_take(&ship), "taken back: more comes off");
    ship.record(&[event("home", "home", "tray")]);
    assert_eq!(ship.get(&job).status, 200, "something went home");
    let planned = Ship::launch();
    assert_eq!(planned.get(&format!("/job/{}", planned.job)).status, 200, "a file plans it");
}

/// What was recorded stands in the trade's words, under the names of now; what was taken back
/// or struck out does not.
#[test]
fn what_was_taken_off() {
    let ship = Ship::from_nothing();
    ship.record(&[tray(), took("two", None, &[("screw", 4)])]);
    let page = text_of(&ship.page("/take"));
    assert!(page.contains("Tray off: 3 nuts, 1 clip, 1 earth"), "{page}");
    assert!(page.contains("Part 1 off: 4 screws"), "{page}");
    let entry = ship.page("/entry?thing=tray%20nuts");
    assert!(text_of(&entry).contains("3 nuts, from above"));
    ship.record(&[
        with(event("name", "renamed", "part 1"), "note", json!("guard")),
        with(event("count", "corrected", "tray nuts"), "pieces", json!(2)),
        event("gone", "struck_out", "tray clip"),
    ]);
    let page = text_of(&ship.page("/take"));
    assert!(page.contains("Tray off: 2 nuts, 1 earth"), "{page}");
    assert!(page.contains("Guard off: 4 screws"), "{page}");
    ship.record(&[with(plain("back", "take_back"), "of", json!("two"))]);
    assert!(!text_of(&ship.page("/take")).contains("Guard off"));
    let missing = ship.get(&format!("/job/{}/entry?thing=nobody", ship.job));
    assert_eq!(missing.status, 303, "a file may know it");
}

/// One tap takes the whole handful home; the single steps stand beside it.
#[test]
fn a_handful_goes_home_by_one_tap() {
    let ship = Ship::from_nothing();
    ship.record(&[tray(), plain("over", "all_off")]);
    let page = ship.page("/now");
    assert!(page.contains("Tray home: 1 earth, 1 clip, 3 nuts"), "{}", text_of(&page));
    assert!(page.contains("data-covers"));
    assert!(text_of(&page).contains("Tray on"), "the step alone is there too");
    ship.record(&[event("home", "home", "tray")]);
    assert_eq!(ship.screen()["still_off"]["text"], "nothing off");
    // A job that a file plans has no handfuls.
    assert!(!Ship::launch().page("").contains("data-covers"));
}

/// The helper's counts stand on the screen, and what is to be left alone.
#[test]
fn counted_before() {
    let ship = Ship::from_nothing();
    let mut earths = plain("e", "expected");
    earths["pieces"] = json!(4);
    earths["more"] = json!({ "kind": "earth" });
    earths["spot"] = json!("left");
    ship.record(&[earths, with(plain("l", "leave_alone"), "note", json!("fuel rail"))]);
    let page = text_of(&ship.page("/scribe"));
    assert!(page.contains("4 earths"), "{page}");
    assert!(page.contains("leave alone: fuel rail"), "{page}");
}

/// A question is answered by one tap, and what follows is said once.
#[test]
fn asked_and_answered() {
    let ship = Ship::from_nothing();
    let two = [
        took("a", Some("cover"), &[("screw", 4)]),
        with(took("b", Some("box"), &[("clip", 2)]), "spot", json!("left")),
        took("c", Some("lid"), &[("nut", 2)]),
    ];
    ship.record(&two);
    ship.record(&[plain("over", "all_off")]);
    let page = ship.page("/questions");
    assert!(page.contains("don't know"), "{}", text_of(&page));
    let start = page.find("data-record=\"").unwrap() + "data-record=\"".len();
    let record = page[start..].split('"').next().unwrap().replace("&quot;", "\"");
    let said: Value = serde_json::from_str(&record).unwrap();
    let mut answer = event("yes", "answered", said["thing"].as_str().unwrap());
    answer["note"] = said["note"].clone();
    answer["more"] = said["more"].clone();
    assert_eq!(ship.record(&[answer])[0]["accepted"], "new");
    let next = ship.page("/questions");
    assert!(text_of(&next).contains("Then that order goes"), "{}", text_of(&next));
    assert!(!next.contains(&format!("data-question=\"{}\"", said["thing"].as_str().unwrap())));
}

/// Before anything has come off nothing is said of a way back, and the button leads to the work.
#[test]
fn nothing_to_ask_of_what_is_whole() {
    let ship = Ship::from_nothing();
    let page = ship.page("/questions");
    let text = text_of(&page);
    assert!(text.contains("Nothing has come off yet") && !text.contains("way back"), "{text}");
    assert!(page.contains("/take\">Take apart"), "{text}");
    // Nor is a time said of a plan that has nothing in it.
    let plan = text_of(&ship.page("/plan"));
    assert!(plan.contains("Nothing is asked for") && !plan.contains("minute"), "{plan}");
}

/// A question that only counts some of what it is about has all of it behind a tap; the heading of
/// the long list stays short however much is off.
#[test]
fn what_is_only_counted_can_be_read() {
    let ship = Ship::from_nothing();
    let names: Vec<String> = (1..=9).map(|number| format!("shield {number}")).collect();
    let all: Vec<Value> = names
        .iter()
        .map(|name| took(&name.replace(' ', "-"), Some(name), &[("screw", 2), ("plug", 1)]))
        .collect();
    ship.record(&all);
    ship.record(&[plain("over", "all_off")]);
    let list = ship.page("/list");
    assert!(list.contains("<h1>Everything</h1>"), "{}", text_of(&list));
    assert!(text_of(&list).contains("still off: 9 plugs, 18 screws, 9 parts"));
    let mut counted = 0;
    for number in 0..20 {
        let page = ship.page("/questions");
        let Some(start) = page.find("data-record=\"") else { break };
        let record = page[start + "data-record=\"".len()..].split('"').next().unwrap();
        let said: Value = serde_json::from_str(&record.replace("&quot;", "\"")).unwrap();
        let asked = page.split("data-part=\"action\"").nth(1).unwrap();
        let asked = text_of(asked.split("data-part=\"buttons\"").next().unwrap());
        let those = said["more"]["those"].as_array().unwrap();
        if asked.contains(" more ") {
            counted += 1;
            for name in those.iter().map(|name| name.as_str().unwrap()) {
                let is_part = names.iter().any(|known| known == name);
                assert!(!is_part || asked.contains(name), "{name} in: {asked}");
            }
        }
        let mut answer =
            event(&format!("no-{number}"), "answered", said["thing"].as_str().unwrap());
        answer["note"] = json!("no");
        answer["more"] = said["more"].clone();
        ship.record(&[answer]);
    }
    assert!(counted > 0, "no question was long");
}
