//! From what a list would record to the entries themselves, and to lines that a person reads.

use std::collections::BTreeMap;

use lastbolt_files::csv::List;
use lastbolt_ledger::{Event, More, Verb};

use super::{Entries, Handful, LeftOut};
use crate::words;

/// Gives everything as events, in order. `new` makes an event of a verb, with an id if one is
/// given, as the so-manieth of these.
///
/// # Errors
/// The first that `new` gives.
pub fn events<E>(
    entries: &Entries,
    mut new: impl FnMut(Verb, Option<&str>, u64) -> Result<Event, E>,
) -> Result<Vec<Event>, E> {
    let mut events: Vec<Event> = Vec::new();
    let mut add = |verb: Verb, id: Option<&str>, fill: &dyn Fn(&mut Event)| {
        let mut event = new(verb, id, events.len() as u64)?;
        fill(&mut event);
        events.push(event);
        Ok(())
    };
    for counted in &entries.counted {
        add(Verb::Expected, None, &|event| {
            event.pieces = Some(counted.pieces);
            event.spot.clone_from(&counted.spot);
            event.more = Some(More { kind: Some(counted.kind.clone()), ..More::default() });
        })?;
    }
    for handful in &entries.handfuls {
        add(Verb::Took, Some(&handful.id), &|event| {
            event.spot.clone_from(&handful.spot);
            event.more = Some(handful.more.clone());
        })?;
        for (thing, tool) in &handful.tools {
            add(Verb::Fact, None, &|event| {
                event.thing = Some(thing.clone());
                event.note = Some(tool.clone());
                event.more = Some(More { fact: Some("tool".to_owned()), ..More::default() });
            })?;
        }
        for (thing, note) in &handful.notes {
            add(Verb::Said, None, &|event| {
                event.thing = Some(thing.clone());
                event.note = Some(note.clone());
            })?;
        }
    }
    Ok(events)
}

/// What a list would record, in lines.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Preview {
    /// "4 rows, separated by semicolons."
    pub head: String,
    /// What came off, in order.
    pub came_off: Vec<String>,
    /// What is counted before the first bolt.
    pub counted: Vec<String>,
    /// What is left out, and why.
    pub left_out: Vec<String>,
}

/// Shows what a list would record.
pub fn preview(list: &List, entries: &Entries) -> Preview {
    let sign = match list.separator {
        ';' => "semicolons",
        '\t' => "tabs",
        _ => "commas",
    };
    let rows = u32::try_from(list.rows.len()).unwrap_or(u32::MAX);
    let counted = entries.counted.iter().map(|counted| {
        let spot = counted.spot.as_ref().map_or(String::new(), |spot| format!(", {spot}"));
        format!("{}{spot}", words::pieces(counted.pieces, &counted.kind))
    });
    let doubles = list.doubles.iter();
    let doubles = doubles.map(|it| format!("line {}: says the same as line {}", it.line, it.of));
    let columns = list.left_out.iter().map(|column| format!("column \"{column}\""));
    Preview {
        head: format!("{}, separated by {sign}.", words::pieces(rows, "row")),
        came_off: entries.handfuls.iter().map(handful_text).collect(),
        counted: counted.collect(),
        left_out: doubles.chain(left_out(&entries.left_out)).chain(columns).collect(),
    }
}

fn handful_text(handful: &Handful) -> String {
    let tools = handful.tools.iter().map(|(_, tool)| tool.as_str());
    let all: Vec<&str> = handful.spot.as_deref().into_iter().chain(tools).collect();
    if all.is_empty() {
        handful.text.clone()
    } else {
        format!("{} ({})", handful.text, all.join(", "))
    }
}

/// One line for all that is left out for the same reason.
fn left_out(all: &[LeftOut]) -> Vec<String> {
    let mut by_reason: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for left in all {
        by_reason.entry(&left.why).or_default().push(left.line.to_string());
    }
    let line = |(why, lines): (&str, Vec<String>)| match &lines[..] {
        [one] => format!("line {one}: {why}"),
        all => format!("lines {}: {why}", all.join(", ")),
    };
    by_reason.into_iter().map(line).collect()
}
