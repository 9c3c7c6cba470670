//! `lastbolt restore`.

use crate::context::{Context, Done, aside};
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
    let job = garage.open_job(id.as_str())?;
    if let (Some(was), Some(letter)) = (job.meta("letter_was")?, job.meta("letter")?) {
        aside(&format!(
            "Its bags carry {was}, and another job here has that letter: it is {letter} now. Mark \
             its bags anew."
        ));
    }
    Ok(Done::Well)
}
