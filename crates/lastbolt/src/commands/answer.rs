//! `lastbolt answer`.

use lastbolt_ledger::Verb;
use lastbolt_sketch::Question;

use crate::commands::ask;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::say::{Who, record};

/// Answers a question about the way back.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The question, by its id.
    #[arg(value_name = "QUESTION")]
    question: String,
    /// yes, no or unknown.
    #[arg(value_name = "CHOICE")]
    choice: String,
    #[command(flatten)]
    who: Who,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be recorded, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    if !Question::CHOICES.contains(&args.choice.as_str()) {
        return Err(Failure::asked(
            format!("\"{}\" is no answer.", args.choice),
            format!("Write one of: {}.", Question::CHOICES.join(", ")),
        ));
    }
    let (desk, same) = record(context, &args.job, &args.who, Verb::Answered, |desk, event| {
        event.thing = Some(args.question.clone());
        event.note = Some(args.choice.clone());
        let open = ask::of(desk);
        let asked = open.iter().find(|question| question.id == args.question);
        // A question that was answered before may be answered again: its content is in the record.
        let before = desk.records().iter().rev().find(|recorded| {
            recorded.event.verb == Verb::Answered
                && recorded.event.thing.as_ref() == Some(&args.question)
        });
        let more = asked.map(Question::more).or_else(|| before.and_then(|r| r.event.more.clone()));
        event.more = Some(more.ok_or_else(|| {
            Failure::asked(
                format!("There is no question \"{}\".", args.question),
                "lastbolt ask JOB lists the open ones.",
            )
        })?);
        Ok(())
    })?;
    if same {
        context.line("Recorded before.")?;
    }
    if let Some(line) = lastbolt_job::follows(&desk.picture) {
        context.line(&line)?;
    }
    Ok(Done::Well)
}
