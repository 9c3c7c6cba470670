//! What stands around every page.

use lastbolt_job::view::Screen;
use maud::{DOCTYPE, Markup, html};

use crate::assets::address;
use crate::room::Room;

/// What a page is.
pub(crate) struct Page<'a> {
    /// For the window and the history.
    pub(crate) title: &'a str,
    /// Says which page it is, for the style and the scripts.
    pub(crate) name: &'a str,
    /// The job that it is about, with the number of the last record that it shows.
    pub(crate) job: Option<(&'a Room, &'a Screen)>,
    /// What stands in it.
    pub(crate) body: Markup,
}

/// Puts the frame around a page.
pub(crate) fn shell(page: &Page<'_>) -> Markup {
    let job = page.job.map(|(room, _)| room.id.as_str());
    let seen = page.job.map(|(_, screen)| screen.seen);
    let may_change = page.job.filter(|(_, screen)| screen.list_may_change).map(|_| "1");
    let display = crate::own::shown().display.clone();
    let date = display.date.word();
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (page.title) }
                link rel="icon" type="image/svg+xml" href=(address("sign.svg"));
                link rel="stylesheet" href=(address("floor.css"));
                link rel="stylesheet" href=(address("take.css"));
                link rel="stylesheet" href=(address("phones.css"));
                link rel="stylesheet" href=(address("lists.css"));
                link rel="stylesheet" href=(address("joint.css"));
                link rel="stylesheet" href=(address("paper.css"));
                link rel="stylesheet" href=(address("garage.css"));
                noscript { link rel="stylesheet" href=(address("no-scripts.css")); }
                script type="module" src=(address("floor.js")) {}
            }
            body data-page=(page.name) data-job=[job] data-seen=[seen] data-may-change=[may_change]
                data-date=(date) data-money=[display.currency.as_deref()] {
                @if page.job.is_some() { (awake()) }
                (page.body)
                noscript {
                    p.plain {
                        "This page shows how the job stands. Recording on it needs scripts; "
                        "without them record on the command line: lastbolt did."
                    }
                }
                div #sheet hidden role="dialog" aria-label="Sheet" {}
            }
        }
    }
}

/// The strip at the top of a page about a job: the sign, what it is, and what is not sent yet.
pub(crate) fn top(heading: &str, sub: &str) -> Markup {
    html! {
        header.top {
            a.sign href="/" aria-label="Today: all jobs" {
                img src=(address("sign.svg")) alt="" width="30" height="30";
            }
            div {
                h1 { (heading) }
                @if !sub.is_empty() { p { (sub) } }
            }
            a.mine data-mine="" data-sheet="" {
                span.who data-who-records="" {}
                span.unsent role="status" data-unsent="" {}
            }
        }
        p.notice hidden role="status" data-notice="" {}
        (refused_strip())
    }
}

/// Said once on a phone, until it is put away.
fn awake() -> Markup {
    html! {
        div.awake data-awake="" hidden {
            p {
                "A page cannot keep this phone awake. In its own settings, under display, set the "
                "time until it goes dark or locks to the longest; set it back after work."
            }
            button type="button" { "Put away" }
        }
    }
}

/// Where entries that were not taken stand until somebody has dealt with them.
fn refused_strip() -> Markup {
    html! { div.refused data-refused="" hidden {} }
}

/// Where to go from a page about a job.
pub(crate) fn foot(room: &Room, here: &str) -> Markup {
    // What no file plans has no plan before it is apart, but more may come off at any time.
    let from_nothing = lastbolt_job::is_from_nothing(&room.latest());
    let (first, plan) = if from_nothing {
        ([Some(("/take", "Take apart")), Some(("/now", "Now"))], ("/questions", "To ask"))
    } else {
        ([Some(("", "Now")), None], ("/plan", "Plan"))
    };
    let more = [
        ("/day", "The day"),
        ("/list", "Everything"),
        plan,
        ("/gate", "First start"),
        ("/photos", "Photos"),
        ("/record", "What was done"),
    ];
    let pages = first.into_iter().flatten().chain(more);
    html! {
        nav.foot aria-label="Pages of this job" {
            @for (path, text) in pages {
                @if path == here {
                    a aria-current="page" href={ "/job/" (room.id) (path) } { (text) }
                } @else {
                    a href={ "/job/" (room.id) (path) } { (text) }
                }
            }
            a href={ "/phones?job=" (room.id) } data-home="" hidden { "Phones" }
        }
    }
}
