//! `lastbolt completions`.

use clap_complete::Shell;

use crate::cli;
use crate::context::{Context, Done};
use crate::failure::Failure;

/// Prints what makes a shell complete commands, options and file names.
///
/// Put it where your shell looks for completions. For bash, for example:
/// lastbolt completions bash > ~/.local/share/bash-completion/completions/lastbolt
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    /// For which shell.
    #[arg(value_name = "SHELL")]
    shell: Shell,
}

/// Runs the command.
///
/// # Errors
/// Fails when it cannot be written.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut cli::command(), "lastbolt", &mut script);
    context.bytes(&script)?;
    Ok(Done::Well)
}
