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
    /// A record is withdrawn while a take-back of it stands. A take-back of what was withdrawn
    /// already when it came never has an effect. So a take-back of the last record gives exactly
    /// the state before it, whatever was taken back and forth earlier.
    pub(crate) fn of(records: &[Recorded]) -> Withdrawals {
        let mut chain = Chain { names: vec![None; records.len()], held: vec![0; records.len()] };
        let mut places: HashMap<&EventId, usize> = HashMap::with_capacity(records.len());
        for (at, recorded) in records.iter().enumerate() {
            places.entry(&recorded.event.id).or_insert(at);
            let (Verb::TakeBack, Some(of)) = (&recorded.event.verb, &recorded.event.of) else {
                continue;
            };
            // Unknown and later ones cannot be accepted; in a damaged list they have no effect.
            if let Some(&named) = places.get(of).filter(|&&named| named < at)
                && chain.held[named] == 0
            {
                chain.names[at] = Some(named);
                chain.comes_into_force(at);
            }
        }
        let mut by = vec![None; records.len()];
        for (at, named) in chain.names.iter().enumerate() {
            if let Some(named) = *named
                && chain.held[at] == 0
            {
                by[named] = Some(records[at].seq);
            }
        }
        // Plain records of one entry share its id: they go together.
        for (at, recorded) in records.iter().enumerate() {
            if let Some(&first) = places.get(&recorded.event.id) {
                by[at] = by[first];
            }
        }
        Withdrawals { by }
    }
}

/// What take-backs hold, by place in the list.
struct Chain {
    /// For a take-back that has an effect, what it names: always an earlier place.
    names: Vec<Option<usize>>,
    /// How many standing take-backs name this one: withdrawn while there is any.
    held: Vec<u32>,
}

impl Chain {
    /// Lets a take-back work, and follows what that changes down the chain of earlier ones: what
    /// it withdraws lets go of what that named, which then works again, and so on.
    fn comes_into_force(&mut self, take_back: usize) {
        let mut works = true;
        let mut at = take_back;
        while let Some(named) = self.names[at] {
            let was_withdrawn = self.held[named] > 0;
            if works {
                self.held[named] += 1;
            } else {
                self.held[named] -= 1;
            }
            if was_withdrawn == (self.held[named] > 0) {
                return;
            }
            works = was_withdrawn;
            at = named;
        }
    }
}
