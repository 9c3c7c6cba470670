//! The page of today: one plain list of jobs with four rules across it.

use std::sync::{Arc, PoisonError};

use lastbolt_store::{JobHeader, Listed};
use maud::{Markup, html};
use serde::Deserialize;

use crate::clock::{now_ms, year};
use crate::due::Due;
use crate::hall::Hall;
use crate::limits::{TODAY_LINES_MAX, TODAY_ROOMS_MAX};
use crate::pages;
use crate::pages::bits;
use crate::pages::shell::{Page, shell};
use crate::reply::Refusal;
use crate::standing::{Rule, from_outside, heading_of, waits_for};

/// From so many jobs on there is a line to find one by its words.
const FIND_FROM: usize = 8;
/// The longest words that are looked for \[characters\].
const FIND_CHARS_MAX: usize = 100;

/// What may stand behind the address of the page.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Asked {
    /// Only jobs with these words in them.
    find: String,
}

impl Asked {
    fn words(&self) -> Vec<String> {
        let found: String = self.find.chars().take(FIND_CHARS_MAX).collect();
        found.to_lowercase().split_whitespace().map(str::to_owned).collect()
    }
}

struct Line {
    rule: Rule,
    job: JobHeader,
    waits_for: String,
}

/// Draws the page of today.
///
/// # Errors
/// Says why the garage folder cannot be read.
pub(crate) async fn page(hall: &Hall, asked: &Asked) -> Result<Markup, Refusal> {
    let (garage, headers) = (hall.garage.clone(), Arc::clone(&hall.headers));
    let listed = tokio::task::spawn_blocking(move || {
        let mut headers = headers.lock().unwrap_or_else(PoisonError::into_inner);
        garage.list_jobs_again(&mut headers)
    });
    let listed = listed.await;
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
    Ok(draw(&lines, &unusable, &due, asked))
}

async fn lines(hall: &Hall, jobs: Vec<JobHeader>) -> Vec<Line> {
    let mut lines = Vec::with_capacity(jobs.len());
    let mut looked_into = 0;
    for job in jobs {
        let line = if job.finished {
            Line { rule: Rule::HandedOver, waits_for: from_outside(&job), job }
        } else if looked_into < TODAY_ROOMS_MAX {
            looked_into += 1;
            unfinished(hall, job).await
        } else {
            Line { rule: Rule::of(&job, now_ms()), waits_for: from_outside(&job), job }
        };
        lines.push(line);
    }
    lines
}

async fn unfinished(hall: &Hall, job: JobHeader) -> Line {
    let rule = Rule::of(&job, now_ms());
    let room = match hall.room(job.id.as_str()).await {
        Err(refusal) => return Line { rule, waits_for: refusal.sentence, job },
        Ok(room) => room,
    };
    let snapshot = room.current().await;
    let screen = room.screen(&snapshot);
    Line { rule, waits_for: waits_for(&job, rule, &snapshot, &screen), job }
}

fn draw(lines: &[Line], unusable: &[String], due: &[Due], asked: &Asked) -> Markup {
    let words = asked.words();
    let found: Vec<&Line> = lines.iter().filter(|line| line.has(&words)).collect();
    let body = html! {
        (strip("Today"))
        main.today {
            (pages::due::section("Falls due", due))
            @if lines.is_empty() && unusable.is_empty() {
                p.sentence { "No job is in hand yet: begin with the machine in front of you." }
                a.go href="/begin" { "Begin a job" }
            } @else {
                @if lines.len() >= FIND_FROM || !words.is_empty() { (find(asked, found.len())) }
                @for rule in Rule::ALL { (under(rule, &found, &words)) }
                div.buttons { a.go href="/begin" { "Begin a job" } }
            }
            @for sentence in unusable { p.quiet { (sentence) } }
        }
        nav.foot aria-label="Other pages" { a href="/garage" { "The garage" } }
    };
    shell(&Page { title: "Today: Lastbolt", name: "today", job: None, body })
}

impl Line {
    fn has(&self, words: &[String]) -> bool {
        let all = format!("{} {} {}", self.job.title, self.job.id, self.waits_for).to_lowercase();
        words.iter().all(|word| all.contains(word.as_str()))
    }

    fn last_ms(&self) -> i64 {
        self.job.last_at_ms.unwrap_or(self.job.created_at_ms)
    }
}

fn find(asked: &Asked, found: usize) -> Markup {
    html! {
        form.find action="/" method="get" role="search" {
            label {
                span { "Find a job by its words" }
                input type="text" name="find" maxlength=(FIND_CHARS_MAX) autocomplete="off"
                    value=(asked.find);
            }
            button type="submit" { "Find" }
            @if !asked.find.trim().is_empty() {
                p role="status" {
                    @match found {
                        0 => "No job has these words. ",
                        1 => "1 job has these words. ",
                        n => { (n) " jobs have these words. " }
                    }
                    a href="/" { "All jobs" }
                }
            }
        }
    }
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

fn under(rule: Rule, found: &[&Line], words: &[String]) -> Markup {
    let all: Vec<&Line> = found.iter().copied().filter(|line| line.rule == rule).collect();
    let shown = all.get(..TODAY_LINES_MAX).unwrap_or(&all);
    // Jobs of earlier years are folded away, year by year, but not where one is looked for.
    let this_year = year(now_ms());
    let is_old = |line: &Line| rule == Rule::HandedOver && year(line.last_ms()) < this_year;
    let fold = words.is_empty();
    let (old, now): (Vec<&Line>, Vec<&Line>) = shown.iter().partition(|line| fold && is_old(line));
    html! {
        section {
            h2 { (heading_of(rule, all.iter().map(|line| &line.job))) }
            @if all.is_empty() { p.none { "none" } }
            (rows(&now))
            @for of_year in old.chunk_by(|a, b| year(a.last_ms()) == year(b.last_ms())) {
                details.thing {
                    summary.row.bare {
                        span.what { (of_year.first().map_or(0, |line| year(line.last_ms()))) }
                        span.where { (lastbolt_job::pieces(count(of_year), "job")) }
                    }
                    (rows(of_year))
                }
            }
            @if all.len() > shown.len() {
                p.quiet { "and " (all.len() - shown.len()) " older ones; find them by their words" }
            }
        }
    }
}

fn count(lines: &[&Line]) -> u32 {
    u32::try_from(lines.len()).unwrap_or(u32::MAX)
}

fn rows(lines: &[&Line]) -> Markup {
    html! {
        ul.rows {
            @for line in lines {
                li {
                    a.row href={ "/job/" (line.job.id) } {
                        @let (first, off) = bits::halves(&line.waits_for, "still off: ");
                        span.what { (first) }
                        @if let Some(off) = off { span.where.still-line { (off) } }
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
    }
}
