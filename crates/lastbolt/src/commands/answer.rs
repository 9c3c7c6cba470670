//! `lastbolt answer`.

use lastbolt_ledger::{More, Recorded, Verb};
use lastbolt_sketch::{Question, draw, questions};

use crate::commands::ask;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;
use crate::say::{Who, record};

/// How many answers ago a list may have been asked for whose questions are still taken.
const LISTS_BACK_MAX: usize = 24;

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
        event.more = Some(content(desk, &args.question).ok_or_else(|| {
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

/// What a question asks: it is open, or was answered before, or stood in a list that was asked
/// for before the last answers, which made it needless: an answer to that is good all the same.
fn content(desk: &Desk, id: &str) -> Option<More> {
    let is_it = |question: &&Question| question.id == id;
    if let Some(question) = ask::of(desk).iter().find(is_it) {
        return Some(question.more());
    }
    let records = desk.records();
    let answers = || records.iter().rev().filter(|r| r.event.verb == Verb::Answered);
    let same = answers().find(|r| r.event.thing.as_deref() == Some(id));
    if let Some(more) = same.and_then(|r| r.event.more.clone()) {
        return Some(more);
    }
    let base = &desk.picture.base.model;
    answers().take(LISTS_BACK_MAX).find_map(|answer| {
        let before = records.iter().take_while(|r| r.seq < answer.seq);
        let before: Vec<Recorded> = before.cloned().collect();
        let drawn = draw(&base.machine, &base.job, &before);
        questions(&drawn).iter().find(is_it).map(Question::more)
    })
}
