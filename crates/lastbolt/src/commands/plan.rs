//! `lastbolt plan`: the order of taking apart and putting back.

use std::time::Duration;

use lastbolt_files::nearest;
use lastbolt_floor::{Own, hands};
use lastbolt_job::view::PlanView;
use lastbolt_job::{JobModel, Wishes, no_wrench, plan_view};
use lastbolt_machine::{At, Kernel, Minutes, Problem};
use lastbolt_order::{Answer, Ask, Because, Plan, Wish, plan_also, plan_to_gap, plan_under};
use lastbolt_order::{Habit, Tolerance, tidy, under, why_not};

use crate::context::{Context, Done, aside};
use crate::failure::Failure;
use crate::from_here::say_what_is_tightened;
use crate::input::Input;
use crate::plan_json::{NoPlanJson, PlanJson};
use crate::search::{Ended, Watch, on_interrupt};
use crate::sheet::{Found, sheet};
use crate::told::{Told, file_name};
use crate::what_ifs::{Known, WhatIfs, without_also};

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
    /// Ends as soon as the order found is proved to be this near to the least, in per cent.
    #[arg(long, value_name = "PERCENT", default_value_t = 0.0, value_parser = percent)]
    gap: f64,
    /// Number that decides between equally quick orders.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Says why this part, fixing or connection has to come off, what comes before and after it,
    /// and what leaving it costs.
    #[arg(long, value_name = "ID")]
    pub(crate) why: Option<String>,
    /// Leaves this alone, and says what that costs; may be given again.
    #[arg(long, value_name = "ID")]
    leave: Vec<String>,
    /// Renews this too, and says what that adds; may be given again. Without ID: says it of each
    /// thing under `consider` of the job file.
    #[arg(long, value_name = "ID", num_args = 0..=1, default_missing_value = "")]
    also: Vec<String>,
    /// Does without this tool; may be given again.
    #[arg(long, value_name = "TOOL")]
    without: Vec<String>,
    /// Does nothing from this place; may be given again.
    #[arg(long, value_name = "PLACE")]
    not_from: Vec<String>,
    /// Lists up to three really different ways in, each with its minutes.
    #[arg(long)]
    pub(crate) ways: bool,
}

impl Args {
    /// The things to renew too, as named.
    pub(crate) fn also(&self) -> Vec<String> {
        self.also.iter().filter(|name| !name.is_empty()).cloned().collect()
    }

    /// Says whether the things under `consider` are asked about.
    pub(crate) fn considers(&self) -> bool {
        self.also.iter().any(String::is_empty)
    }

    /// The wishes of the command line.
    pub(crate) fn besides(&self) -> Wishes {
        Wishes {
            leave: self.leave.clone(),
            without: self.without.clone(),
            not_from: self.not_from.clone(),
        }
    }

    /// Says whether something is to be planned besides the plan itself.
    fn asks_more(&self) -> bool {
        self.ways || self.why.is_some() || !self.also.is_empty() || !self.besides().is_empty()
    }
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
    let plain = match model.kernel() {
        Ok(kernel) => kernel,
        Err(problems) => return no_plan(args, &told(&problems), context),
    };
    names_are_known(args, &plain)?;
    let model = model.with_also(&args.also());
    match Question::new(input, model, args) {
        Ok(question) => search(args, &question, context),
        Err((input, problems)) => {
            let told: Vec<Told> =
                problems.iter().map(|problem| Told::of(problem, &input.sources)).collect();
            no_plan(args, &told, context)
        }
    }
}

/// What is planned.
pub(crate) struct Question {
    pub(crate) input: Input,
    /// With what is renewed too.
    pub(crate) model: JobModel,
    /// The kernel without wishes.
    pub(crate) free: Kernel,
    /// The wishes of the job file and of the command line.
    pub(crate) wishes: Vec<(Wish, At)>,
    /// The kernel under the wishes.
    pub(crate) kernel: Kernel,
}

impl Question {
    fn new(input: Input, model: JobModel, args: &Args) -> Result<Self, (Input, Vec<Problem>)> {
        let free = match model.free().kernel() {
            Ok(kernel) => kernel,
            Err(problems) => return Err((input, problems)),
        };
        let wishes = model.wishes(&free, &args.besides());
        let only: Vec<Wish> = wishes.iter().map(|(wish, _)| *wish).collect();
        let kernel = under(free.clone(), &only);
        Ok(Self { input, model, free, wishes, kernel })
    }

    /// The same question for other things to renew, under the same wishes.
    pub(crate) fn kernel_for(&self, model: &JobModel) -> Option<Kernel> {
        let only: Vec<Wish> = self.wishes.iter().map(|(wish, _)| *wish).collect();
        Some(under(model.free().kernel().ok()?, &only))
    }
}

/// Looks whether all that is named on the command line is there, before a long search.
fn names_are_known(args: &Args, kernel: &Kernel) -> Result<(), Failure> {
    let things = kernel.things.iter().map(|thing| thing.name.as_str());
    let also = args.also();
    let named = args.leave.iter().chain(&also).chain(&args.why);
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
    for name in &args.not_from {
        if !kernel.spots.contains(name) {
            return Err(unknown(name, "place", kernel.spots.iter().map(String::as_str)));
        }
    }
    Ok(())
}

fn unknown<'a>(name: &str, what: &str, known: impl Iterator<Item = &'a str>) -> Failure {
    let help = match nearest(name, known) {
        Some(near) => format!("The nearest name is \"{near}\"."),
        None => "Look in the machine file for its name; of a job, lastbolt state JOB --json lists \
                 every name."
            .to_owned(),
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
    let half = if args.asks_more() { 2 } else { 1 };
    let stop = || watch.stop_after(half);
    let ask = Ask {
        strip_only: args.strip_only,
        nodes: args.nodes,
        stop: &stop,
        seed: args.seed,
        hands: hands(),
    };
    let (base, answer) = answer(args, question, &ask);
    match answer {
        Answer::Possible(plan) => {
            // What is an order with more to renew is one without it; but no bound for that.
            let bound = if args.also().is_empty() { plan.bound } else { Minutes::ZERO };
            let same = Plan { bound, proved: plan.proved && bound == plan.bound, ..*plan.clone() };
            let known = Known { question, plan: &plan, base: base.as_ref().unwrap_or(&same) };
            let what_ifs = WhatIfs::of(args, &known, &watch, &ask);
            let ended = watch.end();
            // At most 100,000 thousandths of a per cent, by the reader of the option.
            let tolerance = Tolerance((args.tolerance * 1000.0).round() as u32);
            let habit = Habit { tolerance, seed: args.seed, ..Habit::default() };
            let plan = tidy(&question.kernel, Plan::clone(&plan), &habit);
            print(args, question, &plan, &what_ifs, ended, context)?;
            Ok(Done::Well)
        }
        Answer::Impossible(because) => {
            watch.end();
            no_plan(args, &told_because(&because, question), context)
        }
        Answer::GaveUp { bound, .. } => {
            watch.end();
            gave_up(args, bound, context)
        }
    }
}

/// The plan without what is renewed too (where something is), and the plan.
fn answer(args: &Args, question: &Question, ask: &Ask<'_>) -> (Option<Plan>, Answer) {
    let Question { free, wishes, kernel, model, .. } = question;
    let also = args.also();
    let plain = without_also(model, &also);
    let base = if also.is_empty() { None } else { question.kernel_for(&plain) };
    if let Some(base) = base
        && let Answer::Possible(base) =
            plan_to_gap(ask, args.gap, &|ask| lastbolt_order::plan(&base, ask))
    {
        let answer = match plan_also(kernel, &base, ask) {
            Answer::Impossible(_) => Answer::Impossible(reasons(free, wishes, ask)),
            answer => answer,
        };
        return (Some(*base), answer);
    }
    (None, plan_to_gap(ask, args.gap, &|ask| plan_under(free, wishes, ask)))
}

/// The reasons of what is known to be impossible, whatever time is left.
fn reasons(free: &Kernel, wishes: &[(Wish, At)], ask: &Ask<'_>) -> Vec<Because> {
    why_not(free, wishes, &Ask { stop: &|| false, ..*ask })
}

fn print(
    args: &Args,
    question: &Question,
    plan: &Plan,
    what_ifs: &WhatIfs,
    ended: Ended,
    context: &mut Context,
) -> Result<(), Failure> {
    let Question { input, model, kernel, .. } = question;
    let mut view = plan_view(model, kernel, plan);
    say_what_is_tightened(&mut view, &model.machine);
    let no_wrench = wrenches_wanted(&view, model, context);
    if args.json {
        return context.json(&PlanJson::of(&view, what_ifs, input).with_wrenches(no_wrench));
    }
    if args.why.is_some() {
        return what_ifs.why_lines(input).iter().try_for_each(|line| context.line(line));
    }
    if kernel.targets.is_empty() && kernel.open_at_start.is_empty() {
        context.line("Nothing is asked for, so nothing has to come off.")?;
        return context
            .line("    Write what to renew or take off under [job], or ask with --also ID.");
    }
    let found = Found { ended, strip_only: args.strip_only, no_wrench };
    for line in sheet(&view, &found).into_iter().chain(what_ifs.lines()) {
        context.line(&line)?;
    }
    Ok(())
}

/// What of the way back no torque wrench can do: of those that the garage lists now, else of those
/// in the garage file beside the job.
fn wrenches_wanted(view: &PlanView, model: &JobModel, context: &Context) -> Vec<String> {
    let things: Vec<&str> = view.build.iter().map(|step| step.line.thing.as_str()).collect();
    let is_there = context.garage_dir().is_ok_and(|dir| dir.is_dir());
    let own = is_there.then(|| context.garage().ok()).flatten().map(|garage| Own::read(&garage));
    let own = own.filter(|own| own.text.is_some()).map(|own| own.spec);
    no_wrench(model, own.as_ref().unwrap_or(&model.garage), &things)
}

fn told_because(because: &[Because], question: &Question) -> Vec<Told> {
    let sources = &question.input.sources;
    let told = |reason: &Because| {
        let file = match reason.at.line {
            0 => "as asked".to_owned(),
            _ => file_name(sources, reason.at),
        };
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
