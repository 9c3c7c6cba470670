//! What matters besides on and off: rags, dropped screws, openings, counts, remarks, leftovers.

use lastbolt_job::large;
use lastbolt_job::view::{
    ActionCard, Leftovers, MatterKind, MatterLine, Phase, Screen, Tap, ThingLine, ThingSort,
};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use crate::pages::sheet::Sheet;
use crate::pages::{bits, facts, hazard, stop, take};
use crate::room::Room;
use crate::wire::matters::record;

/// What falls most, in the order of the buttons.
const FALLS: [&str; 6] = ["screw", "nut", "clip", "washer", "tool", "something"];
/// Words of a button that are longer than this are written smaller \[characters\].
const LONG_CHARS: usize = 20;
/// The most buttons "Found" beside "Something fell"; the others stand below.
const FOUND_MAX: usize = 2;

/// A button that records; one that asks for words is a line to write them in.
pub(crate) fn tap(tap: &Tap) -> Markup {
    let said = record(tap);
    let long = tap.text.chars().count() > LONG_CHARS;
    html! {
        @match &tap.asks {
            None => button.did.main[tap.main].long[long] type="button" data-record=(said) {
                (tap.text)
            },
            Some(asks) => form.say data-record=(said) data-text=(tap.text) {
                label {
                    span { (asks) }
                    input type="text" name="note" maxlength="2000" autocomplete="off" required;
                }
                @for (name, asks, mode) in besides(tap) {
                    label.besides {
                        span { (asks) }
                        input type="text" name=(name) maxlength="60" autocomplete="off"
                            inputmode=(mode);
                    }
                }
                button.did type="submit" { (tap.text) }
            },
        }
    }
}

/// What may be said beside the words: name, question, keyboard.
fn besides(tap: &Tap) -> &'static [(&'static str, &'static str, &'static str)] {
    let more = tap.said.more.as_ref();
    let kind = more.and_then(|more| more.kind.as_deref()).unwrap_or_default();
    let point = more.and_then(|more| more.point.as_deref()).unwrap_or_default();
    match (kind, point) {
        ("ask owner", _) => &[
            ("price", "Price, if known", "text"),
            ("minutes", "How many minutes more, about", "numeric"),
        ],
        ("buy", _) => &[("due", "Here by when, if known", "text")],
        ("borrow", _) => &[("due", "Back by when, if known", "text")],
        (_, point) if point.starts_with("owner.open.") && point.ends_with(".price") => {
            &[("price", "Price", "text")]
        }
        _ => &[],
    }
}

/// A row of a list with what settles it.
pub(crate) fn row(room: &Room, line: &MatterLine) -> Markup {
    let (asking, plain): (Vec<&Tap>, Vec<&Tap>) =
        line.taps.iter().partition(|tap| tap.asks.is_some());
    let key = format!("{} {}", line.kind.word(), line.seq.unwrap_or(0));
    html! {
        li data-key=(key) {
            @match line.things.last() {
                Some(it) => a.row.bare href=(bits::thing_address(room, &it.thing)) data-sheet {
                    span.what { (line.text) }
                },
                None => div.row.bare { span.what { (line.text) } },
            }
            @if !plain.is_empty() {
                div.line-buttons { @for one in plain { (tap(one)) } }
            }
            @for one in asking { (tap(one)) }
        }
    }
}

/// Rows under a heading, nothing where there are none.
pub(crate) fn rows<'a>(
    room: &Room,
    heading: &str,
    lines: impl Iterator<Item = &'a MatterLine>,
) -> Markup {
    let lines: Vec<&MatterLine> = lines.collect();
    html! {
        @if !lines.is_empty() {
            h2 { (heading) }
            ul.rows { @for line in lines { (row(room, line)) } }
        }
    }
}

/// On the working screen: what the last entry left open, to be closed with one tap.
pub(crate) fn openings(screen: &Screen) -> Markup {
    html! {
        @for line in screen.matters.openings.iter().take(1) {
            p.opening { (line.text) }
            div.line-buttons { @for one in &line.taps { (tap(one)) } }
        }
    }
}

/// On the page for taking apart, at once after an entry: openings, and what fell to be found.
pub(crate) fn just_taken(room: &Room, screen: &Screen) -> Markup {
    let unfound = screen.matters.fell.iter().any(|line| line.kind == MatterKind::Fell);
    html! {
        div.openings { (openings(screen)) }
        @if unfound { (fell(room, screen)) }
    }
}

/// On the page for taking apart: what is not settled, counts, what is left alone, remarks.
pub(crate) fn on_take(room: &Room, screen: &Screen) -> Markup {
    let matters = &screen.matters;
    let open = matters.fell.iter().chain(&matters.still_in).filter(|line| line.blocks);
    html! {
        (rows(room, "Not yet", open))
        (rows(room, "Counted before", matters.counted.iter()))
        (rows(room, "Left alone", matters.left_alone.iter()))
        (rows(room, "Look at these once", matters.remarks.iter()))
    }
}

/// On the working screen: what comes out before the step, in words.
pub(crate) fn first_out(card: &ActionCard) -> Markup {
    html! {
        @for line in &card.first_out { p.prompt { (line.text) } }
        @if let Some(text) = &card.leave_alone { (bits::caution(text)) }
    }
}

/// The button of the working screen that stands before the step's own, where something comes out
/// first.
pub(crate) fn first_tap(card: &ActionCard) -> Option<&Tap> {
    card.first_out.first().and_then(|line| line.taps.first())
}

/// Beside what is next: something fell, and found again, in the same size.
pub(crate) fn fell(room: &Room, screen: &Screen) -> Markup {
    let unfound = screen.matters.fell.iter().filter(|line| line.kind == MatterKind::Fell);
    let found = unfound.rev().take(FOUND_MAX).filter_map(|line| Some((line, line.taps.first()?)));
    html! {
        @if screen.phase != Phase::Finished {
            div.fell {
                @for (line, tap) in found {
                    @let what = line.text.split(':').next().unwrap_or_default();
                    button.did type="button" data-record=(record(tap)) {
                        (tap.text) small { (what) }
                    }
                }
                a.did href={ "/job/" (room.id) "/fell" } data-sheet { "Something fell" }
                a.did href={ "/job/" (room.id) "/stop" } data-sheet { "Stop" }
            }
        }
    }
}

/// How much waits to be settled, in words: "1 fell", "1 still in", "2 to look at".
pub(crate) fn to_settle(screen: &Screen) -> Vec<String> {
    let matters = &screen.matters;
    let fell = matters.fell.iter().filter(|line| line.blocks).count();
    let doubtful = settled_later(screen).count();
    let counts = [
        (fell, "fell"),
        (matters.still_in.len(), "still in"),
        (doubtful, if doubtful == 1 { "does not look right" } else { "do not look right" }),
    ];
    counts.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).collect()
}

/// Remarks, and counts that differ once taking apart is over.
fn settled_later(screen: &Screen) -> impl Iterator<Item = &MatterLine> {
    let apart = screen.phase == Phase::TakeApart;
    let counted = screen.matters.counted.iter().filter(move |_| !apart);
    screen.matters.remarks.iter().chain(counted)
}

/// The rows of what waits to be settled.
pub(crate) fn settle(room: &Room, screen: &Screen) -> Markup {
    let matters = &screen.matters;
    let lines = matters.fell.iter().chain(&matters.still_in).chain(settled_later(screen));
    html! { @for line in lines { (row(room, line)) } }
}

/// On the sheet of a thing: what else can be recorded about it.
pub(crate) fn of_thing(room: &Room, line: &ThingLine) -> Markup {
    html! {
        @if let Some(text) = &line.put_back {
            dl.facts { div { dt { "Goes back" } dd { (text) } } }
        }
        @if !line.taps.is_empty() {
            div.pieces { @for one in &line.taps { (tap(one)) } }
        }
        a.ask href=(hazard::address(room, &line.thing)) data-sheet { "It can hurt somebody" }
        @if line.sort != ThingSort::MakeReady {
            a.ask href=(facts::address(room, &line.thing)) data-sheet { "How it goes back" }
            a.ask href=(photograph(room, &line.thing)) { "Photograph it" }
            a.ask href=(stop::broke_address(room, &line.thing)) data-sheet {
                "It broke, or is stuck"
            }
        }
    }
}

/// Where pictures of a thing are taken.
pub(crate) fn photograph(room: &Room, thing: &str) -> String {
    crate::pages::photos::address(room, Some(thing))
}

/// Where something may have fallen, as the address says.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Fell {
    place: Option<String>,
}

/// Draws the sheet "What fell?".
pub(crate) fn fell_page(room: &Room, screen: &Screen, asked: &Fell) -> Markup {
    let place = asked.place.as_deref().or(screen.at.as_deref()).unwrap_or("");
    let places = take::places(&room.latest());
    let inner = html! {
        div.pieces { @for kind in FALLS { (fell_button(kind, place)) } }
        @let said = if place.is_empty() { "not said" } else { place };
        p.from { "Where it may be: " strong { (said) } }
        nav.choices aria-label="Where it may be" {
            @for spot in &places {
                @let current = (spot == place).then_some("page");
                @let at = bits::percent(spot);
                @let address = format!("/job/{}/fell?place={at}", room.id);
                a aria-current=[current] data-sheet href=(address) { (spot) }
            }
        }
        form.say data-record=(dropped(None, place)) data-text="Fell" {
            label {
                span { "Or in words: what, and where it may be" }
                input type="text" name="note" maxlength="2000" autocomplete="off" required;
            }
            button.did type="submit" { "It fell" }
        }
    };
    let sheet = Sheet::new("fell", "What fell?");
    sheet.draw(room, screen, &inner)
}

fn fell_button(kind: &str, place: &str) -> Markup {
    let named = Some(kind).filter(|kind| *kind != "something");
    let text = match kind {
        "something" => "Something else fell".to_owned(),
        kind => format!("{} fell", large(kind)),
    };
    html! { button.did type="button" data-record=(dropped(named, place)) { (text) } }
}

fn dropped(kind: Option<&str>, place: &str) -> serde_json::Value {
    let mut said = json!({ "verb": "dropped" });
    if let Some(kind) = kind {
        said["more"] = json!({ "kind": kind });
    }
    if !place.is_empty() {
        said["spot"] = json!(place);
    }
    said
}

/// What is over, as the address says.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Over {
    over: Option<String>,
    size: Option<String>,
    number: Option<String>,
}

impl Over {
    /// Gives kind, size and number, if a kind was asked for.
    pub(crate) fn asked(&self) -> Option<(&str, Option<&str>, u32)> {
        let kind = self.over.as_deref().map(str::trim).filter(|kind| !kind.is_empty())?;
        let size = self.size.as_deref().map(str::trim).filter(|size| !size.is_empty());
        let number = self.number.as_deref().and_then(|text| text.trim().parse().ok());
        Some((kind, size, number.unwrap_or(1)))
    }
}

/// On the gate page: pieces in hand, and where they may belong.
pub(crate) fn leftover(
    room: &Room,
    kinds: &[String],
    over: &Over,
    answer: Option<&Leftovers>,
) -> Markup {
    html! {
        h2 #over { "Something left over?" }
        @if let Some(answer) = answer {
            p.prompt { (answer.text) }
            ul.rows {
                @for line in &answer.lines {
                    li {
                        a.row href=(bits::thing_address(room, &line.thing)) data-sheet {
                            (bits::tag(line.tag.as_ref()))
                            span.what { (line.text) }
                            @if !line.why.is_empty() { span.where { (line.why.join(", ")) } }
                        }
                    }
                }
            }
        }
        form.over method="get" action={ "/job/" (room.id) "/gate#over" } {
            div.over-what {
                label {
                    span { "How many" }
                    input type="text" name="number" inputmode="numeric" maxlength="3"
                        autocomplete="off" value=(over.number.as_deref().unwrap_or("1"));
                }
                label {
                    span { "Size, if known" }
                    input type="text" name="size" maxlength="40" autocomplete="off"
                        value=(over.size.as_deref().unwrap_or(""));
                }
            }
            div.pieces {
                @for kind in kinds { button.did type="submit" name="over" value=(kind) { (kind) } }
            }
        }
    }
}
