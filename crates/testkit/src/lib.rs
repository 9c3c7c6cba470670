//! Test support: random small machines, a slow planner that tries everything, deliberately wrong
//! planners, pictures. Pure.
//!
//! * [`random_machine`] makes small legal machines with every feature of the contract;
//! * [`ruled_machine`] adds bearing fixings, open times and covers that wait for the leak look;
//! * [`layered_machine`] makes believable larger ones;
//! * [`slow_plan`] finds the least minutes by trying everything, by the checker's rules;
//! * [`wrong`] holds planners with a mistake each, which every test of a planner must reject;
//! * [`pictures`] makes pictures as cameras write them;
//! * [`read_sequencing`] reads published instances for the search with general change-over costs;
//! * [`truth`] holds what is needed to test ways back that are made from records;
//! * [`to_toml`] writes a machine and its job as a file, so that a failing case can be rerun.

mod layered;
pub mod pictures;
mod random;
mod rng;
mod ruled;
mod search;
mod sequencing;
mod slow;
mod toml;
pub mod truth;
pub mod wrong;

pub use layered::layered_machine;
pub use random::{Size, random_machine};
pub use rng::Rng;
pub use ruled::ruled_machine;
pub use sequencing::{BadInstance, Sequencing, read_sequencing};
pub use slow::{Slow, SlowError, slow_plan, slow_plan_within};
pub use toml::to_toml;
