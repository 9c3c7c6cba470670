//! From a file to a list: header, rows, doubles, names.

use std::collections::{BTreeMap, BTreeSet};

use lastbolt_machine::validate::no_more_than;
use lastbolt_machine::{At, FileNo, Problem};

use super::cells::{Cells, Slip, column, separator, split};
use super::letters::text_of;
use super::rows::read_row;
use super::{COLUMNS, Double, List, Row};
use crate::limits::PROBLEMS_MAX;

/// Reads a list of parts, fixings and connections from the bytes of a file.
pub fn read_list(bytes: &[u8], file: FileNo) -> List {
    let mut list = List::default();
    if let Some(text) = text_of(bytes, file, &mut list.problems) {
        Reader { list: &mut list, file, wide: 0 }.read(&text);
    }
    list.problems.sort_by_key(|problem| problem.at);
    list.problems = no_more_than(PROBLEMS_MAX, std::mem::take(&mut list.problems), 0);
    list
}

struct Reader<'a> {
    list: &'a mut List,
    file: FileNo,
    /// How many columns the header has.
    wide: usize,
}

impl Reader<'_> {
    fn error(&mut self, line: u32, kind: &'static str, message: String, help: &str) {
        let at = At { file: self.file, line, column: 1 };
        self.list.problems.push(Problem::error(at, kind, message, help));
    }

    fn read(&mut self, text: &str) {
        let (sign, text, skipped) = separator(text, |cell| column(cell).is_some());
        self.list.separator = sign;
        let (mut rows, slips) = split(text, sign);
        rows.iter_mut().for_each(|row| row.line += skipped);
        for slip in slips {
            self.slip(slip, skipped);
        }
        let mut rows = rows.into_iter();
        let Some(header) = rows.next() else {
            if self.list.problems.is_empty() {
                let help = "Bring a list with a line of column names and a row for each thing.";
                self.error(1, "empty-file", "There is nothing in this list.".to_owned(), help);
            }
            return;
        };
        let Some(columns) = self.header(&header) else { return };
        let mut read: Vec<Row> = Vec::new();
        for row in rows {
            if let Some(row) = self.row(&row, &columns) {
                read.push(row);
            }
        }
        if read.is_empty() && self.list.problems.is_empty() {
            let help = "Write one row for each part and each kind of fixing.";
            let message = "The list has column names and no rows.".to_owned();
            self.error(header.line, "empty-file", message, help);
        }
        holds_several(&mut read);
        let read = self.doubles(read);
        self.names(&read);
        self.list.rows = read;
    }

    fn slip(&mut self, slip: Slip, skipped: u32) {
        let (line, kind, message, help) = slip.told();
        self.error(line.saturating_add(skipped), kind, message, help);
    }

    /// Which column each cell is; none where there is no using it.
    fn header(&mut self, header: &Cells) -> Option<Vec<Option<usize>>> {
        let columns: Vec<Option<usize>> = header.cells.iter().map(|cell| column(cell)).collect();
        let mut seen = BTreeSet::new();
        let twice = columns.iter().flatten().find(|column| !seen.insert(**column));
        if let Some(&twice) = twice {
            let message = format!("The column \"{}\" is there twice.", COLUMNS[twice]);
            self.error(header.line, "column-twice", message, "Keep one of them.");
            return None;
        }
        let names_something = |column: &Option<usize>| {
            column.is_some_and(|column| ["part", "kind", "name"].contains(&COLUMNS[column]))
        };
        if !columns.iter().any(names_something) {
            let known = COLUMNS.join(", ");
            let message = "The first line names no part, kind or name column.".to_owned();
            let help = format!("Let the first line have names of columns, out of: {known}.");
            self.error(header.line, "no-header", message, &help);
            return None;
        }
        let unknown = header.cells.iter().zip(&columns).filter(|(_, column)| column.is_none());
        let unknown: Vec<String> = unknown
            .map(|(cell, _)| cell.trim().to_owned())
            .filter(|cell| !cell.is_empty())
            .collect();
        for name in &unknown {
            let near = crate::nearest(&name.to_lowercase(), COLUMNS);
            let help = near.map_or(String::new(), |near| format!("Was \"{near}\" meant?"));
            let message = format!("The column \"{name}\" is not known and is left out.");
            let at = At { file: self.file, line: header.line, column: 1 };
            self.list.problems.push(Problem::note(at, "unknown-column", message, help));
        }
        self.list.left_out = unknown;
        self.wide = columns.len();
        Some(columns)
    }

    fn row(&mut self, row: &Cells, columns: &[Option<usize>]) -> Option<Row> {
        let beyond = row.cells.iter().skip(self.wide).any(|cell| !cell.trim().is_empty());
        if beyond {
            let message = format!(
                "This row has {} cells, the first line has {}.",
                row.cells.len(),
                self.wide
            );
            let help = match self.list.separator {
                ',' => {
                    "Put what has a comma in it into quotes (\"2,5\"), or separate by semicolon."
                }
                _ => "Put what has the separating sign in it into quotes.",
            };
            self.error(row.line, "too-many-cells", message, help);
            return None;
        }
        let mut cells = [const { String::new() }; COLUMNS.len()];
        for (cell, column) in row.cells.iter().zip(columns) {
            if let Some(column) = column {
                cells[*column].clone_from(cell);
            }
        }
        match read_row(row.line, &cells) {
            Ok(row) => Some(row),
            Err(wrong) => {
                for wrong in wrong {
                    self.error(row.line, wrong.kind, wrong.message, &wrong.help);
                }
                None
            }
        }
    }

    /// Leaves out rows that say the same as an earlier one.
    fn doubles(&mut self, rows: Vec<Row>) -> Vec<Row> {
        let mut once: Vec<Row> = Vec::new();
        let mut by_content: BTreeMap<String, u32> = BTreeMap::new();
        for row in rows {
            let content = format!("{:?}", Row { line: 0, ..row.clone() });
            match by_content.get(&content) {
                Some(&of) => {
                    self.list.doubles.push(Double { line: row.line, of });
                    let at = At { file: self.file, line: row.line, column: 1 };
                    let message = format!("This row says the same as line {of} and is left out.");
                    let help = "If there are two of them, write the count, or give them names.";
                    self.list.problems.push(Problem::note(at, "double", message, help));
                }
                None => {
                    by_content.insert(content, row.line);
                    once.push(row);
                }
            }
        }
        once
    }

    /// A name means one thing.
    fn names(&mut self, rows: &[Row]) {
        let mut taken: BTreeMap<&str, u32> = BTreeMap::new();
        let own = |row: &Row| if row.is_part() { row.parts.first().cloned() } else { None };
        let parts: Vec<(String, u32)> =
            rows.iter().filter_map(|row| Some((own(row)?, row.line))).collect();
        let fixings = rows
            .iter()
            .filter(|row| !row.is_part())
            .filter_map(|row| Some((row.name.as_ref()?, row)));
        let fixings: Vec<(&str, u32)> = fixings.map(|(name, row)| (&**name, row.line)).collect();
        let all = parts.iter().map(|(name, line)| (&**name, *line)).chain(fixings);
        let mut twice: Vec<(u32, u32, String)> = Vec::new();
        for (name, line) in all {
            match taken.get(name) {
                Some(&of) => twice.push((line, of, name.to_owned())),
                None => {
                    taken.insert(name, line);
                }
            }
        }
        for (line, of, name) in twice {
            let message = format!("\"{name}\" stands on line {of} already, with other words.");
            self.error(line, "name-twice", message, "Give one of them another name.");
        }
        let meant = rows.iter().filter(|row| !row.is_part()).flat_map(|row| &row.parts);
        let names: BTreeSet<&str> = meant.map(String::as_str).collect();
        let clash = rows.iter().filter(|row| !row.is_part()).filter_map(|row| {
            let name = row.name.as_deref()?;
            names.contains(name).then(|| (row.line, name.to_owned()))
        });
        let clash: Vec<(u32, String)> = clash.collect();
        for (line, name) in clash {
            let message = format!("\"{name}\" is the name of a part and of a fixing.");
            self.error(line, "name-twice", message, "Give the fixing another name.");
        }
    }
}

/// "tray + bracket" as the part of a fixing means both, unless a part is called just that.
fn holds_several(rows: &mut [Row]) {
    let parts = rows.iter().filter(|row| row.is_part()).flat_map(|row| row.parts.clone());
    let parts: BTreeSet<String> = parts.collect();
    for row in rows.iter_mut().filter(|row| !row.is_part()) {
        let [one] = &row.parts[..] else { continue };
        if parts.contains(one) {
            continue;
        }
        let mut several: Vec<String> = Vec::new();
        for name in one.split(" + ").map(str::trim).filter(|name| !name.is_empty()) {
            if !several.iter().any(|known| known == name) {
                several.push(name.to_owned());
            }
        }
        row.parts = several;
    }
}
