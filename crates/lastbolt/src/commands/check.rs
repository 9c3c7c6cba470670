//! `lastbolt check`: everything that is wrong with the files, at once.

use crate::context::{Context, Done};
use crate::failure::Failure;

/// Says everything that is wrong with files, with the line and what to do.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Machine, job and garage files, folders with job.toml, or jobs.
    #[arg(value_name = "FILE", required = true)]
    pub(crate) files: Vec<String>,
    /// Prints JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// Runs the command.
///
/// # Errors
/// Fails when the answer cannot be written.
pub(crate) fn run(_args: &Args, _context: &mut Context) -> Result<Done, Failure> {
    Err(Failure::world("This command is not there yet.", ""))
}
