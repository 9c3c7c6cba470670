//! The first look at a file, line by line: mistakes that would hide what follows them (a missing
//! bracket or quote, a table's line that cannot be read, something named twice) are reported here
//! and mended for the second look, so that the rest of the file is read all the same.

use std::collections::HashMap;
use std::ops::Range;

use lastbolt_machine::Problem;

use crate::header::{Header, header, is_plain};
use crate::limits::PROBLEMS_MAX;
use crate::lines::Lines;
use crate::patch::Mends;

/// A letter of the private area, which marks the second of two things with the same name.
pub(crate) const TWICE: char = '\u{e000}';
/// Tables whose things may be named twice without hiding anything: both are read, and
/// [`lastbolt_machine::validate()`] says which two lines name them.
const THING_TABLES: &[&str] = &["part", "tie", "prep", "spot"];
/// Names that begin the line of a table.
const TABLES: &[&str] = &[
    "part",
    "tie",
    "prep",
    "spot",
    "between",
    "tool_change",
    "job",
    "person",
    "wrench",
    "adapter",
    "tool",
    "minutes",
    "display",
];

/// After how many problems beyond those kept the rest of a file is not looked at.
const GIVE_UP: usize = 2_000;

/// What the first look found.
pub(crate) struct Scanned {
    pub(crate) mends: Mends,
    pub(crate) problems: Vec<Problem>,
    /// Problems that were counted but not kept.
    pub(crate) more: usize,
    /// Lines that are neither a table's line nor `key = value`.
    pub(crate) strange_lines: usize,
    /// Lines with anything but a comment on them, lists' own lines left out.
    pub(crate) lines: usize,
    /// There was so much wrong that the rest was not looked at.
    pub(crate) gave_up: bool,
}

/// Looks through a text.
pub(crate) fn scan(text: &str, lines: &Lines) -> Scanned {
    let mut scan = Scan {
        text,
        lines,
        out: Scanned {
            mends: Mends::default(),
            problems: Vec::new(),
            more: 0,
            strange_lines: 0,
            lines: 0,
            gave_up: false,
        },
        stack: Vec::new(),
        open_text: None,
        last: ' ',
        statement: 0,
        value: 0,
        skipping: false,
        section: 0,
        headers: HashMap::new(),
        keys: HashMap::new(),
        has_mark: text.contains(TWICE),
    };
    let mut start = if text.starts_with('\u{feff}') { 3 } else { 0 };
    while start < text.len() {
        let rest = &text.as_bytes()[start..];
        let end = rest.iter().position(|b| matches!(b, b'\n' | b'\r'));
        let end = end.map_or(text.len(), |i| start + i);
        scan.line(start..end);
        if scan.out.more > GIVE_UP {
            scan.out.gave_up = true;
            return scan.out;
        }
        let two = text[end..].starts_with("\r\n");
        start = end + if two { 2 } else { 1 };
    }
    scan.end();
    scan.out
}

pub(crate) struct Scan<'a> {
    pub(crate) text: &'a str,
    lines: &'a Lines,
    pub(crate) out: Scanned,
    /// Brackets that are open, with their places.
    pub(crate) stack: Vec<(char, usize)>,
    /// A text over several lines that is open: its quotes and its place.
    pub(crate) open_text: Option<(&'static str, usize)>,
    /// The last sign that counts.
    pub(crate) last: char,
    /// Where the statement begins.
    pub(crate) statement: usize,
    /// Where its value begins.
    pub(crate) value: usize,
    /// The rest of a statement that could not be read is left out.
    pub(crate) skipping: bool,
    section: usize,
    /// The mark for what is named twice stands in the file itself.
    has_mark: bool,
    headers: HashMap<String, usize>,
    keys: HashMap<(usize, String), usize>,
}

impl Scan<'_> {
    pub(crate) fn report(
        &mut self,
        offset: usize,
        kind: &'static str,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        if self.out.problems.len() >= PROBLEMS_MAX * 2 {
            self.out.more += 1;
            return;
        }
        let at = self.lines.at(self.text, offset);
        self.out.problems.push(Problem::error(at, kind, message, help));
    }

    fn line(&mut self, span: Range<usize>) {
        if self.open_text.is_some() {
            self.in_text(span);
            return;
        }
        let line = &self.text[span.clone()];
        if !self.stack.is_empty() && self.begins_anew(line) {
            self.close_all(span.start);
        }
        if !self.stack.is_empty() {
            self.signs(span);
            return;
        }
        let trimmed = line.trim_start();
        if trimmed.is_empty() || trimmed.starts_with('#') {
            self.skipping = false;
            return;
        }
        let start = span.end - trimmed.len();
        let line = start..start + trimmed.trim_end().len();
        if self.skipping && !looks_like_a_statement(trimmed) {
            self.out.mends.replace(line, "");
            return;
        }
        self.skipping = false;
        self.out.lines += 1;
        self.statement = start;
        if trimmed.starts_with('[') { self.header(line) } else { self.pair(line) }
    }

    /// Whether a line inside brackets shows that they were never closed.
    fn begins_anew(&self, line: &str) -> bool {
        let line = line.trim_start();
        if line.starts_with('[') {
            return is_table_line(line);
        }
        let in_list = self.stack.last().is_some_and(|(open, _)| *open == '[');
        looks_like_a_pair(line) && (in_list || !matches!(self.last, ',' | '{' | '['))
    }

    /// Reports brackets that were never closed, and closes them before `offset`.
    fn close_all(&mut self, offset: usize) {
        let mut close = String::new();
        if let Some((open, place)) = self.stack.first().copied() {
            let message = format!("This {open} is never closed.");
            let help = format!("Put {} where the list ends.", closing(open));
            self.report(place, "not-closed", message, help);
        }
        while let Some((open, _)) = self.stack.pop() {
            close.push(closing(open));
        }
        close.push('\n');
        self.out.mends.replace(offset..offset, close);
    }

    fn end(&mut self) {
        let end = self.text.len();
        let mut close = String::from("\n");
        if let Some((quotes, place)) = self.open_text.take() {
            let message = format!("The text that begins here with {quotes} never ends.");
            self.report(place, "missing-quote", message, format!("Put {quotes} where it ends."));
            close = format!("{quotes}\n");
        }
        self.out.mends.replace(end..end, close);
        if !self.stack.is_empty() {
            self.close_all(end);
        }
    }

    /// A line that begins with `[`.
    fn header(&mut self, span: Range<usize>) {
        self.section += 1;
        match header(&self.text[span.clone()]) {
            Ok(header) if !header.is_list => {
                self.note_header(span, &header);
            }
            Ok(_) => {}
            Err(bad) => {
                let help = if bad.meant.is_empty() {
                    "Write [part.\"NAME\"], [tie.\"NAME\"] or another table.".to_owned()
                } else {
                    format!("Write {}.", bad.meant)
                };
                self.report(span.start, "bad-table-line", bad.message, help);
                let own = format!("[x-broken-{}]", self.section);
                match header(&bad.meant) {
                    _ if bad.meant.is_empty() => self.out.mends.replace(span, own),
                    Ok(meant) => {
                        if !self.note_header(span.clone(), &meant) {
                            self.out.mends.replace(span, bad.meant);
                        }
                    }
                    Err(_) => self.out.mends.replace(span, own),
                }
            }
        }
    }

    /// Remembers a table; says whether it was there before, which is mended.
    fn note_header(&mut self, span: Range<usize>, header: &Header) -> bool {
        let path = header.path.join("\u{1}");
        let Some(&first) = self.headers.get(&path) else {
            self.headers.insert(path, span.start);
            return false;
        };
        let thing =
            matches!(header.path.as_slice(), [sort, _] if THING_TABLES.contains(&sort.as_str()));
        if thing && !self.has_mark {
            let (sort, name) = (&header.path[0], &header.path[1]);
            let name = name.replace('\\', "\\\\").replace('"', "\\\"");
            let mended = format!("[{sort}.\"{name}{TWICE}{}\"]", self.section);
            self.out.mends.replace(span, mended);
        } else {
            let first = self.lines.at(self.text, first).line;
            let message =
                format!("[{}] is written twice; first at line {first}.", header.path.join("."));
            let help = "Put both together under one, or give one another name.";
            self.report(span.start, "named-twice", message, help);
            self.out.mends.replace(span, format!("[x-twice-{}]", self.section));
        }
        true
    }

    /// `key = value`.
    fn pair(&mut self, span: Range<usize>) {
        let line = &self.text[span.clone()];
        let Some(key) = key_length(line) else {
            self.strange(span);
            return;
        };
        let after = line[key..].trim_start();
        let sign = span.end - after.len();
        if let Some(rest) = after.strip_prefix('=') {
            self.note_key(span.start..span.start + key);
            if rest.starts_with('=') {
                self.report(sign, "extra-equals", "One = is enough.", "Write key = value.");
                self.out.mends.replace(sign + 1..sign + 2, " ");
            }
        } else if after.starts_with(':') {
            let help = format!("Write {} = and the value.", line[..key].trim());
            self.report(sign, "no-equals", "Between key and value stands =, not a colon.", help);
            self.out.mends.replace(sign..sign + 1, "=");
        } else if after.is_empty() || after.starts_with('#') || !is_value_like(after) {
            self.strange(span);
            return;
        } else {
            let help = format!("Write {} = and the value.", line[..key].trim());
            self.report(sign, "no-equals", "There is no = between key and value.", help);
            self.out.mends.replace(sign..sign, "= ");
            self.begin_value(sign..span.end, '=');
            return;
        }
        self.begin_value(sign + 1..span.end, '=');
    }

    fn begin_value(&mut self, span: Range<usize>, last: char) {
        self.value = span.start;
        self.last = last;
        self.signs(span);
    }

    fn strange(&mut self, span: Range<usize>) {
        self.out.strange_lines += 1;
        self.report(
            span.start,
            "not-understood",
            "This line is neither a table such as [part.\"NAME\"] nor key = value.",
            "Correct it, or begin it with # if it is a remark.",
        );
        self.out.mends.replace(span, "");
    }

    /// A key of a table, outside curly brackets; the second of two is reported and set aside.
    fn note_key(&mut self, span: Range<usize>) {
        let key = self.text[span.clone()].trim().to_owned();
        let Some(&first) = self.keys.get(&(self.section, key.clone())) else {
            self.keys.insert((self.section, key), span.start);
            return;
        };
        let first = self.lines.at(self.text, first).line;
        let message = format!("`{key}` is written twice here; first at line {first}.");
        self.report(span.start, "written-twice", message, "Keep one of the two.");
        self.out.mends.replace(span.clone(), format!("x-twice-{}", span.start));
    }
}

pub(crate) fn closing(open: char) -> char {
    if open == '[' { ']' } else { '}' }
}

/// How long the key at the beginning of a line is; `None` if there is none.
fn key_length(line: &str) -> Option<usize> {
    let mut at = 0;
    loop {
        let rest = &line[at..];
        let length = if let Some(inner) = rest.strip_prefix('"') {
            inner.find('"')? + 2
        } else if let Some(inner) = rest.strip_prefix('\'') {
            inner.find('\'')? + 2
        } else {
            rest.find(|c: char| !is_plain(c)).unwrap_or(rest.len())
        };
        if length == 0 {
            return None;
        }
        at += length;
        let after = line[at..].trim_start();
        match after.strip_prefix('.') {
            Some(next) => at = line.len() - next.trim_start().len(),
            None => return Some(at),
        }
    }
}

fn is_value_like(text: &str) -> bool {
    text.starts_with(|c: char| {
        c.is_ascii_digit() || matches!(c, '"' | '\'' | '[' | '{' | '“' | '„')
    }) || text.starts_with("true")
        || text.starts_with("false")
}

fn looks_like_a_pair(line: &str) -> bool {
    key_length(line).is_some_and(|key| {
        let after = line[key..].trim_start();
        after.starts_with('=') && !after.starts_with("==")
    })
}

fn is_table_line(line: &str) -> bool {
    let inner = line.trim_start_matches('[').trim_start();
    let end = inner.find(|c: char| !is_plain(c)).unwrap_or(inner.len());
    let known = TABLES.contains(&&inner[..end]) || inner.starts_with("x-");
    known && inner[end..].trim_start().starts_with(['.', ']'])
}

fn looks_like_a_statement(line: &str) -> bool {
    is_table_line(line) || looks_like_a_pair(line)
}
