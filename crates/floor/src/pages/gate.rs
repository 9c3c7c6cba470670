//! The gates: before the first start, and before the road.

use lastbolt_job::view::{
    Day, DayGate, DayStage, Gate, GateLine, GatePassed, GateReason, Leftovers, OpenLine, Phase,
    Point, PointGroup, Screen, ThingSort,
};
use lastbolt_job::{NOTHING_CLAIMED, with_open};
use lastbolt_ledger::Noted;
use maud::{Markup, html};
use serde_json::json;

use crate::pages::matters::Over;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::{bits, day, matters};
use crate::room::Room;

/// With more lines than this the button of each stands on its sheet: the job is not at the gate.
const BUTTONS_MAX: usize = 5;
/// The most lines that are not folded.
const LINES_MAX: usize = 12;

/// What a page of a gate is drawn from.
pub(crate) struct Shown<'a> {
    pub(crate) which: DayGate,
    pub(crate) gate: &'a Gate,
    /// The gate before the road, to say what is open there.
    pub(crate) road: &'a Gate,
    pub(crate) day: &'a Day,
    pub(crate) starts: &'a [Noted],
    pub(crate) over: (&'a Over, Option<&'a Leftovers>),
}

/// Draws a gate.
pub(crate) fn page(room: &Room, screen: &Screen, shown: &Shown<'_>) -> Markup {
    let gate = shown.gate;
    let sub = format!("{}: {}", screen.machine, before(shown.which));
    // Before anything came off there is nothing to start again.
    let untouched = gate.is_home() && gate.passed.is_none() && is_untouched(screen);
    let title = gate.title();
    let heading = if untouched { "Nothing off yet" } else { title.as_str() };
    let body = html! {
        div data-part="top" { (top(heading, &sub)) }
        main.gate {
            div data-part="gate" { (lines(room, shown, untouched)) }
            @if !untouched || screen.seen > 0 {
                div data-part="remarks" {
                    (matters::rows(room, "Look at these once", gate.remarks.iter()))
                }
                @if shown.which == DayGate::FirstStart {
                    div data-part="over" {
                        (matters::leftover(room, &kinds(screen), shown.over.0, shown.over.1))
                    }
                }
            }
            div data-part="pass" {
                @match &gate.passed {
                    Some(passed) => (after(room, screen, shown, passed)),
                    None if screen.given_up.is_some() => {
                        (bits::saying("It goes on", "reopened", None, None))
                    },
                    None if untouched => a.go href={ "/job/" (room.id) } { "To the work" },
                    None => (pass(gate, shown.which)),
                }
            }
            (others(room, shown, untouched))
        }
        (foot(room, "/gate"))
    };
    let title = format!("{heading}: {}", room.title);
    shell(&Page { title: &title, name: "gate", job: Some((room, screen)), body })
}

fn before(gate: DayGate) -> &'static str {
    match gate {
        DayGate::FirstStart => "before the first start",
        DayGate::Road => "before the road",
    }
}

/// Whether the work is still to come.
fn is_untouched(screen: &Screen) -> bool {
    screen.next.is_some() && screen.phase == Phase::TakeApart && screen.still_off.lines.is_empty()
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

fn lines(room: &Room, shown: &Shown<'_>, untouched: bool) -> Markup {
    let gate = shown.gate;
    let many = gate.lines.len() > BUTTONS_MAX;
    html! {
        @if let Some(why) = &gate.given_up {
            p.sentence { "This job was " (bits::given_up(why)) "." }
            p { (NOTHING_CLAIMED) }
        } @else if untouched {
            p.sentence { "The work on this job is still to come." }
        } @else if gate.is_home() && shown.which == DayGate::FirstStart {
            p.sentence { "Nothing is off, slack or in by hand, and every last look was made." }
        } @else if gate.is_home() {
            p.sentence { "Everything is home, and every last look was made." }
        }
        ul.rows {
            @for line in &gate.matters { (matters::row(room, line)) }
            @for line in gate.lines.iter().take(LINES_MAX) { (self::line(room, line, many)) }
        }
        @if gate.lines.len() > LINES_MAX {
            details.fold {
                summary { "And " (gate.lines.len() - LINES_MAX) " more open" }
                ul.rows {
                    @for line in gate.lines.iter().skip(LINES_MAX) {
                        (self::line(room, line, many))
                    }
                }
            }
        }
        @if !gate.waiting.is_empty() {
            details.fold {
                summary { "May wait until before the road: " (gate.waiting.len()) }
                ul.rows { @for line in &gate.waiting { (waits(room, line)) } }
            }
        }
        @if !untouched && !gate.points.is_empty() {
            h2 { "To check" }
            @for point in &gate.points { (day::point(point)) }
        }
        @if !gate.lapsed.is_empty() {
            details.fold {
                summary { "Not checked before the first start: " (gate.lapsed.len()) }
                @for point in &gate.lapsed { (day::point(point)) }
            }
        }
    }
}

fn waits(room: &Room, line: &OpenLine) -> Markup {
    html! {
        li data-key={ "waits " (line.thing) } {
            a.row href=(bits::thing_address(room, &line.thing)) data-sheet {
                (bits::tag(line.tag.as_ref()))
                span.what { (line.text) }
                @if let Some(place) = &line.place { span.where { (place) } }
            }
        }
    }
}

/// With `many` of them what is simply off has its button on its sheet only.
fn line(room: &Room, gate: &GateLine, many: bool) -> Markup {
    let line = &gate.line;
    let is_plain = !matches!(gate.reason, GateReason::NotRecorded | GateReason::NotLookedAt);
    html! {
        li data-key={ (gate.reason.word()) " " (line.thing) } {
            a.row href=(bits::thing_address(room, &line.thing)) data-sheet {
                (bits::tag(line.tag.as_ref()))
                span.what { (line.text) }
                @if let Some(place) = &line.place { span.where { (place) } }
            }
            @if !(many && is_plain) {
                div.line-buttons {
                    // A sheet has the states between; here only what settles it.
                    @let most = if gate.reason == GateReason::NotRecorded { 2 } else { 1 };
                    @for button in gate.buttons.iter().take(most) { (bits::button(button)) }
                }
            }
        }
    }
}

/// How to get past the gate: all home, or a reason that is kept.
fn pass(gate: &Gate, which: DayGate) -> Markup {
    let (well, all, anyway, because) = match which {
        DayGate::FirstStart => (
            "All home: first start",
            "All of these checked: first start",
            "First start all the same? Say why; the reason is kept in the record.",
            "First start, for this reason",
        ),
        DayGate::Road => (
            "All home: on the road",
            "All of these checked: on the road",
            "On the road all the same? Say why; the reason is kept in the record.",
            "On the road, for this reason",
        ),
    };
    let passing = json!({ "verb": "gate", "thing": gate.name });
    let together = gate.is_home() && gate.points.iter().all(can_be_together);
    html! {
        @if gate.is_clear() {
            (bits::saying(well, "gate", Some(&gate.name), None))
        } @else {
            @if together { (day::one_tap(&gate.points, all, &[passing])) }
            form.say data-gate=(gate.name) {
                label {
                    span { (anyway) }
                    input type="text" name="note" maxlength="2000" autocomplete="off" required;
                }
                button.did type="submit" { (because) }
            }
        }
    }
}

fn can_be_together(point: &Point) -> bool {
    !point.alone && point.main_answer().is_some()
}

fn after(room: &Room, screen: &Screen, shown: &Shown<'_>, passed: &GatePassed) -> Markup {
    let said = match shown.which {
        DayGate::FirstStart => "First start agreed",
        DayGate::Road => "On the road agreed",
    };
    html! {
        p {
            (said)
            @let all = shown.gate.is_clear() && shown.gate.lapsed.is_empty();
            @if passed.reason.is_none() && all { " with all home" }
            ", " (bits::time(passed.said_at_ms))
            @match &passed.reason { Some(reason) => { ": " (reason) }, None => { "." }, }
            @if let Some(person) = &passed.person { " (" (person) ")" }
        }
        @if let Some(text) = with_open(shown.gate) { p { (text) } }
        @match shown.which {
            DayGate::FirstStart => (started(room, screen, shown)),
            DayGate::Road => (on_the_road(screen)),
        }
    }
}

/// After the gate before cranking: how it went, what is looked at while it runs.
fn started(room: &Room, screen: &Screen, shown: &Shown<'_>) -> Markup {
    let running = ["Looking for leaks", "Levels after the first heat"];
    let groups = shown.day.stage(DayStage::FirstStart).map(|stage| stage.groups.as_slice());
    let groups: Vec<&PointGroup> = groups.unwrap_or_default().iter().collect();
    let of = |headings: &[&str]| -> Vec<&PointGroup> {
        let own = groups.iter().filter(|group| headings.contains(&group.heading.as_str()));
        own.copied().collect()
    };
    html! {
        @for start in shown.starts {
            p { strong { "First start " } (bits::time(start.said_at_ms)) ": " (start.text) }
        }
        @if screen.phase != Phase::Finished {
            @if shown.starts.is_empty() {
                @for group in of(&["Normal on the first tries", "Stop at once"]) {
                    (day::group(group))
                }
            }
            form.say data-start="" {
                label {
                    span { "How did it go? What did you look at?" }
                    input type="text" name="note" maxlength="2000" autocomplete="off" required;
                }
                button.did type="submit" { "Started" }
            }
            a.ask href={ "/job/" (room.id) "/disturbed" } { "It does not start" }
            @for group in of(&running) { (day::group(group)) }
        } @else {
            (finished())
        }
    }
}

fn on_the_road(screen: &Screen) -> Markup {
    html! {
        @if screen.phase == Phase::Finished {
            (finished())
        } @else {
            (bits::saying("Handed over", "finished", None, None))
        }
    }
}

fn finished() -> Markup {
    html! {
        p.sentence { "This job is handed over." }
        (bits::saying("It goes on", "reopened", None, None))
    }
}

/// To the other gate, and to what is asked beside it.
fn others(room: &Room, shown: &Shown<'_>, untouched: bool) -> Markup {
    let stage = |stage: DayStage| day::address(room, stage);
    html! {
        nav.others-gate aria-label="The gates" {
            @match shown.which {
                DayGate::FirstStart => {
                    a.ask href=(stage(DayStage::FirstStart)) {
                        "Priming, first tries, stop at once"
                    }
                    @if !untouched {
                        a.ask href={ "/job/" (room.id) "/gate?before=road" } {
                            "Before the road: " (shown.road.title())
                        }
                    }
                },
                DayGate::Road => {
                    a.ask href=(stage(DayStage::Road)) { "Road test, what the battery took, proof" }
                    a.ask href={ "/job/" (room.id) "/gate" } { "Before the first start" }
                },
            }
        }
    }
}
