//! One file read as text: its tree, its lines, and what is wrong with its writing.

use std::ops::Range;

use lastbolt_machine::{At, FileNo, Problem};
use toml::de::DeTable;

use crate::fields::Found;
use crate::limits::PROBLEMS_MAX;
use crate::lines::Lines;
use crate::source::Source;
use crate::tree::{Entry, Places, entries};

/// A file as a tree, with the problems of its writing.
#[derive(Debug)]
pub(crate) struct Text {
    pub(crate) file: FileNo,
    pub(crate) root: Vec<Entry>,
    pub(crate) problems: Vec<Problem>,
}

impl Text {
    /// Reads the file with this number.
    pub(crate) fn of(sources: &[Source], file: FileNo) -> Self {
        match sources.get(usize::from(file.0)) {
            Some(source) => Self::read(source, file),
            None => Self {
                file,
                root: Vec::new(),
                problems: vec![Problem::error(
                    At { file, ..At::default() },
                    "no-file",
                    "This file was not brought along.",
                    "Name the file that is to be read.",
                )],
            },
        }
    }

    /// Reads one file.
    pub(crate) fn read(source: &Source, file: FileNo) -> Self {
        let text = String::from_utf8_lossy(&source.bytes).into_owned();
        let lines = Lines::new(&text, file);
        let (table, errors) = DeTable::parse_recoverable(&text);
        let spans: Vec<Range<usize>> = errors.iter().filter_map(toml::de::Error::span).collect();
        let problems = errors
            .iter()
            .map(|error| {
                let at = lines.at(&text, error.span().map_or(0, |s| s.start));
                Problem::error(at, "syntax", error.message(), "Correct this line.")
            })
            .collect();
        let places = Spans { text: &text, lines: &lines, spans: &spans };
        let root = entries(table.get_ref(), &places);
        Self { file, root, problems }
    }

    /// All problems of the file, in its order, no more than a person can read.
    pub(crate) fn finish(self, found: Found) -> Vec<Problem> {
        let mut problems = self.problems;
        problems.extend(found.problems);
        problems.sort_by_key(|problem| problem.at);
        problems.dedup();
        let more = problems.len().saturating_sub(PROBLEMS_MAX);
        if more > 0 {
            problems.truncate(PROBLEMS_MAX);
            let message = format!("There are {more} more problems in this file.");
            let at = problems.last().map_or(At::default(), |last| last.at);
            let help = "Mend those above first.";
            problems.push(Problem::error(at, "more-problems", message, help));
        }
        problems
    }
}

struct Spans<'a> {
    text: &'a str,
    lines: &'a Lines,
    spans: &'a [Range<usize>],
}

impl Places for Spans<'_> {
    fn at(&self, offset: usize) -> At {
        self.lines.at(self.text, offset)
    }
    fn written(&self, span: Range<usize>) -> &str {
        self.text.get(span).unwrap_or("")
    }
    fn is_reported(&self, span: Range<usize>) -> bool {
        self.spans.iter().any(|s| s.start >= span.start && s.start <= span.end)
    }
}
