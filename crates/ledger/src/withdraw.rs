//! Which events are withdrawn, and by which take-back.

use std::collections::HashMap;

use crate::event::EventId;
use crate::log::Recorded;
use crate::verb::Verb;

/// What take-backs did to each record, by place in the list.
pub(crate) struct Withdrawals {
    /// For each record the number of the take-back that withdraws it now.
    pub(crate) by: Vec<Option<u64>>,
}

impl Withdrawals {
    /// Follows the take-backs in their order.
    ///
    /// A take-back withdraws what it names if that stands, and is void if that is withdrawn
    /// already. A take-back that is itself withdrawn gives back what it withdrew, and so on down.
    pub(crate) fn of(records: &[Recorded]) -> Withdrawals {
        let mut places: HashMap<&EventId, usize> = HashMap::with_capacity(records.len());
        let mut by: Vec<Option<u64>> = vec![None; records.len()];
        // What a take-back that was not void withdraws, by its own place.
        let mut target: Vec<Option<usize>> = vec![None; records.len()];
        for (at, recorded) in records.iter().enumerate() {
            places.entry(&recorded.event.id).or_insert(at);
            let (Verb::TakeBack, Some(of)) = (&recorded.event.verb, &recorded.event.of) else {
                continue;
            };
            // Unknown and later ones cannot be accepted; in a damaged list they have no effect.
            let Some(&named) = places.get(of).filter(|&&named| named < at) else { continue };
            if by[named].is_some() {
                continue;
            }
            target[at] = Some(named);
            withdraw(named, recorded.seq, records, &mut by, &target);
        }
        Withdrawals { by }
    }
}

/// Withdraws the record at `named` and follows the chain that it held: what it withdrew stands
/// again, what that one withdrew is withdrawn again, and so on.
fn withdraw(
    named: usize,
    seq: u64,
    records: &[Recorded],
    by: &mut [Option<u64>],
    target: &[Option<usize>],
) {
    by[named] = Some(seq);
    let mut held = named;
    let mut stands = false;
    while let Some(next) = target[held] {
        stands = !stands;
        // Another take-back may have withdrawn it in the meantime: then that one's word stands.
        let withdrawn_by_held = by[next] == Some(records[held].seq);
        match (stands, by[next]) {
            (true, _) if withdrawn_by_held => by[next] = None,
            (false, None) => by[next] = Some(records[held].seq),
            _ => return,
        }
        held = next;
    }
}
