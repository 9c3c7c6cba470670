//! `lastbolt export`.

use std::path::Path;

use lastbolt_store::FileRole;

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Writes the machine of a job as a machine file: what its own file says and what was recorded.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Where to [default: printed].
    #[arg(value_name = "FILE")]
    file: Option<String>,
    /// Writes over a file that is there.
    #[arg(long)]
    replace: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be written, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    let text = machine_file(&desk)?;
    let Some(file) = &args.file else {
        context.line(text.trim_end())?;
        return Ok(Done::Well);
    };
    if Path::new(file).exists() && !args.replace {
        return Err(Failure::asked(
            format!("{file} is there already and stays as it is."),
            "Give another name, or --replace.",
        ));
    }
    // Beside its place first, so that there is never half a file.
    let beside = format!("{file}.part");
    let written = std::fs::write(&beside, &text).and_then(|()| std::fs::rename(&beside, file));
    written.map_err(|error| {
        let _ = std::fs::remove_file(&beside);
        Failure::world(format!("{file}: {error}."), "Look at the folder and the disk.")
    })?;
    context.line(file)?;
    Ok(Done::Well)
}

/// The machine file of a job as far as it is known.
fn machine_file(desk: &Desk) -> Result<String, Failure> {
    let files = desk.job.files()?;
    let own = files.iter().find(|file| file.role == FileRole::Machine);
    let text = own.map(|file| file.text.as_str()).ok_or_else(|| {
        Failure::world("This job keeps no machine file.", "Restore it from a backup.")
    })?;
    let base = &desk.picture.base.model.machine;
    Ok(lastbolt_job::export(text, base, desk.picture.drawn.as_deref()))
}
