//! The helper's screen: counting by large buttons, all of it on one screen.

use lastbolt_job::pieces;
use lastbolt_ledger::Verb;
use maud::{Markup, html};

use crate::before::kinds;
use crate::pages::bits;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::take::{head, kind_button, panel, place_row, places};
use crate::room::{Room, Snapshot};

/// How many kinds have a counter; one place is for "more kinds".
const COUNTERS: usize = 7;

/// Draws the screen.
pub(crate) fn page(room: &Room, picture: &Snapshot, used: &[(String, u64)]) -> Markup {
    let screen = &room.screen(picture);
    let (heading, _) = head(screen);
    let kinds = kinds(used);
    let body = html! {
        div data-part="top" { (top("Counting", &heading)) }
        main.take.scribe data-scribe="" {
            section.hand aria-label="Counting" {
                div.compose data-compose="" {
                    (place_row(&places(picture)))
                    div.marks role="group" aria-label="What is counted" {
                        button type="button" data-mode="before" aria-pressed="true" {
                            "before the first bolt"
                        }
                        button type="button" data-mode="off" aria-pressed="false" { "came off" }
                    }
                    div.counters role="group" aria-label="Kinds" {
                        @for kind in kinds.iter().take(COUNTERS) { (kind_button(kind)) }
                        button.kind.more-kinds type="button" data-more-kinds="" { "more kinds" }
                    }
                    div.buttons {
                        div.others {
                            button.take-back type="button" data-undo="" hidden {
                                "Take that back" small {}
                            }
                            a.enough href={ "/job/" (room.id) "/take" } { "Taking apart" }
                        }
                        button.did.main type="button" data-counted="" { "Counted" small {} }
                    }
                }
                (panel("more-kinds", "All kinds", "Another kind, in your words", &html! {
                    @for kind in &kinds { (kind_button(kind)) }
                }))
                (panel("more-places", "All places", "Another place, in your words", &html! {
                    @for place in places(picture) {
                        button type="button" data-from=(place) { (place) }
                    }
                }))
            }
            section.rest data-part="counted" aria-label="Counted so far" {
                (counted(picture))
            }
            form.say data-record=(r#"{"verb":"leave_alone"}"#) {
                label {
                    span { "Leave this alone (what nobody may undo)" }
                    input type="text" name="note" maxlength="400" autocomplete="off"
                        autocapitalize="off" enterkeyhint="done";
                }
                button.did type="submit" { "Leave it alone" }
            }
        }
        (foot(room, "/scribe"))
    };
    let title = format!("Counting: {}", room.title);
    shell(&Page { title: &title, name: "scribe", job: Some((room, screen)), body })
}

/// What was counted before the first bolt, and what is to be left alone.
fn counted(picture: &Snapshot) -> Markup {
    let withdrawn = &picture.now.live.state.withdrawn;
    let stands = picture.records.iter().rev().filter(|r| !withdrawn.contains(&r.seq));
    let lines: Vec<_> = stands
        .filter_map(|recorded| {
            let event = &recorded.event;
            let text = match event.verb {
                Verb::Expected => {
                    let kind = event.more.as_ref().and_then(|more| more.kind.as_deref());
                    pieces(event.pieces.unwrap_or(1), kind.unwrap_or("fixing"))
                }
                Verb::LeaveAlone => {
                    let what = event.note.as_deref().or(event.thing.as_deref()).unwrap_or("it");
                    format!("leave alone: {what}")
                }
                _ => return None,
            };
            Some((recorded, text))
        })
        .collect();
    html! {
        @if let Some((recorded, text)) = lines.first() {
            p hidden data-last=(recorded.event.id.as_str()) data-text=(text) {}
            h2 { "Counted so far, the last first" }
            ul.plain-list {
                @for (recorded, text) in &lines {
                    li {
                        (text)
                        @if let Some(place) = &recorded.event.spot { ", " (bits::place(place)) }
                        " " small { (bits::time(recorded.event.said_at_ms)) }
                    }
                }
            }
        }
    }
}
