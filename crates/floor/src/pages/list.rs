//! The long list: what is off, what this job is about, or everything.

use lastbolt_job::view::{Screen, ThingLine};
use maud::{Markup, html};
use serde::Deserialize;

use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::{bits, paper};
use crate::room::Room;

/// What stands behind the address.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Shown {
    show: Option<String>,
}

const CHOICES: [(&str, &str); 3] =
    [("open", "Still off"), ("job", "Of this job"), ("all", "Everything")];

/// Draws the long list.
pub(crate) fn page(room: &Room, screen: &Screen, shown: &Shown) -> Markup {
    let asked = shown.show.as_deref().unwrap_or("all");
    let show = CHOICES.iter().find(|(word, _)| *word == asked).map_or("all", |(word, _)| *word);
    let mut lines: Vec<&ThingLine> = screen.things.iter().filter(|l| stands_in(l, show)).collect();
    lines.sort_by_key(|line| line.tag.as_ref().map_or(u32::MAX, |tag| tag.number));
    let body = html! {
        div data-part="top" { (top(heading(show), &screen.machine)) }
        main.list {
            nav.choices aria-label="What is shown" {
                @for (word, text) in CHOICES {
                    @let current = (word == show).then_some("page");
                    a aria-current=[current] href={ "?show=" (word) } { (text) }
                }
            }
            div data-part="list" {
                p.counted { (screen.still_off.text) }
                a.ask href={ "/job/" (room.id) "/lists" } { "Lists from and for a spreadsheet" }
                (paper::others(room, None))
                @if lines.is_empty() {
                    p.sentence { (nothing(show)) }
                    a.go href={ "/job/" (room.id) } { "To the work" }
                } @else {
                    ul.rows { @for line in lines { (row(room, line)) } }
                }
            }
        }
        (foot(room, "/list"))
    };
    let title = format!("Everything: {}", room.title);
    shell(&Page { title: &title, name: "list", job: Some((room, screen)), body })
}

/// What the page is called: the count of all that is off may be long and stands below it.
fn heading(show: &str) -> &'static str {
    CHOICES.iter().find(|(word, _)| *word == show).map_or("Everything", |(_, text)| text)
}

fn stands_in(line: &ThingLine, show: &str) -> bool {
    match show {
        "open" => line.open,
        "job" => line.in_plan,
        _ => true,
    }
}

fn nothing(show: &str) -> &'static str {
    if show == "open" { "Nothing is off." } else { "Nothing stands on this list." }
}

fn row(room: &Room, line: &ThingLine) -> Markup {
    html! {
        li data-key=(line.thing) {
            a.row href=(bits::thing_address(room, &line.thing)) data-sheet {
                (bits::tag(line.tag.as_ref()))
                span.what { (line.thing) " " small { (line.text) } }
                span.stands.open[line.open] { (line.stands) }
                @if let Some(place) = &line.place { span.where { (place) } }
            }
        }
    }
}
