//! What can hurt somebody at a thing: marked with two taps, whatever the thing is called.

use lastbolt_job::view::{Screen, ThingLine};
use lastbolt_job::{MAKER_WINS, Picture, hazard_taps, hazards_marked};
use maud::{Markup, html};
use serde_json::json;

use crate::pages::sheet::Sheet;
use crate::pages::{bits, matters};
use crate::room::Room;

/// The address of the sheet.
pub(crate) fn address(room: &Room, thing: &str) -> String {
    format!("/job/{}/hazard?thing={}", room.id, bits::percent(thing))
}

/// Draws the sheet.
pub(crate) fn page(room: &Room, screen: &Screen, picture: &Picture, line: &ThingLine) -> Markup {
    let marked = hazards_marked(picture, &line.thing);
    let inner = html! {
        @for (_, sentence, event) in &marked {
            (bits::caution(sentence))
            @if let Some(event) = event {
                button.back type="button"
                    data-record=(json!({ "verb": "take_back", "of": event })) {
                    "Not so: take that back"
                }
            }
        }
        div.pieces {
            @for tap in hazard_taps(picture, &line.thing) { (matters::tap(&tap)) }
        }
        p.quiet {
            "What is marked here is said at the step. Under pressure, the step asks first "
            "how that was let off. " (MAKER_WINS)
        }
    };
    let heading = format!("{}: what can hurt here?", line.thing);
    let sheet = Sheet {
        class: "stop-sheet",
        title: Some(&line.thing),
        tag: bits::tag(line.tag.as_ref()),
        ..Sheet::new("hazard", &heading)
    };
    sheet.draw(room, screen, &inner)
}
