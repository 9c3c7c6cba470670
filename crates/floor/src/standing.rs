//! Under which heading a job of the garage stands, and what it waits for, in one line.

use lastbolt_job::view::{Phase, Screen};
use lastbolt_job::{Picture, is_taking_apart};
use lastbolt_store::JobHeader;

/// A job that nobody has touched for so long stands.
const STANDING_AFTER_MS: i64 = 36 * 60 * 60 * 1000;

/// The headings of the list of jobs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// It is worked on.
    InHand,
    /// It was left standing, or nobody has touched it for a while.
    Standing,
    /// It was started: look again, then hand over.
    LookAgain,
    /// It is over: handed over, or given up.
    HandedOver,
}

impl Rule {
    /// All four, in the order of the list.
    pub const ALL: [Self; 4] = [Self::InHand, Self::Standing, Self::LookAgain, Self::HandedOver];

    /// Tells under which one a job stands. `now_ms` is the time of day \[ms since 1970, UTC\].
    pub fn of(job: &JobHeader, now_ms: i64) -> Self {
        let quiet_since = now_ms.saturating_sub(job.last_at_ms.unwrap_or(job.created_at_ms));
        if job.finished {
            Self::HandedOver
        } else if job.left.is_some() {
            Self::Standing
        } else if job.started {
            Self::LookAgain
        } else if quiet_since > STANDING_AFTER_MS {
            Self::Standing
        } else {
            Self::InHand
        }
    }

    /// Gives the heading.
    pub fn heading(self) -> &'static str {
        match self {
            Self::InHand => "In hand",
            Self::Standing => "Standing",
            Self::LookAgain => "Look again",
            Self::HandedOver => "Handed over",
        }
    }

    /// Gives the word for data: `in_hand`, `standing`, `look_again`, `handed_over`.
    pub fn word(self) -> &'static str {
        match self {
            Self::InHand => "in_hand",
            Self::Standing => "standing",
            Self::LookAgain => "look_again",
            Self::HandedOver => "handed_over",
        }
    }
}

/// Gives the heading over jobs of which some were given up: it claims no more than is so.
pub fn heading_of<'a>(rule: Rule, jobs: impl IntoIterator<Item = &'a JobHeader>) -> String {
    let given_up = rule == Rule::HandedOver && jobs.into_iter().any(|job| job.given_up.is_some());
    format!("{}{}", rule.heading(), if given_up { " or given up" } else { "" })
}

/// What a job that is over says of itself.
fn over(job: &JobHeader) -> String {
    match job.given_up.as_deref().map(str::trim) {
        Some("") => "given up".to_owned(),
        Some(why) => format!("given up: {why}"),
        None => "handed over".to_owned(),
    }
}

/// Gives what a job waits for, as far as its record alone says.
pub fn from_outside(job: &JobHeader) -> String {
    let left = job.left.as_deref().map(str::trim);
    match left {
        _ if job.finished => over(job),
        Some("") => "left standing".to_owned(),
        Some(how) => format!("left standing: {how}"),
        None if job.started => "started: look again, then hand over".to_owned(),
        None if job.records == 0 => "begun: nothing off yet".to_owned(),
        None => "not touched for a while".to_owned(),
    }
}

/// Gives what a job that is not over waits for.
pub fn waits_for(job: &JobHeader, rule: Rule, picture: &Picture, screen: &Screen) -> String {
    let next = match is_taking_apart(picture) {
        true => taking_apart(screen),
        false => next(screen, job.started),
    };
    match rule {
        Rule::Standing if job.left.is_some() => from_outside(job),
        _ if job.reopened => format!("opened again; {next}"),
        _ => next,
    }
}

fn taking_apart(screen: &Screen) -> String {
    if screen.seen == 0 {
        return "begun: nothing off yet".to_owned();
    }
    format!("taking apart; {}", screen.still_off.text)
}

fn next(screen: &Screen, started: bool) -> String {
    let off = &screen.still_off.text;
    match (&screen.next, screen.phase) {
        (Some(next), _) => format!("next: {}; {off}", next.line.text),
        (None, Phase::FirstStart) if started => "started: look again, then hand over".into(),
        (None, Phase::FirstStart) => "all home: the first start".into(),
        (None, _) => off.clone(),
    }
}
