//! `lastbolt open`.

use std::path::Path;

use lastbolt_floor::{Ready, Serve, serve};
use lastbolt_store::{Garage, GarageLock, JobId, Serving, StoreError, Who};

use crate::commands::begin::NewJob;
use crate::commands::phones;
use crate::context::{Context, Done, aside, is_terminal};
use crate::failure::Failure;

/// Opens a job in the browser, beginning it first if need be.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Machine file, job file, folder with job.toml, or a job.
    #[arg(value_name = "FILE")]
    file: Option<String>,
    /// Begins a new job even if one from the same file is unfinished.
    #[arg(long)]
    new: bool,
    /// Serves on this port.
    #[arg(long, value_name = "N")]
    port: Option<u16>,
    /// Prints the address only; opens no browser.
    #[arg(long)]
    no_browser: bool,
    /// Lets phones on the garage's network in, each by a code that it scans once.
    #[arg(long)]
    phones: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    match GarageLock::acquire(&context.garage_dir()?) {
        Ok(lock) => here(args, context, lock),
        Err(StoreError::Held { who: Who::Server(serving), .. }) => there(args, context, &serving),
        Err(error) => Err(error.into()),
    }
}

/// Serves the garage until it is told to stop.
fn here(args: &Args, context: &mut Context, lock: GarageLock) -> Result<Done, Failure> {
    let job = job(args, context, lock.garage(), true)?;
    let options = Serve {
        lock,
        job,
        port: args.port,
        phones: args.phones,
        open_browser: !args.no_browser,
        version: env!("CARGO_PKG_VERSION").to_owned(),
    };
    let mut told = Ok(());
    let served = serve(options, |ready| {
        told = tell(ready, context);
        aside("Ctrl-C ends it; everything recorded is kept.");
    });
    served.map_err(|error| Failure::world(error.to_string(), ""))?;
    told.map(|()| Done::Well)
}

/// Says where the pages are, first of all the address of this machine; then how phones come in.
fn tell(ready: &Ready, context: &mut Context) -> Result<(), Failure> {
    context.line(&ready.page)?;
    if let Some(phones) = &ready.phones {
        if phones.moved {
            aside(
                "The port of last time is in use: phones that were in need a new code, and what \
                 they have not sent waits under the old address.",
            );
        }
        let blocks = if is_terminal() { phones.on_paper() } else { phones.blocks.clone() };
        phones::tell_code(&phones.addresses, &blocks, phones.minutes, context)?;
        context.line(&format!("The next code, and who is in: {}", phones.page))?;
        aside(
            "Served at every IPv4 address of this machine, as plain http: anybody on the same \
             network can listen.",
        );
    }
    context.flush()
}

/// Lastbolt serves this garage already: says where.
fn there(args: &Args, context: &mut Context, serving: &Serving) -> Result<Done, Failure> {
    let job = job(args, context, &context.garage()?, false)?;
    let page = match &job {
        Some(job) => format!("{}/job/{}", serving.address, job.as_str()),
        None => format!("{}/", serving.address),
    };
    context.line(&page)?;
    if args.phones {
        phones::code(job.as_ref().map(JobId::as_str), false, serving, context)?;
    }
    Ok(Done::Well)
}

/// The job that is meant: one of the garage, else the unfinished one begun from the same file,
/// else a new one. With the lock a garage without a garage file gets the one beside the files.
fn job(
    args: &Args,
    context: &Context,
    garage: &Garage,
    holds_lock: bool,
) -> Result<Option<JobId>, Failure> {
    let Some(file) = &args.file else { return Ok(None) };
    let is_path = Path::new(file).exists();
    let is_folder_of_files =
        ["job.toml", "machine.toml"].iter().any(|name| Path::new(file).join(name).is_file());
    if !is_path {
        return Ok(Some(garage.open_job(file)?.id().clone()));
    }
    if !is_folder_of_files && is_database(Path::new(file)) {
        let job = garage.open_job(file)?;
        if garage.job_dir(job.id()) != job.folder().unwrap_or(Path::new("")) {
            return Err(Failure::asked(
                format!("{file} is a job of another garage."),
                "Give its garage with --garage, or bring it here by backup and restore.",
            ));
        }
        return Ok(Some(job.id().clone()));
    }
    let new = NewJob::read(file, context)?;
    if !args.new
        && let Some(id) = garage.find_unfinished_by_source(&new.source)?
    {
        return Ok(Some(id));
    }
    if holds_lock {
        new.furnish(garage)?;
    }
    new.begin(garage).map(Some)
}

fn is_database(path: &Path) -> bool {
    path.join("job.db").is_file() || path.extension().is_some_and(|ending| ending == "db")
}
