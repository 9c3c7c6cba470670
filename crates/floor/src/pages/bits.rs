//! Small pieces that several pages share.

use lastbolt_job::Whole;
pub(crate) use lastbolt_job::about;
use lastbolt_job::view::{Button, Draft, StepLine, StepVerb, Tag, TagFill, TagShape, WaitLine};
use maud::{Markup, html};
use serde_json::{Value, json};

use crate::clock::{iso, plain};
use crate::room::Room;

/// Words of a button that are longer than this are written smaller \[characters\].
const LONG_CHARS: usize = 20;

/// A paper tag with its number: shape by kind, filled as far as the thing is home. What it says
/// stands in words beside it.
pub(crate) fn tag(tag: Option<&Tag>) -> Markup {
    let Some(tag) = tag else { return html! { span.tag.none {} } };
    html! {
        svg class={ "tag " (fill(tag)) } viewBox="0 0 44 48" aria-hidden="true" { (drawn(tag)) }
    }
}

/// The word for how far a tag is filled, for the style.
pub(crate) fn fill(tag: &Tag) -> &'static str {
    match tag.fill {
        TagFill::Hollow => "hollow",
        TagFill::Half => "half",
        TagFill::Filled => "filled",
    }
}

/// What is drawn of a tag, in a picture of 44 by 48.
pub(crate) fn drawn(tag: &Tag) -> Markup {
    // A clip path of its own would need an id of its own: the half is drawn as a second outline.
    let (outline, half) = outline(tag.shape);
    html! {
        path.wire d="M22 11 C16 1 30 -2 33 4" {}
        path.paper d=(outline) {}
        @if tag.fill == TagFill::Half { path.ink d=(half) {} }
        circle.hole cx="22" cy="14" r="2.4" {}
        text x="22" y="33" { (tag.number) }
    }
}

/// The outline of a tag, and of what is filled below the number when it is half done.
fn outline(shape: TagShape) -> (&'static str, &'static str) {
    match shape {
        TagShape::Square => ("M4 8 H40 V46 H4 Z", "M4 36 H40 V46 H4 Z"),
        TagShape::Circle => {
            ("M22 6 A20.5 20.5 0 1 1 21.9 6 Z", "M3.6 36 H40.4 A20.5 20.5 0 0 1 3.6 36 Z")
        }
        TagShape::Triangle => ("M22 3 L44 46 H0 Z", "M5 36 H39 L44 46 H0 Z"),
        TagShape::Bar => ("M-2 10 H46 V44 H-2 Z", "M-2 36 H46 V44 H-2 Z"),
        TagShape::Plain => ("M14 7 H30 L40 17 V46 H4 V17 Z", "M4 36 H40 V46 H4 Z"),
    }
}

/// A button that records something when it is tapped.
pub(crate) fn button(button: &Button) -> Markup {
    recording(&button.text, button, None, button.main)
}

/// A button that records several steps at once.
pub(crate) fn whole_button(whole: &Whole) -> Markup {
    let records: Vec<_> = whole.records.iter().map(|draft| record(draft, None)).collect();
    let covers = whole
        .covers
        .iter()
        .map(|(verb, thing)| json!({ "verb": step_word(*verb), "thing": thing }));
    let long = whole.text.chars().count() > LONG_CHARS;
    html! {
        button.did.main.long[long] type="button" data-record=(json!(records))
            data-covers=(json!(covers.collect::<Vec<_>>())) { (whole.text) }
    }
}

/// A button that records the same about some of the pieces only.
pub(crate) fn piece_button(text: &str, button: &Button, pieces: u32) -> Markup {
    recording(text, button, Some(pieces), false)
}

fn recording(text: &str, button: &Button, pieces: Option<u32>, main: bool) -> Markup {
    let record = record(&button.draft, pieces);
    let long = text.chars().count() > LONG_CHARS;
    html! {
        button.did.main[main].long[long] type="button" data-record=(record) { (text) }
    }
}

fn record(draft: &Draft, pieces: Option<u32>) -> Value {
    json!({
        "verb": draft.verb.as_str(),
        "thing": draft.thing,
        "spot": draft.spot,
        "tool": draft.tool,
        "pieces": pieces,
    })
}

/// A step's verb as entries have it.
fn step_word(verb: StepVerb) -> &'static str {
    if verb == StepVerb::Look { "looked" } else { verb.word() }
}

/// A button that records something that is about no button of the job's own.
pub(crate) fn saying(text: &str, verb: &str, thing: Option<&str>, note: Option<&str>) -> Markup {
    let record = json!({ "verb": verb, "thing": thing, "note": note });
    html! { button.did.main type="button" data-record=(record) { (text) } }
}

/// A time of day: UTC from the server, made local by a script.
pub(crate) fn time(ms: i64) -> Markup {
    html! { time datetime=(iso(ms)) { (plain(ms)) } }
}

/// Where and with what: "from below · socket 13".
pub(crate) fn from_and_tool(line: &StepLine) -> String {
    let from = line.from.as_deref().map(place);
    let tool = line.tool.clone();
    let hand = from.is_some() && tool.is_none() && line.before.is_none();
    let parts = [from, tool.or_else(|| hand.then(|| "by hand".to_owned()))];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// "from below", "at the bench".
pub(crate) fn place(spot: &str) -> String {
    if spot == "bench" { "at the bench".to_owned() } else { format!("from {spot}") }
}

/// The address of a thing's sheet.
pub(crate) fn thing_address(room: &Room, thing: &str) -> String {
    format!("/job/{}/thing?thing={}", room.id, percent(thing))
}

/// The address of what still holds a thing.
pub(crate) fn holds_address(room: &Room, thing: &str) -> String {
    format!("/job/{}/holds?thing={}", room.id, percent(thing))
}

/// Writes a name as part of an address.
pub(crate) fn percent(name: &str) -> String {
    let mut text = String::with_capacity(name.len());
    for byte in name.bytes() {
        match byte {
            b'-' | b'.' | b'_' | b'~' => text.push(char::from(byte)),
            _ if byte.is_ascii_alphanumeric() => text.push(char::from(byte)),
            _ => text.push_str(&format!("%{byte:02X}")),
        }
    }
    text
}

/// A line of a list that opens a thing's sheet. `data-step` lets the script go on with the next
/// line while nothing can be sent.
pub(crate) fn row(room: &Room, line: &StepLine) -> Markup {
    let verb = step_word(line.verb);
    let step = json!({
        "verb": verb, "thing": line.thing, "spot": line.from, "tool": line.tool,
    });
    let key = format!("{} {}", line.verb.word(), line.thing);
    html! {
        li data-key=(key) {
            a.row href=(thing_address(room, &line.thing)) data-sheet data-step=(step)
                data-asks-first[line.asks_first.is_some()] {
                (tag(line.tag.as_ref()))
                span.what { (line.text) }
                @let detail = from_and_tool(line);
                @if !detail.is_empty() { span.where { (detail) } }
                @if let Some(asks) = &line.asks_first { span.where { "Asked first: " (asks) } }
            }
        }
    }
}

/// A wait that runs: since when, and how much of the maker's minutes is left (by a script).
pub(crate) fn clock(wait: &WaitLine) -> Markup {
    html! {
        p.quiet.wait data-until=[wait.until_ms] {
            (wait.text) ", since " (time(wait.from_ms))
            @if let Some(until_ms) = wait.until_ms {
                ", over at " (time(until_ms)) " " span data-left="" {}
            }
        }
    }
}

/// A caution: the one warning tone, and always the word.
pub(crate) fn caution(text: &str) -> Markup {
    html! { p.caution { strong { "Caution" } " " (text) } }
}

/// "given up: no housing to be had"; "given up" where nobody said why.
pub(crate) fn given_up(why: &str) -> String {
    match why.trim() {
        "" => "given up".to_owned(),
        why => format!("given up: {}", why.trim_end_matches('.')),
    }
}

/// A heading longer than this is written smaller \[characters\].
const LONG_HEADING_CHARS: usize = 40;

/// Whether a heading is so long that it is written smaller.
pub(crate) fn is_long(heading: &str) -> bool {
    heading.chars().count() > LONG_HEADING_CHARS
}

/// Splits a line in two at the first "; " after which these words stand: "still off: 2 clips"
/// and "still to end: fuel shut". The second may be long and is cut short.
pub(crate) fn halves<'a>(text: &'a str, second: &str) -> (&'a str, Option<&'a str>) {
    let mut starts = text.match_indices("; ").map(|(at, sign)| at + sign.len());
    let at = starts.find(|&at| text[at..].starts_with(second));
    at.map_or((text, None), |at| (&text[..at - 2], Some(&text[at..])))
}
