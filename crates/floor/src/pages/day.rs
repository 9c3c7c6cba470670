//! The day around the work: its stages, and what is asked at each.

use lastbolt_job::is_from_nothing;
use lastbolt_job::view::{
    Button, Day, DayStage, Point, PointGroup, PointSaid, Screen, StageView, Tap, together,
};
use maud::{Markup, html};
use serde_json::{Value, json};

use crate::due::Due;
use crate::pages;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::{bits, matters, paper};
use crate::room::Room;
use crate::wire::matters::record;

/// The most lines of a heading that are not folded.
const LINES_MAX: usize = 8;

/// The most points of a long list that are not folded.
const POINTS_MAX: usize = 6;

/// Draws the stages, one row each with what is open in it.
pub(crate) fn page(room: &Room, screen: &Screen, day: &Day, due: &[Due]) -> Markup {
    let body = html! {
        div data-part="top" { (top("The day", &screen.machine)) }
        main.day {
            ul.rows data-part="stages" {
                @for stage in &day.stages { (row(room, stage)) }
            }
            (pages::due::section("Due from earlier jobs on this machine", due))
            section {
                h2 { "On paper" }
                (paper::others(room, None))
            }
        }
        (foot(room, "/day"))
    };
    let title = format!("The day: {}", room.title);
    shell(&Page { title: &title, name: "day", job: Some((room, screen)), body })
}

fn row(room: &Room, view: &StageView) -> Markup {
    let (all, open) = (view.points().count(), view.open());
    let how = match (all, open) {
        (0, _) => "nothing asked yet".to_owned(),
        (_, 0) => "all answered".to_owned(),
        (_, open) => format!("{open} open"),
    };
    html! {
        li {
            a.row href=(address(room, view.stage)) {
                span.what { (view.stage.heading()) }
                span.where { (how) }
            }
        }
    }
}

/// The address of a stage.
pub(crate) fn address(room: &Room, stage: DayStage) -> String {
    format!("/job/{}/day/{}", room.id, stage.word())
}

/// Draws one stage.
pub(crate) fn stage(room: &Room, screen: &Screen, view: &StageView) -> Markup {
    let heading = view.stage.heading();
    let body = html! {
        div data-part="top" { (top(heading, &screen.machine)) }
        main.day {
            div data-part="points" {
                @if view.groups.is_empty() {
                    p.sentence { "Nothing is asked here yet." }
                    a.go href={ "/job/" (room.id) } { "To the work" }
                }
                @if view.stage == DayStage::SizeUp && !is_from_nothing(&room.latest()) {
                    a.go.plain href={ "/job/" (room.id) "/plan" } { "Ways in, and the whole plan" }
                }
                @for group in &view.groups { (group_of(Some(room), group)) }
            }
        }
        (foot(room, "/day"))
    };
    let title = format!("{heading}: {}", room.title);
    shell(&Page { title: &title, name: "day", job: Some((room, screen)), body })
}

/// Draws a heading with what stands under it.
pub(crate) fn group(group: &PointGroup) -> Markup {
    group_of(None, group)
}

/// The same; with the job, photos are taken and shown.
fn group_of(room: Option<&Room>, group: &PointGroup) -> Markup {
    html! {
        section.points {
            h2 { (group.heading) }
            @if group.lines.len() > LINES_MAX {
                @for line in group.lines.iter().take(LINES_MAX) { p { (line) } }
                details.fold {
                    summary { "And " (group.lines.len() - LINES_MAX) " more" }
                    @for line in group.lines.iter().skip(LINES_MAX) { p { (line) } }
                }
            } @else {
                @for line in &group.lines { p { (line) } }
            }
            @for wait in &group.clocks { (bits::clock(wait)) }
            @let shown = shown_points(&group.points);
            @for point in &group.points[..shown] { (point_of(room, point)) }
            @if shown < group.points.len() {
                details.fold {
                    summary { (more_points(&group.points[shown..])) }
                    @for point in &group.points[shown..] { (point_of(room, point)) }
                }
            }
            @if group.points.iter().any(|point| point.takes_photos) {
                p.quiet role="status" data-photos-told="" {}
                ul.plain-list data-photos-left="" {}
            }
            @if !group.taps.is_empty() {
                div.folds { @for tap in &group.taps { (folded(tap)) } }
            }
            (one_tap(&group.points, "All of these", &[]))
        }
    }
}

/// How many points of a group are not folded: of a long list those that come first.
fn shown_points(points: &[Point]) -> usize {
    let is_long = points.len() > POINTS_MAX + 1 && points.first().is_some_and(is_long_list);
    if is_long { POINTS_MAX } else { points.len() }
}

/// "And 24 more, 20 of them open".
fn more_points(folded: &[Point]) -> String {
    let open = folded.iter().filter(|point| !point.settled).count();
    match open {
        0 => format!("And {} more: here, or not needed", folded.len()),
        open if open == folded.len() => format!("And {open} more, wanted later"),
        open => format!("And {} more, {open} of them wanted later", folded.len()),
    }
}

/// One tap that gives the first answer of every point that is open and may be answered together,
/// and says `then` after it.
pub(crate) fn one_tap(points: &[Point], text: &str, then: &[Value]) -> Markup {
    let taps = together(points.iter());
    if taps.len() + then.len() < 2 {
        return html! {};
    }
    let all: Vec<Value> = taps.iter().map(|tap| record(tap)).chain(then.iter().cloned()).collect();
    let words: Vec<&str> = taps.iter().map(|tap| tap.text.as_str()).collect();
    let says = match words.as_slice() {
        [first, rest @ ..] if rest.len() > 2 && rest.iter().all(|word| word == first) => {
            format!("Says for each of the {}: {first}", words.len())
        }
        _ => format!("Says for each: {}", words.join(" · ")),
    };
    html! {
        div.line-buttons.all-of {
            button.did.main.long type="button" data-record=(json!(all)) data-covers="[]" { (text) }
            p.quiet { (says) }
        }
    }
}

/// Draws a point: the question, what helps, its answers, and what was answered.
pub(crate) fn point(point: &Point) -> Markup {
    point_of(None, point)
}

fn point_of(room: Option<&Room>, point: &Point) -> Markup {
    let key = format!("{} {}", point.id, point.thing.as_deref().unwrap_or_default());
    html! {
        div.point.settled[point.settled].listed[is_long_list(point)] data-key=(key) {
            p.asked { (point.text) }
            @for caution in &point.cautions { (bits::caution(caution)) }
            (detail(point))
            @if let Some(room) = room { (photos(room, point)) }
            @if let Some(said) = &point.said { (self::said(said)) }
            @if !point.settled {
                div.line-buttons {
                    @for tap in &point.taps {
                        @if is_long_list(point) && tap.asks.is_some() { (folded(tap)) }
                        @else { (matters::tap(tap)) }
                    }
                }
            }
        }
    }
}

/// The photos that go with a point, and one more of them.
fn photos(room: &Room, point: &Point) -> Markup {
    if !point.takes_photos {
        return html! {};
    }
    let more = if point.photos.is_empty() { "Add a photo" } else { "One more photo" };
    html! {
        @if !point.photos.is_empty() {
            div.with-photos {
                @for name in &point.photos {
                    a href={ "/job/" (room.id) "/photo?photo=" (name) } {
                        img src={ "/job/" (room.id) "/photo/" (name) "/small" }
                            alt={ "Photo for: " (point.text) } loading="lazy";
                    }
                }
            }
        }
        @if !point.settled || point.photos.is_empty() {
            div.bring.for-point data-of=[point.thing.as_deref()] data-point=(point.id) {
                label.pick {
                    (more)
                    input type="file" accept="image/*" data-photos="";
                }
            }
        }
    }
}

/// Points of which there are many on one page: what is written stays folded until it is wanted.
fn is_long_list(point: &Point) -> bool {
    ["buy", "fluid", "borrow"].iter().any(|list| point.id.starts_with(list))
}

/// What helps with it; of a long list folded.
fn detail(point: &Point) -> Markup {
    let lines = html! { @for line in &point.detail { p.quiet { (line) } } };
    html! {
        @if is_long_list(point) && !point.settled && point.detail.len() > 1 {
            details.fold { summary { "How far without it" } (lines) }
        } @else { (lines) }
    }
}

/// Something to write, folded until it is wanted.
fn folded(tap: &Tap) -> Markup {
    html! { details.fold { summary { (tap.text) } (matters::tap(tap)) } }
}

/// On a thing's sheet: the question that comes before it is opened, with its answers.
pub(crate) fn asked_first(point: &Point) -> Markup {
    html! {
        p.prompt { strong { "Before it is opened. " } (point.text) }
        @for caution in &point.cautions { (bits::caution(caution)) }
        @for line in &point.detail { p.quiet { (line) } }
        div.line-buttons { @for tap in &point.taps { (matters::tap(tap)) } }
    }
}

/// A step's button where its question is not answered: it is open already.
pub(crate) fn happened(button: &Button) -> Button {
    Button { main: false, text: format!("Already: {}", button.text), ..button.clone() }
}

/// What was answered, and the tap that takes it back.
pub(crate) fn said(said: &PointSaid) -> Markup {
    let back = serde_json::json!({ "verb": "take_back", "of": said.event });
    html! {
        p.said {
            strong { (said.answer) }
            @if let Some(person) = &said.person { ", " (person) }
            ", " (bits::time(said.said_at_ms))
        }
        button.back type="button" data-record=(back) { "Take that back" }
    }
}
