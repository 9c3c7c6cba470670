//! Stop, break, change and hand over on the pages, recorded by what the pages offer.

use serde_json::{Value, json};

use crate::tests::pages::part;
use crate::tests::ship::{Ship, event};
use crate::tests::words::{forbidden, text_of};

/// The drafts of all buttons of a page or sheet, each with the button's words.
fn buttons(page: &str) -> Vec<(String, Value)> {
    let pieces = page.split("<button").skip(1);
    let read = |piece: &str| {
        let record = piece.split("data-record=\"").nth(1)?.split('"').next()?;
        let record = serde_json::from_str(&record.replace("&quot;", "\"")).ok()?;
        let words = text_of(&format!("<button{}", piece.split("</button").next()?));
        Some((words.trim().to_owned(), record))
    };
    pieces.filter_map(read).collect()
}

/// Taps a button of a page: it must be there, and what it records is taken.
fn tap(ship: &Ship, id: &str, page: &str, words: &str) {
    let all = buttons(page);
    let found = all.iter().find(|(text, _)| text.starts_with(words));
    let (_, record) = found.unwrap_or_else(|| panic!("no button \"{words}\": {all:?}"));
    let mut sent = event(id, record["verb"].as_str().unwrap(), "");
    sent.as_object_mut().unwrap().remove("thing");
    for key in ["thing", "spot", "note", "of", "more", "person"] {
        if !record[key].is_null() {
            sent[key] = record[key].clone();
        }
    }
    assert_eq!(ship.record(&[sent])[0]["accepted"], "new", "{words}");
}

#[test]
fn two_taps_leave_it_standing_and_one_goes_on() {
    let ship = Ship::launch();
    ship.record(&[event("a", "undo", "cover screws"), event("b", "off", "cover")]);
    assert!(part(&ship.page(""), "near").contains(&"Stop".to_owned()), "the first tap");
    let stop = ship.page("/stop");
    assert!(stop.contains("/standing?print=1"), "then it is printed");
    tap(&ship, "c", &stop, "Left standing: print the sheet");
    let paper = part(&ship.page("/standing?print=1"), "paper").join("|");
    assert!(paper.contains("Do not start.|No cover."), "{paper}");
    let state = part(&ship.page(""), "state").join("|");
    assert!(state.starts_with("Left standing"), "{state}");
    tap(&ship, "d", &ship.page(""), "Taken up again");
    let state = part(&ship.page(""), "state").join("|");
    assert!(state.starts_with("Back from a break") && state.contains("Cover off"), "{state}");
}

#[test]
fn a_stud_breaks_in_three_taps_and_is_settled_in_one() {
    let ship = Ship::launch();
    let sheet = ship.page("/thing?thing=cover%20screws");
    assert!(sheet.contains("It broke, or is stuck"));
    ship.record(&[event("z", "undo", "pump plug")]);
    tap(&ship, "a", &ship.page("/broke?thing=cover%20screws"), "Stud broke");
    let page = ship.page("/broken");
    let text = part(&page, "broken").join("|");
    assert!(text.contains("Cover screws: stud broke"), "{text}");
    assert!(text.contains("What stops|Cover screws: 2 screws out"), "{text}");
    assert!(text.contains("What can go on"), "{text}");
    assert!(!text.contains("as was said"), "no minutes of our own: {text}");
    assert!(part(&ship.page(""), "state").join("|").contains("Broke|Cover screws: stud broke"));
    assert!(text_of(&ship.page("/gate")).contains("How was it settled?"));
    tap(&ship, "b", &page, "1 to 3 h");
    let page = ship.page("/broken");
    assert!(text_of(&page).contains("1 to 3 h"), "{page}");
    tap(&ship, "c", &page, "Drilled out, new one in");
    assert!(text_of(&ship.page("/broken")).contains("Nothing is broken"));
    let record = text_of(&ship.page("/record"));
    assert!(record.contains("stud broke; settled: drilled out, new one in"), "{record}");
}

#[test]
fn another_job_is_two_taps_away_and_bags_have_letters() {
    let ship = Ship::launch();
    let said = json!({ "version": 1, "machine": "Bramble saw", "after": "spindle" });
    assert_eq!(ship.begin(&said.to_string()).status, 200);
    let stop = text_of(&ship.page("/stop"));
    assert!(stop.contains("This is job \nA") || stop.contains("This is job A"), "{stop}");
    assert!(stop.contains("Bramble saw"), "{stop}");
    assert!(text_of(&ship.page("/facts?thing=pump")).contains("write A on it"));
    assert!(part(&ship.page("/standing"), "paper").join(" ").contains("Job A : its bags"));
}

/// What it means is said before the tap that does it; then nothing is claimed anywhere, and one tap
/// takes it back.
#[test]
fn two_taps_give_a_job_up() {
    let ship = Ship::launch();
    ship.record(&[event("a", "undo", "cover screws"), event("b", "off", "cover")]);
    assert!(ship.page("/stop").contains("/give-up\""), "the first tap");
    let sheet = ship.page("/give-up");
    let said = text_of(&sheet);
    for wanted in ["still off: 2 screws, 1 part", "cover: off", "Nothing is claimed", "taken back"]
    {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    tap(&ship, "c", &sheet, "Given up, nothing to add");
    for page in ["", "/record", "/gate", "/gate?before=road", "/give-up", "/standing", "/owner"] {
        let text = text_of(&ship.page(page)).to_lowercase();
        assert!(text.contains("given up"), "{page}: {text}");
        assert!(!text.contains("all home") && !text.contains("handed over"), "{page}: {text}");
    }
    let now = ship.page("");
    assert!(text_of(&now).contains("Nothing is claimed") && now.contains("It goes on"), "{now}");
    assert_eq!(ship.screen()["given_up"], "");
    tap(&ship, "d", &ship.page("/gate"), "It goes on");
    assert!(ship.screen()["given_up"].is_null());
    assert!(!text_of(&ship.page("")).contains("Nothing is claimed"), "the twin: it goes on");
}

/// A gate passed with checks open says so on the working screen and on its own page.
#[test]
fn what_was_agreed_with_something_open_is_on_the_screen() {
    let ship = Ship::launch();
    ship.record(&[event("a", "undo", "cover screws")]);
    assert!(!text_of(&ship.page("")).contains("agreed"));
    ship.record(&[event("b", "gate", "first start")]);
    for page in ["", "/gate"] {
        let text = text_of(&ship.page(page));
        assert!(text.contains("First start agreed with 1 open"), "{page}: {text}");
    }
}

#[test]
fn one_tap_takes_over() {
    let ship = Ship::launch();
    let mut first = event("a", "undo", "cover screws");
    first["person"] = json!("Wren");
    ship.record(&[first]);
    tap(&ship, "b", &ship.page("/handover"), "Taken over by Wren");
    let paper = part(&ship.page("/handover"), "paper").join("|");
    assert!(paper.contains("In these hands since|Wren"), "{paper}");
    assert!(text_of(&ship.page("/record")).contains("taken over"));
}

/// What falls due stands on the page of today, and at the next job on the same machine.
#[test]
fn what_falls_due_is_asked_at_the_next_opening() {
    let ship = Ship::launch();
    let mut recheck = event("a", "noted", "");
    recheck.as_object_mut().unwrap().remove("thing");
    (recheck["note"], recheck["more"]) =
        (json!("wheels"), json!({ "kind": "recheck", "due": "after 50 km" }));
    ship.record(&[event("b", "undo", "cover screws"), recheck]);
    let today = |ship: &Ship| text_of(&ship.get("/").body);
    assert!(!today(&ship).contains("Wheels, after 50 km"), "the job is in hand");
    let mut finished = event("c", "finished", "");
    finished.as_object_mut().unwrap().remove("thing");
    ship.record(&[finished]);
    assert!(today(&ship).contains("Wheels, after 50 km"), "{}", today(&ship));
    let said = json!({ "version": 1, "machine": "Plover  PUMP", "after": "" });
    let begun = ship.begin(&said.to_string()).json();
    let day = ship.get(&format!("/job/{}/day", begun["job"].as_str().unwrap())).body;
    assert!(text_of(&day).contains("Wheels, after 50 km"), "{day}");
    tap(&ship, "d", &ship.page("/day/hand-over"), "Not yet");
    assert!(today(&ship).contains("not yet"));
    tap(&ship, "e", &ship.page("/day/hand-over"), "Done");
    assert!(!today(&ship).contains("Wheels, after 50 km"));
}

/// No sheet and no page of these speaks the code's words; nonsense is answered.
#[test]
fn they_speak_the_trade() {
    let ship = Ship::launch();
    let steps = [("undo", "cover screws"), ("off", "cover"), ("prep", "battery isolated")];
    for (number, (verb, thing)) in steps.into_iter().enumerate() {
        ship.record(&[event(&format!("w{number}"), verb, thing)]);
    }
    tap(&ship, "x", &ship.page("/broke?thing=pump%20hose"), "Split");
    let sheets = ["way-in", "to-buy", "bench", "way-back", "standing", "handover", "owner"];
    let mut paths: Vec<String> = sheets.map(|sheet| format!("/sheet/{sheet}")).to_vec();
    let pages = ["/stop", "/broke?thing=pump", "/broken", "/standing", "/handover", "/owner"];
    paths.extend(pages.map(str::to_owned));
    for path in paths {
        let page = ship.page(&path);
        assert_eq!(forbidden(&text_of(&page)), Vec::<String>::new(), "{path}");
        assert!(!page.contains("style=") && !page.contains("<b>no</b>"), "{path}");
    }
    assert_eq!(ship.get(&format!("/job/{}/sheet/none", ship.job)).status, 404);
    assert_eq!(ship.get(&format!("/job/{}/broke?thing=none", ship.job)).status, 404);
}
