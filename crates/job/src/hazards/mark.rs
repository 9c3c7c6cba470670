//! Hazards that a person marks on a thing: two taps, whatever it is called. They are entries as any
//! other: taken back, the mark is gone.

use lastbolt_ledger::{More, Recorded, Verb, history};
use lastbolt_machine::{Machine, Ref};

use crate::hazards::TABLE;
use crate::picture::Picture;
use crate::view::{Said, Tap};

/// The kind under which a mark is kept.
pub const HAZARD: &str = "hazard";

/// What is offered, the commonest first: the word of the table, what the button says.
const OFFERED: [(&str, &str); 17] = [
    ("pressure", "Under pressure"),
    ("spring", "Spring under load"),
    ("hot", "Hot"),
    ("high-pressure fuel", "Fuel, high pressure"),
    ("fuel", "Fuel"),
    ("hydraulics", "Oil under pressure"),
    ("coolant", "Coolant"),
    ("air", "Compressed air"),
    ("gas", "Gas"),
    ("refrigerant", "Refrigerant"),
    ("brakes", "Brake fluid"),
    ("battery", "Battery"),
    ("supplies", "Live from elsewhere"),
    ("high voltage", "High voltage"),
    ("airbag", "Airbag, belt tensioner"),
    ("dust", "Harmful dust"),
    ("hot work", "Heat or sparks"),
];

/// Gives the buttons that mark a hazard on a thing, without those that it has already.
pub fn hazard_taps(picture: &Picture, thing: &str) -> Vec<Tap> {
    let has = hazards_marked(picture, thing);
    let tap = |(word, text): &(&str, &str)| Tap {
        text: (*text).to_owned(),
        said: Said {
            thing: Some(thing.to_owned()),
            note: Some((*word).to_owned()),
            more: Some(More { kind: Some(HAZARD.to_owned()), ..More::default() }),
            ..Said::new(Verb::Noted)
        },
        asks: None,
        main: false,
    };
    OFFERED.iter().filter(|(word, _)| !has.iter().any(|(id, ..)| id == word)).map(tap).collect()
}

/// Gives what is marked on a thing: the word, what is said of it, and the entry of a person that
/// can be taken back; none where the file says it.
pub fn hazards_marked(picture: &Picture, thing: &str) -> Vec<(String, String, Option<String>)> {
    let book = crate::case::Book::of(&picture.case);
    let Some(number) = picture.case.kernel.find(thing) else { return Vec::new() };
    let said = said(&picture.records);
    let called = |name: &str| match &picture.drawn {
        Some(drawn) => drawn.notes.now_called(name).unwrap_or_else(|| name.to_owned()),
        None => name.to_owned(),
    };
    let one = |word: &Ref| {
        let hazard = TABLE.iter().find(|hazard| hazard.id == word.name())?;
        let of_it = |mark: &&Mark| mark.word == word.name() && called(&mark.thing) == thing;
        let event = said.iter().rfind(of_it).map(|mark| mark.event.clone());
        Some((hazard.id.to_owned(), hazard.sentence(), event))
    };
    book.marks(number).iter().filter_map(one).collect()
}

/// A mark that stands.
pub(crate) struct Mark {
    thing: String,
    word: &'static str,
    event: String,
}

/// The marks of a record that stand, in order; words that the table does not have mark nothing.
pub(crate) fn said(records: &[Recorded]) -> Vec<Mark> {
    if !records.iter().any(is_mark) {
        return Vec::new();
    }
    let standing = history(records).filter(|entry| entry.withdrawn_by.is_none());
    let marks = standing.map(|entry| entry.recorded).filter(|recorded| is_mark(recorded));
    let mark = |recorded: &Recorded| {
        let event = &recorded.event;
        let note = event.note.as_deref()?.trim().to_lowercase();
        let word = TABLE.iter().map(|hazard| hazard.id).find(|id| *id == note)?;
        let thing = event.thing.clone()?;
        Some(Mark { thing, word, event: event.id.as_str().to_owned() })
    };
    marks.filter_map(mark).collect()
}

fn is_mark(recorded: &Recorded) -> bool {
    let kind = recorded.event.more.as_ref().and_then(|more| more.kind.as_deref());
    recorded.event.verb == Verb::Noted && kind == Some(HAZARD)
}

/// Puts marks on the things of a machine, under their names of now; tells whether any was put.
pub(crate) fn put(machine: &mut Machine, marks: &[Mark], called: impl Fn(&str) -> String) -> bool {
    let mut any = false;
    for mark in marks {
        let name = called(&mark.thing);
        let parts = machine.parts.iter_mut().map(|part| (&part.id, &mut part.hazards));
        let ties = machine.ties.iter_mut().map(|tie| (&tie.id, &mut tie.hazards));
        let preps = machine.preps.iter_mut().map(|prep| (&prep.id, &mut prep.hazards));
        let mut all = parts.chain(ties).chain(preps);
        let Some((_, hazards)) = all.find(|(id, _)| id.name() == name) else { continue };
        if !hazards.iter().any(|word| word.name() == mark.word) {
            hazards.push(Ref::bare(mark.word.to_owned()));
            any = true;
        }
    }
    any
}
