//! Stop, break, change: everything that is not the next step, two taps away.

use lastbolt_job::view::{
    ActionCard, Branch, DoneLast, HandOver, Phase, Screen, Stops, ThingLine, ThingSort,
};
use lastbolt_job::{TAKEN_OVER, broke_taps};
use maud::{Markup, html};
use serde_json::json;

use crate::other_jobs::OtherJob;
use crate::pages::sheet::Sheet;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::{bits, day, matters, paper};
use crate::room::{Room, Snapshot};

/// The most steps that are listed of what waits or can go on.
const STEPS_MAX: usize = 8;

/// The address of the page for what broke about a thing.
pub(crate) fn broke_address(room: &Room, thing: &str) -> String {
    format!("/job/{}/broke?thing={}", room.id, bits::percent(thing))
}

/// Draws the sheet "Stop".
pub(crate) fn page(room: &Room, screen: &Screen, letter: &str, others: &[OtherJob]) -> Markup {
    let inner = html! {
        (switch(letter, others))
        @if screen.phase == Phase::Finished {
            h2 { "This job is over" }
            (bits::saying("It goes on", "reopened", None, None))
        } @else {
            (in_hand(room, screen))
        }
    };
    let sheet = Sheet { class: "stop-sheet", ..Sheet::new("stop", "Stop") };
    sheet.draw(room, screen, &inner)
}

/// What may have happened to a job in hand.
fn in_hand(room: &Room, screen: &Screen) -> Markup {
    let can_break = |card: &&ActionCard| card.sort != ThingSort::MakeReady;
    let about = screen.next.as_ref().filter(|_| !screen.more_may_come_off).filter(can_break);
    let standing = format!("/job/{}/standing?print=1", room.id);
    html! {
        @if let Some(card) = about {
            h2 { "Broke, or stuck: " (card.line.thing) }
            (happened(room, &card.kind, &card.line.thing))
        }
        a.ask href={ "/job/" (room.id) "/list?show=job" } {
            "Something else broke: find it in the list"
        }
        h2 { "For a night, or a week" }
        button.did type="button" data-record=(json!({ "verb": "left_standing" }))
            data-then=(standing) { "Left standing: print the sheet" }
        a.ask href={ "/job/" (room.id) "/standing" } { "Say first how it is left" }
        h2 { "Somebody else goes on" }
        a.ask href={ "/job/" (room.id) "/handover" } { "Hand over" }
        h2 { "It is not gone on with" }
        a.ask href={ "/job/" (room.id) "/give-up" } { "Give this job up" }
    }
}

/// The other jobs in hand, each with its letter.
fn switch(letter: &str, others: &[OtherJob]) -> Markup {
    html! {
        @if !others.is_empty() {
            h2 { "Another job" }
            p.quiet { "This is job " (letter) "; bags carry the letter of their job." }
            ul.rows {
                @for job in others {
                    li {
                        a.row href={ "/job/" (job.id) } {
                            span.letter { (job.letter) }
                            span.what { (job.title) }
                        }
                    }
                }
            }
        }
    }
}

/// What may have happened to a thing, one tap each; then to what follows from it.
fn happened(room: &Room, kind: &str, thing: &str) -> Markup {
    let then = format!("/job/{}/broken", room.id);
    html! {
        div.pieces {
            @for tap in broke_taps(kind, thing) {
                @match &tap.asks {
                    None => button.did type="button" data-then=(then)
                        data-record=(crate::wire::matters::record(&tap)) { (tap.text) },
                    Some(_) => (matters::tap(&tap)),
                }
            }
        }
    }
}

/// Draws the sheet on which is said what happened to a thing.
pub(crate) fn broke_page(room: &Room, screen: &Screen, line: &ThingLine) -> Markup {
    let inner = html! {
        (happened(room, &line.kind, &line.thing))
    };
    let heading = format!("{}: what happened?", line.thing);
    let sheet = Sheet {
        class: "stop-sheet",
        title: Some(&line.thing),
        tag: bits::tag(line.tag.as_ref()),
        ..Sheet::new("broke", &heading)
    };
    sheet.draw(room, screen, &inner)
}

/// Draws what follows from everything that broke and is not settled.
pub(crate) fn broken_page(room: &Room, screen: &Screen, branches: &[Branch]) -> Markup {
    let body = html! {
        div data-part="top" { (top("Broke or stuck", &screen.machine)) }
        main.day {
            div data-part="broken" {
                @if branches.is_empty() {
                    p.sentence { "Nothing is broken that is not settled." }
                    a.go href={ "/job/" (room.id) } { "To the work" }
                }
                @for branch in branches { (self::branch(branch)) }
                @if let Some(first) = branches.first() { (goes_on(room, first)) }
                @for branch in branches { (asks(branch, branches.len() > 1)) }
            }
        }
        (foot(room, "/broken"))
    };
    let title = format!("Broke or stuck: {}", room.title);
    shell(&Page { title: &title, name: "broken", job: Some((room, screen)), body })
}

fn branch(branch: &Branch) -> Markup {
    html! {
        section.points data-key={ "broke " (branch.broke.seq) } {
            h2.big { (branch.broke.text) }
            p.quiet {
                (bits::time(branch.broke.said_at_ms))
                @if let Some(person) = &branch.broke.person { ", " (person) }
                @if let Some(minutes) = &branch.minutes { "; takes " (minutes) ", as was said" }
            }
            h2 { "What stops" }
            @if branch.stops.is_empty() { p { "No step of the list waits for it." } }
            (steps(&branch.stops))
        }
    }
}

/// How long, how settled, what it needs.
fn asks(branch: &Branch, named: bool) -> Markup {
    html! {
        section.points {
            @if named { h2.big { (branch.broke.text) } }
            @for line in &branch.said { p.quiet { (line) } }
            @for point in &branch.points { (day::point(point)) }
            div.pieces { @for tap in &branch.taps { (matters::tap(tap)) } }
            button.back type="button"
                data-record=(json!({ "verb": "take_back", "of": branch.broke.event })) {
                "It did not break: take that back"
            }
        }
    }
}

fn steps(lines: &[lastbolt_job::view::StepLine]) -> Markup {
    html! {
        ul.plain-list {
            @for line in lines.iter().take(STEPS_MAX) {
                li { (line.text) " " small { (bits::from_and_tool(line)) } }
            }
            @if lines.len() > STEPS_MAX { li { "and " (lines.len() - STEPS_MAX) " more" } }
        }
    }
}

/// What can be done meanwhile, whatever broke.
fn goes_on(room: &Room, branch: &Branch) -> Markup {
    let minutes = branch.goes_on.iter().map(|line| line.minutes).sum();
    html! {
        section.points {
            h2 { "What can go on" }
            @if branch.goes_on.is_empty() {
                p { "Nothing on the list: it all waits." }
            } @else {
                p.quiet { (bits::about(minutes)) " of work, changes of place and tool left out." }
                (steps(&branch.goes_on))
                ul.rows {
                    @for line in branch.goes_on.iter().take(1) { (bits::row(room, line)) }
                }
            }
            a.go href={ "/job/" (room.id) } { "To the work" }
        }
    }
}

/// What is not printed on the page of the standing job: how it is left, or taken up again.
pub(crate) fn standing(stops: &Stops) -> Markup {
    html! {
        @match &stops.left {
            Some(left) => {
                p.quiet { "Left standing " (bits::time(left.said_at_ms)) ": " (left.text) }
                (bits::saying("Taken up again", "resumed", None, None))
            },
            None => {
                form.say data-record=(json!({ "verb": "left_standing" }))
                    data-text="Left standing" {
                    label {
                        span { "How it is left: what hangs, what holds it, where the key is" }
                        input type="text" name="note" maxlength="2000" autocomplete="off" required;
                    }
                    button.did type="submit" { "Left standing like this" }
                }
                (bits::saying("Left standing, nothing to add", "left_standing", None, None))
            },
        }
    }
}

/// Across the working screen: how it was left, what wants a second look, what was done last, what
/// broke. The first is whole, all others are one line to be unfolded, so that on a phone the action
/// stays in sight.
pub(crate) fn strip(room: &Room, picture: &Snapshot) -> Markup {
    let all = notices(room, &picture.stops(crate::clock::now_ms()));
    let words: Vec<&str> = all.iter().skip(1).map(|notice| notice.word.as_str()).collect();
    html! {
        @if let Some(first) = all.first() { div.strip-stop { (first.whole) } }
        @if !words.is_empty() {
            details.strip-stop.folded-stop {
                summary { (words.join(" · ")) }
                @for notice in all.iter().skip(1) { div { (notice.whole) } }
            }
        }
    }
}

/// Something across the working screen: in a few words, and whole.
struct Notice {
    word: String,
    whole: Markup,
}

fn notices(room: &Room, stops: &Stops) -> Vec<Notice> {
    let mut all = Vec::new();
    let mut put = |word: String, whole: Markup| all.push(Notice { word, whole });
    if let Some(left) = &stops.left {
        put("Left standing".to_owned(), self::left(room, left));
    }
    if let Some(broke) = stops.broken.last() {
        let more = stops.broken.len() - 1;
        let word = format!("Broke: {}", broke.thing.as_deref().unwrap_or(&broke.text));
        put(
            word,
            html! {
                strong { "Broke" } " "
                a href={ "/job/" (room.id) "/broken" } {
                    (broke.text) @if more > 0 { " and " (more) " more" } ": what can go on"
                }
            },
        );
    }
    match stops.looks.as_slice() {
        [] => {}
        [point] => put("1 second look".to_owned(), day::point(point)),
        looks => {
            let whole = html! { @for point in looks { (day::point(point)) } };
            put(format!("{} second looks", looks.len()), whole);
        }
    }
    if !stops.last.is_empty() {
        put("Back from a break".to_owned(), last(stops));
    }
    all
}

fn left(room: &Room, left: &DoneLast) -> Markup {
    html! {
        p.how-left {
            strong { "Left standing" } " " (bits::time(left.said_at_ms)) ": " (left.text)
            @if let Some(person) = &left.person { " (" (person) ")" }
        }
        div.line-buttons {
            (bits::saying("Taken up again", "resumed", None, None))
            a.did href={ "/job/" (room.id) "/standing" } { "Its sheet" }
        }
    }
}

/// What was done last, after a break.
fn last(stops: &Stops) -> Markup {
    html! {
        strong { "Back from a break" } " Done last; is it finished?"
        ul.plain-list { @for line in &stops.last { li { (done(line)) } } }
    }
}

fn done(line: &DoneLast) -> Markup {
    html! {
        (line.text) " " small {
            (bits::time(line.said_at_ms))
            @if let Some(person) = &line.person { ", " (person) }
        }
    }
}

/// Draws the page by which a job goes from one helper to the next.
pub(crate) fn handover_page(room: &Room, screen: &Screen, over: &HandOver, letter: &str) -> Markup {
    let besides = html! {
        p.quiet { "Read it out, look at what is half done together, then one tap:" }
        div.pieces {
            @for name in &over.names {
                @let said = json!({ "verb": "moved", "person": name, "note": TAKEN_OVER });
                button.did type="button" data-record=(said) { "Taken over by " (name) }
            }
        }
        a.ask href={ "/job/" (room.id) "/who" } { "Somebody else: say who records" }
    };
    paper::page(room, screen, &over.paper, letter, &besides)
}
