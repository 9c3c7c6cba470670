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
    let mut kinds: BTreeMap<(bool, String), Tally> = BTreeMap::new();
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
        entry.done += done;
        entry.all += count;
        if let Some((word, pieces)) = between(tell, thing) {
            *entry.between.entry(word).or_default() += pieces;
        }
    }
    kinds.into_iter().map(|((_, kind), tally)| tally.into_count(&kind)).collect()
}

/// What came off by kind, where nobody knows yet how much will: "screws: 6 off".
pub(crate) fn off_so_far(tell: Tell<'_>) -> Vec<KindCount> {
    let mut all = counts(tell, &[], Phase::TakeApart);
    for count in &mut all {
        count.all = count.done;
        let between: String =
            count.between.iter().map(|(word, pieces)| format!(", {pieces} {word}")).collect();
        count.text = format!("{}: {} off{between}", count.kind, count.done);
    }
    all.retain(|count| count.done > 0);
    all
}

/// Pieces of one kind.
#[derive(Default)]
struct Tally {
    done: u32,
    all: u32,
    between: BTreeMap<&'static str, u32>,
}

impl Tally {
    fn into_count(self, kind: &str) -> KindCount {
        let kind = words::plural(kind);
        let mut text = format!("{kind} {} of {}", self.done, self.all);
        for (word, pieces) in &self.between {
            text.push_str(&format!(", {pieces} {word}"));
        }
        let between = self.between.into_iter().map(|(word, n)| (word.to_owned(), n)).collect();
        KindCount { kind, done: self.done, all: self.all, between, text }
    }
}

/// The state between in which some pieces of a thing are (R25), and how many.
fn between(tell: Tell<'_>, thing: ThingNo) -> Option<(&'static str, u32)> {
    let word = match tell.stands(thing) {
        "home, not measured" => "not measured",
        word @ ("in by hand" | "started" | "slack" | "hung aside") => word,
        _ => return None,
    };
    let count = Book::of(tell.case).count(thing);
    let pieces = tell.live.mark(&tell.case.kernel, thing).and_then(|mark| mark.pieces);
    Some((word, pieces.unwrap_or(count).min(count)))
}

/// Everything that is off and has to go home: "still off: 1 plug, 2 hoses, 1 screw in by hand".
pub(crate) fn still_off(tell: Tell<'_>) -> StillOff {
    let kernel = &tell.case.kernel;
    let book = Book::of(tell.case);
    let mut kinds: BTreeMap<(bool, bool, &str, &str), u32> = BTreeMap::new();
    let mut conditions = Vec::new();
    let mut things: Vec<ThingNo> = tell.live.unfinished(kernel).collect();
    things.sort_by_key(|&thing| (tell.tag_number(thing).unwrap_or(u32::MAX), thing));
    for &thing in &things {
        let it = kernel.thing(thing);
        if it.kind == Kind::Prep {
            conditions.push(it.name.clone());
        } else {
            let (part, kind) = (it.kind == Kind::Part, book.kind(thing));
            let open = tell.live.pieces_open(tell.case, thing).max(1);
            let (word, some) = between(tell, thing).unwrap_or(("", 0));
            let some = some.min(open);
            for (word, pieces) in [("", open - some), (word, some)] {
                if pieces > 0 {
                    *kinds.entry((!word.is_empty(), part, kind, word)).or_default() += pieces;
                }
            }
        }
    }
    let any_off = kinds.keys().any(|(is_between, ..)| !is_between);
    let pieces = kinds.into_iter().map(|((_, _, kind, word), count)| {
        format!("{} {word}", words::pieces(count, kind)).trim_end().to_owned()
    });
    let pieces: Vec<String> = pieces.collect();
    let mut text = match (pieces.is_empty(), any_off) {
        (true, _) => "nothing off".to_owned(),
        (false, true) => format!("still off: {}", pieces.join(", ")),
        (false, false) => format!("not finished: {}", pieces.join(", ")),
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
