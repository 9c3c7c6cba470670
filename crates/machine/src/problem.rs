//! What is wrong with what was written, said so that a mechanic understands it.

use crate::at::At;

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// The file cannot be used until this is mended.
    Error,
    /// Something to know; the file can be used.
    Note,
}

/// One thing that is wrong, where, and what to do about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// Where it was written.
    pub at: At,
    /// How bad it is.
    pub level: Level,
    /// A short fixed word for programs, for instance `unknown-name`.
    pub kind: &'static str,
    /// What is wrong, in one sentence.
    pub message: String,
    /// What to do, in one sentence; may be empty for notes.
    pub help: String,
}

impl Problem {
    /// An error.
    pub fn error(
        at: At,
        kind: &'static str,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self { at, level: Level::Error, kind, message: message.into(), help: help.into() }
    }

    /// A note.
    pub fn note(
        at: At,
        kind: &'static str,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self { at, level: Level::Note, kind, message: message.into(), help: help.into() }
    }
}
