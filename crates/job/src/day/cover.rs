//! Put back: tests before covering, open and setting times, what is slack or in by hand.

use crate::day::Ask;
use crate::view::PointGroup;

/// The groups of the stage.
pub(crate) fn groups(_ask: &Ask<'_>) -> Vec<PointGroup> {
    Vec::new()
}
