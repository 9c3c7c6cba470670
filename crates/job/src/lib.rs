//! The join: recorded state and a question in, an answer out. Pure: no I/O, no clock; the time of
//! day and the planner's limits are arguments.
//!
//! How it is used (every name below is in this crate):
//!
//! 1. `Case::new(JobModel { machine, job, minutes })` compiles the machine for the job, once.
//! 2. After every accepted event: `bring_up(&case, records, kept, nodes) -> Now`, where `kept` is
//!    the `KeptPlan` of the last time (kept by the caller as text: `KeptPlan::to_text`,
//!    `KeptPlan::from_text`), or none: then it is made again from the whole record, and comes out
//!    the same.
//! 3. `screen(&case, records, &now, now_ms)`, `what_holds(&case, &now, thing)`,
//!    `gate(&case, &now)`, `record(&case, records, &now)` give the views of [`view`].
//! 4. `plan_view(&model, &kernel, &plan)` and `why(&kernel, &plan, thing)` are for a plan that
//!    was never begun.

pub mod view;
