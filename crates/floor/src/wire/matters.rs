//! What matters besides on and off, as JSON.

use lastbolt_job::view::{MatterLine, MattersView, Said, Tap};
use serde_json::{Value, json};

/// Gives everything that matters.
pub(crate) fn all(view: &MattersView) -> Value {
    let lines = |lines: &[MatterLine]| lines.iter().map(matter).collect::<Vec<_>>();
    json!({
        "still_in": lines(&view.still_in),
        "fell": lines(&view.fell),
        "openings": lines(&view.openings),
        "counted": lines(&view.counted),
        "left_alone": lines(&view.left_alone),
        "remarks": lines(&view.remarks),
    })
}

/// Gives one matter with what settles it.
pub(crate) fn matter(line: &MatterLine) -> Value {
    json!({
        "kind": line.kind.word(),
        "text": line.text,
        "things": line.things.iter().map(|thing| &thing.thing).collect::<Vec<_>>(),
        "taps": line.taps.iter().map(tap).collect::<Vec<_>>(),
        "blocks": line.blocks,
        "seq": line.seq,
    })
}

/// Gives what a button records; what is not said is left out, so that it can be sent as it is.
pub(crate) fn tap(tap: &Tap) -> Value {
    let mut value = record(tap);
    value["text"] = json!(tap.text);
    value["main"] = json!(tap.main);
    value["asks"] = json!(tap.asks);
    value
}

/// Gives what an entry needs but for id, sender, counts and time.
pub(crate) fn record(tap: &Tap) -> Value {
    said(&tap.said)
}

/// Gives what one entry says, but for id, sender, counts and time.
pub(crate) fn said(said: &Said) -> Value {
    let mut value = json!({ "verb": said.verb.as_str() });
    let texts =
        [("thing", &said.thing), ("spot", &said.spot), ("note", &said.note), ("of", &said.of)];
    for (key, text) in texts {
        if let Some(text) = text {
            value[key] = json!(text);
        }
    }
    if let Some(pieces) = said.pieces {
        value["pieces"] = json!(pieces);
    }
    if let Some(more) = &said.more {
        value["more"] = json!(more);
    }
    value
}
