//! Sheets: what is printed and pinned up, taken along or handed over.

use lastbolt_job::view::{Paper, PaperLine, PaperSection, Screen, Sheet};
use maud::{Markup, html};

use crate::own::twins;
use crate::pages::bits;
use crate::pages::shell::{Page, foot, shell, top};
use crate::room::Room;

/// With more lines than this a sheet has two columns on paper, so that it stays at two pages.
const ONE_COLUMN_LINES: usize = 26;

/// With more lines than this it has smaller letters there.
const LARGE_LINES: usize = 64;
/// With more lines than this it has the smallest ones.
const MOST_LINES: usize = 172;

/// The address of a sheet.
pub(crate) fn address(room: &Room, sheet: Sheet) -> String {
    format!("/job/{}/sheet/{}", room.id, sheet.word())
}

/// Draws a sheet as a page of its own; `besides` is not printed.
pub(crate) fn page(
    room: &Room,
    screen: &Screen,
    paper: &Paper,
    letter: &str,
    besides: &Markup,
) -> Markup {
    let sub = match paper.purpose.as_str() {
        "" => paper.machine.clone(),
        purpose => format!("{}: {purpose}", paper.machine),
    };
    let title = paper.sheet.title();
    let body = html! {
        div data-part="top" { (top(title, &sub)) }
        main class={ "prints " (paper.sheet.word()) } {
            div.no-paper data-part="besides" { (besides) }
            div data-part="paper" {
                @if tells_bags(paper.sheet) && !letter.is_empty() {
                    p.of-job { "Job " span.letter { (letter) } ": its bags carry this letter." }
                }
                (self::paper(room, paper))
            }
            div.no-paper {
                button.did type="button" data-print="" { "Print it" }
                (others(room, Some(paper.sheet)))
            }
        }
        (foot(room, "/sheet"))
    };
    let title = format!("{title}: {}", room.title);
    shell(&Page { title: &title, name: "paper", job: Some((room, screen)), body })
}

/// The owner has no bags.
fn tells_bags(sheet: Sheet) -> bool {
    !matches!(sheet, Sheet::Owner | Sheet::ToBuy)
}

/// Draws what stands on it.
pub(crate) fn paper(room: &Room, paper: &Paper) -> Markup {
    let lines: usize = paper.sections.iter().map(|section| section.lines.len() + 1).sum();
    let (columns, dense) = (lines > ONE_COLUMN_LINES, lines > LARGE_LINES);
    html! {
        @if !paper.big.is_empty() {
            div.sheet-big { @for sentence in &paper.big { p { (sentence) } } }
        }
        div.on-paper.columns[columns].dense[dense].densest[lines > MOST_LINES] {
            @if paper.sections.is_empty() && paper.big.is_empty() {
                p.sentence { "Nothing stands on this sheet now." }
            }
            @for section in &paper.sections { (self::section(room, section)) }
            p.last-word { "The maker's instructions and local rules win over this sheet." }
        }
    }
}

fn section(room: &Room, section: &PaperSection) -> Markup {
    html! {
        section {
            h2 { (section.heading) }
            ul { @for line in &section.lines { (self::line(room, line, section.boxes)) } }
        }
    }
}

fn line(room: &Room, line: &PaperLine, boxed: bool) -> Markup {
    if line.caution {
        return html! { li { (bits::caution(&line.text)) } };
    }
    html! {
        li.boxed[boxed] {
            @if boxed { span.box aria-hidden="true" {} }
            span {
                @if let Some(tag) = line.tag { span.tagged { (tag) } " " }
                (line.text)
                @if let Some(ms) = line.at_ms { " (" (bits::time(ms)) ")" }
                @if !line.detail.is_empty() { " " span.beside { (twins(&line.detail)) } }
            }
            @if let Some(photo) = &line.photo {
                img src={ "/job/" (room.id) "/photo/" (photo) } alt=(line.text);
            }
        }
    }
}

/// The other sheets of the job.
pub(crate) fn others(room: &Room, here: Option<Sheet>) -> Markup {
    html! {
        nav.sheets-row aria-label="Sheets of this job" {
            @for sheet in Sheet::ALL.into_iter().filter(|sheet| Some(*sheet) != here) {
                a href=(address(room, sheet)) { (sheet.title()) }
            }
            a href={ "/job/" (room.id) "/record" } { "What was done" }
        }
    }
}
