//! `lastbolt tighten card`.

use lastbolt_job::view::{JointCard, RoundDone, RoundLine, WrenchLine};
use lastbolt_job::{HeldText, joint, joints, with_twins};
use serde_json::{Value, json};

use crate::commands::tighten::joint_of;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, now_ms};

/// Prints the card of a joint of a job: its rounds, the wrench for each, what is done.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The joint: the fixing's name; left out, all of them are listed.
    #[arg(value_name = "JOINT")]
    joint: Option<String>,
    /// The adapter that is used: its name in the garage's file, or its length ("60 mm").
    #[arg(long, value_name = "ADAPTER")]
    adapter: Option<String>,
    /// Degrees between wrench and adapter: 0 straight ahead, 90 across.
    #[arg(long, value_name = "DEGREES", default_value_t = 90.0)]
    degrees: f64,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    let names = joints(&desk.picture);
    let Some(name) = &args.joint else {
        if args.json {
            context.json(&json!({ "version": 1, "joints": names }))?;
        } else {
            for name in &names {
                context.line(name)?;
            }
        }
        return Ok(Done::Well);
    };
    let adapter = args.adapter.clone();
    let held = adapter.map(|adapter| HeldText { adapter, degrees: args.degrees });
    let name = joint_of(&desk, name)?;
    let card = joint(&desk.picture, &name, held.as_ref(), now_ms())
        .ok_or_else(|| Failure::asked(format!("\"{name}\" has no card."), ""))?;
    if args.json {
        context.json(&as_json(&card))?;
    } else {
        tell(&card, context)?;
    }
    Ok(Done::Well)
}

fn tell(card: &JointCard, context: &mut Context) -> Result<(), Failure> {
    let screws = card.screws.as_ref().map_or(String::new(), |screws| format!(", {screws}"));
    context.line(&format!("{}: {}{screws}, {}", card.title, card.counted, card.stands))?;
    for ask in card.asks.iter().filter(|ask| !ask.settled) {
        let how = format!("lastbolt tick JOB {} ANSWER --thing \"{}\"", ask.id, card.thing);
        context.line(&format!("  To answer: {} ({how})", ask.text))?;
        for line in &ask.detail {
            context.line(&format!("      {line}"))?;
        }
    }
    for line in card.order.iter().chain(&card.troubles).chain(&card.kind_lines) {
        context.line(&format!("  {line}"))?;
    }
    if let Some(drawing) = &card.drawing {
        for (number, screw) in &drawing.screws {
            context.line(&format!("  {number}: {screw}"))?;
        }
    }
    if let Some(go_on) = &card.resume {
        context.line(&format!("  Round {} was broken off. {}", go_on.round, go_on.text()))?;
        if let Some(care) = &go_on.care {
            context.line(&format!("    Caution: {care}"))?;
        }
    }
    for repair in &card.repaired {
        context.line(&format!("  Thread repaired: {repair}"))?;
    }
    for (at, round) in card.rounds.iter().enumerate() {
        tell_round(round, card.next == Some(at), context)?;
    }
    for line in card.after_lines.iter().chain(&card.estimate) {
        context.line(&format!("  {line}"))?;
    }
    for line in card.doubts.iter().chain(&card.notes).chain(&card.slackening) {
        context.line(&format!("  {line}"))?;
    }
    context.line("  The maker's value wins, always.")
}

fn tell_round(round: &RoundLine, is_next: bool, context: &mut Context) -> Result<(), Failure> {
    for line in &round.before {
        context.line(&format!("    first: {line}"))?;
    }
    let mark = match (&round.done, is_next) {
        (Some(done), _) if done.is_whole() => "x",
        (_, true) => ">",
        _ => " ",
    };
    let display = context.display();
    let text = with_twins(&round.text, display.units, |number| display.number(number));
    context.line(&format!("  {mark} Round {}: {text}", round.number))?;
    if let Some(done) = &round.done {
        context.line(&format!("      {}", done_text(done)))?;
    }
    if let Some(not_chosen) = &round.not_chosen {
        context.line(&format!("      not this round with {not_chosen}"))?;
    }
    for wrench in &round.wrenches {
        let or = if wrench.used { "" } else { "or " };
        let by = wrench.tolerance.as_ref().map_or(String::new(), |by| format!(", {by}"));
        let band = wrench.band.as_ref().map_or(String::new(), |band| format!(" ({band}{by})"));
        context.line(&format!("      {or}{}: set to {}{band}", wrench.name, wrench.setting))?;
        for warning in wrench.warnings.iter().filter(|_| is_next) {
            context.line(&format!("        {warning}"))?;
        }
        if wrench.used && is_next {
            context.line(&format!("        {}", wrench.calibration))?;
        }
    }
    for line in round.refused.iter().filter(|_| round.no_wrench.is_none()) {
        context.line(&format!("      not with {line}"))?;
    }
    match &round.no_wrench {
        Some(none) => context.line(&format!("      {none}")),
        None => Ok(()),
    }
}

fn done_text(done: &RoundDone) -> String {
    let how = match (done.pieces, done.by_hand) {
        (Some(pieces), _) => format!("as far as screw {pieces}"),
        (None, true) => "done, not measured".to_owned(),
        (None, false) => "done".to_owned(),
    };
    if done.text.is_empty() { how } else { format!("{how}: {}", done.text) }
}

fn as_json(card: &JointCard) -> Value {
    let ask = |ask: &lastbolt_job::view::Point| {
        json!({ "point": ask.id, "text": ask.text, "settled": ask.settled,
                "answer": ask.said.as_ref().map(|said| &said.answer) })
    };
    json!({
        "version": 1,
        "joint": card.thing,
        "pieces": card.pieces,
        "screws": card.screws,
        "stands": card.stands,
        "asks": card.asks.iter().map(ask).collect::<Vec<_>>(),
        "rounds": card.rounds.iter().map(round_json).collect::<Vec<_>>(),
        "next": card.next.map(|at| at + 1),
        "resume": card.resume.as_ref().map(|on| json!({
            "round": on.round, "done": on.done, "left": on.left, "next": on.left.first(),
            "care": on.care,
        })),
        "repaired": card.repaired,
        "order": card.order,
        "holes": card.drawing.as_ref().map(|drawing| {
            drawing.drawing.heads.iter().map(|head| head.number).collect::<Vec<_>>()
        }),
        "lengths": card.drawing.as_ref().map(|drawing| {
            drawing.drawing.heads.iter().map(|head| &head.length).collect::<Vec<_>>()
        }),
        "kind": card.kind_lines.iter().chain(&card.after_lines).collect::<Vec<_>>(),
        "estimate": card.estimate,
        "troubles": card.troubles,
        "doubts": card.doubts,
        "notes": card.notes,
        "slackening": card.slackening,
    })
}

fn round_json(round: &RoundLine) -> Value {
    let wrench = |wrench: &WrenchLine| {
        json!({ "name": wrench.name, "used": wrench.used, "setting": wrench.setting,
                "band": wrench.band, "tolerance": wrench.tolerance,
                "from_memory": wrench.from_memory, "calibrated": wrench.calibrated,
                "calibration": wrench.calibration, "warnings": wrench.warnings })
    };
    json!({
        "round": round.number,
        "text": round.text,
        "before": round.before,
        "measured": round.is_measured,
        "wrenches": round.wrenches.iter().map(wrench).collect::<Vec<_>>(),
        "refused": round.refused,
        "not_chosen": round.not_chosen,
        "no_wrench": round.no_wrench,
        "done": round.done.as_ref().map(|done| json!({
            "as_far_as": done.pieces, "by_hand": done.by_hand, "text": done.text,
            "said_at_ms": done.said_at_ms,
        })),
    })
}
