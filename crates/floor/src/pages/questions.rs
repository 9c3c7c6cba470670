//! The questions of a quiet moment: one at a time, one tap each, and never in the way.

use lastbolt_job::{follows, is_from_nothing};
use lastbolt_sketch::{Asked, Question, questions};
use maud::{Markup, html};
use serde_json::json;

use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::take::head;
use crate::room::{Room, Snapshot};

/// Questions this much longer than a line are written smaller \[characters\].
const LONG_CHARS: usize = 110;

/// An order of more turns than this is written as a list.
const TURNS_IN_A_SENTENCE: usize = 3;

/// So many turns stand on the page before the rest is folded.
const TURNS_SHOWN: usize = 4;

/// Gives the questions that are open.
pub(crate) fn open(picture: &Snapshot) -> Vec<Question> {
    picture.drawn.as_ref().map(|drawn| questions(drawn)).unwrap_or_default()
}

/// Draws the question that is the most useful now.
pub(crate) fn page(room: &Room, picture: &Snapshot) -> Markup {
    let screen = &room.screen(picture);
    let open = open(picture);
    let (heading, _) = head(screen);
    // Nothing that was recorded is of use for the way back: it has not begun to come apart.
    let none_off = picture.drawn.as_ref().is_none_or(|drawn| drawn.notes.entries.is_empty());
    let body = html! {
        div data-part="top" { (top("To ask", &heading)) }
        main.work.questions {
            section.bands aria-label="Question" {
                div.state data-part="state" {
                    @if let Some(line) = follows(picture) { p.follows { (line) } }
                }
                div.action data-part="action" { (asked(&open, none_off)) }
                div.buttons data-part="buttons" {
                    (answers(room, screen.last.as_ref(), &open, none_off))
                }
            }
        }
        (foot(room, "/questions"))
    };
    let title = format!("Questions: {}", room.title);
    shell(&Page { title: &title, name: "questions", job: Some((room, screen)), body })
}

fn asked(open: &[Question], none_off: bool) -> Markup {
    html! {
        @match open.first() {
            Some(question) => {
                @if question.turns.len() > TURNS_IN_A_SENTENCE {
                    h2.big.ask-big.long data-question=(question.id) { (question.lead) }
                    (turns(&question.turns))
                } @else {
                    h2.big.ask-big.long[question.short.chars().count() > LONG_CHARS]
                        data-question=(question.id) { (question.short) }
                }
                (all_of(&question.home, home_words(question.asked)))
                (all_of(&question.asked_about, "asked about"))
                p.quiet { "As far as you remember. \"Don't know\" keeps the order as it came off." }
            },
            None if none_off => p.sentence { "Nothing has come off yet: there is nothing to ask." },
            None => p.sentence { "Nothing more to ask: the way back stands." },
        }
    }
}

/// An order to go through: the first of it, the rest behind one tap.
fn turns(turns: &[String]) -> Markup {
    let shown = if turns.len() > TURNS_SHOWN + 1 { TURNS_SHOWN } else { turns.len() };
    let (first, rest) = turns.split_at(shown);
    html! {
        ol.turns { @for turn in first { li { (turn) } } }
        @if !rest.is_empty() {
            details.turns {
                summary { "Then " (rest.len()) " more, in this order" }
                ol start=(shown + 1) { @for turn in rest { li { (turn) } } }
            }
        }
    }
}

/// What the things are that would be home, or that something goes on with.
fn home_words(asked: Asked) -> &'static str {
    match asked {
        Asked::Reach | Asked::Seen | Asked::InTurn => "back on",
        Asked::Place | Asked::With | Asked::Holds => "that go on",
    }
}

/// All the names that the question only counts, behind one tap.
fn all_of(names: &[String], what: &str) -> Markup {
    html! {
        @if !names.is_empty() {
            details.turns {
                summary { "All " (names.len()) " " (what) }
                ul { @for name in names { li { (name) } } }
            }
        }
    }
}

fn answers(
    room: &Room,
    last: Option<&lastbolt_job::view::LastRecord>,
    open: &[Question],
    none_off: bool,
) -> Markup {
    html! {
        div.others {
            @if let Some(last) = last {
                button.take-back type="button" data-take-back=(last.event) {
                    "Take that back" small { (last.text) }
                }
            }
            @if !open.is_empty() {
                a.enough href={ "/job/" (room.id) "/now" } { "Enough for now" }
            }
        }
        @match open.first() {
            Some(question) => {
                div.answers {
                    (answer(question, "yes", "yes"))
                    (answer(question, "no", "no"))
                    (answer(question, "unknown", "don't know"))
                }
            },
            None if none_off => a.go href={ "/job/" (room.id) "/take" } { "Take apart" },
            None => a.go href={ "/job/" (room.id) "/now" } { "On with putting back" },
        }
    }
}

fn answer(question: &Question, choice: &str, text: &str) -> Markup {
    let record = json!({
        "verb": "answered", "thing": question.id, "note": choice, "more": question.more(),
    });
    html! { button.did type="button" data-record=(record) data-waits="" { (text) } }
}

/// A small line where somebody is at work: it never asks by itself.
pub(crate) fn waiting_line(room: &Room, picture: &Snapshot) -> Markup {
    let count = if is_from_nothing(picture) { open(picture).len() } else { 0 };
    html! {
        @if count > 0 {
            a.still.minor href={ "/job/" (room.id) "/questions" } {
                (count) @if count == 1 { " thing" } @else { " things" }
                " to ask, when it is quiet"
            }
        }
    }
}
