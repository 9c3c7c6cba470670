//! Sealant that is laid and must be home before it sets (R24).

use lastbolt_machine::Minutes;

use crate::book::{Book, Kind};
use crate::broken::Broken;
use crate::open::{No, Open};
use crate::walker::Move;

/// A bead that is laid, while ties of its boundary are still open.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Bead {
    /// The part that went on with it, or the tie that it is.
    thing: No,
    /// Minutes of steps and changes since.
    passed: Minutes,
    /// The ties that have to be made in time.
    ties: Vec<No>,
}

impl Book {
    /// The ties that must be home in time once a thing goes on with sealant: across the boundary
    /// of a part's load; joining all that the sealant joins, where the sealant is itself a tie.
    fn bead_ties(&self, thing: No, open: &Open) -> Vec<No> {
        let load = self.load(thing, open);
        let same_joint = |tie: No| {
            let joined = &self.things[tie].joined;
            tie != thing && self.things[thing].joined.iter().all(|end| joined.contains(end))
        };
        let is_part = self.things[thing].kind == Kind::Part;
        self.ties()
            .filter(|&tie| open.has(tie) && !self.leave_off.contains(&tie))
            .filter(|&tie| if is_part { self.crosses(tie, &load) } else { same_joint(tie) })
            .collect()
    }

    /// Whether every bead that is laid still has time for this step.
    pub(crate) fn in_time(&self, beads: &[Bead], next: &Move) -> Result<(), Broken> {
        for bead in beads {
            let minutes = bead.passed + next.change + next.minutes;
            let allowed = self.things[bead.thing].open_minutes.unwrap_or(minutes);
            if minutes > allowed {
                let (bead, x) = (bead.thing, next.thing);
                return Err(Broken::BeadSets { bead, x, minutes, allowed });
            }
        }
        Ok(())
    }

    /// The beads after a step that closed `x`, or only started it (`closes` is false).
    pub(crate) fn beads_after(
        &self,
        beads: &[Bead],
        next: &Move,
        closes: bool,
        open: &Open,
    ) -> Vec<Bead> {
        let mut after = Vec::new();
        for bead in beads {
            let mut bead = bead.clone();
            bead.passed += next.change + next.minutes;
            bead.ties.retain(|&tie| !(closes && tie == next.thing));
            if !bead.ties.is_empty() {
                after.push(bead);
            }
        }
        let thing = next.thing;
        if closes && self.things[thing].open_minutes.is_some() {
            let ties = self.bead_ties(thing, open);
            if !ties.is_empty() {
                after.push(Bead { thing, passed: Minutes::ZERO, ties });
            }
        }
        after.sort();
        after
    }
}
