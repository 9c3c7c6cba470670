//! The command line: wires the rooms, owns no logic.

mod cli;
mod commands;
mod context;
mod failure;
mod input;
mod live;
mod numbers;
mod told;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
