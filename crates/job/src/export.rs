//! The machine of a job as a file: what its own file says, with what was recorded besides.

use lastbolt_files::write::{quoted, tables};
use lastbolt_ledger::Recorded;
use lastbolt_machine::Machine;
use lastbolt_sketch::Drawn;

use crate::hazards::mark;
use crate::mend::mended;

/// Gives the machine file of a job: the lines of the file that it was begun with, with the places,
/// parts, fixings and connections that were recorded besides, in the user's own words; what the
/// record corrects of the file (names, counts, kinds) is corrected in its lines, and what people
/// marked as able to hurt stands with it.
///
/// `text` is the file that the job was begun with, `base` what it says, `records` what was entered.
pub fn export(text: &str, base: &Machine, drawn: Option<&Drawn>, records: &[Recorded]) -> String {
    let mut now = drawn.map_or_else(|| base.clone(), |drawn| drawn.machine.clone());
    let called = |name: &str| {
        let now = drawn.and_then(|drawn| drawn.notes.now_called(name));
        now.unwrap_or_else(|| name.to_owned())
    };
    let any = mark::put(&mut now, &mark::said(records), called);
    if drawn.is_none() && !any {
        return text.to_owned();
    }
    let text = mended(text, base, &now, drawn);
    let spots = beyond(&now.spots, base.spots.len());
    let parts = beyond(&now.parts, base.parts.len());
    let ties = beyond(&now.ties, base.ties.len());
    let tables = tables(spots, parts, ties);
    if tables.is_empty() {
        return text;
    }
    let mut all = missing_head(base, &now);
    all.push_str(text.trim_end());
    all.push_str(
        "\n\n# Recorded while taking apart. What has to be off first (clear), what hides it and \
         what it holds\n# are guesses from the order in which it came off, as far as nobody has \
         answered a question about it.\n\n",
    );
    all.push_str(tables.trim_end());
    all.push('\n');
    all
}

/// What was drawn stands behind what the file has.
fn beyond<T>(all: &[T], known: usize) -> &[T] {
    all.get(known..).unwrap_or_default()
}

/// What everything hangs on, where the file names nothing that stays.
fn missing_head(base: &Machine, drawn: &Machine) -> String {
    match (&base.fixed[..], &drawn.fixed[..]) {
        ([], [fixed, ..]) => format!("fixed = [{}]\n", quoted(fixed.name())),
        _ => String::new(),
    }
}
