//! `lastbolt check`: everything that is wrong with the files, at once.

use std::time::Duration;

use lastbolt_files::{Document, read};
use lastbolt_floor::hands;
use lastbolt_job::{JobModel, owned};
use lastbolt_machine::{At, Extra, FileNo, compile};
use lastbolt_order::{Answer, Ask, Because};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::input::Input;
use crate::live::now_ms;
use crate::search::Limit;
use crate::told::{Told, file_name};

/// How many states of the machine are looked at for each job.
const NODES: u64 = 8_000;
/// How many are enough where an order is found without search.
const FEW_NODES: u64 = 800;
/// The longest time for each job.
const TIME: Duration = Duration::from_secs(5);

/// Says everything that is wrong with files, with the line and what to do.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Machine, job and garage files, folders with job.toml, or jobs.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<String>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Fails when the answer cannot be written.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let mut all: Vec<Told> = Vec::new();
    for file in &args.files {
        for told in problems(&Input::bring(file, context)) {
            // A machine that stands behind two jobs is read twice.
            if !all.contains(&told) {
                all.push(told);
            }
        }
    }
    if args.json {
        context.json(&all)?;
    } else {
        print(&all, args.files.len(), context)?;
    }
    Ok(if all.iter().any(Told::is_error) { Done::No } else { Done::Well })
}

fn print(all: &[Told], files: usize, context: &mut Context) -> Result<(), Failure> {
    for line in all.iter().flat_map(Told::lines) {
        context.line(&line)?;
    }
    let errors = all.iter().filter(|told| told.is_error()).count();
    let notes = all.len() - errors;
    let checked = count(files, "file");
    context.line(&match (errors, notes) {
        (0, 0) => format!("{checked} checked: nothing wrong."),
        (0, _) => format!("{checked} checked: nothing wrong, {}.", count(notes, "note")),
        (_, 0) => format!("{checked} checked: {}.", count(errors, "error")),
        _ => format!("{checked} checked: {}, {}.", count(errors, "error"), count(notes, "note")),
    })
}

fn count(number: usize, noun: &str) -> String {
    format!("{number} {noun}{}", if number == 1 { "" } else { "s" })
}

/// Everything that is wrong with the files of one FILE.
fn problems(input: &Input) -> Vec<Told> {
    let mut tools = tools(input);
    if !input.has_machine() && input.problems.is_empty() {
        let told = |problem| Told::of(&problem, &input.sources);
        tools.splice(0..0, input.each_by_itself().into_iter().map(told));
        return tools;
    }
    let mut all = match input.model() {
        Err(problems) => problems,
        Ok((model, mut notes)) => {
            notes.extend(order(&model, input));
            notes
        }
    };
    all.extend(tools);
    all
}

/// What is wrong with the wrenches and adapters of a garage file.
fn tools(input: &Input) -> Vec<Told> {
    let count = u16::try_from(input.sources.len()).unwrap_or(u16::MAX);
    let of_file = |file| match read(&input.sources, FileNo(file)).0 {
        Document::Garage(garage) => owned(&garage, None, now_ms()).problems,
        _ => Vec::new(),
    };
    (0..count).flat_map(of_file).map(|problem| Told::of(&problem, &input.sources)).collect()
}

/// What only shows when the job is tried: nothing reaches it, or it never goes back.
fn order(model: &JobModel, input: &Input) -> Vec<Told> {
    let extra = Extra { minutes: model.minutes.clone(), ..Extra::default() };
    let kernel = match compile(&model.machine, &model.job, &extra) {
        Ok(kernel) => kernel,
        Err(problems) => return problems.iter().map(|p| Told::of(p, &input.sources)).collect(),
    };
    let mut all: Vec<Told> = kernel.notes.iter().map(|p| Told::of(p, &input.sources)).collect();
    if kernel.targets.is_empty() && kernel.open_at_start.is_empty() {
        return all;
    }
    let limit = Limit::new(TIME);
    let stop = || limit.is_over();
    let job = model.job.at_line;
    // Any order will do; mostly the first one is there at once.
    let tried = |nodes| {
        lastbolt_order::plan(&kernel, &Ask { nodes, stop: &stop, hands: hands(), ..Ask::default() })
    };
    let answer = match tried(FEW_NODES) {
        Answer::GaveUp { .. } => tried(NODES),
        answer => answer,
    };
    match answer {
        Answer::Possible(_) => {}
        Answer::Impossible(because) => all.extend(impossible(&because, job, input)),
        Answer::GaveUp { .. } => all.push(Told {
            level: "note",
            ..at(job, input, "not-tried-out", NOT_TRIED, "Run plan with more --seconds.")
        }),
    }
    all
}

const NOT_TRIED: &str = "This is too large to try here whether all of it goes back.";

fn impossible(because: &[Because], job: At, input: &Input) -> Vec<Told> {
    if because.is_empty() {
        let text = "What this job asks for cannot be taken apart and put back.";
        return vec![at(job, input, "not-possible", text, "Ask for less, or add how it is done.")];
    }
    let help = match because.len() {
        1 => "As it stands there, no order does this job: change it.",
        _ => "Together with the other lines named, no order does this job: change one of them.",
    };
    let one = |reason: &Because| {
        let place = if reason.at.line == 0 { job } else { reason.at };
        at(place, input, "not-possible", &reason.text, help)
    };
    because.iter().map(one).collect()
}

fn at(at: At, input: &Input, kind: &'static str, message: &str, help: &str) -> Told {
    let told = Told::error(&file_name(&input.sources, at), kind, message.to_owned(), help);
    Told { line: at.line, column: at.column, ..told }
}
