//! Minutes by stage: make ready, take apart, bench, put back.

use lastbolt_machine::kernel::BENCH;
use lastbolt_machine::{Kernel, Kind, Minutes};

use crate::case::Case;
use crate::view::Stage;
use crate::walk::{Stand, Todo, begin};

/// The stage of a step.
pub(crate) fn of_step(kernel: &Kernel, step: &Todo) -> Stage {
    let at_bench = step.kernel_way(kernel).is_some_and(|way| way.spot == Some(BENCH));
    if kernel.thing(step.thing).kind == Kind::Prep {
        Stage::MakeReady
    } else if at_bench {
        Stage::Bench
    } else if step.verb.opens() {
        Stage::TakeApart
    } else {
        Stage::PutBack
    }
}

/// Minutes of a list by stage, changes included, in the order of [`Stage::ALL`].
pub(crate) fn of_list(case: &Case, from: &Stand, list: &[Todo]) -> [Minutes; 4] {
    let mut stand = begin(from, list);
    let mut all = [Minutes::ZERO; 4];
    for step in list {
        let minutes = stand.apply(&case.kernel, step);
        let stage = of_step(&case.kernel, step);
        let at = Stage::ALL.iter().position(|s| *s == stage).unwrap_or(0);
        all[at] += minutes;
    }
    all
}
