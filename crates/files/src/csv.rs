//! Lists of parts, fixings and connections as spreadsheets keep them: separated values in, with
//! every problem and its line, and out again.
//!
//! The columns are those of [`COLUMNS`], in any order; `docs/spreadsheets.md` says what is in
//! them. What is written here reads back the same.

mod cells;
mod letters;
mod numbers;
mod read;
mod rows;
mod table;
mod write;

use lastbolt_machine::{Minutes, Problem};

pub use read::read_list;
pub use table::{Table, TableRow, read_table};
pub use write::{harmless, write_list};

/// The columns of a list.
pub const COLUMNS: [&str; 9] =
    ["part", "kind", "count", "name", "place", "tool", "minutes", "note", "stands"];

/// The most rows of a list.
pub const ROWS_MAX: usize = 5_000;
/// The most columns.
pub const CELLS_MAX: usize = 100;
/// The longest name, kind, place or tool \[characters\].
pub const NAME_CHARS_MAX: usize = 120;
/// The longest note \[characters\].
pub const NOTE_CHARS_MAX: usize = 2_000;

/// One row: a part, or fixings or connections of one kind.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// The line where it begins, from 1; 0 for one that was never in a file.
    pub line: u32,
    /// The part; for a fixing, the part or parts that it holds.
    pub parts: Vec<String>,
    /// The kind of a fixing; none: the row is the part itself.
    pub kind: Option<String>,
    /// How many pieces.
    pub count: u32,
    /// What the fixing is called, if it has a name of its own.
    pub name: Option<String>,
    /// From which place it is got at.
    pub place: Option<String>,
    /// With which tool.
    pub tool: Option<String>,
    /// Minutes for all pieces together.
    pub minutes: Option<Minutes>,
    /// In words.
    pub note: Option<String>,
    /// How it stands, if the list says so.
    pub stands: Option<RowStands>,
}

impl Row {
    /// Tells whether it is a part rather than fixings.
    pub fn is_part(&self) -> bool {
        self.kind.is_none()
    }

    /// Tells whether two rows say the same.
    pub fn says_the_same(&self, other: &Row) -> bool {
        Row { line: 0, ..self.clone() } == Row { line: 0, ..other.clone() }
    }
}

/// How a thing of a list stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowStands {
    /// Home: on, made.
    Home,
    /// Off, undone.
    Off,
    /// Made but slackened.
    Slack,
    /// Back in its holes by hand.
    ByHand,
}

impl RowStands {
    /// Every one of them.
    pub const ALL: [RowStands; 4] =
        [RowStands::Home, RowStands::Off, RowStands::Slack, RowStands::ByHand];

    /// Gives the word for it in a list.
    pub fn word(self) -> &'static str {
        match self {
            RowStands::Home => "home",
            RowStands::Off => "off",
            RowStands::Slack => "slack",
            RowStands::ByHand => "in by hand",
        }
    }
}

/// A row that says the same as an earlier one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Double {
    /// Its line.
    pub line: u32,
    /// The line of the earlier one.
    pub of: u32,
}

/// What was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct List {
    /// The rows that can be used, doubles left out.
    pub rows: Vec<Row>,
    /// The sign between the cells, as it was found.
    pub separator: char,
    /// Rows that are left out since an earlier one says the same.
    pub doubles: Vec<Double>,
    /// Columns that nothing is done with.
    pub left_out: Vec<String>,
    /// What is wrong, errors and notes, in the order of the lines.
    pub problems: Vec<Problem>,
}

/// How a list is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// The sign between the cells: `;`, `,` or a tab.
    pub separator: char,
    /// Whether minutes are written with a comma.
    pub decimal_comma: bool,
}

impl Default for Style {
    fn default() -> Self {
        Self { separator: ',', decimal_comma: false }
    }
}
