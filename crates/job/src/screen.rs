//! The one working screen.

use lastbolt_ledger::{Recorded, Verb};
use lastbolt_machine::kernel::BENCH;
use lastbolt_machine::{Kind, Minutes, ThingNo};

use crate::advance::Now;
use crate::buttons;
use crate::card::card;
use crate::case::{Book, Case};
use crate::counts::{counts, in_plan, off_so_far, still_off};
use crate::matters::{self, put_back, taps};
use crate::pressure;
use crate::quiet;
use crate::record::event_text;
use crate::shown::{self, Shown};
use crate::tell::Tell;
use crate::view::{
    LastRecord, NotRecorded, PassedLook, Phase, Screen, StepLine, StepVerb, ThingLine,
};
use crate::waits;
use crate::walk::Todo;
use crate::words;

/// How many steps stand "next to that".
const NEXT_TO_THAT: usize = 2;

/// Gives the working screen. `now_ms` is the time of day in milliseconds since 1970, UTC: waits
/// that are over are left out.
pub fn screen(case: &Case, records: &[Recorded], now: &Now, now_ms: i64) -> Screen {
    screen_as(case, records, now, now_ms, false)
}

/// Gives the working screen; with `apart` more may come off than the record and any file know.
pub(crate) fn screen_as(
    case: &Case,
    records: &[Recorded],
    now: &Now,
    now_ms: i64,
    apart: bool,
) -> Screen {
    let kernel = &case.kernel;
    let tell = Tell { case, live: &now.live, kept: &now.kept };
    let list = shown::list(case, now);
    let lines = step_lines(tell, now, &list);
    let phase = match phase(case, now, &list) {
        Phase::Finished => Phase::Finished,
        _ if apart => Phase::TakeApart,
        phase => phase,
    };
    let given_up = now.live.state.given_up.clone();
    let todo: Vec<Todo> = list.iter().map(|s| s.todo).collect();
    let split = (1 + NEXT_TO_THAT).min(lines.len());
    let minutes_left = list.iter().map(|s| s.minutes(kernel) + s.change).sum::<Minutes>();
    let side = if phase == Phase::Bench { now.live.phase(case) } else { phase };
    Screen {
        machine: case.model.title(),
        phase,
        heading: if given_up.is_some() { "Given up" } else { heading(phase) }.to_owned(),
        given_up,
        more_may_come_off: apart && phase != Phase::Finished,
        list_may_change: now.kept.is_stopgap,
        purpose: case.model.purpose(),
        at: now
            .live
            .state
            .spot
            .as_ref()
            .map(|s| s.text.clone())
            .or_else(|| now.live.spot.map(|spot| kernel.spots[spot.0].clone())),
        holding: now
            .live
            .state
            .tool
            .as_ref()
            .map(|t| t.text.clone())
            .or_else(|| now.live.tool.map(|tool| kernel.tools[tool.0].clone())),
        next: list.first().filter(|_| phase != Phase::Finished).map(|s| card(tell, now, s)),
        next_to_that: lines.get(1..split).unwrap_or_default().to_vec(),
        rest: lines.get(split..).unwrap_or_default().to_vec(),
        counts: if apart { off_so_far(tell) } else { counts(tell, &todo, side) },
        still_off: still_off(tell),
        bench: lines.iter().filter(|line| line.bench).cloned().collect(),
        waits: waits::running(tell, now_ms),
        not_answered: pressure::not_answered(case, &now.live),
        not_recorded: now.live.not_recorded.iter().map(|t| not_recorded(tell, t)).collect(),
        quiet: quiet::of_now(case, records, now),
        passed_looks: passed_looks(tell, now),
        matters: matters::view(case, now),
        minutes_left,
        bound: now.at_least.min(minutes_left),
        things: kernel.all().map(|thing| thing_line(tell, now, &todo, thing)).collect(),
        last: last(case, records, now),
        seen: now.live.state.last_seq,
    }
}

/// The list as it is shown, a line each.
fn step_lines(tell: Tell<'_>, now: &Now, list: &[Shown]) -> Vec<StepLine> {
    let book = Book::of(tell.case);
    let line = |s: &Shown| {
        let asks = pressure::before_step(tell.case, &now.live, &s.todo).map(|point| point.text);
        StepLine { asks_first: asks, ..book.line(s, tell.tag(s.todo.thing)) }
    };
    list.iter().map(line).collect()
}

/// Every step from here, also of a job that is over.
pub(crate) fn steps_left(tell: Tell<'_>, now: &Now) -> Vec<StepLine> {
    step_lines(tell, now, &shown::list(tell.case, now))
}

fn phase(case: &Case, now: &Now, list: &[Shown]) -> Phase {
    let phase = now.live.phase(case);
    let bench = list.first().is_some_and(|s| {
        s.todo.verb != StepVerb::Look
            && s.todo.kernel_way(&case.kernel).is_some_and(|way| way.spot == Some(BENCH))
    });
    match phase {
        Phase::TakeApart | Phase::PutBack if bench => Phase::Bench,
        other => other,
    }
}

fn heading(phase: Phase) -> &'static str {
    match phase {
        Phase::TakeApart => "Take apart",
        Phase::Bench => "At the bench",
        Phase::PutBack => "Put back",
        Phase::FirstStart => "First start",
        Phase::Finished => "Done",
    }
}

fn not_recorded(tell: Tell<'_>, thing: ThingNo) -> NotRecorded {
    let (are, they) =
        if Book::of(tell.case).count(thing) == 1 { ("is", "it is") } else { ("are", "they are") };
    NotRecorded {
        thing: tell.name(thing).to_owned(),
        text: format!(
            "{} {are} not recorded; what it holds came off, so {they} taken as undone until \
             somebody says.",
            words::large(&tell.counted(thing))
        ),
        buttons: buttons::settle(tell, thing),
        tag: tell.tag(thing),
    }
}

/// "not looked at; reaching it costs about 35 min".
pub(crate) fn look_text(now: &Now, thing: &str) -> String {
    match now.look_costs.get(thing) {
        Some(Some(minutes)) if *minutes == Minutes::ZERO => {
            "not looked at; it can still be seen".to_owned()
        }
        Some(Some(minutes)) => {
            format!("not looked at; reaching it costs {}", words::about(*minutes))
        }
        _ => "not looked at".to_owned(),
    }
}

fn passed_looks(tell: Tell<'_>, now: &Now) -> Vec<PassedLook> {
    let kernel = &tell.case.kernel;
    let look = |(thing, _): (ThingNo, Vec<ThingNo>)| {
        let name = kernel.name(thing);
        PassedLook {
            thing: name.to_owned(),
            text: format!("{}: {}", words::large(&tell.counted(thing)), look_text(now, name)),
            costs: now.look_costs.get(name).copied().flatten(),
            button: buttons::looked(tell, thing),
            tag: tell.tag(thing),
        }
    };
    now.live.not_looked_at(kernel).into_iter().map(look).collect()
}

fn thing_line(tell: Tell<'_>, now: &Now, list: &[Todo], thing: ThingNo) -> ThingLine {
    let kernel = &tell.case.kernel;
    let book = Book::of(tell.case);
    let (kind, pieces) = (book.kind(thing), book.count(thing));
    let text = match kernel.thing(thing).kind {
        Kind::Part => match book.kilograms(thing, &tell.live.open) {
            Some(kg) => format!("part, {}", words::kilograms(kg)),
            None => "part".to_owned(),
        },
        Kind::Tie => words::pieces(pieces, kind),
        Kind::Prep => "make ready".to_owned(),
    };
    ThingLine {
        thing: kernel.name(thing).to_owned(),
        sort: tell.sort(thing),
        kind: kind.to_owned(),
        pieces,
        text,
        stands: tell.stands(thing).to_owned(),
        open: tell.live.open.has(thing) || tell.live.loose.has(thing),
        place: tell.place(thing),
        tag: tell.tag(thing),
        in_plan: in_plan(tell, list, thing),
        buttons: buttons::of_thing(tell, thing),
        taps: taps::of_thing(tell, &now.matters, thing),
        put_back: put_back::put_back(book, &now.matters, thing),
    }
}

/// The last record that stands and can be taken back with one tap.
fn last(case: &Case, records: &[Recorded], now: &Now) -> Option<LastRecord> {
    let withdrawn = &now.live.state.withdrawn;
    let stands = |r: &&Recorded| {
        r.event.verb != Verb::TakeBack
            && !matches!(r.event.verb, Verb::Other(_))
            && !withdrawn.contains(&r.seq)
    };
    let last = records.iter().rev().find(stands)?;
    Some(LastRecord {
        event: last.event.id.as_str().to_owned(),
        seq: last.seq,
        text: event_text(case, &last.event),
        thing: last.event.thing.clone(),
    })
}
