//! The gates: before the first start, and before the road.

use lastbolt_ledger::Recorded;
use lastbolt_machine::{Kind, ThingNo};

use crate::advance::Now;
use crate::buttons;
use crate::case::Case;
use crate::day::day;
use crate::matters;
use crate::picture::Picture;
use crate::screen::look_text;
use crate::tell::Tell;
use crate::view::{DayGate, Gate, GateLine, GatePassed, GateReason, MatterLine, Point};

/// The name of the gate before the first start, as the event carries it.
pub const FIRST_START: &str = "first start";

/// Gives a gate of a job: everything that is still off, slack, in by hand, not recorded or not
/// looked at, with its place, and what the day asks before it.
pub fn gate_of(picture: &Picture, gate: DayGate, now_ms: i64) -> Gate {
    let points = day(picture, now_ms).before(gate).cloned().collect();
    shut(&picture.case, &picture.records, &picture.now, gate.name(), points)
}

/// Gives the gate before the first start without what the day asks.
pub fn gate(case: &Case, records: &[Recorded], now: &Now) -> Gate {
    shut(case, records, now, FIRST_START, Vec::new())
}

fn shut(case: &Case, records: &[Recorded], now: &Now, name: &str, points: Vec<Point>) -> Gate {
    let tell = Tell { case, live: &now.live, kept: &now.kept };
    let kernel = &case.kernel;
    let mut things: Vec<ThingNo> = now.live.unfinished(kernel).collect();
    things.sort_by_key(|&thing| {
        (kernel.thing(thing).kind == Kind::Prep, tell.tag_number(thing).unwrap_or(u32::MAX))
    });
    let mut lines: Vec<GateLine> = things.iter().map(|&thing| open(tell, thing)).collect();
    for (thing, _) in now.live.not_looked_at(kernel) {
        let costs = now.look_costs.get(kernel.name(thing)).copied().flatten();
        lines.push(GateLine {
            reason: GateReason::NotLookedAt,
            line: tell.open_line(thing, &look_text(now, kernel.name(thing))),
            costs,
            buttons: vec![buttons::looked(tell, thing)],
        });
    }
    let all = matters::view(case, now);
    let blocking: Vec<MatterLine> = all.blocking().cloned().collect();
    let heading = match lines.len() + blocking.len() + points.len() {
        0 => "All home".to_owned(),
        count => format!("Not yet: {count} open"),
    };
    let unfound = all.fell.iter().filter(|line| !line.blocks);
    Gate {
        name: name.to_owned(),
        heading,
        lines,
        matters: blocking,
        points,
        remarks: unfound.chain(all.to_settle()).cloned().collect(),
        passed: passed(records, now, name),
    }
}

fn open(tell: Tell<'_>, thing: ThingNo) -> GateLine {
    let stands = tell.stands(thing);
    let reason = match stands {
        "not recorded" => GateReason::NotRecorded,
        "slack" | "partly out" => GateReason::Slack,
        "in by hand" | "started" => GateReason::ByHand,
        _ => GateReason::Off,
    };
    let buttons = match reason {
        GateReason::NotRecorded => buttons::settle(tell, thing),
        _ => buttons::of_thing(tell, thing),
    };
    GateLine { reason, line: tell.open_line(thing, stands), costs: None, buttons }
}

/// How the gate was passed, unless something was opened or loosened since.
fn passed(records: &[Recorded], now: &Now, name: &str) -> Option<GatePassed> {
    let state = &now.live.state;
    let pass = state.gates.get(name)?;
    let later = state.marks.values().any(|mark| mark.disturbed_by.is_some_and(|by| by > pass.seq))
        || now.matters.last_blocking() > pass.seq;
    let record = records.iter().find(|r| r.seq == pass.seq)?;
    (!later).then(|| GatePassed {
        reason: pass.reason.clone(),
        person: pass.person.clone(),
        said_at_ms: record.event.said_at_ms,
        seq: pass.seq,
    })
}
