//! From one helper to the next: since when, what is half done, what was by feel, what is open.

use lastbolt_ledger::{Recorded, Verb};
use lastbolt_machine::ThingNo;

use crate::day::{Ask, broke, paper, pause};
use crate::picture::Picture;
use crate::view::{HandOver, Paper, PaperLine, PaperSection, Sheet};
use crate::words;

/// How many of the last steps are told.
const LAST_MAX: usize = 5;
/// The most lines under a heading.
const LINES_MAX: usize = 12;
/// The most names that are offered.
const NAMES_MAX: usize = 8;
/// What is kept with the entry by which a job changes hands: `moved`, with the person.
pub const TAKEN_OVER: &str = "taken over";

/// Gives what one helper tells the next. `now_ms` is the time of day \[ms since 1970, UTC\].
pub fn hand_over_of(picture: &Picture, now_ms: i64) -> HandOver {
    let ask = &Ask::of(picture, now_ms);
    let since = since(ask);
    HandOver {
        paper: hand_over(ask),
        since_ms: since.map(|recorded| recorded.event.said_at_ms),
        person: picture.now.live.state.person.as_ref().map(|person| person.text.clone()),
        names: names(ask),
    }
}

/// Everybody known to the job: its file, and the record.
fn names(ask: &Ask<'_>) -> Vec<String> {
    let written = ask.picture.case.model.job.people.iter().map(|name| name.name().to_owned());
    let said = ask.picture.records.iter().rev().filter_map(|r| r.event.person.clone());
    let mut all: Vec<String> = Vec::new();
    for name in written.chain(said) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all.truncate(NAMES_MAX);
    all
}

/// The entry since which it is in these hands: the last hand-over, else the first entry.
fn since<'a>(ask: &Ask<'a>) -> Option<&'a Recorded> {
    let withdrawn = &ask.picture.now.live.state.withdrawn;
    let records = &ask.picture.records;
    let taken = records.iter().rev().find(|recorded| {
        let event = &recorded.event;
        event.verb == Verb::Moved
            && event.note.as_deref() == Some(TAKEN_OVER)
            && !withdrawn.contains(&recorded.seq)
    });
    taken.or_else(|| records.first())
}

/// Gives the sheet.
pub(crate) fn hand_over(ask: &Ask<'_>) -> Paper {
    let screen = ask.picture.screen(ask.now_ms);
    let next = screen.next.as_ref().map(|card| PaperLine::of(card.line.text.clone()));
    let off = PaperLine::of(words::large(&screen.still_off.text));
    let sections = vec![
        PaperSection::of("In these hands since", held_since(ask)),
        PaperSection::of("Done last, the last one last", last(ask)),
        PaperSection::of("Half done", half_done(ask)),
        PaperSection::of("Done by feel", by_feel(ask)),
        PaperSection::of("Waits", paper::waits(ask)),
        PaperSection::of("Still open to settle", questions(ask)),
        PaperSection::of("Off", vec![off]),
        PaperSection::of("What next", next.into_iter().collect()),
    ];
    let sections = paper::capped(sections, LINES_MAX);
    paper::new(ask, Sheet::HandOver, sections)
}

fn held_since(ask: &Ask<'_>) -> Vec<PaperLine> {
    let Some(recorded) = since(ask) else { return Vec::new() };
    let state = &ask.picture.now.live.state;
    let person = state.person.as_ref().map(|person| person.text.clone());
    let person = person.or_else(|| recorded.event.person.clone());
    let line = PaperLine::of(person.unwrap_or_else(|| "Whose hands: not said".to_owned()));
    vec![PaperLine { at_ms: Some(recorded.event.said_at_ms), ..line }]
}

fn last(ask: &Ask<'_>) -> Vec<PaperLine> {
    let work = pause::work(ask);
    let lines = work[work.len().saturating_sub(LAST_MAX)..].iter();
    let line = |recorded: &&Recorded| {
        let done = pause::done_last(ask, recorded);
        PaperLine {
            at_ms: Some(done.said_at_ms),
            ..PaperLine::with(done.text, done.person.unwrap_or_default())
        }
    };
    lines.map(line).collect()
}

/// Started, in by hand, slack, partly, hung aside.
fn half_done(ask: &Ask<'_>) -> Vec<PaperLine> {
    let tell = ask.tell();
    let between = ["started", "in by hand", "slack", "partly out", "hung aside", "not recorded"];
    let of = |thing: ThingNo| {
        let how = tell.stands(thing);
        let place = tell.place(thing).unwrap_or_default();
        let line = PaperLine::with(words::large(&tell.open_line(thing, how).text), place);
        between.contains(&how).then_some(PaperLine { tag: tell.tag_number(thing), ..line })
    };
    let broken = broke::open(ask).into_iter().map(|it| PaperLine::with(it.text, "not settled"));
    tell.live.unfinished(&tell.case.kernel).filter_map(of).chain(broken).collect()
}

/// What was done by feel since it changed hands: said so, or made where the file says so.
fn by_feel(ask: &Ask<'_>) -> Vec<PaperLine> {
    let tell = ask.tell();
    let from = since(ask).map_or(0, |recorded| recorded.seq);
    let mut all: Vec<PaperLine> = Vec::new();
    for recorded in pause::work(ask).into_iter().filter(|recorded| recorded.seq >= from) {
        let event = &recorded.event;
        let thing = event.thing.as_deref().and_then(|name| tell.case.kernel.find(name));
        let ways = thing.map(|thing| {
            let it = tell.case.kernel.thing(thing);
            if tell.live.open.has(thing) { &it.ways } else { &it.back }
        });
        let by_way = ways.into_iter().flatten().any(|way| {
            let spot = way.spot.map(|spot| tell.case.kernel.spots[spot.0].as_str());
            way.feel && spot == event.spot.as_deref()
        });
        if by_way || event.more.as_ref().is_some_and(|more| more.feel) {
            let done = pause::done_last(ask, recorded);
            all.retain(|line| line.text != done.text);
            all.push(PaperLine::with(done.text, done.person.unwrap_or_default()));
        }
    }
    all
}

/// What somebody still has to settle, look at or answer.
fn questions(ask: &Ask<'_>) -> Vec<PaperLine> {
    let screen = ask.picture.screen(ask.now_ms);
    let looks = screen.passed_looks.iter().map(|look| look.text.clone());
    let quiet = screen.quiet.iter().map(|quiet| quiet.text.clone());
    let matters = screen.matters.blocking().map(|line| line.text.clone());
    let asked = ask.kept("ask owner").map(|kept| format!("Ask the owner: {}", kept.text));
    let second = pause::stops(ask).looks.into_iter().map(|point| point.text);
    let all = matters.chain(second).chain(looks).chain(quiet).chain(asked);
    all.map(PaperLine::of).collect()
}
