//! The page of today: one plain list of jobs with four rules across it.

use lastbolt_job::is_taking_apart;
use lastbolt_job::view::{Phase, Screen};
use lastbolt_store::{JobHeader, Listed};
use maud::{Markup, html};

use crate::clock::now_ms;
use crate::due::Due;
use crate::hall::Hall;
use crate::limits::TODAY_ROOMS_MAX;
use crate::pages;
use crate::pages::bits;
use crate::pages::shell::{Page, shell};
use crate::reply::Refusal;

/// A job that nobody has touched for so long stands.
const STANDING_AFTER_MS: i64 = 36 * 60 * 60 * 1000;
/// The most jobs under one rule.
const LINES_MAX: usize = 200;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Rule {
    InHand,
    Standing,
    LookAgain,
    HandedOver,
}

const RULES: [(Rule, &str); 4] = [
    (Rule::InHand, "In hand"),
    (Rule::Standing, "Standing"),
    (Rule::LookAgain, "Look again"),
    (Rule::HandedOver, "Handed over"),
];

struct Line {
    rule: Rule,
    job: JobHeader,
    waits_for: String,
}

/// Draws the page of today.
///
/// # Errors
/// Says why the garage folder cannot be read.
pub(crate) async fn page(hall: &Hall) -> Result<Markup, Refusal> {
    let garage = hall.garage.clone();
    let listed = tokio::task::spawn_blocking(move || garage.list_jobs()).await;
    let failed =
        |sentence: String| Refusal::new(axum::http::StatusCode::INTERNAL_SERVER_ERROR, sentence);
    let listed = listed
        .map_err(|_| failed("The garage folder could not be read.".into()))?
        .map_err(|error| failed(error.to_string()))?;
    let mut unusable = Vec::new();
    let mut jobs = Vec::new();
    for one in listed {
        match one {
            Listed::Job(job) => jobs.push(job),
            Listed::Unusable { error, .. } => unusable.push(error.to_string()),
        }
    }
    jobs.sort_by_key(|job| std::cmp::Reverse(job.last_at_ms.unwrap_or(job.created_at_ms)));
    let lines = lines(hall, jobs).await;
    let due = hall.due().await;
    Ok(draw(&lines, &unusable, &due))
}

async fn lines(hall: &Hall, jobs: Vec<JobHeader>) -> Vec<Line> {
    let mut lines = Vec::with_capacity(jobs.len());
    let mut looked_into = 0;
    for job in jobs {
        let line = if job.finished {
            Line { rule: Rule::HandedOver, waits_for: "handed over".into(), job }
        } else if looked_into < TODAY_ROOMS_MAX {
            looked_into += 1;
            in_hand(hall, job).await
        } else {
            Line { rule: Rule::Standing, waits_for: "standing".into(), job }
        };
        lines.push(line);
    }
    lines
}

async fn in_hand(hall: &Hall, job: JobHeader) -> Line {
    let quiet_since = now_ms().saturating_sub(job.last_at_ms.unwrap_or(job.created_at_ms));
    let stands = quiet_since > STANDING_AFTER_MS;
    let touched = if stands { Rule::Standing } else { Rule::InHand };
    match hall.room(job.id.as_str()).await {
        Err(refusal) => Line { rule: touched, waits_for: refusal.sentence, job },
        Ok(room) => {
            let snapshot = room.current().await;
            let screen = room.screen(&snapshot);
            let started = !snapshot.now.live.state.first_starts.is_empty();
            let rule = if started { Rule::LookAgain } else { touched };
            let waits_for = match is_taking_apart(&snapshot) {
                true => taking_apart(&screen),
                false => waits_for(&screen, started),
            };
            Line { rule, waits_for, job }
        }
    }
}

fn taking_apart(screen: &Screen) -> String {
    if screen.seen == 0 {
        return "begun: nothing off yet".to_owned();
    }
    format!("taking apart; {}", screen.still_off.text)
}

/// What a job waits for, in one line.
fn waits_for(screen: &Screen, started: bool) -> String {
    let off = &screen.still_off.text;
    match (&screen.next, screen.phase) {
        (Some(next), _) => format!("next: {}; {off}", next.line.text),
        (None, Phase::FirstStart) if started => "started: look again, then hand over".into(),
        (None, Phase::FirstStart) => "all home: the first start".into(),
        (None, _) => off.clone(),
    }
}

fn draw(lines: &[Line], unusable: &[String], due: &[Due]) -> Markup {
    let body = html! {
        (strip("Today"))
        main.today {
            (pages::due::section("Falls due", due))
            @if lines.is_empty() && unusable.is_empty() {
                p.sentence { "No job is in hand yet: begin with the machine in front of you." }
                a.go href="/begin" { "Begin a job" }
            } @else {
                @for (rule, heading) in RULES { (under(rule, heading, lines)) }
                div.buttons { a.go href="/begin" { "Begin a job" } }
            }
            @for sentence in unusable { p.quiet { (sentence) } }
        }
    };
    shell(&Page { title: "Today: Lastbolt", name: "today", job: None, body })
}

/// The strip at the top of a page that is about no job.
pub(crate) fn strip(heading: &str) -> Markup {
    html! {
        header.top {
            a.sign href="/" aria-label="Today" {
                img src=(crate::assets::address("sign.svg")) alt="" width="30" height="30";
            }
            div { h1 { (heading) } }
            p.unsent role="status" data-unsent="" {}
        }
        p.notice hidden role="status" data-notice="" {}
    }
}

fn under(rule: Rule, heading: &str, lines: &[Line]) -> Markup {
    let all: Vec<&Line> = lines.iter().filter(|line| line.rule == rule).collect();
    html! {
        section {
            h2 { (heading) }
            @if all.is_empty() { p.none { "none" } }
            ul.rows {
                @for line in all.iter().take(LINES_MAX) {
                    li {
                        a.row href={ "/job/" (line.job.id) } {
                            span.what { (line.waits_for) }
                            span.where {
                                (line.job.title)
                                @if let Some(last) = line.job.last_at_ms {
                                    ", last touched " (bits::time(last))
                                }
                            }
                        }
                    }
                }
            }
            @if all.len() > LINES_MAX { p.quiet { "and " (all.len() - LINES_MAX) " older ones" } }
        }
    }
}
