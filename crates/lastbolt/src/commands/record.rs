//! `lastbolt record`.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use lastbolt_job::NOTHING_CLAIMED;
use lastbolt_job::view::{OpenLine, RecordLine, RecordView};
use serde_json::{Value, json};

use crate::commands::state::{open_json, open_text};
use crate::commands::took::given;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Prints what was done.
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
    let view = desk.picture.record();
    if args.json {
        context.json(&as_json(&desk, &view))?;
    } else {
        tell(&view, context)?;
    }
    Ok(Done::Well)
}

fn tell(view: &RecordView, context: &mut Context) -> Result<(), Failure> {
    context.say(&match view.purpose.as_str() {
        "" => view.machine.clone(),
        purpose => format!("{}: {purpose}", view.machine),
    })?;
    if let Some(why) = &view.given_up {
        let colon = if why.is_empty() { "" } else { ": " };
        context.say(&format!("Given up{colon}{why}"))?;
        context.say(NOTHING_CLAIMED)?;
    }
    for line in &view.lines {
        context.say(&line_text(line))?;
    }
    let open: [(&str, &Vec<OpenLine>); 4] = [
        ("Not measured", &view.not_measured),
        ("Still off", &view.leftovers),
        ("Not looked at", &view.looks_passed_by),
        ("Not recorded", &view.not_recorded),
    ];
    for (heading, lines) in open {
        if !lines.is_empty() {
            context.say(&format!("{heading}:"))?;
            for line in lines {
                context.say(&format!("  {}", open_text(line)))?;
            }
        }
    }
    let matters =
        [("Still in, or not found", &view.matters), ("Does not look right", &view.remarks)];
    for (heading, lines) in matters {
        if !lines.is_empty() {
            context.say(&format!("{heading}:"))?;
            for line in lines {
                context.say(&format!("  {}", line.text))?;
            }
        }
    }
    if !view.not_checked.is_empty() {
        context.say("Not checked:")?;
        for text in &view.not_checked {
            context.say(&format!("  {text}"))?;
        }
    }
    for joint in &view.joints {
        let rounds = joint.rounds.join("; ");
        let colon = if rounds.is_empty() { "" } else { ": " };
        context.say(&format!("Joint {}, {}{colon}{rounds}", joint.text, joint.how.word()))?;
        for repair in &joint.repaired {
            context.say(&format!("  Thread repaired: {repair}"))?;
        }
    }
    if !view.renewed.is_empty() {
        context.say("New:")?;
        for buy in &view.renewed {
            context.say(&format!("  {} x {} ({})", buy.count, buy.what, buy.because))?;
        }
    }
    context.say("Minutes (planned, worked):")?;
    for stage in &view.stages {
        let worked = stage.worked.map_or("-".to_owned(), |worked| worked.to_string());
        context.say(&format!("  {}: {}, {worked}", stage.stage.word(), stage.planned))?;
    }
    Ok(())
}

fn line_text(line: &RecordLine) -> String {
    let mut text = format!("{}  {}  {}", line.seq, clock(line.said_at_ms), line.text);
    if let Some(tag) = line.tag {
        text.push_str(&format!(" [tag {tag}]"));
    }
    // Some sentences end with the place already.
    let from = line.from.as_ref().filter(|from| !line.text.ends_with(from.as_str()));
    let by = [from, line.tool.as_ref(), line.person.as_ref()];
    let by: Vec<&str> = by.into_iter().flatten().map(String::as_str).collect();
    if !by.is_empty() {
        text.push_str(&format!(" ({})", by.join(", ")));
    }
    if let Some(by) = line.taken_back_by {
        text.push_str(&format!(" -- taken back by {by}"));
    }
    text
}

/// The ids of everything that a line is about, as they are now: those of a handful, else its own.
fn about(desk: &Desk, line: &RecordLine) -> Vec<String> {
    let (part, ties) = given(desk, &line.event);
    let handful: Vec<String> = part.into_iter().chain(ties.into_iter().map(|t| t.name)).collect();
    if handful.is_empty() { line.thing.iter().cloned().collect() } else { handful }
}

/// A time of day where this machine stands, as `2026-03-01 09:30`; with "UTC" where it is that.
pub(crate) fn clock(ms: i64) -> String {
    clock_in(ms, TimeZone::system())
}

fn clock_in(ms: i64, zone: TimeZone) -> String {
    let at = Timestamp::from_millisecond(ms).unwrap_or_default().to_zoned(zone);
    let utc = if at.offset().is_zero() { " UTC" } else { "" };
    format!("{}{utc}", at.strftime("%Y-%m-%d %H:%M"))
}

fn as_json(desk: &Desk, view: &RecordView) -> Value {
    let lines = view.lines.iter().map(|line| {
        json!({
            "seq": line.seq,
            "event": line.event,
            "said_at_ms": line.said_at_ms,
            "kind": line.kind.word(),
            "text": line.text,
            "id": line.thing,
            "ids": about(desk, line),
            "tag": line.tag,
            "person": line.person,
            "from": line.from,
            "tool": line.tool,
            "note": line.note,
            "taken_back_by": line.taken_back_by,
        })
    });
    let open = |lines: &[OpenLine]| lines.iter().map(open_json).collect::<Vec<_>>();
    let stages = view.stages.iter().map(|stage| {
        json!({
            "stage": stage.stage.word(),
            "planned": stage.planned.as_number(),
            "worked": stage.worked.map(lastbolt_machine::Minutes::as_number),
        })
    });
    json!({
        "version": 1,
        "machine": view.machine,
        "purpose": view.purpose,
        "complaint": view.complaint,
        "decided": view.decided,
        "proof": view.proof,
        "odometer": view.odometer,
        "people": view.people,
        "lines": lines.collect::<Vec<_>>(),
        "not_measured": open(&view.not_measured),
        "leftovers": open(&view.leftovers),
        "not_looked_at": open(&view.looks_passed_by),
        "not_recorded": open(&view.not_recorded),
        "joints": view.joints.iter().map(|joint| json!({
            "id": joint.thing, "tightness": joint.how.word(), "rounds": joint.rounds,
            "repaired": joint.repaired,
        })).collect::<Vec<_>>(),
        "broken": view.broken,
        "renewed": view.renewed.iter().map(|buy| json!({
            "what": buy.what, "count": buy.count, "because": buy.because,
        })).collect::<Vec<_>>(),
        "stages": stages.collect::<Vec<_>>(),
        "finished": view.finished,
        "given_up": view.given_up,
        "not_checked": view.not_checked,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The record is read years later: its dates must be right across leap years.
    #[test]
    fn dates() {
        let utc = |ms| clock_in(ms, TimeZone::UTC);
        assert_eq!(utc(0), "1970-01-01 00:00 UTC");
        assert_eq!(utc(951_782_400_000), "2000-02-29 00:00 UTC");
        assert_eq!(utc(1_709_251_140_000), "2024-02-29 23:59 UTC");
        assert_eq!(utc(1_709_251_200_000), "2024-03-01 00:00 UTC");
        assert_eq!(utc(-60_000), "1969-12-31 23:59 UTC");
    }

    /// A job that crosses midnight crosses the garage's own: the day is that of the zone.
    #[test]
    fn the_day_is_the_local_one() {
        let east = || TimeZone::fixed(jiff::tz::offset(5));
        assert_eq!(clock_in(1_709_231_340_000, east()), "2024-02-29 23:29");
        assert_eq!(clock_in(1_709_234_940_000, east()), "2024-03-01 00:29");
        assert_eq!(clock_in(1_709_231_340_000, TimeZone::UTC), "2024-02-29 18:29 UTC");
    }
}
