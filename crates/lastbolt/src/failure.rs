//! Why a command could not be carried out, and with which exit code it says so.

use std::io;
use std::process::ExitCode;

use lastbolt_store::StoreError;

use crate::context::aside;

/// What sort of failure it is; it decides the exit code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sort {
    /// What was given cannot be used: no such file, errors in a file. Exit code 1.
    Given,
    /// The command line asks for something that is not there. Exit code 2.
    Asked,
    /// The disk, the garage folder or the running server did not do it. Exit code 3.
    World,
    /// Whoever read the output has gone away; nothing to say. Exit code 0.
    ReaderGone,
}

/// A failure: a sentence, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Failure {
    sort: Sort,
    message: String,
    help: String,
}

impl Failure {
    pub(crate) fn new(sort: Sort, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { sort, message: message.into(), help: help.into() }
    }

    /// What was given cannot be used.
    pub(crate) fn given(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self::new(Sort::Given, message, help)
    }

    /// The command line asks for something that is not there.
    pub(crate) fn asked(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self::new(Sort::Asked, message, help)
    }

    /// The disk, the garage folder or the running server did not do it.
    pub(crate) fn world(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self::new(Sort::World, message, help)
    }

    /// Gives what went wrong, in a sentence.
    pub(crate) fn sentence(&self) -> &str {
        &self.message
    }

    /// Says it on standard error and gives the exit code.
    pub(crate) fn tell(&self) -> ExitCode {
        if self.sort != Sort::ReaderGone {
            aside(&format!("error: {}", self.message));
            if !self.help.is_empty() {
                aside(&format!("    {}", self.help));
            }
        }
        ExitCode::from(match self.sort {
            Sort::ReaderGone => 0,
            Sort::Given => 1,
            Sort::Asked => 2,
            Sort::World => 3,
        })
    }
}

impl std::fmt::Display for Failure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "error: {}", self.message)
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        if error.kind() == io::ErrorKind::BrokenPipe {
            return Self::new(Sort::ReaderGone, "", "");
        }
        Self::world(format!("The answer could not be written: {error}."), "")
    }
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::NoSuchJob { .. } | StoreError::BadJobId { .. } => {
                Self::asked(error.to_string(), "")
            }
            _ => Self::world(error.to_string(), ""),
        }
    }
}
