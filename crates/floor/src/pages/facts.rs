//! How a thing goes back: facts said with one tap, or in a few words.

use lastbolt_job::view::{Screen, ThingLine};
use maud::{Markup, html};
use serde_json::json;

use crate::pages::bits;
use crate::pages::matters::photograph;
use crate::pages::sheet::Sheet;
use crate::room::Room;

/// Facts of one tap: which fact, what is said of it, the words of the button.
const TAPS: [(&str, &str, &str); 9] = [
    ("wetted", "dry", "Dry"),
    ("wetted", "oiled", "Oiled"),
    ("wetted", "greased", "Greased"),
    ("wetted", "thread lock", "Thread lock"),
    ("wetted", "sealant", "Sealant"),
    ("new_or_old", "new", "New"),
    ("new_or_old", "the old one", "The old one"),
    ("mark", "paint", "Paint mark made"),
    ("mark", "scribed line", "Line scribed"),
];
/// Facts in words: which fact, the question.
const WORDS: [(&str, &str); 6] = [
    ("sits", "How it sits: arm up, at 2 o'clock"),
    ("direction", "Which side: lip inwards"),
    ("length", "Length by hole: 20 mm in the upper hole"),
    ("mark", "The mark that was made"),
    ("size", "Size: M6 x 20"),
    ("bag", "Bag"),
];

/// Draws the sheet of how a thing goes back.
pub(crate) fn page(room: &Room, screen: &Screen, line: &ThingLine, letter: &str) -> Markup {
    let inner = html! {
        p.from { (line.thing) }
        @if let Some(text) = &line.put_back { p.prompt { (text) } }
        div.pieces { @for (fact, said, text) in TAPS { (one_tap(line, fact, said, text)) } }
        a.ask href=(photograph(room, &line.thing)) { "Photograph it" }
        @for (fact, asks) in WORDS {
            form.say data-record=(record(line, fact, None)) data-text="Kept" {
                label {
                    span {
                        (asks)
                        @if fact == "bag" && !letter.is_empty() {
                            " (this is job " (letter) ": write " (letter) " on it)"
                        }
                    }
                    input type="text" name="note" maxlength="2000" autocomplete="off"
                        required;
                }
                button.did type="submit" { "Keep it" }
            }
        }
    };
    let title = format!("How it goes back: {}", line.thing);
    let back = bits::thing_address(room, &line.thing);
    let sheet =
        Sheet { title: Some(&title), back: Some(&back), ..Sheet::new("facts", "How it goes back") };
    sheet.draw(room, screen, &inner)
}

/// The address of that sheet.
pub(crate) fn address(room: &Room, thing: &str) -> String {
    format!("/job/{}/facts?thing={}", room.id, bits::percent(thing))
}

fn one_tap(line: &ThingLine, fact: &str, said: &str, text: &str) -> Markup {
    let record = record(line, fact, Some(said));
    html! { button.did type="button" data-record=(record) { (text) } }
}

fn record(line: &ThingLine, fact: &str, said: Option<&str>) -> serde_json::Value {
    let mut record = json!({ "verb": "fact", "thing": line.thing, "more": { "fact": fact } });
    if let Some(said) = said {
        record["note"] = json!(said);
    }
    record
}
