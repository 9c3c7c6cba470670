//! `lastbolt man`.

use clap_mangen::Man;

use crate::cli;
use crate::context::{Context, Done};
use crate::failure::Failure;

/// Prints the manual page of Lastbolt, or of one command.
///
/// To read it at once: lastbolt man plan | man -l -
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    /// The command; left out, the page of the whole program.
    #[arg(value_name = "COMMAND")]
    of: Option<String>,
}

/// Runs the command.
///
/// # Errors
/// Fails when there is no such command, or it cannot be written.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let mut whole = cli::command();
    whole.build();
    let command = match &args.of {
        None => whole,
        Some(name) => {
            let found = whole.find_subcommand(name).cloned();
            let asked: String = name.chars().take(40).collect();
            found.ok_or_else(|| {
                Failure::asked(
                    format!("There is no command \"{asked}\"."),
                    "lastbolt --help lists them all.",
                )
            })?
        }
    };
    let mut page = Vec::new();
    Man::new(command).render(&mut page)?;
    context.bytes(&page)?;
    Ok(Done::Well)
}
