//! Interruptions: what was done last is shown again, and the first step after it wants a second
//! look.

use lastbolt_ledger::{Left, Look, Recorded, Verb, history};
use lastbolt_machine::ThingNo;

use crate::day::over::is_not_measured;
use crate::day::{Ask, broke, group};
use crate::record::event_text;
use crate::view::{DayGate, DoneLast, Point, PointGroup, Stops};
use crate::words;

/// Without a record for longer than this, one comes back from something else \[ms\]: the same as
/// the pause that is left out of the minutes worked (common practice, no source). That an
/// interruption matters at all: after 2.8 s and 4.4 s of it people lost their place in a sequence
/// twice and three times as often (Altmann, Trafton and Hambrick 2014,
/// <https://pubmed.ncbi.nlm.nih.gov/23294345/>).
pub(crate) const BREAK_MS: i64 = 45 * 60 * 1000;
/// How many of the last steps are shown again.
const LAST_MAX: usize = 3;
/// The most second looks that are asked for; there are more only in a very long job.
const LOOKS_MAX: usize = 20;

/// A step after a break.
struct Back<'a> {
    step: &'a Recorded,
    before: &'a Recorded,
    ms: i64,
}

/// What stands across the working screen.
pub(crate) fn stops(ask: &Ask<'_>) -> Stops {
    let state = &ask.picture.now.live.state;
    let left = left(ask).map(|left| DoneLast {
        text: left.text.clone().unwrap_or_else(|| "how it was left was not said".to_owned()),
        said_at_ms: left.said_at_ms,
        person: left.person.clone(),
    });
    let work = work(ask);
    let resumed = state.resumed.as_ref().map_or(0, |resumed| resumed.seq);
    let last = work.last().copied().filter(|_| !state.is_finished());
    let away = last.map_or(0, |last| ask.now_ms.saturating_sub(last.event.said_at_ms));
    let is_back = last.is_some_and(|last| resumed > last.seq) || away > BREAK_MS || left.is_some();
    let shown = if is_back && last.is_some() { LAST_MAX } else { 0 };
    let lines = work[work.len().saturating_sub(shown)..].iter();
    Stops {
        left,
        away_minutes: (away > BREAK_MS).then_some(away / 60_000),
        last: lines.map(|recorded| done_last(ask, recorded)).collect(),
        looks: looks(ask).into_iter().filter(|point| !point.settled).collect(),
        broken: broke::open(ask),
    }
}

/// How it was left, unless somebody has gone on since without a word.
pub(crate) fn left<'a>(ask: &Ask<'a>) -> Option<&'a Left> {
    let left = ask.picture.now.live.state.left.as_ref()?;
    let since = work(ask).last().is_some_and(|last| last.seq > left.seq);
    (!since).then_some(left)
}

/// The gate that comes next: what was passed by at the first start is asked again at the road.
pub(crate) fn next_gate(ask: &Ask<'_>) -> DayGate {
    let state = &ask.picture.now.live.state;
    let was = state.gates.contains_key(DayGate::FirstStart.name());
    if was || !state.first_starts.is_empty() { DayGate::Road } else { DayGate::FirstStart }
}

/// A step in words, with who did it and when.
pub(crate) fn done_last(ask: &Ask<'_>, recorded: &Recorded) -> DoneLast {
    DoneLast {
        text: event_text(&ask.picture.case, &recorded.event),
        said_at_ms: recorded.event.said_at_ms,
        person: recorded.event.person.clone(),
    }
}

/// Everything that was done with hands, as it was entered, what was taken back left out.
pub(crate) fn work<'a>(ask: &Ask<'a>) -> Vec<&'a Recorded> {
    let standing = history(&ask.picture.records).filter(|entry| entry.withdrawn_by.is_none());
    let hands = |recorded: &&Recorded| {
        let verb = &recorded.event.verb;
        verb.sets_standing() || matches!(verb, Verb::Took | Verb::Home)
    };
    standing.map(|entry| entry.recorded).filter(hands).collect()
}

/// Second looks at what went home first after a break.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let by_hand = group("By hand, not measured: a second person looks", by_hand(ask));
    vec![group("After a break: look once more", looks(ask)), by_hand]
}

/// Second looks at what was closed by hand, its tightness not measured, before the road.
fn by_hand(ask: &Ask<'_>) -> Vec<Point> {
    let kernel = &ask.picture.case.kernel;
    let state = &ask.picture.now.live.state;
    let look = |thing: ThingNo| {
        let name = kernel.name(thing);
        let text = format!("{}: tightened by hand, not measured.", words::large(name));
        let by = state.rounds.get(name).and_then(|rounds| rounds.last()?.person.clone());
        let draft = ask
            .point("second.by-hand", Some(name), &text)
            .answer("Somebody else found it tight", "found tight by another")
            .asks("Not right", "What was not right, and what was done about it?")
            .before(DayGate::Road)
            .alone();
        match by {
            Some(by) => draft.detail(format!("Done by {by}.")).done(),
            None => draft.done(),
        }
    };
    kernel.all().filter(|&thing| is_not_measured(ask, thing)).take(LOOKS_MAX).map(look).collect()
}

fn looks(ask: &Ask<'_>) -> Vec<Point> {
    backs(ask).into_iter().take(LOOKS_MAX).filter_map(|back| look(ask, &back)).collect()
}

fn backs<'a>(ask: &Ask<'a>) -> Vec<Back<'a>> {
    let work = work(ask);
    let back = |pair: &[&'a Recorded]| {
        let &[before, step] = pair else { return None };
        let ms = step.event.said_at_ms.saturating_sub(before.event.said_at_ms);
        (ms > BREAK_MS).then_some(Back { step, before, ms })
    };
    work.windows(2).filter_map(back).collect()
}

/// The second look at one step, while what it closed is still as it left it.
fn look(ask: &Ask<'_>, back: &Back<'_>) -> Option<Point> {
    let event = &back.step.event;
    let closes = matches!(event.verb, Verb::On | Verb::Make | Verb::Tighten | Verb::Home);
    let thing = event.thing.as_deref().filter(|_| closes)?;
    let state = &ask.picture.now.live.state;
    let looked =
        matches!(state.looks.get(thing), Some(Look::Looked { seq }) if *seq > back.step.seq);
    let stands = state.mark(thing).is_none_or(|mark| {
        mark.standing.is_closed() && mark.disturbed_by.is_none_or(|by| by < back.step.seq)
    });
    if looked || !stands {
        return None;
    }
    let done = event_text(&ask.picture.case, event);
    let before = event_text(&ask.picture.case, &back.before.event);
    let away = words::about(lastbolt_machine::Minutes(back.ms / 60));
    let text =
        format!("{done}: the first step after a break of {}.", away.trim_start_matches("about "));
    let point = ask
        .point(&format!("break.{}", back.step.seq), Some(thing), &text)
        .answer("Looked again", "looked again")
        .asks("Not right", "What was not right, and what was done about it?")
        .detail(format!("Done last before it: {before}. Is that finished?"))
        .before(next_gate(ask))
        .alone()
        .done();
    Some(point)
}
