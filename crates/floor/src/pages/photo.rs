//! One photo over the full width; a tap on it hangs a tag on what is there.

use lastbolt_job::{Markable, Photo, Picture, Pin, markable};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use crate::clock::now_ms;
use crate::limits::MARKABLE_MAX;
use crate::pages::photos::{address, between};
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::shot::{page_address, screws_on, shot};
use crate::pages::{self, bits};
use crate::room::Room;

/// What stands behind the address: which photo, and where it was tapped \[thousandths\].
#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    pub(crate) photo: String,
    x: Option<u16>,
    y: Option<u16>,
    /// The joint whose screws are being marked: a tap for each.
    screws: Option<String>,
}

impl Asked {
    fn tapped(&self) -> Option<(u16, u16)> {
        let place = self.x.zip(self.y)?;
        (place.0 <= 1000 && place.1 <= 1000).then_some(place)
    }
}

/// The photo that is shown, among the others.
pub(crate) struct One<'a> {
    pub(crate) all: &'a [Photo],
    pub(crate) at: usize,
    /// Its file is in the job's folder.
    pub(crate) is_there: bool,
}

/// Draws one photo.
pub(crate) fn page(room: &Room, picture: &Picture, one: &One<'_>, asked: &Asked) -> Markup {
    let photo = &one.all[one.at];
    let screen = picture.screen(now_ms());
    let tapped = asked.tapped();
    let counted = asked.screws.as_deref().and_then(|joint| Counted::of(picture, photo, joint));
    let heading = if photo.of.is_empty() { "Photo".to_owned() } else { photo.of.join(", ") };
    let body = html! {
        div data-part="top" { (top(&heading, &screen.machine)) }
        main.photo.choosing[tapped.is_some()] {
            div data-part="shot" data-photo=(page_address(room, photo)) {
                @if let (true, Some(counted)) = (one.is_there, &counted) {
                    (screws_on(room, photo, &counted.marks, &counted.record(photo)))
                } @else if one.is_there {
                    @let pins: Vec<&Pin> = photo.pins.iter().collect();
                    (shot(room, photo, &pins, None, tapped))
                } @else {
                    p.sentence { "The file of this photo is not in the job's folder." }
                    p.quiet { "What was said about it stands. A backup may have the file." }
                }
            }
            // Below the photo, so that nothing moves under the finger.
            @if let Some(counted) = &counted {
                div data-part="screws" { (counted.told(room)) }
            }
            div data-part="about" {
                @match (tapped, &counted) {
                    (_, Some(_)) => {},
                    (Some(place), None) => (choose(room, picture, photo, place)),
                    (None, None) => (about(room, one)),
                }
            }
        }
        (foot(room, "/photo"))
    };
    let title = format!("{heading}: {}", room.title);
    shell(&Page { title: &title, name: "photo", job: Some((room, &screen)), body })
}

/// The screws of a joint that are marked on a photo.
struct Counted<'a> {
    joint: &'a str,
    pieces: usize,
    marks: Vec<&'a Pin>,
}

impl<'a> Counted<'a> {
    /// None where the machine has no such joint, or only one screw.
    fn of(picture: &Picture, photo: &'a Photo, joint: &'a str) -> Option<Self> {
        let pieces = lastbolt_job::joint(picture, joint, None, now_ms())?.pieces;
        let marks = photo.pins.iter().filter(|pin| pin.thing == joint).collect();
        let pieces = usize::try_from(pieces).ok().filter(|pieces| *pieces > 1)?;
        Some(Self { joint, pieces, marks })
    }

    /// What a tap records, but for the place; nothing more once all are marked.
    fn record(&self, photo: &Photo) -> String {
        if self.marks.len() >= self.pieces {
            return String::new();
        }
        let more = json!({ "photo": photo.photo });
        json!({ "verb": "pin", "thing": self.joint, "more": more }).to_string()
    }

    fn told(&self, room: &Room) -> Markup {
        let (marked, pieces) = (self.marks.len(), self.pieces);
        html! {
            h2 { "Screws of the " (self.joint) }
            p.prompt {
                @if marked < pieces { "Tap each screw once. " } @else { "All are marked. " }
                (marked) " of " (pieces) "."
                @if marked > pieces { " That is more than there are: take some back." }
            }
            div.line-buttons {
                @if let Some(last) = self.marks.last() {
                    button.did type="button" data-take-back=(last.entry) { "Take the last back" }
                }
                @if marked == pieces {
                    a.go href=(pages::joint::address(room, self.joint)) { "To the joint" }
                }
            }
        }
    }
}

/// What can be there: what was touched last comes first.
fn choose(room: &Room, picture: &Picture, photo: &Photo, (x, y): (u16, u16)) -> Markup {
    let all = markable(picture);
    let back = page_address(room, photo);
    html! {
        h2 { "What is there?" }
        a.ask href=(back) { "Nothing: leave it unmarked" }
        ul.rows {
            @for thing in all.iter().take(MARKABLE_MAX) {
                li { (choice(thing, photo, (x, y), &back)) }
            }
        }
        @if all.is_empty() { p.sentence { "Nothing is on the list yet." } }
    }
}

fn choice(thing: &Markable, photo: &Photo, (x, y): (u16, u16), back: &str) -> Markup {
    let more = json!({ "photo": photo.photo, "x": x, "y": y });
    let record = json!({ "verb": "pin", "thing": thing.thing, "more": more });
    html! {
        button.row type="button" data-record=(record) data-then=(back) data-instead {
            (bits::tag(thing.tag.as_ref()))
            span.what { (thing.text) }
            span.stands { (thing.stands) }
        }
    }
}

/// The text below the photo.
fn about(room: &Room, one: &One<'_>) -> Markup {
    let photo = &one.all[one.at];
    html! {
        p.from {
            (bits::time(photo.at_ms))
            @if !photo.is_dated { small { " brought then; when it was taken is not known" } }
        }
        @let between = between(photo);
        @if !between.is_empty() { p.quiet { (between) } }
        @for note in &photo.notes { p.prompt { (note) } }
        @for asked in &photo.asked { p.from { "Goes with the question: " (asked) } }
        p.quiet.tap-hint { "Tap a fixing or connection on the photo to hang its tag there." }
        @if !photo.pins.is_empty() {
            ul.rows { @for pin in &photo.pins { (pinned(room, pin)) } }
        }
        div.line-buttons {
            (private(photo))
            @for entry in &photo.entries {
                button.did type="button" data-take-back=(entry)
                    data-then=(address(room, None)) data-instead {
                    "Leave this photo out"
                }
            }
        }
        nav.choices aria-label="Other photos" {
            @if let Some(earlier) = one.at.checked_sub(1).map(|at| &one.all[at]) {
                a href=(page_address(room, earlier)) {
                    span { "Earlier: " (bits::time(earlier.at_ms)) }
                }
            }
            @if let Some(later) = one.all.get(one.at + 1) {
                a href=(page_address(room, later)) { span { "Later: " (bits::time(later.at_ms)) } }
            }
            a href=(address(room, None)) { "All photos" }
        }
    }
}

fn pinned(room: &Room, pin: &Pin) -> Markup {
    html! {
        li.pinned data-key=(pin.entry) {
            a.row href=(bits::thing_address(room, &pin.thing)) data-sheet {
                (bits::tag(pin.tag.as_ref()))
                span.what { (pin.text) }
                span.stands.open[pin.open] { (pin.stands) }
            }
            button.did type="button" data-take-back=(pin.entry) { "Take the tag off" }
        }
    }
}

/// Number plates and faces stay here.
fn private(photo: &Photo) -> Markup {
    let record = json!({ "verb": "private", "more": { "photo": photo.photo } });
    html! {
        @match &photo.private_by {
            Some(entry) => {
                p.from { "Not exported." }
                button.did type="button" data-take-back=(entry) { "Export it after all" }
            },
            None => button.did type="button" data-record=(record) {
                "Don't export" small { "a number plate, a face" }
            },
        }
    }
}
