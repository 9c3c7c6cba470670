//! Believable machines for the truth test.

use lastbolt_machine::Machine;

use crate::layered_machine;

/// Makes a believable machine without conditions, which are recorded otherwise; the same for the
/// same seed.
pub fn believable_machine(seed: u64, actions: usize) -> Machine {
    let (mut machine, _) = layered_machine(seed, actions);
    machine.preps.clear();
    machine.ties.iter_mut().for_each(|tie| tie.needs.clear());
    machine.parts.iter_mut().for_each(|part| part.needs.clear());
    machine
}
