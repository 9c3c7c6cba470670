//! One file read as text: its tree, and what is wrong with its writing.

use std::collections::HashSet;
use std::ops::Range;

use lastbolt_machine::validate::no_more_than;
use lastbolt_machine::{At, FileNo, Problem};
use toml::de::DeTable;

use crate::bytes::text_of;
use crate::fields::Found;
use crate::limits::{PROBLEMS_MAX, ROUNDS_BYTES_MAX, ROUNDS_MAX};
use crate::lines::Lines;
use crate::patch::Patched;
use crate::scan::scan;
use crate::source::Source;
use crate::syntax::{hides_the_rest, plain_words};
use crate::tree::{Entry, Places, entries};

/// A file as a tree, with the problems of its writing.
#[derive(Debug)]
pub(crate) struct Text {
    file: FileNo,
    pub(crate) root: Vec<Entry>,
    problems: Vec<Problem>,
    /// Problems that were counted but not kept.
    more: usize,
}

impl Text {
    /// Reads the file with this number.
    pub(crate) fn of(sources: &[Source], file: FileNo) -> Self {
        match sources.get(usize::from(file.0)) {
            Some(source) => Self::read(source, file),
            None => Self::refused(Problem::error(
                At { file, ..At::default() },
                "no-file",
                "This file was not brought along.",
                "Name the file that is to be read.",
            )),
        }
    }

    fn refused(problem: Problem) -> Self {
        Self { file: problem.at.file, root: Vec::new(), problems: vec![problem], more: 0 }
    }

    /// Reads one file.
    pub(crate) fn read(source: &Source, file: FileNo) -> Self {
        let mut problems = Vec::new();
        let Some(text) = text_of(&source.bytes, file, &mut problems) else {
            return Self { file, root: Vec::new(), problems, more: 0 };
        };
        let lines = Lines::new(&text, file);
        let scanned = scan(&text, &lines);
        if scanned.strange_lines >= 20 && scanned.strange_lines * 2 > scanned.lines {
            let at = scanned.problems.first().map_or(At { file, line: 1, column: 1 }, |p| p.at);
            return Self::refused(Problem::error(
                at,
                "not-ours",
                "Most of this text is neither a machine nor a job nor a garage.",
                "Look whether it is the right file.",
            ));
        }
        problems.extend(scanned.problems);
        if scanned.gave_up {
            return Self { file, root: Vec::new(), problems, more: scanned.more };
        }
        let mut patched = scanned.mends.make(&text);
        // A lone CR ends a line as well; TOML does not know that.
        patched.text = lone_cr(&patched.text);
        let (root, more) = parse(&text, &lines, &mut patched, &mut problems);
        Self { file, root, problems, more: scanned.more + more }
    }

    /// Says so if there is nothing at all in the file.
    pub(crate) fn refuse_empty(&mut self) {
        if self.root.is_empty() && self.problems.is_empty() {
            let at = At { file: self.file, line: 1, column: 1 };
            let message = "There is nothing in this file but remarks.";
            let help = "Write machine = \"...\" and [part.\"NAME\"], or name another file.";
            self.problems.push(Problem::error(at, "empty-file", message, help));
        }
    }

    /// All problems of the file, in its order, no more than a person can read.
    pub(crate) fn finish(self, found: Found) -> Vec<Problem> {
        let mut problems = self.problems;
        problems.extend(found.problems);
        problems.sort_by_key(|problem| problem.at);
        problems.dedup();
        no_more_than(PROBLEMS_MAX, problems, self.more)
    }
}

/// The second look: the TOML tree, again without the line that hid the rest, if there is one.
fn parse(
    text: &str,
    lines: &Lines,
    patched: &mut Patched,
    problems: &mut Vec<Problem>,
) -> (Vec<Entry>, usize) {
    let mut said: HashSet<u32> = problems.iter().map(|problem| problem.at.line).collect();
    let mut more = 0;
    let mut rounds = ROUNDS_MAX.min(ROUNDS_BYTES_MAX / patched.text.len().max(1));
    loop {
        let (table, errors) = DeTable::parse_recoverable(&patched.text);
        let mut hiding = None;
        let mut spans = Vec::new();
        for error in &errors {
            let span = error.span().unwrap_or(0..0);
            if hides_the_rest(error.message()) && hiding.is_none() {
                hiding = Some(span.start);
            }
            let at = lines.at(text, patched.origin(span.start));
            if said.insert(at.line) {
                if problems.len() < PROBLEMS_MAX * 2 {
                    let written = patched.text.get(span.clone()).unwrap_or("");
                    let key = key_before(&patched.text, span.start);
                    let plain = plain_words(error.message(), written, key);
                    problems.push(Problem::error(at, plain.kind, plain.message, plain.help));
                } else {
                    more += 1;
                }
            }
            spans.push(span);
        }
        if let Some(offset) = hiding
            && rounds > 0
        {
            rounds = if patched.wipe_line(offset) { rounds - 1 } else { 0 };
            continue;
        }
        let places = Spans { text, lines, patched, spans: &sorted(spans) };
        return (entries(table.get_ref(), &places), more);
    }
}

fn sorted(mut spans: Vec<Range<usize>>) -> Vec<Range<usize>> {
    spans.sort_by_key(|span| span.start);
    spans
}

/// The key before the value that stands at an offset, on the same line.
fn key_before(text: &str, offset: usize) -> &str {
    let before = text.get(..offset).unwrap_or("");
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    let before = before[start..].trim_end();
    let Some(before) = before.strip_suffix('=') else {
        return "";
    };
    let before = before.trim_end();
    let key = before
        .rfind(|c: char| !crate::header::is_plain(c))
        .map_or(0, |i| i + before[i..].chars().next().map_or(1, char::len_utf8));
    &before[key..]
}

fn lone_cr(text: &str) -> String {
    let mut all = String::with_capacity(text.len());
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let lone = c == '\r' && chars.peek() != Some(&'\n');
        all.push(if lone { '\n' } else { c });
    }
    all
}

struct Spans<'a> {
    text: &'a str,
    lines: &'a Lines,
    patched: &'a Patched,
    spans: &'a [Range<usize>],
}

impl Places for Spans<'_> {
    fn at(&self, offset: usize) -> At {
        self.lines.at(self.text, self.patched.origin(offset))
    }
    fn written(&self, span: Range<usize>) -> &str {
        self.patched.text.get(span).unwrap_or("")
    }
    fn is_reported(&self, span: Range<usize>) -> bool {
        let first = self.spans.partition_point(|s| s.start < span.start);
        self.spans.get(first).is_some_and(|s| s.start <= span.end)
    }
}
