//! `lastbolt tighten repaired`.

use lastbolt_job::joint;
use lastbolt_ledger::Verb;

use crate::commands::tighten::joint_of;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::now_ms;
use crate::say::{Who, say};

/// Records that a thread of a joint was repaired.
///
/// It stands in the record, and falls due to be looked at again.
///
/// Example: lastbolt tighten repaired tarn-camper-1 "cover screws" "thread insert at number 3"
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The joint: the fixing's name.
    #[arg(value_name = "JOINT")]
    joint: String,
    /// How: thread insert, recut with a tap, next larger thread, or other words.
    #[arg(value_name = "HOW")]
    how: String,
    #[command(flatten)]
    who: Who,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be recorded, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    say(context, &args.job, &args.who, Verb::Noted, |desk, event| {
        let name = joint_of(desk, &args.joint)?;
        let card = joint(&desk.picture, &name, None, now_ms());
        let said = card.as_ref().and_then(|card| card.repairs.first()?.records.first());
        let said = said.ok_or_else(|| Failure::asked("This joint has no card.", ""))?;
        said.fill(event);
        event.note = Some(args.how.clone());
        Ok(())
    })?;
    Ok(Done::Well)
}
