//! `lastbolt import`.

use lastbolt_files::Source;
use lastbolt_files::csv::{List, read_list};
use lastbolt_job::lists::{Entries, entries, events, machine_of_list, preview};
use lastbolt_job::{pieces, read_case};
use lastbolt_ledger::Event;
use lastbolt_machine::FileNo;

use crate::context::{Context, Done, aside};
use crate::failure::Failure;
use crate::input::{read_file, unreadable};
use crate::live::Desk;
use crate::told::Told;

/// Brings a list from a spreadsheet (CSV): shows what it would record; --yes does.
///
/// A line of column names, in any order: part, kind, count, name, place, tool, minutes, note,
/// stands. What is off is recorded by the handful, in the order of the list; what is home is kept
/// as counted before the first bolt. With --machine it prints a machine file instead.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job, and the list; with --machine the list alone.
    #[arg(value_name = "JOB FILE.csv", num_args = 1..=2, required = true)]
    words: Vec<String>,
    /// Prints a machine file of this machine with everything in the list.
    #[arg(long, value_name = "TEXT", conflicts_with_all = ["yes", "off"])]
    machine: Option<String>,
    /// Everything in the list is off, where the list does not say how it stands.
    #[arg(long)]
    off: bool,
    /// Records what was shown.
    #[arg(long)]
    yes: bool,
    /// Who says it.
    #[arg(long = "as", value_name = "PERSON")]
    person: Option<String>,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    match (&args.machine, &args.words[..]) {
        (Some(machine), [file]) => {
            let list = read_whole(file)?;
            let text = machine_file(machine, &list)?;
            context.line(text.trim_end())?;
            Ok(Done::Well)
        }
        (None, [job, file]) => on_job(args, context, job, file),
        (Some(_), _) => Err(Failure::asked(
            "A machine file is made from a list alone.",
            "Write lastbolt import --machine TEXT FILE.csv, without a job.",
        )),
        (None, _) => Err(Failure::asked(
            "It is not said which job the list is for.",
            "Write lastbolt import JOB FILE.csv, or --machine TEXT for a machine file.",
        )),
    }
}

/// Gives the machine file of a list.
///
/// # Errors
/// Says what is wrong with the name of the machine.
pub(crate) fn machine_file(machine: &str, list: &List) -> Result<String, Failure> {
    let machine = machine.split_whitespace().collect::<Vec<_>>().join(" ");
    if machine.is_empty() {
        return Err(Failure::asked("The machine has no name.", "Say it in a few words."));
    }
    let text = machine_of_list(&machine, &list.rows);
    match read_case(&[Source::new("list", text.clone())]) {
        Ok(_) => Ok(text),
        Err(problems) => {
            let first = problems.first().map_or("", |problem| problem.message.as_str());
            Err(Failure::given(
                format!("The list makes no machine that can be used: {first}"),
                "Correct the names in the list.",
            ))
        }
    }
}

/// Reads a list that can be used as a whole; says on standard error what is to be known about it,
/// what is left out as well.
///
/// # Errors
/// Says everything that is wrong with it, line by line.
pub(crate) fn read_whole(file: &str) -> Result<List, Failure> {
    read_with(file, &[])
}

/// Reads a list, and says nothing of these kinds of notes.
fn read_with(file: &str, unsaid: &[&str]) -> Result<List, Failure> {
    let bytes = read_file(file).map_err(|error| {
        let told = unreadable(file, &error);
        Failure::given(format!("{file}: {}", told.message), told.help)
    })?;
    let list = read_list(&bytes, FileNo(0));
    let source = [Source::new(file, "")];
    let told: Vec<Told> = list.problems.iter().map(|p| Told::of(p, &source)).collect();
    let lines = |errors: bool| {
        let said = told.iter().filter(|told| !unsaid.contains(&told.kind));
        let of = said.filter(|told| told.is_error() == errors);
        of.flat_map(Told::lines).collect::<Vec<_>>().join("\n")
    };
    let errors = told.iter().filter(|told| told.is_error()).count();
    if errors > 0 {
        let has = if errors == 1 { "an error".to_owned() } else { format!("{errors} errors") };
        return Err(Failure::given(
            format!("The list has {has}, so nothing of it was used.\n{}", lines(true)),
            "Correct the list and bring it again.",
        ));
    }
    let notes = lines(false);
    if !notes.is_empty() {
        aside(&notes);
    }
    Ok(list)
}

fn on_job(args: &Args, context: &mut Context, job: &str, file: &str) -> Result<Done, Failure> {
    // Those are among what is shown as left out.
    let list = read_with(file, &["double", "unknown-column"])?;
    let desk = Desk::open(context, job)?;
    let entries = entries(&desk.picture, &list.rows, args.off);
    show(context, file, &list, &entries)?;
    if entries.handfuls.is_empty() && entries.counted.is_empty() {
        context.line("There is nothing to record.")?;
        return Ok(Done::Well);
    }
    if !args.yes {
        context.line("Nothing was recorded. Look it over; --yes records it.")?;
        return Ok(Done::Well);
    }
    let events = entries_of(&desk, &entries, args.person.as_deref())?;
    let count = events.len();
    desk.record_all(context, &events)?;
    context.line(&format!("Recorded: {}.", pieces(number(count), "entry")))?;
    Ok(Done::Well)
}

fn show(context: &mut Context, file: &str, list: &List, entries: &Entries) -> Result<(), Failure> {
    let shown = preview(list, entries);
    context.line(&format!("{file}: {}", shown.head))?;
    let lists = [
        ("Came off, in this order:", &shown.came_off),
        ("Counted before the first bolt:", &shown.counted),
        ("Left out:", &shown.left_out),
    ];
    for (heading, lines) in lists.into_iter().filter(|(_, lines)| !lines.is_empty()) {
        context.line(heading)?;
        for line in lines {
            context.line(&format!("  {line}"))?;
        }
    }
    Ok(())
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// Everything as entries, in order.
fn entries_of(desk: &Desk, entries: &Entries, person: Option<&str>) -> Result<Vec<Event>, Failure> {
    let all = events(entries, |verb, id, before| {
        let mut event = desk.event(verb, id)?;
        event.count = event.count.saturating_add(before);
        event.person = person.map(str::to_owned);
        Ok::<Event, Failure>(event)
    })?;
    for event in &all {
        event.check().map_err(|error| Failure::asked(error.to_string(), "Correct the list."))?;
    }
    Ok(all)
}
