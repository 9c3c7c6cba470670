//! The files as the caller brings them, and what sort of file each is.

use lastbolt_machine::FileNo;

use crate::text::Text;

/// One file: its name as shown in messages, and its bytes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Source {
    /// The name, as the user wrote it.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

impl Source {
    /// Puts a name and what is in the file together.
    pub fn new(name: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Self {
        Self { name: name.into(), bytes: bytes.into() }
    }
}

/// What sort of file it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A machine, perhaps with a job in it.
    Machine,
    /// A job that points at its machine by `machine_file`.
    Job,
    /// Persons, wrenches, adapters, minutes and display of a garage.
    Garage,
}

/// Says what sort of file it is, by its top keys; a machine file if nothing else fits.
pub fn kind_of(source: &Source) -> FileKind {
    kind_of_text(&Text::read(source, FileNo(0)))
}

pub(crate) fn kind_of_text(text: &Text) -> FileKind {
    let top: Vec<&str> = text.root.iter().map(|entry| entry.key.as_str()).collect();
    if top.contains(&"machine_file") {
        return FileKind::Job;
    }
    let known = |key: &&str| crate::keys::GARAGE.contains(key) || key.starts_with("x-");
    if !top.is_empty() && top.iter().all(known) && top.iter().any(|key| !key.starts_with("x-")) {
        return FileKind::Garage;
    }
    if top == ["job"] { FileKind::Job } else { FileKind::Machine }
}
