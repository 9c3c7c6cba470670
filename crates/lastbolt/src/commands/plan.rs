//! `lastbolt plan`: the order of taking apart and putting back.

use std::time::Duration;

use lastbolt_files::nearest;
use lastbolt_job::{JobModel, about, plan_view, why};
use lastbolt_machine::{Extra, Kernel, Minutes, Problem, compile};
use lastbolt_order::{Answer, Ask, Because, Habit, Plan, Tolerance, tidy};

use crate::context::{Context, Done, aside};
use crate::failure::Failure;
use crate::from_here::say_what_is_tightened;
use crate::input::Input;
use crate::plan_json::{NoPlanJson, PlanJson, WhyJson};
use crate::search::{Ended, Watch, on_interrupt};
use crate::sheet::{Found, sheet};
use crate::told::{Told, file_name};
use crate::ways_in::{WayIn, ways_in};

/// The longest time that may be asked for: a day.
const SECONDS_MAX: f64 = 86_400.0;

/// Works out the order of taking apart and putting back.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Machine file, job file, folder with job.toml, or a job.
    #[arg(value_name = "FILE")]
    file: String,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
    /// Per cent above the least minutes that an order which reads better may take.
    #[arg(long, value_name = "PERCENT", default_value_t = 3.0, value_parser = percent)]
    tolerance: f64,
    /// Takes apart only; putting back is neither listed nor counted.
    #[arg(long)]
    strip_only: bool,
    /// How many people work on it.
    #[arg(long, value_name = "N", default_value_t = 1,
          value_parser = clap::value_parser!(u32).range(1..=20))]
    people: u32,
    /// Longest time to look for the best order, in seconds.
    #[arg(long, value_name = "SECONDS", default_value_t = 10.0, value_parser = seconds)]
    seconds: f64,
    /// Most states of the machine to look at.
    #[arg(long, value_name = "N", default_value_t = 5_000_000)]
    nodes: u64,
    /// Number that decides between equally quick orders.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Says why this part, fixing or connection has to come off.
    #[arg(long, value_name = "ID")]
    why: Option<String>,
    /// Leaves this alone; may be given again.
    #[arg(long, value_name = "ID")]
    leave: Vec<String>,
    /// Takes this off or undoes it too; may be given again.
    #[arg(long, value_name = "ID")]
    also: Vec<String>,
    /// Does without this tool; may be given again.
    #[arg(long, value_name = "TOOL")]
    without: Vec<String>,
    /// Lists the other ways in too, each with its minutes.
    #[arg(long)]
    ways: bool,
}

fn percent(text: &str) -> Result<f64, String> {
    let number: f64 = text.parse().map_err(|_| "write a number, as 3 or 2.5".to_owned())?;
    if (0.0..=100.0).contains(&number) { Ok(number) } else { Err("write 0 to 100".to_owned()) }
}

fn seconds(text: &str) -> Result<f64, String> {
    let number: f64 = text.parse().map_err(|_| "write a number, as 30 or 0.5".to_owned())?;
    let is_fine = number > 0.0 && number <= SECONDS_MAX;
    if is_fine { Ok(number) } else { Err("write more than 0 and at most 86400".to_owned()) }
}

/// Runs the command.
///
/// # Errors
/// Says which name is not known; fails when the answer cannot be written.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let input = Input::bring(&args.file, context);
    let told = |problems: &[Problem]| -> Vec<Told> {
        problems.iter().map(|problem| Told::of(problem, &input.sources)).collect()
    };
    let model = match input.model() {
        Ok((model, _)) => model,
        Err(problems) => return no_plan(args, &problems, context),
    };
    let plain = Extra { minutes: model.minutes.clone(), ..Extra::default() };
    match compile(&model.machine, &model.job, &plain) {
        Ok(kernel) => names_are_known(args, &kernel)?,
        Err(problems) => return no_plan(args, &told(&problems), context),
    }
    let extra = Extra {
        also: args.also.clone(),
        leave: args.leave.clone(),
        without: args.without.clone(),
        ..plain
    };
    match compile(&model.machine, &model.job, &extra) {
        Ok(kernel) => search(args, &Question { input, model, extra, kernel }, context),
        Err(problems) => no_plan(args, &told(&problems), context),
    }
}

/// What is planned.
struct Question {
    input: Input,
    model: JobModel,
    extra: Extra,
    kernel: Kernel,
}

/// Looks whether all that is named on the command line is there, before a long search.
fn names_are_known(args: &Args, kernel: &Kernel) -> Result<(), Failure> {
    let things = kernel.things.iter().map(|thing| thing.name.as_str());
    let named = args.leave.iter().chain(&args.also).chain(&args.why);
    for name in named {
        if kernel.find(name).is_none() {
            let what = "part, fixing, connection or condition";
            return Err(unknown(name, what, things.clone()));
        }
    }
    for name in &args.without {
        if !kernel.tools.contains(name) {
            return Err(unknown(name, "tool", kernel.tools.iter().map(String::as_str)));
        }
    }
    Ok(())
}

fn unknown<'a>(name: &str, what: &str, known: impl Iterator<Item = &'a str>) -> Failure {
    let help = match nearest(name, known) {
        Some(near) => format!("The nearest name is \"{near}\"."),
        None => "Look in the machine file for its name.".to_owned(),
    };
    Failure::asked(format!("No {what} of this machine is called \"{name}\"."), help)
}

fn search(args: &Args, question: &Question, context: &mut Context) -> Result<Done, Failure> {
    if args.people > 1 {
        aside(&format!(
            "note: --people {}: this order is still for one person; two people's day comes later.",
            args.people
        ));
    }
    let watch = Watch::new(Duration::from_secs_f64(args.seconds), on_interrupt());
    let stop = || watch.stop();
    let ask = Ask { strip_only: args.strip_only, nodes: args.nodes, stop: &stop, seed: args.seed };
    let kernel = &question.kernel;
    let answer = lastbolt_order::plan(kernel, &ask);
    let ways = match &answer {
        Answer::Possible(plan) if args.ways => {
            Some(ways_in(&question.model, &question.extra, (kernel, plan), &ask))
        }
        _ => None,
    };
    let ended = watch.end();
    match answer {
        Answer::Possible(plan) => {
            // At most 100,000 thousandths of a per cent, by the reader of the option.
            let tolerance = Tolerance((args.tolerance * 1000.0).round() as u32);
            let habit = Habit { tolerance, seed: args.seed, ..Habit::default() };
            let plan = tidy(kernel, *plan, &habit);
            print(args, question, &plan, ways.as_deref(), ended, context)?;
            Ok(Done::Well)
        }
        Answer::Impossible(because) => no_plan(args, &told_because(&because, question), context),
        Answer::GaveUp { bound, .. } => gave_up(args, bound, context),
    }
}

fn print(
    args: &Args,
    question: &Question,
    plan: &Plan,
    ways: Option<&[WayIn]>,
    ended: Ended,
    context: &mut Context,
) -> Result<(), Failure> {
    let Question { input, model, kernel, .. } = question;
    let mut view = plan_view(model, kernel, plan);
    say_what_is_tightened(&mut view, &model.machine);
    let chain = args.why.as_deref().and_then(|name| kernel.find(name)).map(|thing| {
        let lines = why(kernel, plan, thing);
        lines.iter().map(|line| WhyJson::of(line, input)).collect::<Vec<_>>()
    });
    if args.json {
        return context.json(&PlanJson::of(&view, chain, ways));
    }
    if let Some(chain) = chain {
        return chain.iter().try_for_each(|link| context.line(&link_line(link)));
    }
    if kernel.targets.is_empty() && kernel.open_at_start.is_empty() {
        context.line("Nothing is asked for, so nothing has to come off.")?;
        return context
            .line("    Write what to renew or take off under [job], or ask with --also ID.");
    }
    let found = Found { ended, strip_only: args.strip_only };
    for line in sheet(&view, &found) {
        context.line(&line)?;
    }
    if let Some(ways) = ways {
        context.line("\nWays in")?;
        for way in ways {
            context.line(&way_line(way))?;
        }
    }
    Ok(())
}

fn link_line(link: &WhyJson) -> String {
    match (&link.file, link.line) {
        (Some(file), Some(line)) => format!("{}   ({file}:{line})", link.text),
        _ => link.text.clone(),
    }
}

/// "From below, about 5 h, breaks: tray clips (likely)".
fn way_line(way: &WayIn) -> String {
    let from = match way.from.as_slice() {
        [] => "From wherever one stands".to_owned(),
        from => format!("From {}", from.join(", ")),
    };
    let breaks = if way.breaks.is_empty() { "nothing".to_owned() } else { way.breaks.join(", ") };
    let best = if way.proved { "" } else { " (best found)" };
    format!("    {from}, {}{best}, breaks: {breaks}", about(way.minutes))
}

fn told_because(because: &[Because], question: &Question) -> Vec<Told> {
    let sources = &question.input.sources;
    let told = |reason: &Because| {
        let file = file_name(sources, reason.at);
        let told = Told::error(&file, "not-possible", reason.text.clone(), "");
        Told { line: reason.at.line, column: reason.at.column, ..told }
    };
    because.iter().map(told).collect()
}

/// There is no order, or the files cannot be used.
fn no_plan(args: &Args, problems: &[Told], context: &mut Context) -> Result<Done, Failure> {
    if args.json {
        context.json(&NoPlanJson::impossible(problems))?;
        return Ok(Done::No);
    }
    if problems.iter().any(|told| told.is_error() && told.kind != "not-possible") {
        context.line("There is no plan, because the files cannot be used:")?;
    } else {
        context.line("There is no order for this job. These lines together forbid it:")?;
    }
    for line in problems.iter().filter(|told| told.is_error()).flat_map(Told::lines) {
        context.line(&line)?;
    }
    Ok(Done::No)
}

/// The limits came before any order.
fn gave_up(args: &Args, bound: Minutes, context: &mut Context) -> Result<Done, Failure> {
    let text = "No order was found within the limits; whether there is one is not known.";
    if args.json {
        context.json(&NoPlanJson::not_known(bound, text))?;
    } else {
        context.line(text)?;
        context.line("    Allow more with --seconds and --nodes, or ask for less.")?;
    }
    Ok(Done::No)
}
