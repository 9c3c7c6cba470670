//! The job file, and `[job]` wherever it stands.

use lastbolt_machine::{FileNo, JobSpec, Problem, Ref};

use crate::fields::{Fields, Found};
use crate::keys;
use crate::source::Source;
use crate::text::Text;
use crate::tree::Data;

/// A job file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JobFile {
    /// The machine's file, relative to the job file.
    pub machine_file: Option<Ref>,
    /// The job.
    pub job: JobSpec,
}

/// Reads a job file: all that could be read, and everything that is wrong with it by itself.
pub fn read_job(sources: &[Source], file: FileNo) -> (JobFile, Vec<Problem>) {
    job_of(Text::of(sources, file))
}

pub(crate) fn job_of(text: Text) -> (JobFile, Vec<Problem>) {
    let mut found = Found::default();
    let mut fields = Fields::new(&mut found, "A job file", &text.root, keys::JOB_FILE);
    let machine_file = fields.text("machine_file");
    let job = job_table(&mut fields).unwrap_or_default();
    let start = text.root.first().map(|entry| entry.at).unwrap_or_default();
    for (key, help) in [
        ("machine_file", "Write machine_file = \"machine.toml\" at the top."),
        ("job", "Write [job], and below it renew = [\"...\"]."),
    ] {
        if fields.node(key).is_none() && !text.root.is_empty() {
            let message = format!("This job file has no `{key}`.");
            fields.found.error(start, "missing-key", message, help);
        }
    }
    (JobFile { machine_file, job }, text.finish(found))
}

/// The `[job]` table of a file, if there is one.
pub(crate) fn job_table(fields: &mut Fields<'_>) -> Option<JobSpec> {
    let node = fields.node("job")?;
    let Data::Table(entries) = &node.data else {
        let help = "Write [job] on a line of its own.".to_owned();
        fields.found.wrong_type(node, "job", "a table", help);
        return None;
    };
    let mut fields = Fields::new(fields.found, "The job", entries, keys::JOB);
    Some(JobSpec {
        at_line: node.at,
        renew: fields.names("renew"),
        off: fields.names("off"),
        bring: fields.names("do"),
        comes_fitted: fields.names("comes_fitted"),
        already: fields.names("already"),
        leave_off: fields.names("leave_off"),
        at: fields.name("at"),
        holding: fields.name("holding"),
        people: fields.names("people"),
        complaint: fields.text_or_texts("complaint"),
        decided: fields.text_or_texts("decided"),
        proof: fields.text_or_texts("proof"),
        odometer: fields.anything("odometer"),
        without_tools: fields.names("without_tools"),
        leave_alone: fields.names("leave_alone"),
        not_from: fields.names("not_from"),
        consider: fields.names("consider"),
    })
}
