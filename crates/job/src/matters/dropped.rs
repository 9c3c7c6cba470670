//! What fell: not found yet, found, or said to stay unfound.

use lastbolt_ledger::Verb;

use crate::matters::{Dropped, Matters};
use crate::view::{MatterKind, MatterLine, Said, Tap};
use crate::words;

/// What fell and was not found.
pub(crate) fn lines(matters: &Matters) -> Vec<MatterLine> {
    matters.dropped.iter().map(line).collect()
}

fn line(it: &Dropped) -> MatterLine {
    let what = words::large(it.kind.as_deref().unwrap_or("something"));
    let place = [it.spot.as_deref(), it.note.as_deref()];
    let place: Vec<&str> = place.into_iter().flatten().collect();
    let place = if place.is_empty() { String::new() } else { format!(" ({})", place.join(", ")) };
    let found = Tap {
        text: if it.stays.is_some() { "Found after all" } else { "Found" }.to_owned(),
        said: Said { of: Some(it.event.clone()), ..Said::new(Verb::Found) },
        asks: None,
        main: true,
    };
    match &it.stays {
        None => MatterLine {
            kind: MatterKind::Fell,
            text: format!("{what} fell{place}: not found yet"),
            things: Vec::new(),
            taps: vec![found, stays(it)],
            blocks: true,
            seq: Some(it.seq),
        },
        Some((why, person)) => MatterLine {
            kind: MatterKind::Unfound,
            text: match person {
                Some(person) => format!("{what} fell{place}: stays unfound, {why} ({person})"),
                None => format!("{what} fell{place}: stays unfound, {why}"),
            },
            things: Vec::new(),
            taps: vec![found],
            blocks: false,
            seq: Some(it.seq),
        },
    }
}

fn stays(it: &Dropped) -> Tap {
    Tap {
        text: "Stays unfound, for this reason".to_owned(),
        said: Said { of: Some(it.event.clone()), ..Said::new(Verb::NotFound) },
        asks: Some("Where was it looked for, and why may it stay there?".to_owned()),
        main: false,
    }
}
