//! Hand over: what is told to the owner, and what falls due later.

use crate::day::Ask;
use crate::view::PointGroup;

/// The groups of the stage.
pub(crate) fn groups(_ask: &Ask<'_>) -> Vec<PointGroup> {
    Vec::new()
}
