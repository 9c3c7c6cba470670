//! Beginning a job from nothing, as JSON.

use lastbolt_job::{FromNothing, from_known, from_nothing};
use lastbolt_store::{FileRole, Garage, JobFile};
use serde::Deserialize;
use serde_json::{Value, json};

use crate::before::known_machine;
use crate::own::Own;
use crate::reply::Refusal;
use crate::wire::VERSION;

/// What is sent.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sent {
    version: u64,
    machine: String,
    #[serde(default)]
    after: String,
}

/// The two answers.
#[derive(Debug)]
pub(crate) struct Asked {
    machine: String,
    after: String,
}

/// A job that is to be begun.
#[derive(Debug)]
pub(crate) struct ToBegin {
    pub(crate) title: String,
    pub(crate) files: Vec<JobFile>,
}

impl Asked {
    /// Gives the files to begin with: what the garage knows of that machine, or nothing. Slow.
    ///
    /// # Errors
    /// Says what is wrong with the words.
    pub(crate) fn files(&self, garage: &Garage) -> Result<ToBegin, Refusal> {
        let files = match known_machine(garage, &self.machine) {
            Some(known) => from_known(&known.text, &known.case, &self.machine, &self.after),
            None => from_nothing(&self.machine, &self.after),
        };
        let mut begun = to_begin(files.map_err(|error| Refusal::malformed(error.to_string()))?);
        begun.files.extend(Own::read(garage).copy());
        Ok(begun)
    }
}

/// Reads the body of a request.
///
/// # Errors
/// Says what is wrong with it; then no job was begun.
pub(crate) fn read(body: &[u8]) -> Result<Asked, Refusal> {
    let sent: Sent = serde_json::from_slice(body).map_err(|error| {
        Refusal::malformed(format!(
            "What was sent is not {{\"version\": 1, \"machine\": ..., \"after\": ...}}: {error}."
        ))
    })?;
    if sent.version != VERSION {
        return Err(Refusal::malformed(format!(
            "Version {} is not known here; send version {VERSION}.",
            sent.version
        )));
    }
    from_nothing(&sent.machine, &sent.after)
        .map_err(|error| Refusal::malformed(error.to_string()))?;
    Ok(Asked { machine: sent.machine, after: sent.after })
}

fn to_begin(files: FromNothing) -> ToBegin {
    let file = |name: &str, role, text| JobFile { name: name.to_owned(), role, text };
    ToBegin {
        title: files.title,
        files: vec![
            file("machine.toml", FileRole::Machine, files.machine),
            file("job.toml", FileRole::Job, files.job),
        ],
    }
}

/// Says which job was begun.
pub(crate) fn begun(job: &str) -> Value {
    json!({ "version": VERSION, "job": job, "page": format!("/job/{job}/take") })
}
