//! `lastbolt jobs`.

use lastbolt_floor::{Rule, from_outside, heading_of, waits_for};
use lastbolt_store::{JobHeader, Listed, letters};
use serde_json::{Value, json};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, now_ms};

/// Lists the jobs of the garage, each with what it waits for.
///
/// In hand, standing, look again, handed over or given up; the last touched first.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Only jobs with all of these words in them.
    #[arg(value_name = "WORDS")]
    find: Vec<String>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// One job of the list.
struct Line {
    rule: Rule,
    waits_for: String,
    letter: String,
    job: JobHeader,
}

impl Args {
    /// Runs the command.
    ///
    /// # Errors
    /// Says why the garage folder cannot be read.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let (lines, unusable) = self.lines(context)?;
        if self.json {
            let jobs: Vec<Value> = lines.iter().map(as_json).collect();
            context.json(&json!({ "version": 1, "jobs": jobs, "unusable": unusable }))?;
            return Ok(Done::Well);
        }
        if lines.is_empty() && unusable.is_empty() {
            let none = if self.find.is_empty() {
                "No job is in hand yet: lastbolt begin FILE, or lastbolt open."
            } else {
                "No job has these words."
            };
            context.line(none)?;
        }
        for rule in Rule::ALL {
            let own: Vec<&Line> = lines.iter().filter(|line| line.rule == rule).collect();
            if own.is_empty() {
                continue;
            }
            context.line(&heading_of(rule, own.iter().map(|line| &line.job)))?;
            for line in own {
                context.line(&format!("  {} ({})", line.job.id, line.letter))?;
                context.line(&format!("    {}: {}", line.job.title, line.waits_for))?;
            }
        }
        for sentence in &unusable {
            context.line(&format!("note: {sentence}"))?;
        }
        Ok(Done::Well)
    }

    /// The jobs that are asked for, the last touched first, and what cannot be read.
    fn lines(&self, context: &Context) -> Result<(Vec<Line>, Vec<String>), Failure> {
        let (mut jobs, mut unusable) = (Vec::new(), Vec::new());
        for one in context.garage()?.list_jobs()? {
            match one {
                Listed::Job(job) => jobs.push(job),
                Listed::Unusable { error, .. } => unusable.push(error.to_string()),
            }
        }
        let letters = letters(&jobs);
        jobs.sort_by_key(|job| std::cmp::Reverse(job.last_at_ms.unwrap_or(job.created_at_ms)));
        let line = |job: JobHeader| {
            let rule = Rule::of(&job, now_ms());
            let letter = letters.iter().find(|(id, _)| id == job.id.as_str());
            Line {
                rule,
                waits_for: waits(context, &job, rule),
                letter: letter.map(|(_, letter)| letter.clone()).unwrap_or_default(),
                job,
            }
        };
        let has = |line: &Line| {
            let all = format!("{} {} {}", line.job.title, line.job.id, line.waits_for);
            let all = all.to_lowercase();
            self.find.iter().all(|word| all.contains(&word.to_lowercase()))
        };
        Ok((jobs.into_iter().map(line).filter(has).collect(), unusable))
    }
}

/// What a job waits for; one whose files cannot be read says so.
fn waits(context: &Context, job: &JobHeader, rule: Rule) -> String {
    if job.finished {
        return from_outside(job);
    }
    match Desk::open(context, job.id.as_str()) {
        Ok(desk) => waits_for(job, rule, &desk.picture, &desk.screen()),
        Err(failure) => failure.sentence().to_owned(),
    }
}

fn as_json(line: &Line) -> Value {
    json!({
        "job": line.job.id.as_str(),
        "title": line.job.title,
        "stands": line.rule.word(),
        "waits_for": line.waits_for,
        "letter": line.letter,
        "given_up": line.job.given_up,
        "last_at_ms": line.job.last_at_ms,
    })
}
