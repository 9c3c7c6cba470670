//! The gates: before the first start only what it needs to run, and before the road everything.

use lastbolt_ledger::Recorded;
use lastbolt_machine::{End, Kernel, Kind, Set, ThingNo};

use crate::advance::Now;
use crate::buttons;
use crate::case::{Book, Case, Written};
use crate::day::{agreed, broke};
use crate::live::Live;
use crate::matters;
use crate::picture::Picture;
use crate::screen::look_text;
use crate::tell::Tell;
use crate::view::{Day, DayGate, Gate, GateLine, GatePassed, GateReason, MatterLine, Point};

/// The name of the gate before the first start, as the event carries it.
pub const FIRST_START: &str = "first start";

/// Said of a job that was given up, wherever it is shown.
pub const NOTHING_CLAIMED: &str = "Nothing is claimed of this machine: not that it is home, not \
                                   that it is tight, not that it may be started.";

/// Words in names of conditions without which nothing runs (common practice, no source).
const NEEDED_TO_RUN: [&str; 24] = [
    "batter",
    "isolat",
    "disconnect",
    "fuel",
    "petrol",
    "gasoline",
    "diesel",
    "spark",
    "ignition",
    "oil",
    "coolant",
    "water",
    "drain",
    "empt",
    "key",
    "lanyard",
    "belt",
    "air",
    "intake",
    "earth",
    "immobil",
    "engine",
    "power",
    "shut",
];
/// Words of which the name of a road wheel consists, besides the wheel itself.
const WHERE_A_WHEEL_IS: [&str; 17] = [
    "front", "rear", "back", "left", "right", "near", "nearside", "off", "offside", "side", "road",
    "inner", "outer", "hand", "the", "lh", "rh",
];

/// Gives a gate of a job: everything that is still off, slack, in by hand, not recorded or not
/// looked at, with its place, and what the day asks before it.
pub fn gate_of(picture: &Picture, gate: DayGate, day: &Day) -> Gate {
    let mut points: Vec<Point> = day.before(gate).cloned().collect();
    let started = !picture.now.live.state.first_starts.is_empty();
    if gate == DayGate::Road {
        // What was passed by at the first gate holds the second; what broke holds both.
        let first = day.before(DayGate::FirstStart);
        points.extend(first.filter(|point| started || broke::is_it(point)).cloned());
    }
    let mut gate = shut(&picture.case, &picture.records, &picture.now, gate, points);
    if started && gate.given_up.is_none() {
        gate.lapsed = agreed::lapsed(day, &gate.points);
    }
    gate
}

/// Gives the gate before the first start without what the day asks.
pub fn gate(case: &Case, records: &[Recorded], now: &Now) -> Gate {
    shut(case, records, now, DayGate::FirstStart, Vec::new())
}

fn shut(case: &Case, records: &[Recorded], now: &Now, gate: DayGate, points: Vec<Point>) -> Gate {
    let tell = Tell { case, live: &now.live, kept: &now.kept };
    let kernel = &case.kernel;
    let may_wait = match gate {
        DayGate::FirstStart => may_wait(case, &now.live),
        DayGate::Road => kernel.no_things(),
    };
    let mut things: Vec<ThingNo> = now.live.unfinished(kernel).collect();
    things.sort_by_key(|&thing| {
        (kernel.thing(thing).kind == Kind::Prep, tell.tag_number(thing).unwrap_or(u32::MAX))
    });
    let (waiting, asked): (Vec<_>, Vec<_>) =
        things.into_iter().partition(|&thing| may_wait.has(thing));
    let mut lines: Vec<GateLine> = asked.iter().map(|&thing| open(tell, thing)).collect();
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
    let given_up = now.live.state.given_up.clone();
    let unfound = all.fell.iter().filter(|line| !line.blocks);
    Gate {
        name: gate.name().to_owned(),
        heading: match given_up {
            Some(_) => heading_given_up(lines.len() + blocking.len() + waiting.len()),
            None => heading(lines.len() + blocking.len(), !waiting.is_empty()),
        },
        lines,
        waiting: waiting.iter().map(|&it| tell.open_line(it, tell.stands(it))).collect(),
        matters: blocking,
        lapsed: Vec::new(),
        points: if given_up.is_some() { Vec::new() } else { points },
        remarks: unfound.chain(all.to_settle()).cloned().collect(),
        passed: passed(records, now, gate.name()).filter(|_| given_up.is_none()),
        given_up,
    }
}

/// "Not yet: 2 open", "All home", "All home but what may wait".
fn heading(open: usize, waits: bool) -> String {
    match open {
        0 if waits => "All home but what may wait".to_owned(),
        0 => "All home".to_owned(),
        open => format!("Not yet: {open} open"),
    }
}

/// Of a job that was given up: what is open, and never that all is home.
fn heading_given_up(open: usize) -> String {
    match open {
        0 => "Given up: nothing is claimed".to_owned(),
        open => format!("Given up: {open} open"),
    }
}

/// What may be open at the first start: covers that wait for the leak look (R28), road wheels,
/// what holds these, and conditions that they need and that do not keep it from running.
pub(crate) fn may_wait(case: &Case, live: &Live) -> Set {
    let kernel = &case.kernel;
    let mut waits = kernel.leak_look().waits;
    for wheel in kernel.all().filter(|&thing| is_road_wheel(kernel, thing)) {
        waits.add(wheel);
        let own = |end: &End| matches!(end, End::Fixed(_)) || *end == End::Part(wheel);
        let ties = kernel.thing(wheel).ties.iter().copied();
        waits.extend(ties.filter(|&tie| kernel.thing(tie).joins.iter().all(own)));
    }
    let open: Vec<ThingNo> = live.unfinished(kernel).filter(|&it| waits.has(it)).collect();
    let needed = kernel.preps_of(open);
    let book = Book::of(case);
    waits.extend(needed.iter().filter(|&prep| !keeps_from_running(book, prep)));
    waits
}

/// Whether nothing can run while a condition is in force, as far as its name says.
fn keeps_from_running(book: Book<'_>, prep: ThingNo) -> bool {
    let Written::Prep(written) = book.written(prep) else { return false };
    let name = book.kernel.name(prep).to_lowercase();
    written.fluid.is_some() || NEEDED_TO_RUN.iter().any(|word| name.contains(word))
}

/// A wheel on the road and no other: its name says nothing but where it is.
pub(crate) fn is_road_wheel(kernel: &Kernel, thing: ThingNo) -> bool {
    let it = kernel.thing(thing);
    let name = it.name.to_lowercase();
    let mut words = name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let is_wheel = |word: &str| matches!(word, "wheel" | "wheels" | "roadwheel");
    let is_where = |word: &str| WHERE_A_WHEEL_IS.contains(&word) || word.parse::<u8>().is_ok();
    it.kind == Kind::Part
        && name.contains("wheel")
        && words.all(|word| is_wheel(word) || is_where(word))
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

/// How the gate was passed, unless something was opened, loosened or broke since.
fn passed(records: &[Recorded], now: &Now, name: &str) -> Option<GatePassed> {
    let state = &now.live.state;
    let pass = state.gates.get(name)?;
    let broke = state.kept.iter().any(|kept| kept.kind == broke::KIND && kept.seq > pass.seq);
    let later = state.marks.values().any(|mark| mark.disturbed_by.is_some_and(|by| by > pass.seq))
        || now.matters.last_blocking() > pass.seq
        || broke;
    let record = records.iter().find(|r| r.seq == pass.seq)?;
    (!later).then(|| GatePassed {
        reason: pass.reason.clone(),
        person: pass.person.clone(),
        said_at_ms: record.event.said_at_ms,
        seq: pass.seq,
    })
}
