//! What a machine is: parts, ties, preps, the ways of dealing with them, and the rules of
//! `docs/machine-file.md` (R1 to R28). Pure: values in, values out; no I/O, no clock.
//!
//! Two layers:
//! * [`model`]: the machine, job and garage as they were written, every name with its place in
//!   the file ([`Sited`]), nothing resolved;
//! * [`kernel`]: the same compiled to indices for one job ([`Kernel`]), with the formal rules
//!   ([`Kernel::holds`], [`Kernel::close_is_allowed`], ...) as questions about one set of open
//!   things.
//!
//! [`validate`] says everything that is wrong with a written machine (R22).

pub mod at;
mod compile;
mod forbids;
mod hazards;
pub mod kernel;
pub mod minutes;
pub mod model;
pub mod problem;
pub mod set;
mod targets;
pub mod validate;

pub use at::{At, FileNo, Ref, Sited};
pub use compile::{CompileError, Extra, compile};
pub use forbids::{LEAK_LOOK, LeakLook};
pub use hazards::HAZARDS;
pub use kernel::{
    Changes, Direction, End, Kernel, KernelWay, Kind, Place, SpotNo, Thing, ThingNo, ToolNo,
};
pub use minutes::{MinuteTable, Minutes};
pub use model::{Back, JobSpec, Machine, Part, Prep, Spot, Tie, Value, Way};
pub use problem::{Level, Problem};
pub use set::Set;
pub use validate::validate;
