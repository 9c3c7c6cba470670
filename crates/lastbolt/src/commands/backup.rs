//! `lastbolt backup`.

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::now_ms;

/// Writes a job, with all its records, to one file.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The file to write.
    #[arg(value_name = "FILE")]
    file: std::path::PathBuf,
}

/// Runs the command. The running server may go on writing: what is in the file is whole.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let job = context.garage()?.open_job(&args.job)?;
    job.backup(&args.file, now_ms())?;
    context.line(&format!(
        "{}: {} records are in {}.",
        job.id().as_str(),
        job.log().len(),
        args.file.display()
    ))?;
    Ok(Done::Well)
}
