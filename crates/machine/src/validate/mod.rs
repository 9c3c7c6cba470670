//! Everything that is wrong with a written machine and job (R22).

mod nearest;

pub use nearest::nearest;

use crate::model::{JobSpec, Machine};
use crate::problem::Problem;

/// Lists all problems of a machine and, if there is one, a job; errors and notes.
pub fn validate(_machine: &Machine, _job: Option<&JobSpec>) -> Vec<Problem> {
    Vec::new()
}
