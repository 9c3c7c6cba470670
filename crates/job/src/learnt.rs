//! What one piece of a kind really took, learnt from the times between the entries of finished
//! jobs (docs/methods.md, "Usual minutes").
//!
//! [`took`] gives the times of one job, [`learnt`] the middle of many. Nothing here changes
//! anything: what was learnt is offered, and somebody takes it or leaves it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use lastbolt_ledger::{Event, Recorded, Verb, history};
use lastbolt_machine::{Kind, Minutes, ThingNo};

use crate::case::{Book, Case};
use crate::picture::see;

/// Entries of one hand that follow within this time were made together: what is between them is
/// the tap, not the work.
const TOGETHER_MS: i64 = 15_000;
/// A longer time between two entries of one hand is a pause (common practice, no source; the same
/// pause is left out of the minutes worked).
const PAUSE_MS: i64 = 45 * 60 * 1000;
/// Fewer times than this say nothing about what is usual.
const TIMES_MIN: usize = 10;
/// From this ratio on what was learnt is another number: minutes of the trade are good to half.
const RATIO: (i64, i64) = (5, 4);

/// How long one piece of a kind took once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Took {
    /// The kind, as the usual minutes have it: "clip", "part".
    pub kind: String,
    /// Minutes for one piece.
    pub minutes: Minutes,
}

/// What one piece of a kind took in the middle.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Learnt {
    /// The kind.
    pub kind: String,
    /// The middle, rounded as a person says it.
    pub minutes: Minutes,
    /// How many times it was taken from.
    pub times: usize,
    /// A quarter of them were at most this.
    pub low: Minutes,
    /// A quarter of them were at least this.
    pub high: Minutes,
}

impl Learnt {
    /// Whether it is another number than what counts as usual now: by a quarter, at least.
    pub fn differs(&self, usual: Minutes) -> bool {
        let (one, other) = (self.minutes.0.max(1), usual.0.max(1));
        let (more, less) = (one.max(other), one.min(other));
        more.saturating_mul(RATIO.1) >= less.saturating_mul(RATIO.0)
    }
}

/// Gives the times that the record of a job has: of things whose minutes no file says, done whole,
/// where the hand stood already, with the tool it had already.
pub fn took(base: &Arc<Case>, records: &[Recorded]) -> Vec<Took> {
    let (case, drawn) = see(base, records);
    let plain = drawn.as_ref().map_or(records, |drawn| drawn.plain.as_slice());
    let broken_up = in_pieces(plain);
    let mut hands: BTreeMap<Hand<'_>, Vec<Said<'_>>> = BTreeMap::new();
    for entry in history(plain) {
        let event = &entry.recorded.event;
        let hand = (event.sender.as_str(), event.person.as_deref());
        hands.entry(hand).or_default().push((event, entry.withdrawn_by.is_none()));
    }
    let counts = Counts { case: &case, broken_up };
    hands.into_values().flat_map(|entries| counts.of_hand(&entries)).collect()
}

/// Gives the middle of many times, by kind, where there are enough of them.
pub fn learnt(all: &[Took]) -> Vec<Learnt> {
    let mut by_kind: BTreeMap<&str, Vec<Minutes>> = BTreeMap::new();
    for took in all {
        by_kind.entry(took.kind.as_str()).or_default().push(took.minutes);
    }
    by_kind.retain(|_, minutes| minutes.len() >= TIMES_MIN);
    let middle = |(kind, mut minutes): (&str, Vec<Minutes>)| {
        minutes.sort_unstable();
        let at = |part: usize| minutes[(minutes.len() - 1) * part / 4];
        Learnt {
            kind: kind.to_owned(),
            minutes: said(at(2)),
            times: minutes.len(),
            low: said(at(1)),
            high: said(at(3)),
        }
    };
    by_kind.into_iter().map(middle).collect()
}

/// Rounded as a person says minutes: 0.05 below a half, 0.1 below two, a half below ten.
fn said(minutes: Minutes) -> Minutes {
    let step = match minutes.0 {
        ..=499 => 50,
        500..=1_999 => 100,
        2_000..=9_999 => 500,
        _ => 1_000,
    };
    Minutes(((minutes.0 + step / 2) / step * step).max(step))
}

/// Things that were ever done in pieces or in rounds: their entries say no time for the whole.
fn in_pieces(plain: &[Recorded]) -> BTreeSet<&str> {
    let is_part = |event: &Event| {
        event.pieces.is_some()
            || matches!(
                event.verb,
                Verb::Start | Verb::Tighten | Verb::Slack | Verb::ByHand | Verb::Round
            )
    };
    let parts = plain.iter().map(|recorded| &recorded.event).filter(|event| is_part(event));
    parts.filter_map(|event| event.thing.as_deref()).collect()
}

/// One sender and one person.
type Hand<'a> = (&'a str, Option<&'a str>);
/// An entry, and whether it stands.
type Said<'a> = (&'a Event, bool);

struct Counts<'a> {
    case: &'a Case,
    broken_up: BTreeSet<&'a str>,
}

impl Counts<'_> {
    /// The times of one hand: from each entry to the next one, those made together as one.
    fn of_hand(&self, entries: &[Said<'_>]) -> Vec<Took> {
        let mut all = Vec::new();
        let mut from = 0;
        while from < entries.len() {
            let mut to = from + 1;
            while to < entries.len() && gap(entries[to - 1].0, entries[to].0) < TOGETHER_MS {
                to += 1;
            }
            if from > 0 {
                all.extend(self.burst(entries[from - 1].0, &entries[from..to]));
            }
            from = to;
        }
        all
    }

    /// What entries made together say, after the one before them.
    fn burst(&self, before: &Event, together: &[Said<'_>]) -> Option<Took> {
        let last = together.last()?.0;
        let ms = gap(before, last);
        if !(1..=PAUSE_MS).contains(&ms) || !(is_done(before) || before.verb == Verb::Moved) {
            return None;
        }
        let mut kind = None;
        let mut pieces = 0;
        for (event, stands) in together {
            let thing = self.counted(event).filter(|_| *stands)?;
            let book = Book::of(self.case);
            let own = book.kind(thing);
            let here = event.spot == before.spot && event.tool == before.tool;
            if !here || kind.is_some_and(|kind| kind != own) {
                return None;
            }
            kind = Some(own);
            pieces += i64::from(book.count(thing));
        }
        let minutes = Minutes(ms / 60 / pieces.max(1));
        kind.map(|kind| Took { kind: kind.to_owned(), minutes })
    }

    /// The thing of an entry that was done whole and has no minutes of its own.
    fn counted(&self, event: &Event) -> Option<ThingNo> {
        let name = event.thing.as_deref().filter(|name| !self.broken_up.contains(name))?;
        let thing = self.case.kernel.find(name).filter(|_| is_done(event))?;
        let it = self.case.kernel.thing(thing);
        let is_guessed = it.ways.iter().all(|way| way.guessed && !way.feel);
        (it.kind != Kind::Prep && is_guessed).then_some(thing)
    }
}

fn is_done(event: &Event) -> bool {
    matches!(event.verb, Verb::Off | Verb::On | Verb::Undo | Verb::Make)
}

fn gap(from: &Event, to: &Event) -> i64 {
    to.said_at_ms.saturating_sub(from.said_at_ms)
}
