//! `lastbolt tighten take`.

use lastbolt_job::joint;
use lastbolt_ledger::Verb;

use crate::commands::tighten::joint_of;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::now_ms;
use crate::say::{Who, say};

/// Takes another wrench of the garage for a joint, from the next round on.
///
/// Example: lastbolt tighten take tarn-camper-1 "cover screws" "long"
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The joint: the fixing's name.
    #[arg(value_name = "JOINT")]
    joint: String,
    /// The wrench, as the garage's file calls it.
    #[arg(value_name = "WRENCH")]
    wrench: String,
    #[command(flatten)]
    who: Who,
}

/// Runs the command.
///
/// # Errors
/// Says which name is not known, or why that wrench cannot do it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    say(context, &args.job, &args.who, Verb::Ticked, |desk, event| {
        let name = joint_of(desk, &args.joint)?;
        let card = joint(&desk.picture, &name, None, now_ms());
        let rounds = card.iter().flat_map(|card| card.rounds.iter());
        let lines = || rounds.clone().flat_map(|round| round.wrenches.iter());
        let taken = lines().find(|line| line.name == args.wrench && line.takes.is_some());
        let Some(takes) = taken.and_then(|line| line.takes.as_ref()) else {
            if lines().any(|line| line.name == args.wrench) {
                return Err(Failure::asked(
                    format!("wrench: \"{}\" is taken for this joint already.", args.wrench),
                    "",
                ));
            }
            let of = format!("{}: ", args.wrench);
            let why = rounds.clone().flat_map(|round| &round.refused);
            let why = why.filter_map(|line| line.strip_prefix(&of)).next();
            let mut names: Vec<&str> = lines().map(|line| line.name.as_str()).collect();
            names.sort_unstable();
            names.dedup();
            let help = match names.as_slice() {
                [] => "No wrench of the garage can do it.".to_owned(),
                names => format!("These can do it: {}.", names.join(", ")),
            };
            return Err(Failure::asked(
                format!(
                    "wrench: \"{}\" cannot do it. {}",
                    args.wrench,
                    why.unwrap_or("The garage does not list it.")
                ),
                help,
            ));
        };
        if let Some(said) = takes.records.first() {
            said.fill(event);
        }
        Ok(())
    })?;
    Ok(Done::Well)
}
