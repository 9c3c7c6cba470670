//! `lastbolt disturbed`: where to look when it does not start.

use lastbolt_job::view::{DisturbedLine, DisturbedView};
use lastbolt_job::{DISTURBED, disturbed};
use lastbolt_ledger::{More, Verb};
use lastbolt_machine::Minutes;
use serde_json::{Value, json};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, NODES};
use crate::say::{Who, known, say};

/// Lists what was undone in this job, nearest and quickest first: it does not start.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Answers about this fixing or connection.
    #[arg(long, value_name = "ID", requires = "answer")]
    thing: Option<String>,
    /// The answer: "was it", "was not" or "could not see".
    #[arg(long, value_name = "ANSWER", requires = "thing")]
    answer: Option<String>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    who: Who,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    if let (Some(thing), Some(answer)) = (&args.thing, &args.answer) {
        return answers(args, thing, answer, context);
    }
    let desk = Desk::open(context, &args.job)?;
    let view = disturbed(&desk.picture, NODES);
    if args.json {
        context.json(&as_json(&view))?;
        return Ok(Done::Well);
    }
    if view.lines.is_empty() {
        context.say("Nothing was undone in this job.")?;
    }
    for (at, line) in view.lines.iter().enumerate() {
        context.say(&format!("{}. {}", at + 1, line.text))?;
        if !line.why.is_empty() {
            context.say(&format!("   {}", line.why.join("; ")))?;
        }
        if let Some(said) = &line.said {
            context.say(&format!("   answered: {}", said.answer))?;
        }
    }
    Ok(Done::Well)
}

fn answers(args: &Args, thing: &str, answer: &str, context: &mut Context) -> Result<Done, Failure> {
    say(context, &args.job, &args.who, Verb::Ticked, |desk, event| {
        let thing = known(desk, thing)?;
        let view = disturbed(&desk.picture, NODES);
        let line = view.lines.iter().find(|line| line.thing == thing).ok_or_else(|| {
            Failure::asked(
                format!("\"{thing}\" was not undone in this job."),
                "lastbolt disturbed JOB lists what was.",
            )
        })?;
        event.note = Some(answer.to_owned());
        event.more = Some(More {
            point: Some(DISTURBED.to_owned()),
            asked: Some(line.text.clone()),
            ..More::default()
        });
        event.thing = Some(thing);
        Ok(())
    })?;
    Ok(Done::Well)
}

fn as_json(view: &DisturbedView) -> Value {
    let line = |line: &DisturbedLine| {
        json!({
            "id": line.thing,
            "text": line.text,
            "minutes": line.minutes.map(Minutes::as_number),
            "comes_off": line.comes_off,
            "why": line.why,
            "tag": line.tag.map(|tag| tag.number),
            "answer": line.said.as_ref().map(|said| &said.answer),
        })
    };
    json!({ "version": 1, "lines": view.lines.iter().map(line).collect::<Vec<_>>() })
}
