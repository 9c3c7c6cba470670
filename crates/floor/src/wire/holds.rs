//! What still holds a thing, as JSON.

use lastbolt_job::view::{HoldLine, WhatHolds};
use serde_json::{Value, json};

use crate::wire::{VERSION, minutes};

/// Gives the answer to "What still holds it?".
pub(crate) fn holds(holds: &WhatHolds) -> Value {
    json!({
        "version": VERSION,
        "thing": holds.thing,
        "heading": holds.heading,
        "by": holds.by,
        "lines": holds.lines.iter().map(line).collect::<Vec<_>>(),
    })
}

fn line(line: &HoldLine) -> Value {
    json!({
        "text": line.text,
        "thing": line.thing,
        "tag": line.tag,
        "from": line.from,
        "tool": line.tool,
        "minutes": line.minutes.map(minutes),
        "inner": line.inner.iter().map(self::line).collect::<Vec<_>>(),
    })
}
