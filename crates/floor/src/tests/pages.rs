//! The pages of a small machine, as a person reads them.

use crate::tests::ship::{Ship, event};
use crate::tests::words::{forbidden, text_of};
use serde_json::json;

/// Gives the lines of text of a part of a page.
pub(crate) fn part(page: &str, name: &str) -> Vec<String> {
    let start = page.find(&format!("data-part=\"{name}\"")).unwrap_or_else(|| panic!("no {name}"));
    let rest = &page[start..];
    let end = rest[1..].find("data-part=").map_or(rest.len(), |end| end + 1);
    let text = text_of(&format!("<x {}", &rest[..end]));
    text.lines().map(str::trim).filter(|line| !line.is_empty()).map(str::to_owned).collect()
}

fn everything(ship: &Ship) -> Vec<(String, String)> {
    let paths = [
        "",
        "/list",
        "/list?show=open",
        "/list?show=job",
        "/plan",
        "/plan?not-from=above",
        "/plan?leave=cover",
        "/gate",
        "/gate?before=road",
        "/disturbed",
        "/day",
        "/day/size-up",
        "/day/make-ready",
        "/day/bench",
        "/day/put-back",
        "/day/first-start",
        "/day/road",
        "/record",
        "/thing?thing=pump",
        "/thing?thing=pump%20plug",
        "/thing?thing=battery%20isolated",
        "/facts?thing=pump",
        "/fell",
        "/fell?place=above",
        "/gate?over=screw&size=M6",
        "/holds?thing=pump",
        "/holds?thing=pump%20plug",
        "/who",
    ];
    let mut pages: Vec<(String, String)> =
        paths.iter().map(|path| ((*path).to_owned(), ship.page(path))).collect();
    pages.push(("today".into(), ship.get("/").body));
    pages.push(("nothing".into(), ship.get("/nothing").body));
    pages
}

/// No page of any stage of a job speaks the code's words, or runs what a file says.
#[test]
fn pages_speak_the_trade() {
    let ship = Ship::launch();
    let steps = [
        ("undo", "cover screws"),
        ("off", "cover"),
        ("prep", "battery isolated"),
        ("undo", "pump plug"),
        ("off", "pump"),
        ("on", "pump"),
        ("make", "pump plug"),
        ("passed_by", "pump plug"),
        ("on", "cover"),
        ("by_hand", "cover screws"),
        ("leave_alone", "cover"),
        ("dropped", "cover"),
        ("off", "a name that nothing has"),
    ];
    for (number, (verb, thing)) in steps.into_iter().enumerate() {
        ship.record(&[event(&format!("w{number}"), verb, thing)]);
        for (path, page) in everything(&ship) {
            let text = text_of(&page);
            assert_eq!(forbidden(&text), Vec::<String>::new(), "{verb} {thing}, {path}");
            assert!(!page.contains("<b>no</b>"), "{path}: the file's words are text");
            assert!(!page.contains("style="), "{path}: the policy forbids inline style");
            assert!(!page.contains("onclick"), "{path}: and inline handlers");
        }
    }
    assert!(ship.page("/record").contains("&lt;b&gt;no&lt;/b&gt; pressure"));
}

#[test]
fn the_working_screen_of_an_untouched_machine() {
    let ship = Ship::launch();
    let page = ship.page("");
    assert_eq!(part(&page, "top")[1..3], ["Take apart", "Plover pump: pump to renew"]);
    assert_eq!(part(&page, "state")[0], "nothing off");
    let screen = ship.screen();
    let next = &screen["next"];
    let action = part(&page, "action");
    // A condition has no tag; everything else has its number first.
    let number = next["tag"]["number"].as_u64().map(|number| number.to_string());
    let text = next["text"].as_str().map(str::to_owned);
    let expect: Vec<String> = number.into_iter().chain(text).collect();
    assert_eq!(action[..expect.len()], expect[..]);
    let buttons = part(&page, "buttons").join("|");
    assert!(buttons.contains(next["buttons"][0]["text"].as_str().unwrap()), "{buttons}");
    assert!(!buttons.contains("Take that back"), "nothing to take back: {buttons}");
}

/// The whole job over the endpoint, by the buttons that the screen offers: it ends at home.
#[test]
fn the_buttons_lead_home() {
    let ship = Ship::launch();
    let mut texts = Vec::new();
    for number in 0..60 {
        let screen = ship.screen();
        let Some(button) = screen["next"]["buttons"].get(0) else { break };
        texts.push(button["text"].as_str().unwrap().to_owned());
        let mut tap = event(&format!("b{number}"), button["verb"].as_str().unwrap(), "");
        for field in ["thing", "spot", "tool"] {
            tap[field] = button[field].clone();
        }
        tap["seen"] = screen["seen"].clone();
        assert_eq!(ship.record(&[tap])[0]["accepted"], "new");
    }
    let screen = ship.screen();
    assert_eq!(screen["phase"], "first_start", "{texts:?}");
    for word in
        ["2 screws out", "Plug off", "Pump off", "Plug home, tugged", "Looked, pushed, tugged"]
    {
        assert!(texts.iter().any(|text| text == word), "{word}: {texts:?}");
    }
    assert!(ship.page("").contains("Everything that was off is home."));
    assert!(part(&ship.page("/gate"), "top")[1].contains("All home"));
}

#[test]
fn out_of_order_one_look_passed_by_and_the_gate() {
    let ship = Ship::launch();
    ship.record(&[event("a", "off", "pump"), event("b", "on", "pump"), event("c", "on", "cover")]);
    let page = ship.page("");
    assert!(page.contains("not recorded"), "what came off with it is asked for");
    let gate = ship.page("/gate");
    assert!(part(&gate, "top")[1].starts_with("Not yet: "), "{:?}", part(&gate, "top"));
    assert!(part(&gate, "pass").join(" ").contains("the reason is kept"));
    let mut pass = event("d", "gate", "first start");
    pass["note"] = json!("to hear whether it turns");
    ship.record(&[pass]);
    assert!(ship.page("/gate").contains("to hear whether it turns"));
    assert!(ship.page("/record").contains("to hear whether it turns"));
}

/// A take-back is offered by name, and does what it says.
#[test]
fn take_that_back() {
    let ship = Ship::launch();
    ship.record(&[event("a", "undo", "pump plug")]);
    assert!(part(&ship.page(""), "buttons").contains(&"Take that back".to_owned()));
    let mut back = event("b", "take_back", "");
    back.as_object_mut().unwrap().remove("thing");
    back["of"] = json!("a");
    ship.record(&[back]);
    assert_eq!(ship.screen()["still_off"]["text"], "nothing off");
    assert!(ship.page("/record").contains("taken back"));
}

/// The page of the plan has the ways in as rows and wishes as taps; what cannot be says why.
#[test]
fn wishes_are_taps() {
    let ship = Ship::launch();
    let plan = ship.page("/plan");
    let ways = part(&plan, "ways");
    assert!(ways.iter().any(|line| line.contains("From above")), "{ways:?}");
    assert!(ways.iter().any(|line| line.contains("2 parts come off")), "{ways:?}");
    assert!(ways.iter().any(|line| line.contains("breaks: nothing")), "{ways:?}");
    assert!(plan.contains("plan?leave=cover\""), "leaving the cover alone is a tap");
    assert!(plan.contains("plan?not-from=below\""), "so is not working from below");
    let refused = text_of(&ship.page("/plan?leave=cover"));
    assert!(refused.contains("That cannot be. These together forbid it:"), "{refused}");
    assert!(refused.contains("is to be left alone."), "{refused}");
    assert!(refused.contains("off first"), "the file takes part: {refused}");
    assert!(refused.contains("take that back"), "{refused}");
    // What the machine has not is no wish.
    assert_eq!(text_of(&ship.page("/plan?leave=nothing&oh=no")), text_of(&plan));
}

/// The plan has the names and the counts as recorded, whether it was looked at before or not; what
/// is not corrected is planned as it was.
#[test]
fn the_plan_has_the_names_of_now() {
    let planned = |ship: &Ship| text_of(&ship.page("/plan")).to_lowercase();
    let ship = Ship::launch();
    let before = planned(&ship);
    assert!(before.contains("cover screws") && !before.contains("guard screws"), "{before}");
    ship.record(&[event("other", "undo", "cover screws")]);
    assert_eq!(planned(&ship), before, "the twin: what is undone renames nothing");
    let mut renamed = event("c1", "renamed", "cover screws");
    renamed["note"] = json!("guard screws");
    ship.record(&[renamed]);
    let now = planned(&ship);
    assert!(now.contains("guard screws"), "{now}");
    assert!(!now.contains("cover screws"), "the old name is gone: {now}");
    let mut back = event("back", "take_back", "");
    back.as_object_mut().unwrap().remove("thing");
    back["of"] = json!("c1");
    ship.record(&[back]);
    assert_eq!(planned(&ship), before, "taken back, the name of the file holds");
}

/// Both gates: what may be answered in one tap is, and the road asks for the first start.
#[test]
fn one_tap_passes_a_gate_that_is_home() {
    let ship = Ship::launch();
    let road = ship.page("/gate?before=road");
    assert!(part(&road, "top")[1].contains("Nothing off yet"), "{:?}", part(&road, "top"));
    let steps = [
        ("undo", "cover screws"),
        ("off", "cover"),
        ("prep", "battery isolated"),
        ("undo", "pump plug"),
        ("undo", "pump hose"),
        ("off", "pump"),
        ("on", "pump"),
        ("make", "pump hose"),
        ("make", "pump plug"),
        ("looked", "pump plug"),
        ("end", "battery isolated"),
        ("on", "cover"),
        ("make", "cover screws"),
    ];
    for (number, (verb, thing)) in steps.into_iter().enumerate() {
        ship.record(&[event(&format!("g{number}"), verb, thing)]);
    }
    let gate = ship.page("/gate");
    assert!(part(&gate, "top")[1].starts_with("All home, 2 to check"), "{:?}", part(&gate, "top"));
    let pass = part(&gate, "pass").join("|");
    assert!(pass.contains("All of these checked: first start"), "{pass}");
    assert!(pass.contains("All out, counted · In and bled"), "what it answers is said: {pass}");
    assert!(ship.page("/gate?before=road").contains("It has not been started yet."));
    // The twin: with something off no tap passes it, only a reason.
    ship.record(&[event("c", "undo", "pump hose")]);
    let pass = part(&ship.page("/gate"), "pass").join("|");
    assert!(!pass.contains("All of these checked"), "{pass}");
    assert!(pass.contains("Say why"), "{pass}");
    assert!(ship.page("/disturbed").contains("Look at the pump hose"));
}
