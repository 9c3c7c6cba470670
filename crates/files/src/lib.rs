//! Machine, job and garage files as text: reading with positions. Pure: the caller brings the
//! names and the bytes of the files, and gets values and a list of problems.
//!
//! Every problem of a file is reported, not only the first: bad data is a value with a list of
//! problems, never a failure. The keys are those of `docs/machine-file.md`.

mod bytes;
mod check;
pub mod csv;
mod display;
mod edit;
mod fields;
mod free;
mod garage;
mod header;
mod job;
pub mod keys;
mod limits;
mod lines;
mod machine;
mod numbers;
mod patch;
mod scan;
pub mod shapes;
mod signs;
mod source;
mod syntax;
mod text;
mod things;
mod tree;
mod ways;
pub mod write;

pub use check::{Document, beside, check_all, read};
pub use display::{DateForm, Display, TorqueUnits};
pub use edit::{Edit, EditError, edit_garage, typed};
pub use garage::read_garage;
pub use job::{JobFile, read_job};
pub use lastbolt_machine::validate::nearest;
pub use machine::read_machine;
pub use source::{FileKind, Source, kind_of};
