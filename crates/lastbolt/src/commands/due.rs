//! `lastbolt due`: what falls due after jobs that were handed over.

use std::sync::Arc;

use lastbolt_job::due_of;
use lastbolt_job::view::Point;
use lastbolt_store::{Garage, JobId, Listed};
use serde_json::{Value, json};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{case_of, now_ms};

/// Lists what falls due after jobs that were handed over; `tick` answers it.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Only of this job, handed over or not.
    #[arg(value_name = "JOB")]
    job: Option<String>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Something that falls due, with its job.
struct Line {
    job: JobId,
    title: String,
    point: Point,
}

impl Args {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be done, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let all = self.due(&context.garage()?)?;
        if self.json {
            let due = all.iter().map(as_json).collect::<Vec<_>>();
            context.json(&json!({ "version": 1, "due": due }))?;
            return Ok(Done::Well);
        }
        if all.is_empty() {
            context.say("Nothing falls due.")?;
        }
        for Line { job, title, point } in &all {
            let about = point.thing.as_ref().map(|thing| format!(" --thing \"{thing}\""));
            let about = about.unwrap_or_default();
            context.say(&format!("{title}: {}", point.text))?;
            let id = &point.id;
            context.say(&format!("  lastbolt tick {} {id} done{about}", job.as_str()))?;
        }
        Ok(Done::Well)
    }

    fn due(&self, garage: &Garage) -> Result<Vec<Line>, Failure> {
        let over = |one| match one {
            Listed::Job(job) if job.finished => Some(job.id.as_str().to_owned()),
            _ => None,
        };
        let ids: Vec<String> = match &self.job {
            Some(job) => vec![job.clone()],
            None => garage.list_jobs()?.into_iter().filter_map(over).collect(),
        };
        let mut all = Vec::new();
        for id in ids {
            let job = garage.open_job(&id)?;
            let base = Arc::new(case_of(&job)?);
            let title = job.title()?;
            for point in due_of(&base, job.log().records(), now_ms()) {
                all.push(Line { job: job.id().clone(), title: title.clone(), point });
            }
        }
        Ok(all)
    }
}

fn as_json(line: &Line) -> Value {
    json!({
        "job": line.job.as_str(),
        "title": line.title,
        "point": line.point.id,
        "id": line.point.thing,
        "text": line.point.text,
        "said": line.point.said.as_ref().map(|said| &said.answer),
    })
}
