//! What kind, place and count can tell of a machine.

use lastbolt_machine::model::Back;
use lastbolt_machine::{Machine, Way};

/// A machine with only what kind, place and count can tell of it: no conditions, nothing that
/// bears or goes on with sealant, no groups, nothing hung aside, nothing that waits for the leak
/// look.
pub fn plain_machine(machine: &Machine) -> Machine {
    let mut machine = machine.clone();
    let plain = |ways: &mut Option<Vec<Way>>, back: &mut Back| {
        let back = match back {
            Back::Ways(back) => Some(back),
            _ => None,
        };
        let ways = ways.iter_mut().chain(back).flatten();
        ways.for_each(|way| way.needs.clear());
    };
    machine.preps.clear();
    machine.together.clear();
    machine.spots.iter_mut().for_each(|spot| spot.needs.clear());
    for part in &mut machine.parts {
        part.needs.clear();
        part.stays.clear();
        (part.after, part.open_minutes) = (None, None);
        plain(&mut part.ways, &mut part.back);
    }
    for tie in &mut machine.ties {
        tie.needs.clear();
        (tie.bears, tie.open_minutes) = (false, None);
        plain(&mut tie.ways, &mut tie.back);
    }
    machine
}
