//! The commands and their dispatch.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{CommandFactory, Parser, Subcommand};

use crate::commands;
use crate::context::{Context, Done};
use crate::failure::Failure;

/// Takes a machine apart and back together with nothing missed.
#[derive(Debug, Parser)]
#[command(
    name = "lastbolt",
    version,
    disable_help_subcommand = true,
    after_help = "FILE is a machine file, a job file, or a folder with job.toml or machine.toml. \
                  JOB is a job's id, its folder, or its database.\n\
                  The maker's instructions and local rules always win."
)]
struct Cli {
    /// The garage folder, where jobs are kept [default: lastbolt in your data folder].
    #[arg(long, global = true, value_name = "DIR")]
    garage: Option<PathBuf>,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Check(commands::check::Args),
    Plan(commands::plan::Args),
    Verify(commands::verify::Args),
    Begin(commands::begin::Args),
    Jobs(commands::jobs::Args),
    Open(commands::open::Args),
    Phones(commands::phones::Args),
    Took(commands::took::Args),
    Did(commands::did::Args),
    Correct(commands::correct::Args),
    Fact(commands::notes::Fact),
    Expected(commands::notes::Expected),
    LeaveAlone(commands::notes::LeaveAlone),
    Dropped(commands::notes::Dropped),
    Found(commands::notes::Found),
    PutIn(commands::notes::PutIn),
    TakenOut(commands::notes::TakenOut),
    AllOff(commands::notes::AllOff),
    Day(commands::day::Args),
    Gate(commands::gate::Args),
    Disturbed(commands::disturbed::Args),
    Tick(commands::tick::Tick),
    Note(commands::tick::Note),
    Stand(commands::tick::Stand),
    Resume(commands::tick::Resume),
    GiveUp(commands::give_up::Args),
    Broke(commands::broke::Args),
    Handover(commands::handover::Args),
    Sheet(commands::sheet::Args),
    Due(commands::due::Args),
    Ask(commands::ask::Args),
    Answer(commands::answer::Args),
    TakeBack(commands::take_back::Args),
    Next(commands::next::Args),
    State(commands::state::Args),
    Record(commands::record::Args),
    Export(commands::export::Args),
    Import(commands::import::Args),
    Leftover(commands::leftover::Args),
    Tighten(commands::tighten::Args),
    Photo(commands::photo::Args),
    Backup(commands::backup::Args),
    Restore(commands::restore::Args),
    Garage(commands::garage::Args),
    Schema(commands::schema::Args),
    Completions(commands::completions::Args),
    Man(commands::man::Args),
}

/// Gives the whole command line as data, for completions and the manual.
pub(crate) fn command() -> clap::Command {
    Cli::command()
}

/// Reads the command line, runs the command, and gives the exit code.
pub(crate) fn run() -> ExitCode {
    let cli = Cli::parse();
    let mut context = Context::new(cli.garage);
    let done = dispatch(&cli.command, &mut context);
    let done = done.and_then(|done| context.flush().map(|()| done));
    match done {
        Ok(done) => done.code(),
        Err(failure) => failure.tell(),
    }
}

fn dispatch(command: &Command, context: &mut Context) -> Result<Done, Failure> {
    match command {
        Command::Check(args) => commands::check::run(args, context),
        Command::Plan(args) => commands::plan::run(args, context),
        Command::Verify(args) => commands::verify::run(args, context),
        Command::Begin(args) => commands::begin::run(args, context),
        Command::Jobs(args) => args.run(context),
        Command::Open(args) => commands::open::run(args, context),
        Command::Phones(args) => commands::phones::run(args, context),
        Command::Took(args) => commands::took::run(args, context),
        Command::Did(args) => commands::did::run(args, context),
        Command::Correct(args) => commands::correct::run(args, context),
        Command::Fact(args) => args.run(context),
        Command::Expected(args) => args.run(context),
        Command::LeaveAlone(args) => args.run(context),
        Command::Dropped(args) => args.run(context),
        Command::Found(args) => args.run(context),
        Command::PutIn(args) => args.run(context),
        Command::TakenOut(args) => args.run(context),
        Command::AllOff(args) => args.run(context),
        Command::Day(args) => commands::day::run(args, context),
        Command::Disturbed(args) => commands::disturbed::run(args, context),
        Command::Gate(args) => commands::gate::run(args, context),
        Command::Tick(args) => args.run(context),
        Command::Note(args) => args.run(context),
        Command::Stand(args) => args.run(context),
        Command::Resume(args) => args.run(context),
        Command::GiveUp(args) => args.run(context),
        Command::Broke(args) => args.run(context),
        Command::Handover(args) => args.run(context),
        Command::Sheet(args) => args.run(context),
        Command::Due(args) => args.run(context),
        Command::Ask(args) => commands::ask::run(args, context),
        Command::Answer(args) => commands::answer::run(args, context),
        Command::TakeBack(args) => commands::take_back::run(args, context),
        Command::Next(args) => commands::next::run(args, context),
        Command::State(args) => commands::state::run(args, context),
        Command::Record(args) => commands::record::run(args, context),
        Command::Export(args) => commands::export::run(args, context),
        Command::Import(args) => commands::import::run(args, context),
        Command::Leftover(args) => commands::leftover::run(args, context),
        Command::Tighten(args) => commands::tighten::run(args, context),
        Command::Photo(args) => commands::photo::run(args, context),
        Command::Backup(args) => commands::backup::run(args, context),
        Command::Restore(args) => commands::restore::run(args, context),
        Command::Garage(args) => commands::garage::run(args, context),
        Command::Schema(args) => commands::schema::run(args, context),
        Command::Completions(args) => commands::completions::run(args, context),
        Command::Man(args) => commands::man::run(args, context),
    }
}
