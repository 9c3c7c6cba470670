//! `lastbolt plan`: the order of taking apart and putting back.

use crate::context::{Context, Done};
use crate::failure::Failure;

/// Works out the order of taking apart and putting back.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Machine file, job file, folder with job.toml, or a job.
    #[arg(value_name = "FILE")]
    pub(crate) file: String,
    /// Prints JSON.
    #[arg(long)]
    pub(crate) json: bool,
    /// Per cent above the least minutes that an order which reads better may take.
    #[arg(long, value_name = "PERCENT", default_value_t = 0.0)]
    pub(crate) tolerance: f64,
    /// Takes apart only; putting back is neither listed nor counted.
    #[arg(long)]
    pub(crate) strip_only: bool,
    /// How many people work on it.
    #[arg(long, value_name = "N", default_value_t = 1,
          value_parser = clap::value_parser!(u32).range(1..=20))]
    pub(crate) people: u32,
    /// Longest time to look for the best order, in seconds.
    #[arg(long, value_name = "SECONDS", default_value_t = 10.0)]
    pub(crate) seconds: f64,
    /// Most states of the machine to look at.
    #[arg(long, value_name = "N", default_value_t = 5_000_000)]
    pub(crate) nodes: u64,
    /// Number that decides between equally quick orders.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Says why this part, fixing or connection has to come off.
    #[arg(long, value_name = "ID")]
    pub(crate) why: Option<String>,
    /// Leaves this alone; may be given again.
    #[arg(long, value_name = "ID")]
    pub(crate) leave: Vec<String>,
    /// Takes this off or undoes it too; may be given again.
    #[arg(long, value_name = "ID")]
    pub(crate) also: Vec<String>,
    /// Does without this tool; may be given again.
    #[arg(long, value_name = "TOOL")]
    pub(crate) without: Vec<String>,
    /// Lists the other ways in too, each with its minutes.
    #[arg(long)]
    pub(crate) ways: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be read.
pub(crate) fn run(_args: &Args, _context: &mut Context) -> Result<Done, Failure> {
    Err(Failure::world("This command is not there yet.", ""))
}
