//! What in the record does not look right: perhaps entered twice, nothing recorded that held a
//! part, a name that no thing has. Each is a question; none is claimed, one tap settles it.

use lastbolt_ledger::{More, NAME_CHARS_MAX, Verb};
use lastbolt_machine::{Kind, ThingNo};

use crate::case::Book;
use crate::matters::{Matters, Opened};
use crate::tell::Tell;
use crate::view::{MatterKind, MatterLine, Said, Tap};
use crate::words;

/// The same twice within this time may be one thing entered twice.
const SOON_MS: i64 = 10 * 60 * 1000;
/// The kind of question that a remark is, in the entry that settles it.
const REMARK: &str = "remark";
/// Letters that two names may differ by and still be taken for one, per this many letters.
const LETTERS_A_SLIP: usize = 5;

/// Everything in the record that does not look right and nobody has settled.
pub(crate) fn lines(tell: Tell<'_>, matters: &Matters) -> Vec<MatterLine> {
    let mut all = unknown_names(tell, matters);
    all.extend(twice(tell, matters));
    all.extend(held_by_nothing(tell, matters));
    all
}

/// A thing that the record knows and no file does, with the entry that opened it first.
struct Entered<'a> {
    thing: ThingNo,
    by: &'a Opened,
}

fn entered<'a>(tell: Tell<'_>, matters: &'a Matters) -> Vec<Entered<'a>> {
    let kernel = &tell.case.kernel;
    let mut seen = kernel.no_things();
    let mut all = Vec::new();
    for by in &matters.opened {
        let Some(thing) = kernel.find(&by.thing) else { continue };
        if kernel.thing(thing).at.line == 0 && seen.add(thing) {
            all.push(Entered { thing, by });
        }
    }
    all
}

/// Pairs that look like one thing entered twice.
fn twice(tell: Tell<'_>, matters: &Matters) -> Vec<MatterLine> {
    let all = entered(tell, matters);
    let mut lines = Vec::new();
    for (at, second) in all.iter().enumerate() {
        let first = all[..at].iter().rev().find(|first| are_alike(tell, &all, first, second));
        let Some(first) = first else { continue };
        let id = format!("twice {} {}", first.by.seq, key(tell, second));
        if !matters.answered.contains_key(&id) {
            lines.push(twice_line(tell, &all, (first, second), id));
        }
    }
    lines
}

fn key(tell: Tell<'_>, it: &Entered<'_>) -> String {
    let of_entry = tell.case.kernel.thing(it.thing).kind;
    format!("{} {}", it.by.seq, if of_entry == Kind::Part { "part" } else { "fixing" })
}

fn are_alike(
    tell: Tell<'_>,
    all: &[Entered<'_>],
    first: &Entered<'_>,
    second: &Entered<'_>,
) -> bool {
    let (kernel, book) = (&tell.case.kernel, Book::of(tell.case));
    let is_part = |it: &Entered<'_>| kernel.thing(it.thing).kind == Kind::Part;
    if first.by.seq == second.by.seq || is_part(first) != is_part(second) {
        return false;
    }
    let (one, other) = (kernel.name(first.thing), kernel.name(second.thing));
    let soon = (second.by.said_at_ms - first.by.said_at_ms).abs() <= SOON_MS;
    if is_part(first) {
        // Names made up are alike by nature: "part 1", "part 2".
        let made_up = one.starts_with("part ") && other.starts_with("part ");
        return !made_up && soon && same_name(one, other);
    }
    // What belongs to a part that is asked about already is not asked about again.
    let of_part = |it: &Entered<'_>| all.iter().any(|p| is_part(p) && p.by.seq == it.by.seq);
    let same = book.kind(first.thing) == book.kind(second.thing)
        && book.count(first.thing) == book.count(second.thing)
        && place(tell, first) == place(tell, second);
    if !same || !soon {
        return false;
    }
    let by_two = first.by.sender != second.by.sender;
    let alone = !of_part(first) || !of_part(second);
    let several = book.count(first.thing) > 1;
    (alone && (by_two || several)) || (by_two && same_name(one, other))
}

fn place<'a>(tell: Tell<'a>, it: &Entered<'_>) -> Option<&'a str> {
    let kernel = &tell.case.kernel;
    let way = kernel.thing(it.thing).ways.first()?;
    way.spot.map(|spot| kernel.spots[spot.0].as_str())
}

fn twice_line(
    tell: Tell<'_>,
    all: &[Entered<'_>],
    (first, second): (&Entered<'_>, &Entered<'_>),
    id: String,
) -> MatterLine {
    let (one, other) = (tell.counted(first.thing), tell.counted(second.thing));
    let minutes = (second.by.said_at_ms - first.by.said_at_ms).abs() / 60_000;
    let when = match minutes {
        0 => "within a minute".to_owned(),
        1 => "within 2 minutes".to_owned(),
        more => format!("within {} minutes", more + 1),
    };
    let things = vec![tell.reference(first.thing), tell.reference(second.thing)];
    let names = things.iter().map(|thing| thing.thing.clone()).collect();
    MatterLine {
        kind: MatterKind::Twice,
        text: format!("{} and {other}, {when}: the same, entered twice?", words::large(&one)),
        things,
        taps: vec![twice_tap(tell, all, first, second), answer("Another one", id, names)],
        blocks: false,
        seq: Some(second.by.seq),
    }
}

/// What makes one of two: a fixing, or a handful that says the same, is struck out; where the
/// second part came with other fixings, those are kept and the parts are one.
fn twice_tap(
    tell: Tell<'_>,
    all: &[Entered<'_>],
    first: &Entered<'_>,
    second: &Entered<'_>,
) -> Tap {
    let (kernel, book) = (&tell.case.kernel, Book::of(tell.case));
    let name = |it: &Entered<'_>| Some(kernel.name(it.thing).to_owned());
    let of_entry = |it: &Entered<'_>| -> Vec<ThingNo> {
        all.iter().filter(|one| one.by.seq == it.by.seq).map(|one| one.thing).collect()
    };
    let handful = |it: &Entered<'_>| {
        let mut kinds: Vec<(&str, u32)> =
            of_entry(it).iter().map(|&thing| (book.kind(thing), book.count(thing))).collect();
        kinds.sort_unstable();
        kinds
    };
    let is_part = kernel.thing(second.thing).kind == Kind::Part;
    let (text, said) = if is_part && handful(first) != handful(second) {
        let more = More { into: name(first), ..More::default() };
        let said = Said { thing: name(second), more: Some(more), ..Said::new(Verb::Merged) };
        ("The same part", said)
    } else {
        // Nothing was said of any of it since: the whole entry goes.
        let untouched = of_entry(second).iter().all(|&thing| {
            tell.live.mark(kernel, thing).is_some_and(|mark| mark.by == second.by.seq)
        });
        let said = if is_part && untouched {
            Said { of: Some(second.by.event.clone()), ..Said::new(Verb::TakeBack) }
        } else {
            Said { thing: name(second), ..Said::new(Verb::StruckOut) }
        };
        ("Entered twice", said)
    };
    Tap { text: text.to_owned(), said, asks: None, main: true }
}

/// Settles a remark: it is kept under the remark's id that it is as it stands.
fn answer(text: &str, id: String, about: Vec<String>) -> Tap {
    let more = More { kind: Some(REMARK.to_owned()), these: about, ..More::default() };
    Tap {
        text: text.to_owned(),
        said: Said {
            thing: Some(id),
            note: Some("no".to_owned()),
            more: Some(more),
            ..Said::new(Verb::Answered)
        },
        asks: None,
        main: false,
    }
}

/// Parts that came off though nothing is recorded that held them.
fn held_by_nothing(tell: Tell<'_>, matters: &Matters) -> Vec<MatterLine> {
    let kernel = &tell.case.kernel;
    let is_bare = |it: &Entered<'_>| {
        let thing = kernel.thing(it.thing);
        thing.kind == Kind::Part && thing.ties.is_empty() && thing.riders.is_empty()
    };
    let mut lines = Vec::new();
    for it in entered(tell, matters).into_iter().filter(is_bare) {
        let id = format!("held {}", it.by.seq);
        if matters.answered.contains_key(&id) {
            continue;
        }
        let name = tell.name(it.thing);
        lines.push(MatterLine {
            kind: MatterKind::NothingHeld,
            text: format!("{} came off, and nothing that held it is recorded", words::large(name)),
            things: vec![tell.reference(it.thing)],
            taps: vec![answer("Nothing held it", id, vec![name.to_owned()])],
            blocks: false,
            seq: Some(it.by.seq),
        });
    }
    lines
}

/// The id of the remark about a name that no thing has; it is no longer than a name may be.
pub(crate) fn name_id(name: &str) -> String {
    format!("name {}", name.chars().take(NAME_CHARS_MAX - 5).collect::<String>())
}

/// Recorded names that no thing has, with the nearest that one has.
fn unknown_names(tell: Tell<'_>, matters: &Matters) -> Vec<MatterLine> {
    let kernel = &tell.case.kernel;
    let names: Vec<&str> = kernel.things.iter().map(|it| it.name.as_str()).collect();
    let mut lines = Vec::new();
    for name in &tell.live.unknown {
        let id = name_id(name);
        if matters.answered.contains_key(&id) {
            continue;
        }
        let Some(mark) = tell.live.state.mark(name) else { continue };
        let near = lastbolt_files::nearest(name, names.iter().copied());
        let mut taps = Vec::new();
        if let Some(near) = &near {
            let more = More { into: Some(near.to_string()), ..More::default() };
            let said =
                Said { thing: Some(name.clone()), more: Some(more), ..Said::new(Verb::Merged) };
            let text = format!("It is the {near}");
            taps.push(Tap { text, said, asks: None, main: true });
        }
        taps.push(answer("Leave it so", id, vec![name.clone()]));
        lines.push(MatterLine {
            kind: MatterKind::NoSuchThing,
            text: format!("\"{name}\" is recorded, and no thing is called so"),
            things: Vec::new(),
            taps,
            blocks: false,
            seq: Some(mark.by),
        });
    }
    lines
}

/// Whether two names are so near that they may mean one thing: the same but for a number made up
/// to tell them apart, or a slip of the pen.
fn same_name(one: &str, other: &str) -> bool {
    let (one, other) = (bare(one), bare(other));
    if one.is_empty() || other.is_empty() {
        return false;
    }
    let letters = one.chars().count().max(other.chars().count());
    slips(&one, &other) <= letters / LETTERS_A_SLIP && digits(&one) == digits(&other)
}

/// A name without the number that made it unique, in small letters, without blanks and signs.
fn bare(name: &str) -> String {
    let stem = match name.rsplit_once(' ') {
        Some((stem, number)) if number.parse::<u32>().is_ok() => stem,
        _ => name,
    };
    stem.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect()
}

fn digits(name: &str) -> String {
    name.chars().filter(char::is_ascii_digit).collect()
}

/// How many letters have to be changed, put in or left out to make one name of the other.
fn slips(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, letter) in one.chars().enumerate() {
        let mut before = row[0];
        row[0] = i + 1;
        for (j, with) in other.iter().enumerate() {
            let change = before + usize::from(letter != *with);
            before = row[j + 1];
            row[j + 1] = change.min(before + 1).min(row[j] + 1);
        }
    }
    row.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A slip of the pen is asked about; left and right, upper and lower are not.
    #[test]
    fn names_that_are_near() {
        for (one, other) in
            [("tray", "tray 2"), ("Air box", "airbox"), ("battery tray", "battry tray")]
        {
            assert!(same_name(one, other), "{one}, {other}");
        }
        for (one, other) in [
            ("left cover", "right cover"),
            ("cover", "tray"),
            ("upper hose", "lower hose"),
            ("hose 1a", "hose 2a"),
            ("12", "13"),
        ] {
            assert!(!same_name(one, other), "{one}, {other}");
        }
        assert_eq!((slips("abc", "abc"), slips("abc", "axc"), slips("", "ab")), (0, 1, 2));
    }
}
