//! The gate before the first start.

use lastbolt_job::view::{Gate, GateLine, GatePassed, GateReason, Leftovers, Screen, ThingSort};
use lastbolt_ledger::Noted;
use maud::{Markup, html};

use crate::pages::matters::Over;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::{bits, matters};
use crate::room::Room;

/// Draws the gate.
pub(crate) fn page(
    room: &Room,
    screen: &Screen,
    gate: &Gate,
    starts: &[Noted],
    over: (&Over, Option<&Leftovers>),
) -> Markup {
    let sub = format!("{}: before the first start", screen.machine);
    // Before anything came off there is nothing to start again.
    let untouched = gate.is_clear() && gate.passed.is_none() && screen.next.is_some();
    let heading = if untouched { "Nothing off yet" } else { gate.heading.as_str() };
    let body = html! {
        div data-part="top" { (top(heading, &sub)) }
        main.gate {
            div data-part="gate" { (lines(room, gate, untouched)) }
            @if !untouched || screen.seen > 0 {
                div data-part="remarks" {
                    (matters::rows(room, "Look at these once", gate.remarks.iter()))
                }
                div data-part="over" {
                    (matters::leftover(room, &kinds(screen), over.0, over.1))
                }
            }
            div data-part="pass" {
                @match &gate.passed {
                    Some(passed) => (after(screen, gate, passed, starts)),
                    None if untouched => a.go href={ "/job/" (room.id) } { "To the work" },
                    None => (pass(gate)),
                }
            }
        }
        (foot(room, "/gate"))
    };
    let title = format!("{heading}: {}", room.title);
    shell(&Page { title: &title, name: "gate", job: Some((room, screen)), body })
}

/// The kinds of this job, one word each, parts left out.
fn kinds(screen: &Screen) -> Vec<String> {
    let mut kinds = Vec::new();
    for line in screen.things.iter().filter(|line| line.in_plan) {
        if line.sort == ThingSort::Fixing && !kinds.contains(&line.kind) {
            kinds.push(line.kind.clone());
        }
    }
    kinds
}

fn lines(room: &Room, gate: &Gate, untouched: bool) -> Markup {
    html! {
        @if untouched {
            p.sentence { "The work on this job is still to come." }
        } @else if gate.is_clear() {
            p.sentence { "Nothing is off, slack or in by hand, and every last look was made." }
        }
        ul.rows {
            @for line in &gate.matters { (matters::row(room, line)) }
            @for point in &gate.points { li { (crate::pages::day::point(point)) } }
            @for line in &gate.lines { (self::line(room, line)) }
        }
    }
}

fn line(room: &Room, gate: &GateLine) -> Markup {
    let line = &gate.line;
    html! {
        li data-key={ (gate.reason.word()) " " (line.thing) } {
            a.row href=(bits::thing_address(room, &line.thing)) data-sheet {
                (bits::tag(line.tag.as_ref()))
                span.what { (line.text) }
                @if let Some(place) = &line.place { span.where { (place) } }
            }
            div.line-buttons {
                // A sheet has the states between; here only what settles it.
                @let most = if gate.reason == GateReason::NotRecorded { 2 } else { 1 };
                @for button in gate.buttons.iter().take(most) { (bits::button(button)) }
            }
        }
    }
}

/// How to get past the gate: all home, or a reason that is kept.
fn pass(gate: &Gate) -> Markup {
    html! {
        @if gate.is_clear() {
            p { "Tools, rags and plugs out? Fluids in? Then:" }
            (bits::saying("All home: first start", "gate", Some(&gate.name), None))
        } @else {
            form.say data-gate=(gate.name) {
                label {
                    span { "First start all the same? Say why; the reason is kept in the record." }
                    input type="text" name="note" maxlength="2000" autocomplete="off" required;
                }
                button.did type="submit" { "First start, for this reason" }
            }
        }
    }
}

fn after(screen: &Screen, gate: &Gate, passed: &GatePassed, starts: &[Noted]) -> Markup {
    let finished = screen.phase == lastbolt_job::view::Phase::Finished;
    html! {
        p {
            "First start agreed"
            @if passed.reason.is_none() { " with all home" }
            ", " (bits::time(passed.said_at_ms))
            @match &passed.reason { Some(reason) => { ": " (reason) }, None => { "." }, }
            @if let Some(person) = &passed.person { " (" (person) ")" }
        }
        @for start in starts {
            p { strong { "First start " } (bits::time(start.said_at_ms)) ": " (start.text) }
        }
        @if finished {
            p.sentence { "This job is handed over." }
            (bits::saying("It goes on", "reopened", None, None))
        } @else {
            form.say data-start="" {
                label {
                    span { "How did it go? What did you look at?" }
                    input type="text" name="note" maxlength="2000" autocomplete="off" required;
                }
                button.did type="submit" { "Started" }
            }
            @if !starts.is_empty() && gate.is_clear() {
                (bits::saying("Handed over", "finished", None, None))
            } @else if !starts.is_empty() {
                p.quiet { "Before it is handed over: settle what is still open above." }
            }
        }
    }
}
