//! The record of a job: what was done, by whom, when, and what was left.

use std::collections::BTreeSet;

use lastbolt_ledger::{Entry, Event, Recorded, Standing, Verb, history};
use lastbolt_machine::{Kind, Minutes, Ref, ThingNo};

use crate::advance::Now;
use crate::case::{Book, Case};
use crate::day::broke::KIND;
use crate::line::value_text;
use crate::matters;
use crate::screen::look_text;
use crate::tell::Tell;
use crate::tightness::joints;
use crate::view::{Buy, RecordKind, RecordLine, RecordView, Stage, StageMinutes, StepVerb};
use crate::words;

/// A gap between two records longer than this is a pause and not counted as worked.
const PAUSE_MS: i64 = 45 * 60 * 1000;

/// Gives the record of a job.
pub fn record(case: &Case, records: &[Recorded], now: &Now) -> RecordView {
    let tell = Tell { case, live: &now.live, kept: &now.kept };
    let kernel = &case.kernel;
    let live = &now.live;
    let job = &case.model.job;
    let lines: Vec<RecordLine> = history(records).map(|e| line(tell, records, e)).collect();
    let standing = |line: &&RecordLine| line.taken_back_by.is_none();
    let of = |kind: RecordKind| -> Vec<RecordLine> {
        lines.iter().filter(standing).filter(|line| line.kind == kind).cloned().collect()
    };
    let open_lines = |things: &mut dyn Iterator<Item = ThingNo>| {
        things.map(|thing| tell.open_line(thing, tell.stands(thing))).collect::<Vec<_>>()
    };
    let not_measured = |thing: &ThingNo| {
        live.mark(kernel, *thing).is_some_and(|m| m.standing == Standing::NotMeasured)
    };
    let texts = |refs: &[Ref]| refs.iter().map(|r| r.value.clone()).collect::<Vec<_>>();
    let looks = live.not_looked_at(kernel).into_iter();
    let matters = matters::view(case, now);
    RecordView {
        machine: case.model.title(),
        purpose: case.model.purpose(),
        complaint: texts(&job.complaint),
        decided: texts(&job.decided),
        proof: texts(&job.proof),
        odometer: job.odometer.as_ref().map(value_text),
        people: people(records),
        not_measured: open_lines(&mut kernel.all().filter(not_measured)),
        leftovers: open_lines(&mut live.unfinished(kernel)),
        looks_passed_by: looks
            .map(|(thing, _)| tell.open_line(thing, &look_text(now, kernel.name(thing))))
            .collect(),
        not_checked: Vec::new(),
        not_recorded: open_lines(&mut live.not_recorded.iter()),
        matters: matters.still_in.iter().chain(&matters.fell).cloned().collect(),
        remarks: matters.to_settle().cloned().collect(),
        gates: of(RecordKind::Gate),
        first_starts: of(RecordKind::FirstStart),
        notes: of(RecordKind::Note),
        renewed: renewed(tell),
        joints: joints(tell),
        broken: broken(tell),
        stages: stages(tell, records),
        finished: live.state.is_finished(),
        given_up: live.state.given_up.clone(),
        lines,
    }
}

/// What broke, and how it was settled.
fn broken(tell: Tell<'_>) -> Vec<String> {
    let state = &tell.live.state;
    let broke = state.kept.iter().filter(|kept| kept.kind == KIND);
    let text = |kept: &lastbolt_ledger::Kept| {
        let name = kept.thing.as_ref().map(|thing| format!("{}: ", words::large(thing)));
        let ends = state.ticks.get(&(format!("broke.{}", kept.seq), kept.thing.clone()));
        let ends = ends
            .map_or_else(|| "not settled".to_owned(), |tick| format!("settled: {}", tick.answer));
        format!("{}{}; {ends}", name.unwrap_or_default(), kept.text)
    };
    broke.map(text).collect()
}

fn people(records: &[Recorded]) -> Vec<String> {
    let mut seen = BTreeSet::new();
    let names = records.iter().filter_map(|r| r.event.person.as_ref());
    names.filter(|name| seen.insert(*name)).cloned().collect()
}

fn line(tell: Tell<'_>, records: &[Recorded], entry: Entry<'_>) -> RecordLine {
    let event = &entry.recorded.event;
    let thing = event.thing.as_deref().and_then(|name| tell.case.kernel.find(name));
    let text = match (&event.verb, &event.of) {
        (Verb::TakeBack, Some(of)) => {
            let target = records.iter().find(|r| r.event.id == *of);
            let what = target.map_or_else(|| of.to_string(), |r| event_text(tell.case, &r.event));
            format!("Taken back: {what}")
        }
        _ => event_text(tell.case, event),
    };
    RecordLine {
        seq: entry.recorded.seq,
        event: event.id.as_str().to_owned(),
        said_at_ms: event.said_at_ms,
        kind: kind_of(event),
        text,
        thing: event.thing.clone(),
        tag: thing.and_then(|thing| tell.tag_number(thing)),
        person: event.person.clone(),
        from: event.spot.clone(),
        tool: event.tool.clone(),
        note: event.note.clone(),
        taken_back_by: entry.withdrawn_by,
    }
}

fn kind_of(event: &Event) -> RecordKind {
    match event.verb {
        Verb::Undo | Verb::Make | Verb::Tighten if event.pieces.is_some() => RecordKind::Between,
        Verb::Off | Verb::Undo | Verb::Prep | Verb::Took => RecordKind::Opened,
        Verb::On
        | Verb::Make
        | Verb::End
        | Verb::Tighten
        | Verb::NotMeasured
        | Verb::Home
        | Verb::Round => RecordKind::Closed,
        Verb::LeftStanding | Verb::Resumed => RecordKind::Job,
        Verb::Start | Verb::Slack | Verb::ByHand => RecordKind::Between,
        Verb::Looked => RecordKind::Look,
        Verb::PassedBy => RecordKind::PassedBy,
        Verb::Moved => RecordKind::Moved,
        Verb::Gate => RecordKind::Gate,
        Verb::FirstStart => RecordKind::FirstStart,
        Verb::TakeBack => RecordKind::TakenBack,
        Verb::Finished | Verb::Reopened => RecordKind::Job,
        Verb::Photo | Verb::Pin | Verb::Private => RecordKind::Photo,
        _ => RecordKind::Note,
    }
}

/// What an event says, in a sentence: "Starter screws: 2 screws out".
pub(crate) fn event_text(case: &Case, event: &Event) -> String {
    let name = event.thing.as_deref().map(words::large).unwrap_or_default();
    let thing = event.thing.as_deref().and_then(|thing| case.kernel.find(thing));
    let book = Book::of(case);
    let (kind, count) = thing.map_or(("fixing", 1), |t| (book.kind(t), book.count(t)));
    let pieces = event.pieces.unwrap_or(count);
    let of = if event.pieces.is_some() && pieces < count {
        format!(" (of {count})")
    } else {
        String::new()
    };
    let tie = |verb| format!("{name}: {}{of}", words::done(verb, kind, pieces));
    let note = event.note.as_deref().unwrap_or("no reason given");
    match &event.verb {
        Verb::Off => format!("{name} off"),
        Verb::On => format!("{name} on"),
        Verb::Undo => tie(StepVerb::Undo),
        Verb::Make => tie(StepVerb::Make),
        Verb::Start => tie(StepVerb::Start),
        Verb::Tighten => tie(StepVerb::Tighten),
        Verb::Slack => format!("{name}: slackened{of}"),
        Verb::ByHand => format!("{name}: in by hand{of}"),
        Verb::NotMeasured if thing.is_some_and(|t| case.kernel.thing(t).kind != Kind::Tie) => {
            format!("{name}: home, not measured")
        }
        Verb::NotMeasured => format!("{name}: tight, not measured"),
        Verb::Prep => format!("{name}: done"),
        Verb::End => format!("{name}: back to normal"),
        Verb::Looked => format!("{name}: looked, pushed, tugged"),
        Verb::PassedBy => format!("{name}: look passed by"),
        Verb::Moved => moved(event),
        Verb::Settled => format!("{name}: {note}"),
        Verb::Gate => format!("Passed \"{}\": {note}", event.thing.as_deref().unwrap_or("gate")),
        Verb::FirstStart => format!("First start: {note}"),
        Verb::Said if name.is_empty() => note.to_owned(),
        Verb::Said => format!("{name}: {note}"),
        Verb::TakeBack => "Taken back".to_owned(),
        Verb::Finished if event.gives_up() => match event.note.as_deref() {
            Some(why) => format!("Job given up: {why}"),
            None => "Job given up".to_owned(),
        },
        Verb::Finished => "Handed over".to_owned(),
        Verb::Reopened => "Opened again".to_owned(),
        _ => crate::entry_text::entry_text(event),
    }
}

fn moved(event: &Event) -> String {
    let spot = event.spot.as_ref().map(|spot| format!("now at {spot}"));
    let tool = event.tool.as_ref().map(|tool| format!("now with {tool}"));
    let person = event.person.as_ref().map(|person| format!("now {person}"));
    let all: Vec<String> = [spot, tool, person].into_iter().flatten().collect();
    words::large(&words::and(&all))
}

/// What was new: things of `renew` that were open in this job and are home again, and what is new
/// each time.
fn renewed(tell: Tell<'_>) -> Vec<Buy> {
    let case = tell.case;
    let book = Book::of(case);
    let mut all = Vec::new();
    for name in &case.model.job.renew {
        let is_new = |&t: &ThingNo| tell.live.disturbed.has(t) && !tell.live.open.has(t);
        let thing = case.kernel.find(name.name()).filter(is_new);
        if let Some(thing) = thing {
            let count = book.count(thing);
            all.push(Buy { what: name.value.clone(), count, because: name.value.clone() });
        }
    }
    for thing in case.kernel.all() {
        let opened = tell.live.mark(&case.kernel, thing).map_or(0, |mark| mark.times_opened);
        // What is open is not new yet.
        let times = opened.saturating_sub(u32::from(tell.live.open.has(thing)));
        for text in book.renew(thing).iter().filter(|_| times > 0) {
            all.push(Buy {
                what: text.value.clone(),
                count: times,
                because: case.kernel.name(thing).to_owned(),
            });
        }
    }
    all
}

/// Minutes by stage: planned, and worked between records, pauses left out.
fn stages(tell: Tell<'_>, records: &[Recorded]) -> Vec<StageMinutes> {
    let mut worked = [0_i64; 4];
    let mut before: Option<i64> = None;
    let standing = history(records).filter(|entry| entry.withdrawn_by.is_none());
    for entry in standing {
        let event = &entry.recorded.event;
        let stage = stage_of(tell, event);
        if let (Some(stage), Some(before)) = (stage, before) {
            let took = event.said_at_ms.saturating_sub(before);
            if (0..=PAUSE_MS).contains(&took) {
                worked[stage] += took;
            }
        }
        before = Some(event.said_at_ms);
    }
    let any = !records.is_empty();
    let stage = |(at, stage): (usize, &Stage)| StageMinutes {
        stage: *stage,
        planned: tell.kept.planned[at],
        worked: any.then(|| Minutes(worked[at] / 60)),
    };
    Stage::ALL.iter().enumerate().map(stage).collect()
}

/// The stage that an event's minutes belong to: a place in [`Stage::ALL`].
fn stage_of(tell: Tell<'_>, event: &Event) -> Option<usize> {
    match event.verb {
        Verb::Took => return Stage::ALL.iter().position(|s| *s == Stage::TakeApart),
        Verb::Home => return Stage::ALL.iter().position(|s| *s == Stage::PutBack),
        _ => {}
    }
    let thing = event.thing.as_deref().and_then(|name| tell.case.kernel.find(name))?;
    let is_prep = tell.case.kernel.thing(thing).kind == Kind::Prep;
    let opens = matches!(event.verb, Verb::Off | Verb::Undo | Verb::Slack);
    let stage = if is_prep {
        Stage::MakeReady
    } else if event.spot.as_deref() == Some("bench") {
        Stage::Bench
    } else if opens {
        Stage::TakeApart
    } else {
        Stage::PutBack
    };
    Stage::ALL.iter().position(|s| *s == stage)
}
