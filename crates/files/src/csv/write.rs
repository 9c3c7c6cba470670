//! From a list to a file that any spreadsheet opens, and that does nothing there.

use super::{COLUMNS, Row, Style, numbers};

/// Writes a list: byte order mark, a line of column names, a row for each thing, ends of line as
/// spreadsheets have them. No cell is a formula, whatever names are in the list.
pub fn write_list(rows: &[Row], style: Style) -> String {
    let mut text = String::from("\u{feff}");
    let header = COLUMNS.map(str::to_owned);
    for cells in std::iter::once(header).chain(rows.iter().map(|row| cells(row, style))) {
        let cells = cells.map(|cell| quoted(&cell, style.separator));
        text.push_str(&cells.join(&style.separator.to_string()));
        text.push_str("\r\n");
    }
    text
}

fn cells(row: &Row, style: Style) -> [String; COLUMNS.len()] {
    let own = |text: &Option<String>| harmless(text.as_deref().unwrap_or_default());
    [
        harmless(&row.parts.join(" + ")),
        own(&row.kind),
        row.count.to_string(),
        own(&row.name),
        own(&row.place),
        own(&row.tool),
        row.minutes.map_or(String::new(), |m| numbers::written(m, style.decimal_comma)),
        own(&row.note),
        row.stands.map_or("", super::RowStands::word).to_owned(),
    ]
}

/// Makes a text harmless in a spreadsheet: what would begin a formula gets an apostrophe before
/// it, and so does what already looks like that, so that reading gives the text back.
pub fn harmless(text: &str) -> String {
    if is_guarded(text) { format!("'{text}") } else { text.to_owned() }
}

/// Takes away the apostrophe that [`harmless`] has put before a text.
pub(super) fn unguarded(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if is_guarded(text) => rest,
        _ => text,
    }
}

/// Whether the first sign behind apostrophes and blanks begins a formula somewhere; also in the
/// wide letters of the east, and the blanks that move what follows into the next cell.
fn is_guarded(text: &str) -> bool {
    let mut signs = text.chars().filter(|c| !matches!(c, '\'' | ' ' | '\u{a0}' | '\u{feff}'));
    let begins = |c: char| matches!(c, '=' | '+' | '-' | '@' | '\t' | '\r' | '\n');
    signs.next().is_some_and(|c| begins(c) || matches!(c, '＝' | '＋' | '－' | '＠'))
}

fn quoted(cell: &str, separator: char) -> String {
    let needs = |c: char| c == separator || matches!(c, '"' | '\n' | '\r' | '\t' | ';' | ',');
    if cell.contains(needs) || cell.starts_with(' ') || cell.ends_with(' ') {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}
