//! What the tests of the store share.
#![allow(dead_code, reason = "each test file uses a part of it")]
#![allow(clippy::unwrap_used, reason = "for tests: what fails here fails the test")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use lastbolt_ledger::{Event, EventId, Verb};
use lastbolt_store::{FileRole, Garage, JobFile, JobId};

/// A garage in a folder that goes away.
pub(crate) struct Here {
    pub(crate) temp: tempfile::TempDir,
    pub(crate) garage: Garage,
}

/// Makes an empty garage. Its path has letters that an address would take for something else.
pub(crate) fn here() -> Here {
    let temp = tempfile::tempdir().unwrap();
    let garage = Garage::open(&temp.path().join("gärage 50% #1?")).unwrap();
    Here { temp, garage }
}

/// Makes an event, the `number`th of its sender.
pub(crate) fn event(sender: &str, number: u64, verb: Verb, thing: Option<&str>) -> Event {
    let id = EventId::new(&format!("{sender}-{number}")).unwrap();
    let mut event = Event::new(id, sender, number, 0, 1_700_000_000_000, verb);
    event.thing = thing.map(str::to_owned);
    event
}

/// Makes an event that undoes the `number`th thing.
pub(crate) fn undo(sender: &str, number: u64) -> Event {
    event(sender, number, Verb::Undo, Some(&format!("tie {number}")))
}

pub(crate) fn machine_file() -> JobFile {
    JobFile {
        name: "machine.toml".into(),
        role: FileRole::Machine,
        text: "machine = \"Kelp\"\n".into(),
    }
}

/// Begins a job.
pub(crate) fn begin(garage: &Garage) -> JobId {
    garage.begin("Kelp impeller", "/demo/kelp", &[machine_file()], 1_700_000_000_000).unwrap()
}

/// Gives the database of a job.
pub(crate) fn db(garage: &Garage, id: &JobId) -> PathBuf {
    garage.job_dir(id).join("job.db")
}

/// Reads every file and folder under one, to see that nothing changed and nothing was added.
pub(crate) fn everything(dir: &Path) -> BTreeMap<PathBuf, Option<Vec<u8>>> {
    let mut found = BTreeMap::new();
    let mut dirs = vec![dir.to_owned()];
    while let Some(dir) = dirs.pop() {
        for entry in fs::read_dir(&dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                found.insert(path.clone(), None);
                dirs.push(path);
            } else {
                found.insert(path.clone(), Some(fs::read(&path).unwrap()));
            }
        }
    }
    found
}
