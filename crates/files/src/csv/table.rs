//! Tables with columns of any names, as a list of check values has them.

use lastbolt_machine::validate::no_more_than;
use lastbolt_machine::{At, FileNo, Problem};

use super::cells::{Cells, separator, split};
use super::letters::text_of;
use super::write::unguarded;
use crate::limits::PROBLEMS_MAX;

/// A table as it stands in a file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// The names of the columns, blanks around them taken away.
    pub header: Vec<String>,
    /// The rows below, as long as each is.
    pub rows: Vec<TableRow>,
    /// The sign between the cells, as it was found.
    pub separator: char,
    /// What is wrong with the file as a whole.
    pub problems: Vec<Problem>,
}

/// One row of a table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TableRow {
    /// The line where it begins, from 1.
    pub line: u32,
    /// Its cells, blanks around them taken away.
    pub cells: Vec<String>,
}

/// Reads a table from the bytes of a file; the names of columns that are looked for tell which sign
/// stands between the cells.
pub fn read_table(bytes: &[u8], file: FileNo, known: &[&str]) -> Table {
    let mut table = Table::default();
    let Some(text) = text_of(bytes, file, &mut table.problems) else { return table };
    let is_known = |cell: &str| known.contains(&cell.trim().to_lowercase().as_str());
    let (sign, text, skipped) = separator(&text, is_known);
    table.separator = sign;
    let (rows, slips) = split(text, sign);
    for slip in slips {
        let (line, kind, message, help) = slip.told();
        let at = At { file, line: line.saturating_add(skipped), column: 1 };
        table.problems.push(Problem::error(at, kind, message, help));
    }
    let mut rows = rows.into_iter().map(|row| trimmed(&row, skipped));
    match rows.next() {
        Some(header) => table.header = header.cells,
        None if table.problems.is_empty() => {
            let at = At { file, line: 1, column: 1 };
            let help = "Bring a table with a line of column names and rows below it.";
            let message = "There is nothing in this table.";
            table.problems.push(Problem::error(at, "empty-file", message, help));
        }
        None => {}
    }
    table.rows = rows.collect();
    table.problems = no_more_than(PROBLEMS_MAX, std::mem::take(&mut table.problems), 0);
    table
}

fn trimmed(row: &Cells, skipped: u32) -> TableRow {
    let cells = row.cells.iter().map(|cell| unguarded(cell.trim()).trim().to_owned()).collect();
    TableRow { line: row.line.saturating_add(skipped), cells }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Any order of columns, any separating sign, lines counted in the file; a quote that never
    /// ends is a problem.
    #[test]
    fn any_columns() {
        let read = |text: &str| read_table(text.as_bytes(), FileNo(0), &["quantity", "inputs"]);
        let table = read("sep=;\r\ninputs ; Quantity;own\r\n\"a=1;b=2\"; x ;\r\n\r\nc;y\r\n");
        assert_eq!(
            (table.separator, &table.header[..2]),
            (';', &["inputs".into(), "Quantity".into()][..])
        );
        let lines: Vec<u32> = table.rows.iter().map(|row| row.line).collect();
        assert_eq!((lines, table.rows[0].cells[0].as_str()), (vec![3, 5], "a=1;b=2"));
        // The header decides: semicolons inside of cells do not.
        let commas = read("quantity,inputs\nx,a=1;b=2;c=3\n");
        assert_eq!((commas.separator, commas.rows[0].cells.len()), (',', 2));
        assert_eq!(read("quantity,inputs\n\"x,1\n").problems[0].kind, "open-quote");
        assert_eq!(read("").problems[0].kind, "empty-file");
    }
}
