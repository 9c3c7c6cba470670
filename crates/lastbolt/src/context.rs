//! What every command is given: the garage asked for, and where to write.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use lastbolt_files::Display;
use lastbolt_floor::Own;
use lastbolt_store::{Garage, default_garage_dir};

use crate::failure::Failure;

/// How a command ended that could be carried out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Done {
    /// All is well.
    Well,
    /// It was carried out, and the answer is no: errors in a file, no order, an order refused.
    No,
}

impl Done {
    /// Gives 0 or 1.
    pub(crate) fn code(self) -> ExitCode {
        ExitCode::from(u8::from(self == Self::No))
    }
}

/// The garage asked for, and standard output.
pub(crate) struct Context {
    garage: Option<PathBuf>,
    display: Option<Display>,
    out: io::BufWriter<io::Stdout>,
}

impl Context {
    pub(crate) fn new(garage: Option<PathBuf>) -> Self {
        Self { garage, display: None, out: io::BufWriter::new(io::stdout()) }
    }

    /// Gives the garage folder that was asked for by `--garage`, if one was.
    pub(crate) fn garage_asked(&self) -> Option<&Path> {
        self.garage.as_deref()
    }

    /// Gives the garage folder: the one asked for, else the user's.
    ///
    /// # Errors
    /// Fails when none was asked for and the user has no data folder.
    pub(crate) fn garage_dir(&self) -> Result<PathBuf, Failure> {
        match &self.garage {
            Some(dir) => Ok(dir.clone()),
            None => Ok(default_garage_dir()?),
        }
    }

    /// Opens the garage folder, making it if it is not there.
    ///
    /// # Errors
    /// Fails when there is no such place or it cannot be made.
    pub(crate) fn garage(&self) -> Result<Garage, Failure> {
        Ok(Garage::open(&self.garage_dir()?)?)
    }

    /// Gives how this garage shows numbers and money; as where there is no file if it cannot be
    /// read: nothing hangs on it.
    pub(crate) fn display(&mut self) -> Display {
        if let Some(display) = &self.display {
            return display.clone();
        }
        let dir = self.garage_dir().ok().filter(|dir| dir.is_dir());
        let own = dir.and_then(|dir| Garage::open(&dir).ok()).map(|garage| Own::read(&garage));
        let display = own.map(|own| own.display).unwrap_or_default();
        self.display = Some(display.clone());
        display
    }

    /// Writes one line for people: amounts with this garage's decimal sign.
    ///
    /// # Errors
    /// As [`Context::line`].
    pub(crate) fn say(&mut self, text: &str) -> Result<(), Failure> {
        let text = self.display().prose(text);
        self.line(&text)
    }

    /// Writes one line to standard output.
    ///
    /// # Errors
    /// Fails when it cannot be written, or whoever reads it has gone away.
    pub(crate) fn line(&mut self, text: &str) -> Result<(), Failure> {
        writeln!(self.out, "{text}")?;
        Ok(())
    }

    /// Writes bytes to standard output as they are.
    ///
    /// # Errors
    /// Fails when they cannot be written, or whoever reads them has gone away.
    pub(crate) fn bytes(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        self.out.write_all(bytes)?;
        Ok(())
    }

    /// Writes a value as JSON, indented, with a line end.
    ///
    /// # Errors
    /// Fails when it cannot be written, or whoever reads it has gone away.
    pub(crate) fn json(&mut self, value: &impl serde::Serialize) -> Result<(), Failure> {
        let text = serde_json::to_string_pretty(value).map_err(io::Error::from)?;
        self.line(&text)
    }

    /// Brings everything out that was written.
    ///
    /// # Errors
    /// Fails when it cannot be written, or whoever reads it has gone away.
    pub(crate) fn flush(&mut self) -> Result<(), Failure> {
        self.out.flush()?;
        Ok(())
    }
}

/// Says something beside the answer, on standard error; nothing is lost if nobody reads it.
pub(crate) fn aside(text: &str) {
    let _ = writeln!(io::stderr(), "{text}");
}

/// Says whether somebody watches standard error.
pub(crate) fn is_watched() -> bool {
    io::stderr().is_terminal()
}

/// Says whether standard output is a terminal.
pub(crate) fn is_terminal() -> bool {
    io::stdout().is_terminal()
}
