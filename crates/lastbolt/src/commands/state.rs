//! `lastbolt state`.

use lastbolt_job::view::{DayGate, Gate, MatterLine, OpenLine, Screen};
use lastbolt_job::{NOTHING_CLAIMED, with_open};
use serde_json::{Value, json};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, MORE_MAY_COME_OFF, given_up};

/// Says what is still off.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
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
    let screen = desk.screen();
    let gate = desk.gate(DayGate::FirstStart);
    if args.json {
        context.json(&as_json(&screen, &gate))?;
    } else {
        tell(&screen, &gate, context)?;
    }
    Ok(Done::Well)
}

fn tell(screen: &Screen, gate: &Gate, context: &mut Context) -> Result<(), Failure> {
    context.line(&format!("{}: {}", screen.heading, screen.machine))?;
    if screen.more_may_come_off {
        context.line(MORE_MAY_COME_OFF)?;
    }
    if screen.given_up.is_some() {
        context.line(&given_up(screen))?;
        context.line(NOTHING_CLAIMED)?;
    }
    context.line(&screen.still_off.text)?;
    context.line(&format!("Before first start: {}", gate.title()))?;
    for line in &gate.lines {
        context.line(&format!("  {}", open_text(&line.line)))?;
    }
    for line in &gate.matters {
        context.line(&format!("  {}", line.text))?;
    }
    for line in &gate.remarks {
        context.line(&format!("note: {}", line.text))?;
    }
    for count in screen.counts.iter().filter(|count| !count.between.is_empty()) {
        context.line(&format!("  {}", count.text))?;
    }
    if let Some(passed) = &gate.passed {
        let reason = passed.reason.as_deref().unwrap_or("no reason given");
        let who = passed.person.as_deref().unwrap_or("nobody named");
        context.line(&format!("  passed all the same: {reason} ({who})"))?;
        if let Some(text) = with_open(gate) {
            context.line(&format!("note: {text}"))?;
        }
    }
    Ok(())
}

/// "starter cable: off (between starter and loom, from below) [tag 3]".
pub(crate) fn open_text(line: &OpenLine) -> String {
    let place = line.place.as_ref().map_or(String::new(), |place| format!(" ({place})"));
    let tag = line.tag.map_or(String::new(), |tag| format!(" [tag {}]", tag.number));
    format!("{}{place}{tag}", line.text)
}

/// Something open as JSON.
pub(crate) fn open_json(line: &OpenLine) -> Value {
    json!({
        "id": line.thing,
        "text": line.text,
        "stands": line.stands,
        "place": line.place,
        "pieces": line.pieces,
        "tag": line.tag.map(|tag| tag.number),
    })
}

/// What matters besides on and off as JSON.
pub(crate) fn matter_json(line: &MatterLine) -> Value {
    json!({
        "kind": line.kind.word(),
        "text": line.text,
        "about": line.things.iter().map(|thing| &thing.thing).collect::<Vec<_>>(),
        "seq": line.seq,
    })
}

/// How a gate was passed, and what was open or not checked then and is so still.
pub(crate) fn passed_json(gate: &Gate) -> Value {
    json!(gate.passed.as_ref().map(|passed| json!({
        "reason": passed.reason,
        "person": passed.person,
        "seq": passed.seq,
        "open": gate.lines.len() + gate.matters.len(),
        "not_checked": gate.points.len() + gate.lapsed.len(),
        "text": with_open(gate),
    })))
}

fn as_json(screen: &Screen, gate: &Gate) -> Value {
    let counts = screen.counts.iter().map(|count| {
        let between = count.between.iter().map(|(word, pieces)| (word.clone(), json!(pieces)));
        json!({
            "kind": count.kind,
            "done": count.done,
            "all": count.all,
            "between": Value::Object(between.collect()),
            "text": count.text,
        })
    });
    let things = screen.things.iter().map(|thing| {
        json!({
            "id": thing.thing,
            "kind": thing.kind,
            "pieces": thing.pieces,
            "stands": thing.stands,
            "open": thing.open,
            "tag": thing.tag.map(|tag| tag.number),
            "place": thing.place,
        })
    });
    let gate_lines = gate.lines.iter().map(|line| {
        let mut value = open_json(&line.line);
        value["reason"] = json!(line.reason.word());
        value["costs"] = json!(line.costs.map(lastbolt_machine::Minutes::as_number));
        value
    });
    json!({
        "version": 1,
        "phase": screen.phase.word(),
        "given_up": screen.given_up,
        "more_may_come_off": screen.more_may_come_off,
        "at": screen.at,
        "holding": screen.holding,
        "still_off": screen.still_off.text,
        "open": screen.still_off.lines.iter().map(open_json).collect::<Vec<_>>(),
        "counts": counts.collect::<Vec<_>>(),
        "not_recorded": screen.not_recorded.iter().map(|n| &n.thing).collect::<Vec<_>>(),
        "gate": {
            "name": gate.name,
            "heading": gate.heading,
            "lines": gate_lines.collect::<Vec<_>>(),
            "matters": gate.matters.iter().map(matter_json).collect::<Vec<_>>(),
            "remarks": gate.remarks.iter().map(matter_json).collect::<Vec<_>>(),
            "passed": passed_json(gate),
        },
        "things": things.collect::<Vec<_>>(),
        "notes": screen.quiet.iter().map(|q| &q.text).collect::<Vec<_>>(),
        "seen": screen.seen,
    })
}
