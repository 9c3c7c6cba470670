//! What was entered by the handful, one line each, under the names that things have now.

use lastbolt_ledger::{Stands, Verb};
use lastbolt_sketch::{Entry, Notes, Sort, Thing};

use crate::picture::Picture;
use crate::words;

/// A handful as it stands in the record now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenLine {
    /// The id of its entry, for taking it back.
    pub event: String,
    /// The number of its record.
    pub seq: u64,
    /// When it was said, in milliseconds since 1970, UTC.
    pub said_at_ms: i64,
    /// "Tray off: 3 nuts, 1 clip, 1 earth".
    pub text: String,
    /// From where.
    pub spot: Option<String>,
    /// By feel.
    pub by_feel: bool,
    /// The part and what held it, one by one.
    pub things: Vec<TakenThing>,
}

/// One thing of a handful.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenThing {
    /// What it is called now.
    pub name: String,
    /// "tray", "3 nuts".
    pub text: String,
}

/// Gives the handfuls, in the order in which they were entered; those that were struck out whole
/// are left out.
pub fn taken(picture: &Picture) -> Vec<TakenLine> {
    let Some(drawn) = &picture.drawn else { return Vec::new() };
    let notes = &drawn.notes;
    notes.entries.iter().filter_map(|entry| line(picture, notes, entry)).collect()
}

/// Tells whether the job is one that no file plans, and which is still being taken apart: nobody
/// has said that all is off, or that it starts, and nothing went home yet.
pub fn is_taking_apart(picture: &Picture) -> bool {
    let home = |verb: &Verb| matches!(verb, Verb::Home | Verb::On | Verb::Make | Verb::Tighten);
    let over = |verb: &Verb| {
        home(verb) || matches!(verb, Verb::AllOff | Verb::Gate | Verb::FirstStart | Verb::Finished)
    };
    let withdrawn = &picture.now.live.state.withdrawn;
    let stands = |seq: &u64| !withdrawn.contains(seq);
    is_from_nothing(picture)
        && !picture.records.iter().any(|r| over(&r.event.verb) && stands(&r.seq))
}

/// Tells whether no file says what is to come off.
pub fn is_from_nothing(picture: &Picture) -> bool {
    let model = &picture.base.model;
    let knows_nothing = model.machine.parts.is_empty() && model.machine.ties.is_empty();
    picture.base.targets.is_empty() && (knows_nothing || !model.job.decided.is_empty())
}

fn line(picture: &Picture, notes: &Notes, entry: &Entry) -> Option<TakenLine> {
    let event = &picture.records.iter().find(|r| r.seq == entry.seq)?.event;
    let present = |at: &&usize| !notes.things[**at].is_gone;
    let part = entry.part.iter().find(present).map(|&at| &notes.things[at]);
    let ties: Vec<&Thing> =
        entry.ties.iter().filter(present).map(|&at| &notes.things[at]).collect();
    let known_part = entry.known_part.as_deref();
    if part.is_none() && known_part.is_none() && ties.is_empty() && entry.known_ties.is_empty() {
        return None;
    }
    let own = ties.iter().map(|tie| pieces(tie));
    let held: Vec<String> = own.chain(entry.known_ties.iter().cloned()).collect();
    let text = match (part, known_part) {
        (Some(part), _) => came_off(&part.name, part.aside, &held),
        (None, Some(name)) => came_off(name, false, &held),
        (None, None) => format!("Undone: {}", held.join(", ")),
    };
    let mut things: Vec<TakenThing> = part.into_iter().chain(ties).map(thing).collect();
    let known = known_part.into_iter().chain(entry.known_ties.iter().map(String::as_str));
    things.extend(known.map(|name| TakenThing { name: name.to_owned(), text: name.to_owned() }));
    Some(TakenLine {
        event: event.id.as_str().to_owned(),
        seq: entry.seq,
        said_at_ms: entry.said_at_ms,
        text,
        spot: entry.spot.clone(),
        by_feel: event.more.as_ref().is_some_and(|more| more.feel),
        things,
    })
}

fn came_off(name: &str, aside: bool, held: &[String]) -> String {
    let how = if aside { "hung aside" } else { "off" };
    let name = words::large(name);
    if held.is_empty() {
        format!("{name} {how}")
    } else {
        format!("{name} {how}: {}", held.join(", "))
    }
}

/// "3 nuts", "2 nuts slack", "1 earth (body earth)".
fn pieces(tie: &Thing) -> String {
    let stands = match tie.stands {
        Stands::Off => "",
        Stands::Slack => " slack",
        Stands::ByHand => " in by hand",
    };
    let name = if tie.is_named { format!(" ({})", tie.name) } else { String::new() };
    format!("{}{stands}{name}", words::pieces(tie.count, &tie.kind))
}

fn thing(thing: &Thing) -> TakenThing {
    let text = match thing.sort {
        Sort::Part => thing.name.clone(),
        Sort::Tie => pieces(thing),
    };
    TakenThing { name: thing.name.clone(), text }
}
