//! `lastbolt verify`: the independent checker's verdict on an order.

use std::path::PathBuf;

use crate::context::{Context, Done};
use crate::failure::Failure;

/// Judges an order by rules written a second time, apart from what made it.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Machine file, job file, folder with job.toml, or a job.
    #[arg(value_name = "FILE")]
    pub(crate) file: String,
    /// The order, as `plan --json` prints it; - reads standard input.
    #[arg(value_name = "PLAN.json")]
    pub(crate) plan: PathBuf,
    /// Prints JSON.
    #[arg(long)]
    pub(crate) json: bool,
    /// Judges the taking apart only.
    #[arg(long)]
    pub(crate) strip_only: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be read.
pub(crate) fn run(_args: &Args, _context: &mut Context) -> Result<Done, Failure> {
    Err(Failure::world("This command is not there yet.", ""))
}
