//! From text to cells: quotes, line ends and the sign between cells.

use super::{CELLS_MAX, COLUMNS, ROWS_MAX};

/// One row of cells.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Cells {
    /// The line where it begins, from 1.
    pub(super) line: u32,
    pub(super) cells: Vec<String>,
}

/// What is wrong with quotes, or too much.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Slip {
    /// A quote begins on this line and never ends.
    NeverEnds(u32),
    /// Something stands behind the closing quote.
    AfterQuote(u32),
    /// There are more cells in a row than a list may have.
    TooWide(u32),
    /// There are more rows than a list may have.
    TooLong(u32),
}

impl Slip {
    /// Gives the line, what kind of problem it is, the sentence, and what to do.
    pub(super) fn told(self) -> (u32, &'static str, String, &'static str) {
        match self {
            Slip::NeverEnds(line) => (
                line,
                "open-quote",
                "A quote begins on this line and never ends.".to_owned(),
                "Close it, or write it twice if it is meant as a sign: 5\"\" pipe.",
            ),
            Slip::AfterQuote(line) => (
                line,
                "after-quote",
                "Something stands behind a closing quote.".to_owned(),
                "Write a quote inside a cell twice: \"5\"\" pipe\".",
            ),
            Slip::TooWide(line) => (
                line,
                "too-wide",
                format!("This row has more than {CELLS_MAX} cells."),
                "Look whether it is the right file.",
            ),
            Slip::TooLong(line) => (
                line,
                "too-long",
                format!("A list has at most {ROWS_MAX} rows; from here on nothing was read."),
                "Split the list.",
            ),
        }
    }
}

/// Splits a text into rows of cells; empty rows are left out.
pub(super) fn split(text: &str, separator: char) -> (Vec<Cells>, Vec<Slip>) {
    let mut splitter = Splitter::new(separator);
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        if splitter.is_full {
            break;
        }
        let twin = c == '"' && chars.peek() == Some(&'"');
        let pair = c == '\r' && chars.peek() == Some(&'\n');
        if splitter.take(c, twin, pair) {
            chars.next();
        }
    }
    splitter.finish()
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum In {
    /// At the beginning of a cell.
    Start,
    Plain,
    Quoted,
    /// Behind the closing quote.
    Closed,
}

struct Splitter {
    separator: char,
    rows: Vec<Cells>,
    slips: Vec<Slip>,
    row: Cells,
    cell: String,
    place: In,
    line: u32,
    quote: u32,
    is_full: bool,
}

impl Splitter {
    fn new(separator: char) -> Self {
        Self {
            separator,
            rows: Vec::new(),
            slips: Vec::new(),
            row: Cells { line: 1, cells: Vec::new() },
            cell: String::new(),
            place: In::Start,
            line: 1,
            quote: 0,
            is_full: false,
        }
    }

    /// Takes one character; tells whether the next one belongs to it.
    fn take(&mut self, c: char, twin: bool, pair: bool) -> bool {
        let is_end = c == '\n' || c == '\r';
        let is_escaped = self.place == In::Quoted && twin;
        self.line += u32::from(is_end);
        match self.place {
            In::Quoted if twin => self.cell.push('"'),
            In::Quoted if c == '"' => self.place = In::Closed,
            In::Quoted => self.cell.push(if is_end { '\n' } else { c }),
            _ if c == self.separator => self.end_cell(),
            _ if is_end => self.end_row(),
            In::Start if c == '"' => {
                self.place = In::Quoted;
                self.quote = self.line;
            }
            In::Closed if c == ' ' => {}
            In::Closed => {
                if self.slips.last() != Some(&Slip::AfterQuote(self.line)) {
                    self.slips.push(Slip::AfterQuote(self.line));
                }
                self.cell.push(c);
            }
            In::Start | In::Plain => {
                self.cell.push(c);
                self.place = In::Plain;
            }
        }
        is_escaped || pair
    }

    fn end_cell(&mut self) {
        let cell = std::mem::take(&mut self.cell);
        self.place = In::Start;
        if self.row.cells.len() < CELLS_MAX {
            self.row.cells.push(cell);
        } else if self.slips.last() != Some(&Slip::TooWide(self.row.line)) {
            self.slips.push(Slip::TooWide(self.row.line));
        }
    }

    fn end_row(&mut self) {
        self.end_cell();
        let row = std::mem::replace(&mut self.row, Cells { line: self.line, cells: Vec::new() });
        if row.cells.iter().all(|cell| cell.trim().is_empty()) {
            return;
        }
        if self.rows.len() > ROWS_MAX {
            self.slips.push(Slip::TooLong(row.line));
            self.is_full = true;
        } else {
            self.rows.push(row);
        }
    }

    fn finish(mut self) -> (Vec<Cells>, Vec<Slip>) {
        if self.place == In::Quoted {
            self.slips.push(Slip::NeverEnds(self.quote));
        }
        if !self.is_full && (self.place != In::Start || !self.row.cells.is_empty()) {
            self.end_row();
        }
        (self.rows, self.slips)
    }
}

/// Finds the sign between the cells: what a first line "sep=;" says, else the one that makes most
/// known columns of the header, else most cells. Gives the text without such a first line, and
/// how many lines that was.
pub(super) fn separator(text: &str, is_known: impl Fn(&str) -> bool) -> (char, &str, u32) {
    let first = text.lines().next().unwrap_or_default();
    if let Some(said) = first.trim().strip_prefix("sep=")
        && let Some(sign) = said.chars().next().filter(|sign| SIGNS.contains(sign))
    {
        let rest = text[first.len()..].strip_prefix('\r').unwrap_or(&text[first.len()..]);
        return (sign, rest.strip_prefix('\n').unwrap_or(rest), 1);
    }
    let header = header_of(text);
    let score = |sign: char| {
        let (rows, _) = split(header, sign);
        let cells = rows.first().map_or(&[][..], |row| &row.cells);
        let known = cells.iter().filter(|cell| is_known(cell)).count();
        (known, cells.len())
    };
    let mut best = SIGNS[0];
    for sign in SIGNS {
        if score(sign) > score(best) {
            best = sign;
        }
    }
    (best, text, 0)
}

/// The signs that may stand between cells.
const SIGNS: [char; 3] = [';', ',', '\t'];

/// The first line with something in it; a header's names have no line ends.
fn header_of(text: &str) -> &str {
    let lines = text.split(['\n', '\r']);
    let is_empty = |line: &str| line.chars().all(|c| c.is_whitespace() || SIGNS.contains(&c));
    let mut full = lines.filter(|line| !is_empty(line));
    full.next().unwrap_or_default()
}

/// The number of the column of that name.
pub(super) fn column(cell: &str) -> Option<usize> {
    let name = cell.trim().to_lowercase();
    COLUMNS.iter().position(|known| *known == name)
}
