//! `lastbolt ask`.

use lastbolt_sketch::{Question, questions};
use serde_json::{Value, json};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Lists what would be good to know for the way back, the most useful first.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what is wrong with the job.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    let open = of(&desk);
    if args.json {
        let all: Vec<Value> = open.iter().map(as_json).collect();
        context.json(&all)?;
        return Ok(Done::Well);
    }
    if open.is_empty() {
        context.line("Nothing to ask.")?;
    }
    for question in &open {
        context.line(&format!("{}  {}", question.id, question.text))?;
    }
    if !open.is_empty() {
        context.line("Answer one with: lastbolt answer JOB QUESTION yes, no or unknown.")?;
    }
    Ok(Done::Well)
}

/// The open questions of a job.
pub(crate) fn of(desk: &Desk) -> Vec<Question> {
    desk.picture.drawn.as_ref().map(|drawn| questions(drawn)).unwrap_or_default()
}

fn as_json(question: &Question) -> Value {
    let about: Vec<&String> = question.these.iter().chain(&question.those).collect();
    json!({
        "id": question.id,
        "kind": question.asked.word(),
        "about": about,
        "these": question.these,
        "those": question.those,
        "text": question.text,
        "choices": Question::CHOICES,
    })
}
