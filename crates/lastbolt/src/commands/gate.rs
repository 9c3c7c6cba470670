//! `lastbolt gate`: whether the machine may be started, or go on the road, and what is open.

use lastbolt_job::view::{DayGate, Gate, Point};
use lastbolt_job::with_open;
use lastbolt_machine::Minutes;
use serde_json::{Value, json};

use crate::commands::day::{answers, point_json};
use crate::commands::state::{matter_json, open_json, open_text, passed_json};
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Says what is open before the first start or the road.
///
/// Exit code 1 while the gate is shut. It is passed with `lastbolt did JOB "first start" --do gate`
/// or `lastbolt did JOB road --do gate`; with something open, `--note` says why.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Which gate: "start" or "road".
    #[arg(value_name = "BEFORE", default_value = "start")]
    before: String,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let which = read(&args.before)?;
    let desk = Desk::open(context, &args.job)?;
    let gate = desk.gate(which);
    if args.json {
        context.json(&as_json(&gate))?;
    } else {
        tell(&gate, which, context)?;
    }
    let is_open = gate.is_clear() || gate.passed.is_some();
    Ok(if is_open { Done::Well } else { Done::No })
}

fn read(word: &str) -> Result<DayGate, Failure> {
    match word {
        "start" | "first start" | "first-start" => Ok(DayGate::FirstStart),
        "road" => Ok(DayGate::Road),
        _ => {
            let what = format!("There is no gate before \"{word}\".");
            Err(Failure::asked(what, "Write start or road."))
        }
    }
}

fn tell(gate: &Gate, which: DayGate, context: &mut Context) -> Result<(), Failure> {
    let before = match which {
        DayGate::FirstStart => "Before the first start",
        DayGate::Road => "Before the road",
    };
    context.say(&format!("{before}: {}", gate.title()))?;
    for line in &gate.matters {
        context.say(&format!("  {}", line.text))?;
    }
    for line in &gate.lines {
        context.say(&format!("  {}", open_text(&line.line)))?;
    }
    for point in &gate.points {
        tell_point(point, context)?;
    }
    if !gate.lapsed.is_empty() {
        context.say("Not checked before the first start:")?;
        for point in &gate.lapsed {
            tell_point(point, context)?;
        }
    }
    if !gate.waiting.is_empty() {
        context.say("May wait until before the road:")?;
        for line in &gate.waiting {
            context.say(&format!("  {}", open_text(line)))?;
        }
    }
    for line in &gate.remarks {
        context.say(&format!("note: {}", line.text))?;
    }
    if let Some(passed) = &gate.passed {
        let reason = passed.reason.as_deref().unwrap_or("no reason given");
        let who = passed.person.as_deref().unwrap_or("nobody named");
        context.say(&format!("Passed: {reason} ({who})"))?;
        if let Some(text) = with_open(gate) {
            context.say(&format!("note: {text}"))?;
        }
    }
    Ok(())
}

fn tell_point(point: &Point, context: &mut Context) -> Result<(), Failure> {
    let about = point.thing.as_ref().map(|thing| format!(" --thing \"{thing}\""));
    let how = format!("{}{}", point.id, about.unwrap_or_default());
    context.say(&format!("  [ ] {} ({how})", point.text))?;
    for caution in &point.cautions {
        context.say(&format!("      Caution: {caution}"))?;
    }
    for line in &point.detail {
        context.say(&format!("      {line}"))?;
    }
    match answers(point) {
        Some(answers) => context.say(&format!("      {answers}")),
        None => Ok(()),
    }
}

fn as_json(gate: &Gate) -> Value {
    let lines = gate.lines.iter().map(|line| {
        let mut value = open_json(&line.line);
        value["reason"] = json!(line.reason.word());
        value["costs"] = json!(line.costs.map(Minutes::as_number));
        value
    });
    json!({
        "version": 1,
        "name": gate.name,
        "heading": gate.heading,
        "shut": !gate.is_clear() && gate.passed.is_none(),
        "lines": lines.collect::<Vec<_>>(),
        "waiting": gate.waiting.iter().map(open_json).collect::<Vec<_>>(),
        "matters": gate.matters.iter().map(matter_json).collect::<Vec<_>>(),
        "points": gate.points.iter().map(point_json).collect::<Vec<_>>(),
        "remarks": gate.remarks.iter().map(matter_json).collect::<Vec<_>>(),
        "lapsed": gate.lapsed.iter().map(point_json).collect::<Vec<_>>(),
        "given_up": gate.given_up,
        "passed": passed_json(gate),
    })
}
