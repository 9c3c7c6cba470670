//! Beginning a job from nothing, as JSON.

use lastbolt_job::{FromNothing, from_nothing};
use lastbolt_store::{FileRole, JobFile};
use serde::Deserialize;
use serde_json::{Value, json};

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

/// A job that is to be begun.
#[derive(Debug)]
pub(crate) struct Asked {
    pub(crate) title: String,
    pub(crate) files: Vec<JobFile>,
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
    let files = from_nothing(&sent.machine, &sent.after);
    let files = files.map_err(|error| Refusal::malformed(error.to_string()))?;
    Ok(asked(files))
}

fn asked(files: FromNothing) -> Asked {
    let file = |name: &str, role, text| JobFile { name: name.to_owned(), role, text };
    Asked {
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
