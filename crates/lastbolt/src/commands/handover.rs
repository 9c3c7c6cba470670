//! `lastbolt handover`: from one helper to the next.

use lastbolt_job::{TAKEN_OVER, hand_over_of};
use lastbolt_ledger::Verb;

use crate::commands::sheet::show;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, now_ms};
use crate::say::{Who, say};

/// Prints what one helper tells the next, or says who takes over.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Who takes over.
    #[arg(long, value_name = "PERSON")]
    to: Option<String>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

impl Args {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be done, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let desk = match &self.to {
            Some(person) => {
                let who = Who { person: Some(person.clone()), event: None };
                say(context, &self.job, &who, Verb::Moved, |_, event| {
                    event.note = Some(TAKEN_OVER.to_owned());
                    Ok(())
                })?
            }
            None => Desk::open(context, &self.job)?,
        };
        let over = hand_over_of(&desk.picture, now_ms());
        let letter = lastbolt_floor::letter(&context.garage()?, desk.job.id().as_str());
        show(&over.paper, &letter, self.json, context)?;
        Ok(Done::Well)
    }
}
