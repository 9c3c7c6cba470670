//! Lists as spreadsheets keep them, for a job: a machine from a list, entries from a list, and the
//! list of a job.

mod entries;
mod events;
mod machine;
mod rows;

pub use entries::{CountedBefore, Entries, Handful, LeftOut, entries};
pub use events::{Preview, events, preview};
pub use machine::machine_of_list;
pub use rows::rows;

use std::collections::BTreeSet;

use lastbolt_files::csv::Row;

use crate::words;

/// Gives the part that a row is, or that its fixings hold first; none on the machine itself.
fn part_of(row: &Row) -> Option<&str> {
    row.parts.iter().map(String::as_str).find(|part| *part != crate::nothing::MACHINE)
}

/// Gives what fixings are called that have no name: "tray nuts".
fn usual_name(row: &Row) -> String {
    let kind = row.kind.as_deref().unwrap_or("fixing");
    let kind = if row.count == 1 { kind.to_owned() } else { words::plural(kind) };
    match part_of(row) {
        Some(part) => format!("{part} {kind}"),
        None => kind,
    }
}

/// Gives the name if it is free, else with the least number that makes it so, and takes it.
fn unique(name: &str, taken: &mut BTreeSet<String>) -> String {
    let numbered = (2..).map(|number: u32| format!("{name} {number}"));
    let mut all = std::iter::once(name.to_owned()).chain(numbered);
    let free = all.find(|name| !taken.contains(name)).unwrap_or_else(|| name.to_owned());
    taken.insert(free.clone());
    free
}
