//! It does not start: the connections that were disturbed, nearest and quickest first.

use lastbolt_job::view::{DisturbedLine, DisturbedView, Screen};
use maud::{Markup, html};
use serde_json::json;

use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::{bits, day, matters};
use crate::room::Room;

/// Draws the list.
pub(crate) fn page(room: &Room, screen: &Screen, view: &DisturbedView) -> Markup {
    let body = html! {
        div data-part="top" { (top("It does not start", &screen.machine)) }
        main.disturbed {
            p.sentence { "What was off in this job, nearest and quickest first." }
            p.quiet {
                "Priming comes before this list. Minutes are from here, good to plus or minus half."
            }
            div data-part="disturbed" {
                @if view.lines.is_empty() {
                    p.sentence { "Nothing was undone in this job." }
                    a.go href={ "/job/" (room.id) } { "To the work" }
                }
                ol.rows.numbered { @for line in &view.lines { (row(room, line)) } }
            }
        }
        (foot(room, "/disturbed"))
    };
    let title = format!("It does not start: {}", room.title);
    shell(&Page { title: &title, name: "disturbed", job: Some((room, screen)), body })
}

fn row(room: &Room, line: &DisturbedLine) -> Markup {
    html! {
        li data-key={ "disturbed " (line.thing) } {
            a.row href=(bits::thing_address(room, &line.thing)) data-sheet {
                (bits::tag(line.tag.as_ref()))
                span.what { (line.text) }
                @if !line.why.is_empty() { span.where { (line.why.join(" · ")) } }
            }
            @if let Some(said) = &line.said { (day::said(said)) }
            @else {
                div.line-buttons { @for tap in &line.taps { (matters::tap(tap)) } }
            }
        }
    }
}

/// The list as JSON.
pub(crate) fn data(view: &DisturbedView) -> serde_json::Value {
    let line = |line: &DisturbedLine| {
        json!({
            "thing": line.thing,
            "text": line.text,
            "minutes": line.minutes.map(crate::wire::minutes),
            "comes_off": line.comes_off,
            "why": line.why,
            "said": line.said.as_ref().map(|said| &said.answer),
            "taps": line.taps.iter().map(crate::wire::matters::tap).collect::<Vec<_>>(),
        })
    };
    let lines = view.lines.iter().map(line).collect::<Vec<_>>();
    json!({ "version": crate::wire::VERSION, "lines": lines })
}
