//! `lastbolt tighten`: one file for each of its commands.

mod card;
mod done;
mod eval;
mod marks;
mod repaired;
mod rounds;
mod take;
mod value;
mod wrench;

use lastbolt_job::joints;

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Shows how a joint is tightened, records its rounds, reads values, sets a wrench.
///
/// The maker's value always wins: what is computed here is there to find a wrong digit or unit, and
/// never replaces what stands in the maker's papers.
///
/// Examples, at a joint of a job:
///   lastbolt tighten card tarn-camper-1                     which joints there are
///   lastbolt tighten card tarn-camper-1 "cover screws"      rounds, wrench and setting, order
///   lastbolt tighten done tarn-camper-1 "cover screws"      the next round is done
///   lastbolt tighten take tarn-camper-1 "cover screws" long    another wrench from now on
///
/// Examples without a job:
///   lastbolt tighten value "40 N·m / 30 lbf·ft"
///   lastbolt tighten wrench "40 N·m" --range "20-100 N·m" --class "II A" --step 0.5
///   lastbolt tighten eval table.csv --json
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    Card(card::Args),
    Done(done::Args),
    Take(take::Args),
    Repaired(repaired::Args),
    Rounds(rounds::Args),
    Marks(marks::Args),
    Value(value::Args),
    Wrench(wrench::Args),
    Eval(eval::Args),
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    match &args.what {
        What::Card(args) => card::run(args, context),
        What::Done(args) => done::run(args, context),
        What::Take(args) => take::run(args, context),
        What::Repaired(args) => repaired::run(args, context),
        What::Rounds(args) => rounds::run(args, context),
        What::Marks(args) => marks::run(args, context),
        What::Value(args) => value::run(args, context),
        What::Wrench(args) => wrench::run(args, context),
        What::Eval(args) => eval::run(args, context),
    }
}

/// The joint of that name.
///
/// # Errors
/// Says that no file tells how it is tightened, with the nearest name.
fn joint_of(desk: &Desk, name: &str) -> Result<String, Failure> {
    let names = joints(&desk.picture);
    if names.iter().any(|known| known == name) {
        return Ok(name.to_owned());
    }
    let near = lastbolt_files::nearest(name, names.iter().map(String::as_str));
    let help = match near {
        Some(near) => format!("Did you mean \"{near}\"?"),
        None => "lastbolt tighten card JOB lists the joints that it knows.".to_owned(),
    };
    Err(Failure::asked(format!("No file says how \"{name}\" is tightened."), help))
}
