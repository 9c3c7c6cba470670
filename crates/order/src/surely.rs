//! What every order surely takes, known at once: the bound of the sets, without looking for an
//! order (docs/methods.md, "Surely").

use lastbolt_machine::{Kernel, Minutes};

use crate::answer::Ask;
use crate::local::{BUILD, Local, STRIP, is_metric, relevant};
use crate::relax::NEVER;
use crate::sets::Sets;

/// How many sets are looked at: what is surely in, its changes counted. Each further one takes
/// milliseconds on a large machine, and a list is wanted at once.
const MOST_SETS: u64 = 1;

/// Gives minutes that no order of a kernel's question undercuts, as soon as they can be counted:
/// a few thousandths of a second where planning takes a second. Nothing is known of a question
/// that has no order.
pub fn surely(kernel: &Kernel) -> Minutes {
    let relevant = relevant(kernel, true);
    match relevant.len().div_ceil(64) {
        0 | 1 => counted::<1>(kernel, &relevant),
        2 => counted::<2>(kernel, &relevant),
        3 | 4 => counted::<4>(kernel, &relevant),
        5..=8 => counted::<8>(kernel, &relevant),
        9..=16 => counted::<16>(kernel, &relevant),
        _ => Minutes::ZERO,
    }
}

fn counted<const W: usize>(kernel: &Kernel, relevant: &[lastbolt_machine::ThingNo]) -> Minutes {
    if is_metric(kernel) {
        return of_sets::<W>(kernel, relevant);
    }
    // Every change at its cheapest detour: no order pays less.
    let mut eased = kernel.clone();
    eased.spot_changes = kernel.spot_changes.with_detours();
    eased.tool_changes = kernel.tool_changes.with_detours();
    of_sets::<W>(&eased, relevant)
}

fn of_sets<const W: usize>(kernel: &Kernel, relevant: &[lastbolt_machine::ThingNo]) -> Minutes {
    let local = Local::<W>::new(kernel, relevant, true);
    let mut sets = Sets::new(kernel, &local, &[STRIP, BUILD]);
    sets.count_changes();
    let mut patience = MOST_SETS;
    let whole = sets.next(NEVER, &mut patience, &Ask::default()).map(|node| node.bound);
    // The lowest comes first: a whole one's bound is that of all.
    let bound = whole.or_else(|| sets.known_bound());
    Minutes(bound.filter(|&bound| bound < NEVER).unwrap_or(0))
}
