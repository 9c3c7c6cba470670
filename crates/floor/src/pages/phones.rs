//! The page of phones: on this machine only. The code that lets the next one in, and those that
//! are in.

use maud::{Markup, PreEscaped, html};

use crate::pages::bits;
use crate::pages::shell::{Page, shell, top};
use crate::phones::Line;

/// What the page shows.
pub(crate) struct Open<'a> {
    /// What the code lets in to: the job's title, or nothing for the whole garage.
    pub(crate) job: Option<(&'a str, &'a str)>,
    /// The addresses of this machine, the likeliest first, then its names.
    pub(crate) addresses: &'a [String],
    /// The drawn code, as SVG.
    pub(crate) picture: &'a str,
    /// The code as it is typed.
    pub(crate) typed: &'a str,
    pub(crate) minutes_left: u64,
    pub(crate) phones: &'a [Line],
}

/// Draws the page.
pub(crate) fn page(open: &Open<'_>) -> Markup {
    let sub = match open.job {
        Some((_, title)) => format!("{title}: this job only"),
        None => "every job of this garage".to_owned(),
    };
    let body = html! {
        div data-part="top" { (top("Phones", &sub)) }
        main.phones data-phones=(open.job.map_or("", |(id, _)| id)) {
            div data-part="code" { (code(open)) }
            div data-part="phones-in" { (phones(open.phones)) }
            (said_plainly())
        }
        nav.foot aria-label="Other pages" {
            @if let Some((id, _)) = open.job { a href={ "/job/" (id) } { "To the job" } }
            a href="/" { "Today" }
        }
    };
    shell(&Page { title: "Phones: Lastbolt", name: "phones", job: None, body })
}

/// Draws the page of a server that serves this machine only.
pub(crate) fn closed() -> Markup {
    let body = html! {
        div data-part="top" { (top("Phones", "")) }
        main.alone {
            p.sentence { "No phone is let in: only this machine is served." }
            p {
                "To let phones in, end Lastbolt (Ctrl-C where it was started) and begin it with: "
                code { "lastbolt open JOB --phones" }
            }
            a.go href="/" { "To today's jobs" }
        }
    };
    shell(&Page { title: "Phones: Lastbolt", name: "phones", job: None, body })
}

fn code(open: &Open<'_>) -> Markup {
    html! {
        @match open.addresses.first() {
            None => p.sentence {
                "This machine is on no network just now. Bring it onto the garage's; this page "
                "then shows the code."
            },
            Some(first) => {
                div.qr { (PreEscaped(open.picture)) }
                p.sentence { "Scan this with the phone's camera." }
                p {
                    "Or open " strong { (first) } " on the phone and type "
                    strong.typed data-typed="" { (open.typed) }
                }
                p.quiet {
                    "Good for one phone, for " (open.minutes_left)
                    @if open.minutes_left == 1 { " minute" } @else { " minutes" }
                    ". After each phone a new one stands here."
                }
                @if open.addresses.len() > 1 {
                    p.quiet {
                        "Where the phone does not reach that address: "
                        (open.addresses[1..].join(" · "))
                    }
                }
                button type="button" data-another="" { "Another code" }
            },
        }
    }
}

fn phones(phones: &[Line]) -> Markup {
    html! {
        h2 { "Let in" }
        @if phones.is_empty() { p.none { "no phone yet" } }
        ul.rows {
            @for phone in phones {
                li data-key=(phone.name) {
                    div.row {
                        span.what { (phone.name) }
                        span.where {
                            @if phone.whole_garage { "every job" } @else { (phone.jobs.join(", ")) }
                            ", last heard " (bits::time(phone.heard_at_ms))
                        }
                    }
                    div.line-buttons {
                        button type="button" data-shut-out=(phone.name) { "Shut out" }
                    }
                }
            }
        }
    }
}

fn said_plainly() -> Markup {
    html! {
        h2 { "What this means" }
        p.quiet {
            "Pages go over this network as plain http: anybody on it can listen, and read what is "
            "recorded. Use it on the garage's own network, with a password on its Wi-Fi."
        }
        p.quiet {
            "A phone that is let in stays in, also when Lastbolt begins anew, until it is shut out "
            "here."
        }
    }
}
