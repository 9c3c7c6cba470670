//! What the garage has once and for all, and the page of today with every sort of job on it.

use std::fs;
use std::path::Path;

use lastbolt_files::{keys, shapes};
use lastbolt_ledger::{Event, EventId, Verb};
use lastbolt_store::{FileRole, JobFile};
use serde_json::json;

use crate::tests::ship::{Reply, Ship, event};
use crate::tests::words::{forbidden, text_of};

fn change(ship: &Ship, body: &serde_json::Value) -> Reply {
    let headers = [
        ("host", "127.0.0.1:PORT"),
        ("origin", "http://127.0.0.1:PORT"),
        ("content-type", "application/json"),
    ];
    ship.send("POST", "/api/garage", &headers, body.to_string().as_bytes())
}

fn set(ship: &Ship, path: &[&str], value: &str) -> Reply {
    change(ship, &json!({ "version": 1, "do": "set", "path": path, "value": value }))
}

/// What is said once is used: people as choices, numbers and dates in the chosen form, a copy in
/// the next job.
#[test]
fn said_once_and_used() {
    let ship = Ship::launch();
    assert!(ship.page("/thing?thing=pump").contains("7 kg"));
    for (path, value) in [
        (vec!["person", "Wren", "note"], "left-handed"),
        (vec!["minutes", "screw"], "0,25"),
        (vec!["display", "decimal"], "comma"),
        (vec!["display", "date"], "day.month.year"),
    ] {
        let reply = set(&ship, &path, value);
        assert_eq!(reply.status, 200, "{path:?}: {}", reply.body);
    }
    assert!(ship.page("/who").contains("data-person=\"Wren\""));
    assert!(ship.page("").contains("data-date=\"day.month.year\""));
    let page = ship.get("/garage").body;
    assert!(page.contains("value=\"0,25\"") && page.contains(" yours"), "{page}");
    assert!(page.contains("not yours yet"), "the guesses are called guesses");
    let begun = ship.begin(r#"{"version":1,"machine":"Finch mower","after":"belt"}"#);
    let id = begun.json()["job"].as_str().unwrap().to_owned();
    let files = ship.hall.garage.open_job(&id).unwrap().files().unwrap();
    let copy = files.iter().find(|file| file.name == "garage.toml").unwrap();
    assert!(copy.text.contains("screw = 0.25"), "{}", copy.text);
}

/// A garage file that cannot be used is left byte for byte, and everything else works.
#[test]
fn a_damaged_file_is_left_alone() {
    let ship = Ship::launch();
    let path = ship.hall.garage.own_file_path();
    for damaged in [&b"[person.Wren\nnote = \n"[..], &b"\xff\xfe\x00"[..]] {
        fs::write(&path, damaged).unwrap();
        let page = ship.get("/garage");
        assert_eq!(page.status, 200);
        assert!(page.body.contains("Left as it is"), "{}", page.body);
        let refused = set(&ship, &["minutes", "screw"], "1");
        assert_eq!(refused.status, 409, "{}", refused.body);
        assert_eq!(fs::read(&path).unwrap(), damaged);
        assert_eq!(ship.get("/").status, 200);
        assert!(ship.page("").contains("Plover pump"));
        let begun = ship.begin(r#"{"version":1,"machine":"Finch","after":""}"#);
        assert_eq!(begun.status, 200, "{}", begun.body);
    }
    fs::remove_file(&path).unwrap();
    assert_eq!(set(&ship, &["minutes", "screw"], "1").status, 200);
    for (path, value) in
        [(&["minutes", "screw"], "soon"), (&["display", "decimal"], "dot"), (&["no", "no"], "x")]
    {
        let refused = set(&ship, path, value);
        assert!([400, 409].contains(&refused.status), "{}", refused.body);
        assert!(refused.json()["message"].as_str().unwrap().len() > 20);
    }
}

/// Every key of the garage's tables can be said on its page.
#[test]
fn the_page_has_every_key() {
    for table in ["person", "wrench", "adapter", "tool", "display"] {
        let (_, keys) = keys::ALL.iter().find(|(of, _)| of == &table).unwrap();
        for key in *keys {
            assert!(crate::pages::garage::offers(table, key), "{table}, {key}");
        }
    }
    assert!(!crate::pages::garage::offers("display", "language"));
    assert!(shapes::LINES.len() > 90);
}

fn lines_under<'a>(page: &'a str, heading: &str) -> Vec<&'a str> {
    let (_, rest) = page.split_once(&format!("<h2>{heading}</h2>")).unwrap();
    let section = rest.split("</section>").next().unwrap();
    section.split("class=\"what\">").skip(1).map(|row| row.split('<').next().unwrap()).collect()
}

/// A job stands under the rule that its record says: in hand, left standing, taken up again,
/// started, handed over, opened again, given up.
#[test]
fn today_says_how_each_job_stands() {
    let ship = Ship::launch();
    let now = |rule: &str| lines_under(&ship.get("/").body, rule).join("|");
    // Begun years ago and never touched: it stands.
    assert!(now("Standing").starts_with("next: "), "{}", now("Standing"));
    ship.record(&[event("a", "undo", "pump plug")]);
    let today = text_of(&ship.get("/").body);
    assert!(now("In hand").starts_with("next: ") && today.contains("still off: 1 plug"), "{today}");
    let mut left = event("b", "left_standing", "");
    left.as_object_mut().unwrap().remove("thing");
    left["note"] = json!("pump in the blue box");
    ship.record(&[left]);
    assert_eq!(now("Standing"), "left standing: pump in the blue box");
    let said = |id: &str, verb: &str| {
        let mut said = event(id, verb, "");
        said.as_object_mut().unwrap().remove("thing");
        said
    };
    ship.record(&[said("c", "resumed")]);
    assert_eq!((now("Standing"), now("In hand").is_empty()), (String::new(), false));
    let mut started = said("d", "first_start");
    started["note"] = json!("runs");
    ship.record(&[started]);
    assert!(!now("Look again").is_empty() && now("In hand").is_empty());
    ship.record(&[said("e", "finished")]);
    assert_eq!(now("Handed over"), "handed over");
    let done = text_of(&ship.page(""));
    assert!(done.contains("handed over") && !done.contains("given up"), "{done}");
    ship.record(&[said("f", "reopened")]);
    assert!(now("Look again").starts_with("opened again; "), "{}", now("Look again"));
    let mut given_up = said("g", "finished");
    given_up["note"] = json!("no housing to be had");
    given_up["more"] = json!({ "kind": "given up" });
    ship.record(&[given_up]);
    assert_eq!(now("Handed over or given up"), "given up: no housing to be had");
    for page in ["", "/record"] {
        let text = text_of(&ship.page(page));
        assert!(text.contains("given up: no housing to be had"), "{page}: {text}");
        assert!(!text.contains("handed over"), "{page}: {text}");
    }
    assert!(!text_of(&ship.page("")).contains("After that"), "nothing follows");
}

/// Hundreds of jobs: folded by year, found by their words, quick because what has not changed is
/// not read again.
#[test]
fn a_very_long_list() {
    let ship = Ship::launch();
    let garage = &ship.hall.garage;
    let old = 1_600_000_000_000_i64;
    for number in 0..60_i64 {
        let id = garage
            .begin(&format!("Finch {number}"), "", &[], old + number * 1_000_000_000)
            .unwrap();
        let mut job = garage.open_job(id.as_str()).unwrap();
        let text = event(&format!("x{number}"), "finished", "").to_string();
        let body = format!("{{\"version\":1,\"events\":[{text}]}}").replace("\"thing\":\"\",", "");
        let asked = crate::wire::event::read(body.as_bytes()).unwrap();
        let finished = asked.into_iter().next().unwrap().event.unwrap();
        job.append(&[finished], old + number * 1_000_000_000).unwrap();
    }
    let page = ship.get("/").body;
    assert!(page.contains("name=\"find\""), "a long list has a line to find in");
    let years = lines_under(&page, "Handed over");
    assert!(years.contains(&"2020") && years.contains(&"2021"), "{years:?}");
    let found = ship.get("/?find=finch+41").body;
    assert!(found.contains("Finch 41") && !found.contains("Finch 40"), "by all its words");
    assert!(found.contains("1 job has these words"));
    let none = ship.get("/?find=%3Cb%3Ewren").body;
    assert!(none.contains("No job has these words") && !none.contains("<b>wren"));
    // A job that changes is seen; the others are taken from memory.
    ship.record(&[event("a", "undo", "pump plug")]);
    assert!(text_of(&ship.get("/").body).contains("still off"));
}

/// A machine of a file job is offered when the next job begins, and everything of it is known then.
#[test]
fn a_machine_done_before() {
    let ship = Ship::launch();
    let page = ship.get("/begin").body;
    assert!(page.contains("data-machine=\"Plover pump\""), "{page}");
    assert!(page.contains("2 parts known"), "{page}");
    let begun = ship.begin(r#"{"version":1,"machine":"plover  pump","after":"cover"}"#);
    let id = begun.json()["job"].as_str().unwrap().to_owned();
    let list = ship.get(&format!("/job/{id}/list?show=all")).body;
    assert!(list.contains("pump plug") && list.contains("cover screws"), "{list}");
}

/// Which pages there are, read from the sources of the routes.
fn routes() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with("routes") {
            let text = fs::read_to_string(entry.path()).unwrap();
            for piece in text.split(".route(").skip(1) {
                let mut words = piece.trim_start().splitn(3, '"').skip(1);
                let (path, rest) = (words.next().unwrap(), words.next().unwrap());
                let is_page = rest.trim_start_matches([',', ' ', '\n']).starts_with("get(");
                let is_data = ["/api/", "/asset/"].iter().any(|data| path.starts_with(data));
                if is_page && !is_data {
                    found.push(path.to_owned());
                }
            }
        }
    }
    found.sort();
    found
}

/// Every page that the routes have, of a job from a file and of one from nothing, speaks the words
/// of the trade. The file's own names are exempt: they are kept out of it here.
#[test]
fn every_page_speaks_the_trade() {
    let sheets = ["way-in", "to-buy", "bench", "way-back", "standing", "handover", "owner"];
    let stages = ["size-up", "make-ready", "bench", "put-back", "first-start", "road", "hand-over"];
    let mut all = 0;
    for ship in [Ship::launch(), Ship::from_nothing()] {
        ship.record(&[event("a", "undo", "pump plug"), event("b", "off", "pump")]);
        for route in routes() {
            if ["/{file}", "{photo}"].iter().any(|no| route.contains(no)) {
                continue;
            }
            let paths: Vec<String> = if route.contains("{stage}") {
                stages.iter().map(|stage| route.replace("{stage}", stage)).collect()
            } else if route.contains("{sheet}") {
                sheets.iter().map(|sheet| route.replace("{sheet}", sheet)).collect()
            } else {
                vec![route.clone(), format!("{route}?thing=pump"), format!("{route}?thing=cover")]
            };
            for path in paths {
                let path = path.replace("{job}", ship.job.as_str());
                let reply = ship.get(&path);
                assert!(
                    [200, 303, 307, 308, 400, 404].contains(&reply.status),
                    "{path}: {}",
                    reply.status
                );
                let text = text_of(&reply.body);
                assert_eq!(forbidden(&text), Vec::<String>::new(), "{path}");
                all += usize::from(reply.status == 200);
            }
        }
    }
    assert!(all > 70, "only {all} pages were read");
}

/// The routes are found at all, and a page that is new is among them.
#[test]
fn routes_are_found() {
    let routes = routes();
    for path in ["/", "/garage", "/begin", "/job/{job}/day/{stage}", "/job/{job}/take"] {
        assert!(routes.iter().any(|route| route == path), "{path}: {routes:?}");
    }
    assert!(!routes.iter().any(|route| route.contains("/api/")));
}

/// What finished jobs say about the usual minutes is offered with how often, taken by one tap, and
/// never by itself; a job in hand teaches nothing yet.
#[test]
fn usual_minutes_are_learnt_and_offered() {
    let ship = Ship::launch();
    let mut machine = "machine = \"Curlew\"\nfixed = [\"body\"]\n[part.rail]\n".to_owned();
    for n in 0..13 {
        machine += &format!("[tie.\"clip {n}\"]\nkind = \"clip\"\njoins = [\"rail\", \"body\"]\n");
    }
    machine += "[job]\noff = [\"rail\"]\n";
    let file = JobFile { name: "c.toml".into(), role: FileRole::Machine, text: machine };
    let id = ship.hall.garage.begin("Curlew", "c.toml", &[file], 1).unwrap();
    let mut job = ship.hall.garage.open_job(id.as_str()).unwrap();
    let event = |n: i64, verb: Verb, thing: Option<String>| {
        let (id, count) = (EventId::new(&format!("e{n}")).unwrap(), u64::try_from(n).unwrap());
        let mut event = Event::new(id, "phone", count + 1, 0, n * 48_000, verb);
        event.thing = thing;
        event
    };
    let all: Vec<Event> =
        (0..13).map(|n| event(n, Verb::Undo, Some(format!("clip {n}")))).collect();
    job.append(&all, 1).unwrap();
    assert!(!ship.get("/garage").body.contains("You took about"), "in hand still");
    job.append(&[event(20, Verb::Finished, None)], 1).unwrap();
    drop(job);
    let page = ship.get("/garage").body;
    assert!(page.contains("You took about 0.8 min for one clip, 12 times"), "{page}");
    assert!(page.contains("the guess is 0.4") && page.contains("Use 0.8 for one clip"), "{page}");
    assert!(!ship.hall.garage.own_file_path().exists(), "nothing is taken by itself");
    assert_eq!(set(&ship, &["minutes", "clip"], "0.8").status, 200);
    assert!(!ship.get("/garage").body.contains("You took about"), "it is so now");
}
