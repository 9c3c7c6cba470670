//! Giving a job up: what it means is said first, and one tap on it does it.

use lastbolt_job::NOTHING_CLAIMED;
use lastbolt_job::view::Screen;
use lastbolt_ledger::GIVEN_UP;
use maud::{Markup, html};
use serde_json::{Value, json};

use crate::pages::bits;
use crate::pages::sheet::Sheet;
use crate::room::Room;

/// With more things than this still off they are counted, not named.
const NAMED_MAX: usize = 8;

/// Draws the sheet.
pub(crate) fn page(room: &Room, screen: &Screen) -> Markup {
    let inner = match &screen.given_up {
        Some(why) => already(room, why),
        None => ask(room, screen),
    };
    let sheet = Sheet { class: "stop-sheet", ..Sheet::new("give-up", "Give this job up?") };
    sheet.draw(room, screen, &inner)
}

fn ask(room: &Room, screen: &Screen) -> Markup {
    let then = format!("/job/{}", room.id);
    html! {
        p.prompt { (NOTHING_CLAIMED) }
        p {
            "The record stays as it is. It can be taken back, and the job can go on, at any time."
        }
        (still_off(room, screen))
        form.say data-record=(record()) data-text="Given up" data-then=(then) {
            label {
                span { "Why, in a few words: it stands in the record and on the owner's sheet" }
                input type="text" name="note" maxlength="2000" autocomplete="off" required;
            }
            button.did type="submit" { "Given up, for this reason" }
        }
        button.did type="button" data-record=(record()) data-then=(then) {
            "Given up, nothing to add"
        }
    }
}

/// What is open now: it stays so. Many things are counted; the list has them by name.
fn still_off(room: &Room, screen: &Screen) -> Markup {
    let lines = &screen.still_off.lines;
    let (off, to_end) = bits::halves(&screen.still_off.text, "");
    html! {
        @if lines.is_empty() {
            p { "As recorded, nothing is off." }
        } @else {
            p { "It stays as it is now: " strong { (off) } @if to_end.is_none() { "." } }
            @if let Some(to_end) = to_end { p.quiet { (to_end) } }
            @if lines.len() > NAMED_MAX {
                a.ask href={ "/job/" (room.id) "/list?show=open" } {
                    "All " (lines.len()) " of them: the list"
                }
            } @else {
                ul.plain-list {
                    @for line in lines {
                        li {
                            (line.text)
                            @if let Some(place) = &line.place { ", " small { (place) } }
                        }
                    }
                }
            }
        }
    }
}

fn already(room: &Room, why: &str) -> Markup {
    html! {
        p.sentence { "This job was " (bits::given_up(why)) "." }
        (bits::saying("It goes on", "reopened", None, None))
        a.ask href={ "/job/" (room.id) } { "To the job" }
    }
}

/// What giving up records, but for the reason.
fn record() -> Value {
    json!({ "verb": "finished", "more": { "kind": GIVEN_UP } })
}
