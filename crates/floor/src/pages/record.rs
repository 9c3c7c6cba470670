//! What was done: a page that prints.

use lastbolt_job::view::{JointHow, MatterLine, OpenLine, RecordLine, RecordView, Screen};
use lastbolt_job::{NOTHING_CLAIMED, Photo};
use maud::{Markup, html};

use crate::pages::photos::row;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::{bits, paper};
use crate::room::Room;

/// Draws the record.
pub(crate) fn page(room: &Room, screen: &Screen, record: &RecordView, photos: &[Photo]) -> Markup {
    let sub = format!("{}: {}", record.machine, record.purpose);
    let body = html! {
        div data-part="top" { (top("What was done", &sub)) }
        main.record.prints {
            div data-part="record" {
                (head(record))
                (open(record))
                (joints(record))
                (done(record))
                (minutes(record))
                (photos_of(room, photos))
                (lines(record))
            }
            div.no-paper {
                button.did type="button" data-print="" { "Print it" }
                (paper::others(room, None))
            }
        }
        (foot(room, "/record"))
    };
    let title = format!("What was done: {}", room.title);
    shell(&Page { title: &title, name: "record", job: Some((room, screen)), body })
}

fn head(record: &RecordView) -> Markup {
    let facts = [
        ("What was wrong", record.complaint.join("; ")),
        ("Decided", record.decided.join("; ")),
        ("Proof asked for", record.proof.join("; ")),
        ("Distance or hours", record.odometer.clone().unwrap_or_default()),
        ("By", record.people.join(", ")),
    ];
    html! {
        dl.facts {
            @for (name, text) in facts.iter().filter(|(_, text)| !text.is_empty()) {
                div { dt { (name) } dd { (text) } }
            }
            div {
                dt { "State" }
                dd {
                    @match &record.given_up {
                        Some(why) => (bits::given_up(why)),
                        None if record.finished => "handed over",
                        None => "in hand",
                    }
                }
            }
        }
    }
}

fn open(record: &RecordView) -> Markup {
    html! {
        @if record.given_up.is_some() { p { (NOTHING_CLAIMED) } }
        (open_list("Still off", &record.leftovers))
        (open_list("Not looked at", &record.looks_passed_by))
        (open_list("Not recorded", &record.not_recorded))
        (open_list("Not measured", &record.not_measured))
        @if !record.not_checked.is_empty() {
            section {
                h2 { "Not checked" }
                ul.plain-list { @for text in &record.not_checked { li { (text) } } }
            }
        }
        (matter_list("Still in, or not found", &record.matters))
        (matter_list("Does not look right", &record.remarks))
    }
}

fn open_list(heading: &str, lines: &[OpenLine]) -> Markup {
    html! {
        @if !lines.is_empty() {
            section {
                h2 { (heading) }
                ul.plain-list {
                    @for line in lines {
                        li {
                            (line.text)
                            @if let Some(place) = &line.place { ", " small { (place) } }
                        }
                    }
                }
            }
        }
    }
}

/// Joints told apart by how they were tightened.
fn joints(record: &RecordView) -> Markup {
    let of = |how: JointHow| record.joints.iter().filter(move |joint| joint.how == how);
    let all = [
        (JointHow::Measured, "Joints measured"),
        (JointHow::NotMeasured, "Joints not measured"),
        (JointHow::NotSaid, "Joints tightened; nobody said how"),
    ];
    html! {
        @for (how, heading) in all {
            @if of(how).next().is_some() {
                section {
                    h2 { (heading) }
                    ul.plain-list {
                        @for joint in of(how) {
                            li {
                                (joint.text)
                                @if !joint.rounds.is_empty() { ": " (joint.rounds.join("; ")) }
                                @if let Some(person) = &joint.person { " (" (person) ")" }
                                @for repair in &joint.repaired {
                                    "; " strong { "thread repaired: " } (repair)
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn matter_list(heading: &str, lines: &[MatterLine]) -> Markup {
    html! {
        @if !lines.is_empty() {
            section {
                h2 { (heading) }
                ul.plain-list { @for line in lines { li { (line.text) } } }
            }
        }
    }
}

fn done(record: &RecordView) -> Markup {
    html! {
        @if !record.renewed.is_empty() {
            section {
                h2 { "New" }
                ul.plain-list {
                    @for buy in &record.renewed {
                        li {
                            @if buy.count > 1 { (buy.count) " × " }
                            (buy.what) " " small { "for " (buy.because) }
                        }
                    }
                }
            }
        }
        @if !record.broken.is_empty() {
            section {
                h2 { "Broke or stuck" }
                ul.plain-list { @for text in &record.broken { li { (text) } } }
            }
        }
        (short_list("Gates and first start", record.gates.iter().chain(&record.first_starts)))
        (short_list("Notes", record.notes.iter()))
    }
}

fn short_list<'a>(heading: &str, lines: impl Iterator<Item = &'a RecordLine>) -> Markup {
    let lines: Vec<&RecordLine> = lines.collect();
    html! {
        @if !lines.is_empty() {
            section {
                h2 { (heading) }
                ul.plain-list {
                    @for line in lines {
                        li {
                            (bits::time(line.said_at_ms)) ": " (line.text)
                            @if let Some(note) = said_with(line) { ": " (note) }
                            @if let Some(person) = &line.person { " (" (person) ")" }
                        }
                    }
                }
            }
        }
    }
}

/// The note of a line, unless its text says it already.
fn said_with(line: &RecordLine) -> Option<&str> {
    let text = line.text.to_lowercase();
    line.note.as_deref().filter(|note| !text.contains(&note.to_lowercase()))
}

fn minutes(record: &RecordView) -> Markup {
    let any = record.stages.iter().any(|stage| stage.worked.is_some());
    html! {
        @if any {
            section {
                h2 { "Time" }
                dl.facts {
                    @for stage in &record.stages {
                        @if let Some(worked) = stage.worked {
                            div {
                                dt { (stage.stage.word()) }
                                dd {
                                    (bits::about(worked)) ", planned " (bits::about(stage.planned))
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The photos, without those that are not to be exported.
fn photos_of(room: &Room, photos: &[Photo]) -> Markup {
    let shown: Vec<&Photo> = photos.iter().filter(|photo| photo.private_by.is_none()).collect();
    html! {
        @if !shown.is_empty() {
            section {
                h2 { "Photos" }
                ul.rows { @for photo in shown { (row(room, photo, true)) } }
            }
        }
    }
}

fn lines(record: &RecordView) -> Markup {
    html! {
        section {
            h2 { "One after the other" }
            @if record.lines.is_empty() { p.sentence { "Nothing is recorded yet." } }
            ul.entries { @for line in &record.lines { (entry(line)) } }
        }
    }
}

fn entry(line: &RecordLine) -> Markup {
    let from = line.from.as_deref().map(bits::place);
    let detail: Vec<String> =
        [from, line.tool.clone(), line.person.clone()].into_iter().flatten().collect();
    html! {
        li.withdrawn[line.taken_back_by.is_some()] {
            (bits::time(line.said_at_ms))
            span.what {
                @if let Some(tag) = line.tag { span.number { (tag) } " " }
                (line.text)
                @if let Some(note) = said_with(line) { ": " (note) }
                @if line.taken_back_by.is_some() { " " em { "taken back" } }
            }
            @if !detail.is_empty() { span.where { (detail.join(" · ")) } }
        }
    }
}
