//! Counts by kind, in pieces, and what is still off.

use std::collections::BTreeMap;

use lastbolt_machine::{Kind, ThingNo};

use crate::case::Book;
use crate::tell::Tell;
use crate::view::{KindCount, Phase, StepVerb, StillOff};
use crate::walk::Todo;
use crate::words;

/// Counts by kind: taking apart, off so far of those to come off; going back, home again of those
/// that were off.
pub(crate) fn counts(tell: Tell<'_>, list: &[Todo], phase: Phase) -> Vec<KindCount> {
    let kernel = &tell.case.kernel;
    let book = Book::of(tell.case);
    let to_open = |thing| list.iter().any(|t| t.thing == thing && t.verb.opens());
    let taking_apart = phase == Phase::TakeApart;
    let mut kinds: BTreeMap<(bool, String), (u32, u32)> = BTreeMap::new();
    for thing in kernel.all() {
        let kind = kernel.thing(thing).kind;
        let in_job = tell.live.disturbed.has(thing) || to_open(thing);
        if kind == Kind::Prep || !in_job || kernel.leave_off.has(thing) {
            continue;
        }
        let count = book.count(thing);
        let open = tell.live.pieces_open(tell.case, thing).min(count);
        let was = tell.live.disturbed.has(thing);
        let done = match (taking_apart, was) {
            (true, _) => open,
            (false, true) => count - open,
            (false, false) => 0,
        };
        let key = (kind == Kind::Part, book.kind(thing).to_owned());
        let entry = kinds.entry(key).or_default();
        *entry = (entry.0 + done, entry.1 + count);
    }
    let count = |((_, kind), (done, all)): ((bool, String), (u32, u32))| {
        let kind = words::plural(&kind);
        KindCount { text: format!("{kind} {done} of {all}"), kind, done, all }
    };
    kinds.into_iter().map(count).collect()
}

/// Everything that is off and has to go home: "still off: 1 plug, 2 hoses".
pub(crate) fn still_off(tell: Tell<'_>) -> StillOff {
    let kernel = &tell.case.kernel;
    let book = Book::of(tell.case);
    let mut kinds: BTreeMap<(bool, &str), u32> = BTreeMap::new();
    let mut conditions = Vec::new();
    let mut things: Vec<ThingNo> = tell.live.unfinished(kernel).collect();
    things.sort_by_key(|&thing| (tell.tag_number(thing).unwrap_or(u32::MAX), thing));
    for &thing in &things {
        let it = kernel.thing(thing);
        if it.kind == Kind::Prep {
            conditions.push(it.name.clone());
        } else {
            let key = (it.kind == Kind::Part, book.kind(thing));
            *kinds.entry(key).or_default() += tell.live.pieces_open(tell.case, thing).max(1);
        }
    }
    let pieces: Vec<String> =
        kinds.into_iter().map(|((_, kind), count)| words::pieces(count, kind)).collect();
    let mut text = if pieces.is_empty() {
        "nothing off".to_owned()
    } else {
        format!("still off: {}", pieces.join(", "))
    };
    if !conditions.is_empty() {
        text.push_str(&format!("; still to end: {}", conditions.join(", ")));
    }
    let lines = things.iter().map(|&thing| tell.open_line(thing, tell.stands(thing))).collect();
    StillOff { text, lines }
}

/// Whether a thing is on the list of this job.
pub(crate) fn in_plan(tell: Tell<'_>, list: &[Todo], thing: ThingNo) -> bool {
    let looked = |t: &Todo| t.verb != StepVerb::Look && t.thing == thing;
    tell.live.disturbed.has(thing) || list.iter().any(looked)
}
