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
    /// The question to the owner that they go with, as `lastbolt day` shows it: owner.12.
    #[arg(long, value_name = "POINT")]
    point: Option<String>,
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
    if let Some(point) = &args.point {
        let day = desk.day();
        let mut takes = day.points().filter(|point| point.takes_photos);
        if takes.all(|known| known.id != *point) {
            return Err(Failure::asked(
                format!("The day has no question \"{point}\" that photos go with."),
                "lastbolt day JOB size-up lists the questions to the owner.",
            ));
        }
    }
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
        let mut event = kept.event(&desk, args.of.as_deref())?;
        if let Some(more) = &mut event.more {
            more.point.clone_from(&args.point);
        }
        (desk, _) = desk.record(context, event)?;
        context.line(&format!("{}  {}", kept.name, one.file.display()))?;
    }
    if bad > 0 {
        let of = args.files.len();
        return Err(Failure::given(format!("{bad} of {of} files were not kept."), ""));
    }
    Ok(Done::Well)
}
