//! What was counted before the first bolt, and what is to be left alone.

use lastbolt_ledger::{More, Verb};
use lastbolt_machine::{Kind, ThingNo};

use crate::case::Book;
use crate::matters::{Counted, LeftAlone, Matters};
use crate::tell::Tell;
use crate::view::{MatterKind, MatterLine, Quiet, QuietKind, Said, Tap};
use crate::words;

/// Whether two words say the same kind: "earths" and "Earth".
pub(crate) fn same_kind(one: &str, other: &str) -> bool {
    let (one, other) = (one.trim().to_lowercase(), other.trim().to_lowercase());
    one == other || words::plural(&one) == other || one == words::plural(&other)
}

/// Where another number was recorded than was counted: "Earths above: 4 expected, 3 recorded".
pub(crate) fn lines(tell: Tell<'_>, matters: &Matters) -> Vec<MatterLine> {
    matters.counted.iter().filter_map(|it| line(tell, matters, it)).collect()
}

fn line(tell: Tell<'_>, matters: &Matters, it: &Counted) -> Option<MatterLine> {
    let book = Book::of(tell.case);
    let is_one = |&thing: &ThingNo| {
        tell.case.kernel.thing(thing).kind == Kind::Tie
            && tell.live.disturbed.has(thing)
            && same_kind(book.kind(thing), &it.kind)
            && it.spot.as_deref().is_none_or(|spot| is_at(tell, matters, thing, spot))
    };
    let recorded: u32 = tell.case.kernel.all().filter(is_one).map(|it| book.count(it)).sum();
    if recorded == it.pieces {
        return None;
    }
    let at = it.spot.as_ref().map_or(String::new(), |spot| format!(" {spot}"));
    let kind = words::large(&plural(&it.kind));
    Some(MatterLine {
        kind: MatterKind::Counted,
        text: format!("{kind}{at}: {} expected, {recorded} recorded", it.pieces),
        things: Vec::new(),
        taps: vec![right(it, recorded)],
        blocks: false,
        seq: Some(it.seq),
    })
}

/// Where a thing was opened, as said, else as the machine file has it.
fn is_at(tell: Tell<'_>, matters: &Matters, thing: ThingNo, spot: &str) -> bool {
    let kernel = &tell.case.kernel;
    let name = kernel.name(thing);
    let said = matters.opened.iter().rev().find(|it| it.thing == name);
    if let Some(said) = said.and_then(|it| it.spot.as_deref()) {
        return said == spot;
    }
    let ways = &kernel.thing(thing).ways;
    ways.iter().any(|way| way.spot.is_some_and(|at| kernel.spots[at.0] == spot))
}

fn plural(kind: &str) -> String {
    if kind.ends_with('s') { kind.to_owned() } else { words::plural(kind) }
}

fn right(it: &Counted, recorded: u32) -> Tap {
    if recorded == 0 {
        return Tap {
            text: "Counted wrongly".to_owned(),
            said: Said { of: Some(it.event.clone()), ..Said::new(Verb::TakeBack) },
            asks: None,
            main: true,
        };
    }
    Tap {
        text: format!("{recorded} is right"),
        said: Said {
            spot: it.spot.clone(),
            pieces: Some(recorded),
            more: Some(More { kind: Some(it.kind.clone()), ..More::default() }),
            ..Said::new(Verb::Expected)
        },
        asks: None,
        main: true,
    }
}

/// What is to be left alone.
pub(crate) fn left_alone(tell: Tell<'_>, matters: &Matters) -> Vec<MatterLine> {
    let line = |it: &LeftAlone| {
        let thing = it.thing.as_deref().and_then(|thing| tell.case.kernel.find(thing));
        MatterLine {
            kind: MatterKind::LeftAlone,
            text: match (&it.thing, &it.note) {
                (Some(thing), Some(note)) => format!("Leave alone: {thing} ({note})"),
                (Some(thing), None) => format!("Leave alone: {thing}"),
                (None, note) => format!("Leave alone: {}", note.as_deref().unwrap_or("see note")),
            },
            things: thing.map(|thing| tell.reference(thing)).into_iter().collect(),
            taps: Vec::new(),
            blocks: false,
            seq: Some(it.seq),
        }
    };
    matters.left_alone.iter().map(line).collect()
}

/// Whether a thing is to be left alone, and why: the caution at its step.
pub(crate) fn leave_alone(matters: &Matters, thing: &str) -> Option<String> {
    let is_it = |it: &&LeftAlone| it.thing.as_deref() == Some(thing);
    let it = matters.left_alone.iter().rev().find(is_it)?;
    Some(match &it.note {
        Some(note) => format!("to be left alone: {note}"),
        None => "to be left alone".to_owned(),
    })
}

/// What was to be left alone and was opened all the same.
pub(crate) fn touched(tell: Tell<'_>, matters: &Matters) -> Vec<Quiet> {
    let quiet = |it: &LeftAlone| {
        let thing = tell.case.kernel.find(it.thing.as_deref()?)?;
        let touched = tell.live.open.has(thing) || tell.live.loose.has(thing);
        let one = Book::of(tell.case).count(thing) == 1;
        let (was, is) = if one { ("was", "is") } else { ("were", "are") };
        let (name, stands) = (tell.name(thing), tell.stands(thing));
        touched.then(|| Quiet {
            kind: QuietKind::OutOfOrder,
            text: format!("The {name} {was} to be left alone and {is} {stands}."),
            thing: Some(tell.name(thing).to_owned()),
            seq: tell.live.mark(&tell.case.kernel, thing).map(|mark| mark.by),
        })
    };
    matters.left_alone.iter().filter_map(quiet).collect()
}
