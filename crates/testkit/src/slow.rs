//! The slow planner: obviously correct, for small machines only.

use std::collections::BTreeSet;

use lastbolt_checker::{Order, Reason, Walker, Wishes};
use lastbolt_machine::{JobSpec, Machine, Minutes};

use crate::search::{Ask, TooMany, search};

/// States that [`slow_plan`] looks at before it gives up.
pub(crate) const MOST_STATES: usize = 300_000;

/// A best order of a job.
#[derive(Clone, Debug)]
pub struct Slow {
    /// The least minutes.
    pub minutes: Minutes,
    /// An order that takes them.
    pub order: Order,
    /// Every set of things that is open at the turn of some best order.
    pub off_sets: BTreeSet<BTreeSet<String>>,
    /// How many states were seen.
    pub states: usize,
}

/// Why the slow planner has no answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SlowError {
    /// There are more states than it may look at.
    TooMany,
    /// The machine, the job or the wishes cannot be read.
    Refused(Box<Reason>),
}

/// Tries everything, both directions as one problem; `None` if there is no order.
///
/// # Errors
/// [`SlowError::TooMany`] above 300,000 states; [`SlowError::Refused`] for unknown names.
pub fn slow_plan(
    machine: &Machine,
    job: &JobSpec,
    wishes: &Wishes,
    strip_only: bool,
) -> Result<Option<Slow>, SlowError> {
    slow_plan_within(machine, job, wishes, strip_only, MOST_STATES)
}

/// The same with a limit of states of one's own.
///
/// # Errors
/// [`SlowError::TooMany`] above that limit; [`SlowError::Refused`] for unknown names.
pub fn slow_plan_within(
    machine: &Machine,
    job: &JobSpec,
    wishes: &Wishes,
    strip_only: bool,
    most_states: usize,
) -> Result<Option<Slow>, SlowError> {
    let start = Walker::new(machine, job, wishes).map_err(SlowError::Refused)?;
    let ask = Ask { strip_only, for_each_opened: Minutes::ZERO, most_states };
    let found = search(&start, &ask).map_err(|TooMany| SlowError::TooMany)?;
    Ok(found.map(|found| Slow {
        minutes: found.cost,
        order: found.order,
        off_sets: found.off_sets,
        states: found.states,
    }))
}
