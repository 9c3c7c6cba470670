//! `lastbolt tighten`: one file for each of its commands.

mod card;
mod eval;
mod value;
mod wrench;

use crate::context::{Context, Done};
use crate::failure::Failure;

/// Reads tightening values, says what a wrench is set to, computes check values.
///
/// The maker's value always wins: what is computed here is there to find a wrong digit or unit, and
/// never replaces what stands in the maker's papers.
///
/// Examples:
///   lastbolt tighten value "40 N·m / 30 lbf·ft"
///   lastbolt tighten wrench "40 N·m" --range "20-100 N·m" --class "II A" --step 0.5
///   lastbolt tighten eval table.csv --json
///   lastbolt tighten card tarn-camper-1 "starter screws"
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    Value(value::Args),
    Wrench(wrench::Args),
    Eval(eval::Args),
    Card(card::Args),
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    match &args.what {
        What::Value(args) => value::run(args, context),
        What::Wrench(args) => wrench::run(args, context),
        What::Eval(args) => eval::run(args, context),
        What::Card(args) => card::run(args, context),
    }
}
