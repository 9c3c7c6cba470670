//! From the cells of one row to what they say.

use super::write::unguarded;
use super::{COLUMNS, NAME_CHARS_MAX, NOTE_CHARS_MAX, Row, RowStands, numbers};

/// What is wrong with a cell.
pub(super) struct Wrong {
    pub(super) kind: &'static str,
    pub(super) message: String,
    pub(super) help: String,
}

/// The cells of one row, in the order of [`COLUMNS`].
struct Cell<'a> {
    cells: &'a [String; COLUMNS.len()],
    wrong: Vec<Wrong>,
}

/// Reads one row.
///
/// # Errors
/// Everything that is wrong with it.
pub(super) fn read_row(line: u32, cells: &[String; COLUMNS.len()]) -> Result<Row, Vec<Wrong>> {
    let mut cell = Cell { cells, wrong: Vec::new() };
    let (part, kind, name) = (cell.words("part"), cell.words("kind"), cell.words("name"));
    let mut row = Row {
        line,
        parts: part.into_iter().collect(),
        kind: kind.filter(|kind| kind.to_lowercase() != "part"),
        count: cell.number("count", numbers::count).unwrap_or(1),
        name,
        place: cell.plain_words("place"),
        tool: cell.plain_words("tool"),
        minutes: cell.number("minutes", numbers::minutes),
        note: cell.note(),
        stands: cell.stands(),
    };
    let says_part = !cells[1].trim().is_empty() && row.kind.is_none();
    cell.settle(&mut row, says_part);
    if cell.wrong.is_empty() { Ok(row) } else { Err(cell.wrong) }
}

impl Cell<'_> {
    fn text(&self, column: &str) -> &str {
        let number = COLUMNS.iter().position(|known| *known == column);
        unguarded(number.map_or("", |number| self.cells[number].as_str()))
    }

    fn wrong(&mut self, kind: &'static str, message: String, help: impl Into<String>) {
        self.wrong.push(Wrong { kind, message, help: help.into() });
    }

    /// A name: its blanks are drawn together.
    fn words(&mut self, column: &str) -> Option<String> {
        let text: String = self.text(column).split_whitespace().collect::<Vec<_>>().join(" ");
        if text.is_empty() {
            return None;
        }
        if text.chars().count() > NAME_CHARS_MAX {
            let message = format!("The {column} has more than {NAME_CHARS_MAX} characters.");
            self.wrong("too-long", message, "Shorten it; what it needs in words goes into note.");
        }
        if text.chars().any(char::is_control) {
            let message = format!("The {column} has characters that cannot be shown.");
            self.wrong("bad-character", message, "Write it again.");
        }
        Some(text)
    }

    /// A name that has no slash.
    fn plain_words(&mut self, column: &str) -> Option<String> {
        let text = self.words(column)?;
        if text.contains('/') {
            let message = format!("The {column} \"{text}\" has a slash in it.");
            self.wrong("slash", message, "Write it without: \"above, left\".");
        }
        Some(text)
    }

    fn note(&mut self) -> Option<String> {
        let text = self.text("note").trim().to_owned();
        if text.chars().count() > NOTE_CHARS_MAX {
            let message = format!("The note has more than {NOTE_CHARS_MAX} characters.");
            self.wrong("too-long", message, "Shorten it.");
        }
        if text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\t')) {
            let message = "The note has characters that cannot be shown.".to_owned();
            self.wrong("bad-character", message, "Write it again.");
        }
        (!text.is_empty()).then_some(text)
    }

    fn number<T>(&mut self, column: &str, read: fn(&str) -> Result<T, String>) -> Option<T> {
        let text = self.text(column).trim().to_owned();
        if text.is_empty() {
            return None;
        }
        match read(&text) {
            Ok(number) => Some(number),
            Err(help) => {
                let shown: String = text.chars().take(40).collect();
                let message = format!("\"{shown}\" in the column {column} cannot be read.");
                self.wrong("bad-number", message, help);
                None
            }
        }
    }

    fn stands(&mut self) -> Option<RowStands> {
        let text = self.words("stands")?;
        match text.to_lowercase().as_str() {
            "home" | "on" | "made" => Some(RowStands::Home),
            "off" | "out" | "undone" => Some(RowStands::Off),
            "slack" => Some(RowStands::Slack),
            "in by hand" | "by hand" => Some(RowStands::ByHand),
            _ => {
                let words: Vec<&str> = RowStands::ALL.iter().map(|stands| stands.word()).collect();
                let message = format!("\"{text}\" is nothing that a thing can stand at.");
                self.wrong("unknown-word", message, format!("Write {}.", words.join(", ")));
                None
            }
        }
    }

    /// Settles what a row is that leaves something out.
    fn settle(&mut self, row: &mut Row, says_part: bool) {
        if row.kind.is_none() {
            match (row.parts.first().cloned(), row.name.clone()) {
                (None, None) => {
                    let message = "This row names no part and no kind.".to_owned();
                    self.wrong("says-nothing", message, "Name the part, or the kind of fixing.");
                }
                (None, Some(name)) => row.parts = vec![name],
                (Some(part), Some(name)) if part != name && says_part => {
                    let message = format!("The part is called \"{part}\" and \"{name}\".");
                    self.wrong("name-twice", message, "Leave the name out.");
                }
                // A name beside a part, and no kind: something that holds the part.
                (Some(part), Some(name)) if part != name => row.kind = Some("fixing".to_owned()),
                _ => {}
            }
        }
        if row.is_part() {
            row.name = None;
            if row.count > 1 && !row.parts.is_empty() {
                let message = format!("A part is one thing; this row has {}.", row.count);
                let help = "Write a row for each, with a name of its own; or say which kind it is.";
                self.wrong("several-parts", message, help);
            }
            if matches!(row.stands, Some(RowStands::Slack | RowStands::ByHand)) {
                let message = "A part is home or off; slack or in by hand are fixings.".to_owned();
                self.wrong("unknown-word", message, "Write home or off.");
            }
        }
    }
}
