//! The photos of a job: by the time they were taken, set between what was done.

use std::collections::HashSet;

use lastbolt_job::{Photo, Picture};
use maud::{Markup, html};

use crate::clock::now_ms;
use crate::pages::bits;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::shot::{file_address, page_address};
use crate::room::Room;

/// The address of the photos, or of those of one thing.
pub(crate) fn address(room: &Room, thing: Option<&str>) -> String {
    let of = thing.map(|thing| format!("?thing={}", bits::percent(thing)));
    format!("/job/{}/photos{}", room.id, of.unwrap_or_default())
}

/// Draws the photos. With `of`, those that show a thing, and new ones are taken of it.
pub(crate) fn page(
    room: &Room,
    picture: &Picture,
    all: &[Photo],
    missing: &HashSet<String>,
    of: Option<&str>,
) -> Markup {
    let screen = picture.screen(now_ms());
    let shown: Vec<&Photo> = all.iter().filter(|p| of.is_none_or(|of| shows(p, of))).collect();
    let heading = of.map_or_else(|| "Photos".to_owned(), |of| format!("Photos: {of}"));
    let body = html! {
        div data-part="top" { (top(&heading, &screen.machine)) }
        main.photos {
            (bring(of))
            div data-part="photos" {
                @if shown.is_empty() { p.sentence { (nothing(of)) } }
                ul.rows {
                    @for photo in &shown { (row(room, photo, !missing.contains(&photo.photo))) }
                }
                @if of.is_some() && shown.len() < all.len() {
                    a.ask href=(address(room, None)) { "All photos of this job" }
                }
            }
        }
        (foot(room, "/photos"))
    };
    let title = format!("{heading}: {}", room.title);
    shell(&Page { title: &title, name: "photos", job: Some((room, &screen)), body })
}

fn nothing(of: Option<&str>) -> &'static str {
    if of.is_some() { "No photo shows it yet." } else { "No photos yet." }
}

/// Whether a photo shows a thing: taken of it, or marked.
pub(crate) fn shows(photo: &Photo, thing: &str) -> bool {
    photo.of.iter().any(|of| of == thing) || photo.pins.iter().any(|pin| pin.thing == thing)
}

/// One taken now, or a handful that the phone has already.
fn bring(of: Option<&str>) -> Markup {
    html! {
        div.bring data-of=[of] {
            label.go {
                "Take a photo"
                input type="file" accept="image/*" capture="environment" data-photos="";
            }
            label.pick {
                "Bring in photos"
                input type="file" accept="image/*" multiple data-photos="";
            }
            p.quiet role="status" data-photos-told="" {}
            ul.plain-list data-photos-left="" {}
        }
    }
}

/// A photo as a line: a small picture, when, of what, and between what it was taken.
pub(crate) fn row(room: &Room, photo: &Photo, is_there: bool) -> Markup {
    html! {
        li data-key=(photo.photo) {
            a.row.photo-row href=(page_address(room, photo)) {
                @if is_there {
                    img src={ (file_address(room, photo)) "/small" } alt="" loading="lazy"
                        width="96" height="72";
                } @else {
                    span.number { "missing" }
                }
                span.what { (bits::time(photo.at_ms)) (of(photo)) }
                @let between = between(photo);
                @if !between.is_empty() { span.where { (between) } }
                @let besides = besides(photo, is_there);
                @if !besides.is_empty() { span.where { (besides) } }
            }
        }
    }
}

fn of(photo: &Photo) -> String {
    if photo.of.is_empty() { String::new() } else { format!(": {}", photo.of.join(", ")) }
}

/// Between what it was taken, in the words of the record.
pub(crate) fn between(photo: &Photo) -> String {
    match (&photo.after, &photo.before) {
        (Some(after), Some(before)) => {
            format!("between \u{201c}{after}\u{201d} and \u{201c}{before}\u{201d}")
        }
        (Some(after), None) => format!("after \u{201c}{after}\u{201d}"),
        (None, Some(before)) => format!("before \u{201c}{before}\u{201d}"),
        (None, None) => String::new(),
    }
}

fn besides(photo: &Photo, is_there: bool) -> String {
    let marked = photo.pins.len();
    let all = [
        (!is_there).then(|| "the file is not in the job's folder".to_owned()),
        (!photo.is_dated).then(|| "when it was taken is not known".to_owned()),
        (marked > 0).then(|| format!("{marked} marked")),
        photo.private_by.is_some().then(|| "not exported".to_owned()),
        (!photo.notes.is_empty()).then(|| photo.notes.join("; ")),
        (!photo.asked.is_empty())
            .then(|| format!("the owner was asked: {}", photo.asked.join("; "))),
    ];
    all.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}
