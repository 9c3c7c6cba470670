//! The machine drawn from what was recorded (R21), and the questions that make it truer. Pure.
//!
//! A job from nothing has an empty machine file and a record. [`draw`] gives the machine that the
//! record implies, with guesses shown as guesses, and the same record in the plain words that a
//! machine file's things have, so that everything else works as for any job. What a file knows
//! already stays; what is recorded besides is drawn on top.
//!
//! * `file` has what a file knows, with what the record corrects of it;
//! * `catalogue` gathers the things that were entered, by handfuls, with later corrections, which
//!   hold from the start;
//! * `plain` unfolds each entry into one plain record a thing;
//! * `known` holds what answers have said;
//! * `model` draws the machine: by default the way back is the record backwards;
//! * `holders` guesses what each fixing holds, `risk` says how likely each pair of things is in
//!   each other's way, `propose` finds an order of
//!   going back with few walks and little risk, `questions` asks what it rests on,
//!   `commit` keeps to what answers stand for.

mod bits;
mod catalogue;
mod commit;
mod file;
mod holders;
mod known;
mod model;
mod names;
mod needs;
mod plain;
mod propose;
mod questions;
mod risk;
mod words;

use lastbolt_ledger::Recorded;
use lastbolt_machine::{JobSpec, Machine};

pub use catalogue::{Entry, Notes, Sort, Thing};
pub use file::refs as each_name;
pub use known::Asked;
pub use questions::{Question, questions};

/// The machine and the record as drawn.
#[derive(Debug, Clone, Default)]
pub struct Drawn {
    /// The machine: what the file knows and what was recorded.
    pub machine: Machine,
    /// What is asked for.
    pub job: JobSpec,
    /// The record in plain words: several may share one number and id.
    pub plain: Vec<Recorded>,
    /// What was entered, by handfuls.
    pub notes: Notes,
    /// What answers have said.
    pub(crate) known: known::Known,
    /// What the machine asks of the way back.
    pub(crate) commit: commit::Commit,
}

/// Draws the machine from a base (what a file knows) and the record.
pub fn draw(base: &Machine, job: &JobSpec, records: &[Recorded]) -> Drawn {
    let entered = || catalogue::gather(base, job, records, &file::Was::new());
    let Some(file) = file::corrected(base, job, records, entered) else {
        return draw_on(base, job, records, &file::Was::new());
    };
    let mut drawn = draw_on(&file.machine, &file.job, &file.records, &file.was);
    drawn.notes.in_file = file.names;
    drawn
}

/// Draws on a file that has no corrections any more.
fn draw_on(base: &Machine, job: &JobSpec, records: &[Recorded], was: &file::Was) -> Drawn {
    let notes = catalogue::gather(base, job, records, was);
    let plain = plain::unfold(&notes, base, records);
    let known = known::Known::of(&notes, records);
    let commit = commit::commit(&known);
    let machine = model::model(&notes, &known, &commit, base);
    Drawn { machine, job: job.clone(), plain, notes, known, commit }
}

/// Tells whether a record has anything to draw: else machine and record are as they were.
pub fn has_something(records: &[Recorded]) -> bool {
    use lastbolt_ledger::Verb;
    records.iter().any(|recorded| {
        let verb = &recorded.event.verb;
        matches!(verb, Verb::Took | Verb::Home) || verb.describes()
    })
}
