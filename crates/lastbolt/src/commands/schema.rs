//! `lastbolt schema`.

use clap::ValueEnum;

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::schema::schema;

/// Which file.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Which {
    /// A machine file, perhaps with a job in it.
    Machine,
    /// A job file.
    Job,
    /// The garage file.
    Garage,
}

/// Prints a JSON Schema of a file, so that an editor completes and checks it.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Of which file.
    #[arg(value_name = "FILE", default_value = "machine")]
    which: Which,
}

/// Runs the command.
///
/// # Errors
/// Fails when it cannot be written.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let (table, title) = match args.which {
        Which::Machine => ("machine file", "Machine file of Lastbolt"),
        Which::Job => ("job file", "Job file of Lastbolt"),
        Which::Garage => ("garage file", "Garage file of Lastbolt"),
    };
    context.json(&schema(table, title))?;
    Ok(Done::Well)
}
