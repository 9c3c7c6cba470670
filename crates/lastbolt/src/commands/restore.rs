//! `lastbolt restore`.

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{lock, writing};

/// Brings a job back from a backup file.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The backup file.
    #[arg(value_name = "FILE")]
    file: std::path::PathBuf,
    /// Puts a job of the same id aside and takes its place.
    #[arg(long)]
    replace: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    // In place of a job that a server may have open only by the one writer.
    let (_lock, garage) = if args.replace { lock(context)? } else { writing(context)? };
    let id = garage.restore(&args.file, args.replace)?;
    context.line(id.as_str())?;
    Ok(Done::Well)
}
