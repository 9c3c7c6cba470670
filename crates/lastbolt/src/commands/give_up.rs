//! `lastbolt give-up`.

use lastbolt_job::NOTHING_CLAIMED;
use lastbolt_ledger::{GIVEN_UP, More, Verb};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::say::{Who, say};

/// Gives a job up: it stays as it is, and nothing is claimed of it.
///
/// Nothing is lost: the record stays, "lastbolt take-back JOB" takes it back, and "lastbolt did JOB
/// --do reopened" goes on with it later.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Why, in words; it stands in the record and on the owner's sheet.
    #[arg(value_name = "REASON")]
    reason: Option<String>,
    #[command(flatten)]
    who: Who,
}

impl Args {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let desk = say(context, &self.job, &self.who, Verb::Finished, |_, event| {
            event.note = self.reason.clone().filter(|why| !why.trim().is_empty());
            event.more = Some(More { kind: Some(GIVEN_UP.to_owned()), ..More::default() });
            Ok(())
        })?;
        context.line(&desk.screen().still_off.text)?;
        context.line(NOTHING_CLAIMED)?;
        context.line("It goes on: lastbolt take-back JOB, or lastbolt did JOB --do reopened.")?;
        Ok(Done::Well)
    }
}
