//! Lists from and for a spreadsheet: one is brought in or pasted, looked at, then taken in.

use lastbolt_files::csv::{COLUMNS, List};
use lastbolt_job::lists::Preview;
use lastbolt_job::pieces;
use lastbolt_machine::{Level, Problem};
use maud::{Markup, html};

use crate::lists::is_usable;
use crate::pages::shell::{Page, foot, shell, top};
use crate::room::{Room, Snapshot};

/// How many lines of a kind are shown.
const LINES_MAX: usize = 200;
/// Notes on what stands among what is left out.
const AMONG_LEFT_OUT: [&str; 2] = ["double", "unknown-column"];
/// What can be had, with its address.
const OUT: [(&str, &str, &str); 3] = [
    ("list.csv", "With commas", "for a spreadsheet that writes 2.5"),
    ("list-semicolons.csv", "With semicolons", "for a spreadsheet that writes 2,5"),
    ("machine.toml", "Machine file", "for the next job on this machine, in a garage elsewhere"),
];

/// Draws the page of lists.
pub(crate) fn page(room: &Room, picture: &Snapshot) -> Markup {
    let screen = &room.screen(picture);
    let body = html! {
        div data-part="top" { (top("Lists", &screen.machine)) }
        main.lists data-list="" {
            section.in aria-label="In" {
                h2 { "From a spreadsheet" }
                (bring())
                div.shown data-list-shown="" aria-live="polite" {}
            }
            section.out aria-label="Out" {
                h2 { "For a spreadsheet" }
                ul.rows {
                    @for (file, text, what) in OUT {
                        li {
                            a.row.bare href={ "/job/" (room.id) "/lists/" (file) } download {
                                span.what { (text) } span.where { (what) }
                            }
                        }
                    }
                }
                p.quiet {
                    "What has to come first, and what hides what, is in the machine file only."
                }
            }
        }
        (foot(room, "/lists"))
    };
    let title = format!("Lists: {}", room.title);
    shell(&Page { title: &title, name: "lists", job: Some((room, screen)), body })
}

fn bring() -> Markup {
    html! {
        div.bring {
            label.go {
                "Choose a list"
                input type="file" accept=".csv,.tsv,.txt,text/csv,text/plain" data-list-file="";
            }
            button type="button" data-list-off="" aria-pressed="false" {
                "All of it is off" small { "where it does not say how it stands" }
            }
        }
        form.paste data-list-paste="" {
            label {
                span { "Or paste the rows, the first with the names of the columns" }
                textarea name="rows" rows="3" autocomplete="off" spellcheck="false" {}
            }
            button.did type="submit" { "Look at it" }
        }
        p.quiet {
            "Columns, in any order: " (COLUMNS.join(", ")) ". Nothing is kept before you say so."
        }
    }
}

/// What a list would record, or what is wrong with it.
pub(crate) fn shown(list: &List, preview: &Preview) -> Markup {
    let of = |level: Level| {
        let problems = list.problems.iter().filter(|it| !AMONG_LEFT_OUT.contains(&it.kind));
        let lines = problems.filter(move |problem| problem.level == level);
        lines.map(problem_text).collect::<Vec<String>>()
    };
    let usable = is_usable(list);
    let nothing = preview.came_off.is_empty() && preview.counted.is_empty();
    html! {
        @if !usable {
            p.sentence { "Nothing of it can be taken in yet." }
            (lines("Mistakes: correct them and bring it again", &of(Level::Error)))
        } @else {
            p.sentence { (preview.head) }
            @if nothing { p { "There is nothing to take in." } }
        }
        (lines("Look at these", &of(Level::Note)))
        @if usable {
            (lines("Left out", &preview.left_out))
            (lines("Came off, in this order", &preview.came_off))
            (lines("Counted before the first bolt", &preview.counted))
            @if !nothing {
                div.buttons {
                    button.did.main type="button" data-list-yes="" { "Take it in" }
                }
            }
        }
    }
}

fn problem_text(problem: &Problem) -> String {
    let text = format!("line {}: {} {}", problem.at.line, problem.message, problem.help);
    text.trim_end().to_owned()
}

fn lines(heading: &str, all: &[String]) -> Markup {
    html! {
        @if !all.is_empty() {
            h2 { (heading) }
            ul.plain-list {
                @for line in all.iter().take(LINES_MAX) { li { (line) } }
                @if all.len() > LINES_MAX { li { "and " (all.len() - LINES_MAX) " more" } }
            }
        }
    }
}

/// Said when a list has been taken in.
pub(crate) fn taken_in(room: &Room, recorded: usize) -> Markup {
    let count = u32::try_from(recorded).unwrap_or(u32::MAX);
    html! {
        p.sentence { "Taken in: " (pieces(count, "entry")) "." }
        p { "Each of them can be corrected or taken back, as if it had been tapped in." }
        div.buttons { a.go href={ "/job/" (room.id) } { "To the work" } }
    }
}
