//! Problems with the name of their file, as they are printed.

use lastbolt_files::Source;
use lastbolt_machine::{At, Level, Problem};
use serde::Serialize;

/// One problem, for people and for programs.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(crate) struct Told {
    pub(crate) file: String,
    pub(crate) line: u32,
    pub(crate) column: u32,
    pub(crate) level: &'static str,
    pub(crate) kind: &'static str,
    pub(crate) message: String,
    pub(crate) help: String,
}

impl Told {
    /// Gives a problem the name of its file.
    pub(crate) fn of(problem: &Problem, sources: &[Source]) -> Self {
        Self {
            file: file_name(sources, problem.at),
            line: problem.at.line,
            column: problem.at.column,
            level: match problem.level {
                Level::Error => "error",
                Level::Note => "note",
            },
            kind: problem.kind,
            message: problem.message.clone(),
            help: problem.help.clone(),
        }
    }

    /// An error of a whole file.
    pub(crate) fn error(file: &str, kind: &'static str, message: String, help: &str) -> Self {
        let help = help.to_owned();
        Self { file: file.to_owned(), line: 0, column: 0, level: "error", kind, message, help }
    }

    /// Says whether it keeps the file from being used.
    pub(crate) fn is_error(&self) -> bool {
        self.level == "error"
    }

    /// Gives the lines that are printed: `file:line:column: error: sentence`, and what to do.
    pub(crate) fn lines(&self) -> Vec<String> {
        let place = match self.line {
            0 => self.file.clone(),
            line => format!("{}:{line}:{}", self.file, self.column),
        };
        let mut lines = vec![format!("{place}: {}: {}", self.level, self.message)];
        if !self.help.is_empty() {
            lines.push(format!("    {}", self.help));
        }
        lines
    }
}

/// The name of the file that a place is in.
pub(crate) fn file_name(sources: &[Source], at: At) -> String {
    sources.get(usize::from(at.file.0)).map(|source| source.name.clone()).unwrap_or_default()
}
