//! The command line: wires the rooms, owns no logic.

mod cli;
mod commands;
mod context;
mod failure;
mod from_here;
mod input;
mod live;
mod numbers;
mod order_file;
mod photos;
mod plan_json;
mod say;
mod schema;
mod search;
mod sheet;
mod told;
mod what_ifs;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
