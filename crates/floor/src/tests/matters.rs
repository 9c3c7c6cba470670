//! Rags, dropped screws, leftovers and facts on the pages, recorded by what the pages offer.

use serde_json::{Value, json};

use crate::tests::pages::part;
use crate::tests::ship::{Ship, event};

/// Makes an event of what a button would send.
fn sent(id: &str, record: &Value) -> Value {
    let mut event = event(id, record["verb"].as_str().unwrap(), "");
    event.as_object_mut().unwrap().remove("thing");
    for key in ["thing", "spot", "note", "pieces", "of", "more"] {
        if !record[key].is_null() {
            event[key] = record[key].clone();
        }
    }
    event
}

/// The drafts of the buttons in a part of a page, as a browser reads them.
fn drafts(page: &str, name: &str) -> Vec<Value> {
    let start = page.find(&format!("data-part=\"{name}\"")).expect("that part");
    let rest = &page[start + 10..];
    let rest = &rest[..rest.find("data-part=").unwrap_or(rest.len())];
    let pieces = rest.split("data-record=\"").skip(1);
    let text = |piece: &str| piece.split('"').next().unwrap_or_default().replace("&quot;", "\"");
    pieces.map(|piece| serde_json::from_str(&text(piece)).expect("JSON")).collect()
}

/// What the buttons of the screen's JSON send is taken, and what a tap says is shown.
#[test]
fn a_rag_is_asked_for_by_the_main_button() {
    let ship = Ship::launch();
    ship.record(&[event("a", "undo", "cover screws"), event("b", "off", "cover")]);
    let screen = ship.screen();
    let things = screen["things"].as_array().unwrap();
    let cover = things.iter().find(|line| line["thing"] == "cover").unwrap();
    let rag = cover["taps"].as_array().unwrap().iter().find(|tap| tap["text"] == "Rag in");
    assert_eq!(ship.record(&[sent("c", rag.unwrap())])[0]["accepted"], "new");
    let screen = ship.screen();
    assert_eq!(screen["matters"]["still_in"][0]["text"], "Rag where the cover was: still in");
    // Whatever else is done, the main button before the cover is "Rag out".
    for number in 0..40 {
        let screen = ship.screen();
        let next = &screen["next"];
        let button = &next["buttons"][0];
        if next["first_out"].as_array().is_some_and(|lines| !lines.is_empty()) {
            break;
        }
        ship.record(&[sent(&format!("n{number}"), button)]);
    }
    let page = ship.page("");
    assert!(part(&page, "action").iter().any(|t| t.contains("out before the cover goes on")));
    let buttons = drafts(&page, "buttons");
    let main = buttons.last().unwrap();
    assert_eq!(main["verb"], "taken_out");
    assert!(buttons.iter().any(|b| b["verb"] == "on" && b["thing"] == "cover"), "never refused");
    ship.record(&[sent("d", main)]);
    assert!(!ship.page("").contains("Rag out"));
}

#[test]
fn something_fell_and_is_found() {
    let ship = Ship::launch();
    ship.record(&[event("a", "undo", "cover screws")]);
    assert!(part(&ship.page(""), "near").contains(&"Something fell".to_owned()));
    assert!(!part(&ship.page(""), "near").contains(&"Found".to_owned()));
    let sheet = ship.page("/fell?place=above");
    let start = sheet.find("What fell?").unwrap();
    let record = sheet[start..].split("data-record=\"").nth(1).unwrap();
    let record = record.split('"').next().unwrap().replace("&quot;", "\"");
    let fell: Value = serde_json::from_str(&record).unwrap();
    assert_eq!(fell, json!({"verb": "dropped", "spot": "above", "more": {"kind": "screw"}}));
    ship.record(&[sent("b", &fell)]);
    let near = part(&ship.page(""), "near");
    assert!(near.contains(&"Found".to_owned()) && near.contains(&"Something fell".to_owned()));
    assert!(ship.page("/gate").contains("Screw fell (above): not found yet"));
    assert!(ship.page("/gate").contains("why may it stay there"));
    assert!(ship.page("/record").contains("not found yet"));
    let found = drafts(&ship.page(""), "near");
    ship.record(&[sent("c", &found[0])]);
    assert!(!ship.page("/gate").contains("not found yet"));
}

#[test]
fn what_is_over_and_how_things_go_back() {
    let ship = Ship::launch();
    let said = [("a", "undo"), ("b", "make")];
    ship.record(&said.map(|(id, verb)| event(id, verb, "cover screws")));
    let page = ship.page("/gate?over=screw&number=1&size=M6+x+20");
    assert!(page.contains("One M6 x 20 over: probably the cover screws."), "{page}");
    // Nonsense is answered, not believed.
    assert!(ship.page("/gate?over=%3Cb%3E&number=x").contains("One &lt;b&gt; over"));
    let mut fact = event("c", "fact", "cover screws");
    (fact["note"], fact["more"]) = (json!("two long below"), json!({"fact": "length"}));
    ship.record(&[fact]);
    assert!(ship.page("/thing?thing=cover%20screws").contains("two long below"));
    assert!(ship.page("/facts?thing=cover%20screws").contains("two long below"));
    assert_eq!(ship.get(&format!("/job/{}/facts?thing=none", ship.job)).status, 404);
}
