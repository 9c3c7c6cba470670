//! `lastbolt photo`.

use std::path::PathBuf;

use crate::context::{Context, Done, aside};
use crate::failure::Failure;
use crate::live::Desk;
use crate::photos::Brought;

/// The most files at once.
const FILES_MAX: usize = 200;

/// Keeps pictures, sorted in by the time they were taken.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// JPEG, PNG or WebP pictures.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
    /// The part, fixing or connection that they show.
    #[arg(long, value_name = "ID")]
    of: Option<String>,
}

/// Runs the command: prints the name under which each is kept, and its file.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    if args.files.len() > FILES_MAX {
        let sentence = format!("{} files are too many at once.", args.files.len());
        return Err(Failure::asked(sentence, format!("Give at most {FILES_MAX} at a time.")));
    }
    let mut desk = Desk::open(context, &args.job)?;
    let mut brought = Vec::new();
    let mut bad = 0;
    for file in &args.files {
        match Brought::read(file) {
            Ok(one) => brought.push(one),
            Err(failure) => {
                bad += 1;
                aside(&failure.to_string());
            }
        }
    }
    brought.sort_by_key(|one| one.taken_at_ms);
    for one in &brought {
        let kept = one.keep(&desk, context)?;
        let event = kept.event(&desk, args.of.as_deref())?;
        (desk, _) = desk.record(context, event)?;
        context.line(&format!("{}  {}", kept.name, one.file.display()))?;
    }
    if bad > 0 {
        let of = args.files.len();
        return Err(Failure::given(format!("{bad} of {of} files were not kept."), ""));
    }
    Ok(Done::Well)
}
