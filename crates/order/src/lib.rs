//! Take-apart and put-back orders, exact, with proof or bound. Pure: values in, values out; the
//! clock is the caller's ([`Ask::stop`]).
//!
//! [`plan`] answers one question about one [`Kernel`]: the cheapest order that takes apart what
//! the targets ask for and puts everything back. It searches over what comes off, over the ways,
//! and over both directions as one problem (see `docs/architecture.md`, "order").

mod answer;

pub use answer::{Action, Answer, Ask, Because, Plan, Step};

use lastbolt_machine::Kernel;

/// Finds the cheapest order for a kernel, within the limits of the question.
pub fn plan(_kernel: &Kernel, _ask: &Ask<'_>) -> Answer {
    Answer::Impossible(Vec::new())
}
