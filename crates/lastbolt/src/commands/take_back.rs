//! `lastbolt take-back`.

use lastbolt_ledger::{Recorded, Verb, history};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Takes back the last record, or the last one about a thing.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The id of a record, or of the thing it is about [default: the last record].
    #[arg(value_name = "WHICH")]
    which: Option<String>,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    let target = find(&desk, args.which.as_deref())?;
    let (of, seq) = (target.event.id.clone(), target.seq);
    let mut event = desk.event(Verb::TakeBack, None)?;
    event.of = Some(of);
    let (desk, _) = desk.record(context, event)?;
    let view = desk.picture.record();
    let line = view.lines.iter().find(|line| line.seq == seq);
    let text = line.map_or("", |line| line.text.as_str());
    context.line(&format!("Taken back: {text}"))?;
    desk.tell_next(context)?;
    Ok(Done::Well)
}

/// The record that is meant: one with this id, else the last that stands about this thing, else
/// the last that stands.
fn find<'a>(desk: &'a Desk, which: Option<&str>) -> Result<&'a Recorded, Failure> {
    let records = desk.records();
    if let Some(id) = which
        && let Some(named) = records.iter().find(|r| r.event.id.as_str() == id)
    {
        return Ok(named);
    }
    let standing: Vec<&Recorded> = history(records)
        .filter(|entry| entry.withdrawn_by.is_none() && entry.recorded.event.verb != Verb::TakeBack)
        .map(|entry| entry.recorded)
        .collect();
    let about = |r: &&&Recorded| which.is_none_or(|name| r.event.thing.as_deref() == Some(name));
    standing.iter().rev().find(about).copied().ok_or_else(|| match which {
        Some(name) => Failure::asked(
            format!("There is no record about \"{name}\" to take back."),
            "lastbolt record JOB shows what was recorded.",
        ),
        None => Failure::asked("Nothing is recorded yet.", ""),
    })
}
