//! Writes one seeded layered machine with its job as a file, for `peers/cpsat_jobs.py`.
//!
//! `cargo run -p lastbolt-order --example write_layered -- ACTIONS SEED DIR` makes
//! `DIR/layered_ACTIONS_SEED.toml` and prints its path.
use std::path::PathBuf;
use std::process::ExitCode;

use lastbolt_testkit::{layered_machine, to_toml};

#[allow(clippy::print_stdout, clippy::print_stderr, reason = "it is run by hand")]
fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [actions, seed, dir] = args.as_slice() else {
        eprintln!("usage: write_layered ACTIONS SEED DIR");
        return ExitCode::from(2);
    };
    let (Ok(actions), Ok(seed)) = (actions.parse::<usize>(), seed.parse::<u64>()) else {
        eprintln!("ACTIONS and SEED are whole numbers");
        return ExitCode::from(2);
    };
    let (machine, job) = layered_machine(seed, actions);
    let path = PathBuf::from(dir).join(format!("layered_{actions}_{seed}.toml"));
    if let Err(error) = std::fs::write(&path, to_toml(&machine, &job)) {
        eprintln!("{}: {error}", path.display());
        return ExitCode::from(2);
    }
    println!("{}", path.display());
    ExitCode::SUCCESS
}
