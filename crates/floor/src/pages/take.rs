//! Taking apart by the handful: a part and what held it are one entry, made by a few taps.
//!
//! What is being put together lives in the browser (`assets/take.js`) and is no part of the page
//! that the server draws anew; what was recorded is.

use lastbolt_job::view::{DayStage, Screen, StageView};
use lastbolt_job::{TakenLine, is_taking_apart, photos, taken};
use maud::{Markup, html};

use crate::before::kinds;
use crate::clock::now_ms;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::shot::page_address;
use crate::pages::{bits, day, matters, questions, stop, work};
use crate::room::{Room, Snapshot};

/// How many kinds have a button of their own; one place is for "more kinds".
pub(crate) const KINDS_SHOWN: usize = 8;
/// How many places have a button of their own.
const PLACES_SHOWN: usize = 5;
/// Places that are offered before any was used.
const PLACES: [&str; 6] = ["above", "below", "left", "right", "inside", "bench"];
/// Counts that are set by one tap; the others are one tap more on the kind.
const COUNTS: [u32; 7] = [2, 3, 4, 5, 6, 8, 10];
/// How many of the last entries are shown.
const LINES_MAX: usize = 40;

/// Draws the page for taking apart.
pub(crate) fn page(room: &Room, picture: &Snapshot, used: &[(String, u64)]) -> Markup {
    let screen = &room.screen(picture);
    let lines = taken(picture);
    let (heading, sub) = head(screen);
    let body = html! {
        div data-part="top" { (top(&heading, &sub)) }
        main.take data-take="" data-place=[last_place(picture)] {
            section.hand aria-label="What came off" {
                div.said data-part="taken-last" { (last(&lines)) }
                ul.pending data-pending="" aria-live="polite" {}
                (composer(picture, used))
            }
            section.rest data-part="taken" aria-label="Taken off so far" {
                (stop::strip(room, picture))
                (before_the_first_bolt(room, picture))
                (matters::just_taken(room, screen))
                (so_far(room, picture, &lines))
                (matters::on_take(room, screen))
            }
        }
        (foot(room, "/take"))
    };
    let title = format!("Take apart: {}", room.title);
    shell(&Page { title: &title, name: "take", job: Some((room, screen)), body })
}

/// The machine, and what the job is after.
pub(crate) fn head(screen: &Screen) -> (String, String) {
    (screen.machine.clone(), screen.purpose.clone())
}

/// Where the last entry was from: the place stays until it is changed.
fn last_place(picture: &Snapshot) -> Option<&str> {
    picture.records.iter().rev().find_map(|r| r.event.spot.as_deref())
}

/// Places that were used, the last one first, then those that every machine has.
pub(crate) fn places(picture: &Snapshot) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let used = picture.records.iter().rev().filter_map(|r| r.event.spot.as_deref());
    let known = picture.base.model.machine.spots.iter().map(|spot| spot.id.name());
    for place in used.chain(known).chain(PLACES) {
        if !all.iter().any(|one| one == place) {
            all.push(place.to_owned());
        }
    }
    all
}

/// The last entry, with what it takes to withdraw it.
fn last(lines: &[TakenLine]) -> Markup {
    html! {
        @if let Some(line) = lines.last() {
            p.kept data-last=(line.event) data-text=(line.text) { (line.text) "; kept" }
        } @else {
            p.kept { "Tap the kinds, then the part." }
        }
    }
}

/// What is asked of any machine before it is opened, while some of it is open.
fn before_the_first_bolt(room: &Room, picture: &Snapshot) -> Markup {
    let day = picture.day(now_ms());
    let open = day.stage(DayStage::MakeReady).map_or(0, StageView::open);
    html! {
        @if open > 0 {
            a.still.minor href=(day::address(room, DayStage::MakeReady)) {
                "Make ready: " (open) " not answered"
            }
        }
    }
}

fn composer(picture: &Snapshot, used: &[(String, u64)]) -> Markup {
    let kinds = kinds(used);
    html! {
        div.compose data-compose="" {
            (words(picture))
            (place_row(&places(picture)))
            div.kinds role="group" aria-label="Kinds" {
                @for kind in kinds.iter().take(KINDS_SHOWN) { (kind_button(kind)) }
                button.kind.more-kinds type="button" data-more-kinds="" { "more kinds" }
            }
            div.how-many role="group" aria-label="How many" {
                button type="button" data-less="" aria-label="one less" { "one less" }
                @for count in COUNTS { button type="button" data-count=(count) { (count) } }
            }
            div.buttons {
                div.others {
                    button.take-back type="button" data-undo="" hidden {
                        "Take that back" small {}
                    }
                    button type="button" data-aside="" { "Hung aside" }
                    button type="button" data-only="" { "Only these" }
                }
                button.did.main type="button" data-off="" { "Part off" small {} }
            }
        }
        (panel("more-kinds", "All kinds", "Another kind, in your words", &html! {
            @for kind in &kinds { (kind_button(kind)) }
        }))
        (panel("more-places", "All places", "Another place, in your words", &html! {
            @for place in places(picture) { (place_button(&place)) }
        }))
    }
}

/// Name and marks of the part: never needed.
fn words(picture: &Snapshot) -> Markup {
    html! {
        div.words {
            input type="text" name="name" maxlength="120" autocomplete="off" autocapitalize="off"
                enterkeyhint="done" placeholder="Name, now or later" aria-label="Name of the part"
                list="known-names";
            datalist #known-names {
                @for part in &picture.base.model.machine.parts { option value=(part.id.name()) {} }
            }
        }
        div.marks role="group" aria-label="How" {
            button type="button" data-mark="feel" aria-pressed="false" { "by feel" }
            button type="button" data-mark="slack" aria-pressed="false" { "slack only" }
            button type="button" data-mark="by_hand" aria-pressed="false" { "in by hand" }
            button type="button" data-mark="is_it" aria-pressed="false" { "this is it" }
        }
    }
}

pub(crate) fn place_row(places: &[String]) -> Markup {
    html! {
        div.places role="group" aria-label="From where" {
            @for place in places.iter().take(PLACES_SHOWN) { (place_button(place)) }
            button type="button" data-more-places="" { "other" }
        }
    }
}

fn place_button(place: &str) -> Markup {
    html! { button type="button" data-from=(place) aria-pressed="false" { (place) } }
}

pub(crate) fn kind_button(kind: &str) -> Markup {
    html! { button.kind type="button" data-kind=(kind) { b {} span { (kind) } } }
}

/// Everything that has no button of its own, over the page.
pub(crate) fn panel(name: &str, heading: &str, own: &str, choices: &Markup) -> Markup {
    html! {
        div.panel hidden data-panel=(name) role="dialog" aria-label=(heading) {
            div.sheet-body {
                div.head {
                    h2.big { (heading) }
                    button type="button" data-shut="" { "Put away" }
                }
                form data-own=(name) {
                    label {
                        span { (own) }
                        input type="text" name="own" maxlength="40" autocomplete="off"
                            autocapitalize="off" enterkeyhint="done";
                    }
                }
                div.kinds { (choices) }
            }
        }
    }
}

fn so_far(room: &Room, picture: &Snapshot, lines: &[TakenLine]) -> Markup {
    let taking = is_taking_apart(picture);
    html! {
        nav.choices aria-label="Besides" {
            a href={ "/job/" (room.id) "/scribe" } { "Counting" }
            a href={ "/job/" (room.id) "/fell" } data-sheet { "Something fell" }
            a href={ "/job/" (room.id) "/stop" } data-sheet { "Stop" }
            a href={ "/job/" (room.id) "/photos" } { "Photos" }
            a href={ "/job/" (room.id) "/lists" } { "Lists" }
            @if !lines.is_empty() { a href={ "/job/" (room.id) "/now" } { "What next" } }
        }
        (since_photo(room, picture, lines))
        @if !lines.is_empty() {
            (questions::waiting_line(room, picture))
            @if taking {
                (work::all_off(room))
            } @else {
                a.turn href={ "/job/" (room.id) "/now" } { "On with putting back" }
            }
            h2 { "Taken off so far, the last first" }
            ul.rows {
                @for line in lines.iter().rev().take(LINES_MAX) { (row(room, line)) }
            }
            @if lines.len() > LINES_MAX {
                a.more href={ "/job/" (room.id) "/list?show=open" } {
                    (lines.len() - LINES_MAX) " earlier ones: everything that is off"
                }
            }
        }
    }
}

/// Which photo was the last, for entering from memory what came off since.
fn since_photo(room: &Room, picture: &Snapshot, lines: &[TakenLine]) -> Markup {
    let all = photos(picture);
    html! {
        @if let Some(photo) = all.iter().max_by_key(|photo| photo.at_ms) {
            @let since = lines.iter().filter(|line| line.said_at_ms > photo.at_ms).count();
            a.ask href=(page_address(room, photo)) {
                span { "Last photo " (bits::time(photo.at_ms)) ", since then entered: " (since) }
            }
        }
    }
}

fn row(room: &Room, line: &TakenLine) -> Markup {
    let first = line.things.first().map_or("", |thing| thing.name.as_str());
    let feel = if line.by_feel { " · by feel" } else { "" };
    html! {
        li data-key={ "taken " (line.seq) } {
            a.row href=(entry_address(room, first)) data-sheet {
                span.what { (line.text) }
                span.where {
                    @if let Some(place) = &line.spot { (bits::place(place)) (feel) " · " }
                    (bits::time(line.said_at_ms))
                }
            }
        }
    }
}

/// The address where an entry is corrected.
pub(crate) fn entry_address(room: &Room, thing: &str) -> String {
    format!("/job/{}/entry?thing={}", room.id, bits::percent(thing))
}
