//! Where things are: seats, carriers, loads, places (R3, R5, R8).

use crate::book::{Book, End};
use crate::open::{No, Open};

/// A part's or tie's place: the machine, or the loose part that carries it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Place {
    /// In the machine.
    Machine,
    /// On this loose part.
    On(No),
}

impl Book {
    /// root(p, O): the machine for what sits in it; the part itself if it is off; else where its
    /// carrier is.
    pub(crate) fn root(&self, part: No, open: &Open) -> Place {
        if open.has(part) {
            return Place::On(part);
        }
        match self.things[part].rides {
            None => Place::Machine,
            Some(carrier) => self.root(carrier, open),
        }
    }

    /// Where one end of a tie is.
    pub(crate) fn root_of_end(&self, end: End, open: &Open) -> Place {
        match end {
            End::Fixed => Place::Machine,
            End::Part(part) => self.root(part, open),
        }
    }

    /// load(p, O): the part and, again and again, every part that is on a part of the load.
    pub(crate) fn load(&self, part: No, open: &Open) -> Vec<No> {
        let mut load = vec![part];
        let mut looked_at = 0;
        while looked_at < load.len() {
            let carrier = load[looked_at];
            for &rider in &self.things[carrier].riders {
                if !open.has(rider) && !load.contains(&rider) {
                    load.push(rider);
                }
            }
            looked_at += 1;
        }
        load
    }

    /// place(t, O): the one place where all it joins lie, the parts that hang on it left out;
    /// nothing if they lie apart.
    pub(crate) fn place(&self, tie: No, open: &Open) -> Option<Place> {
        let mut found = None;
        for &end in &self.things[tie].joins {
            let root = self.root_of_end(end, open);
            if let Place::On(loose) = root
                && self.things[loose].stays.contains(&tie)
            {
                continue;
            }
            match found {
                None => found = Some(root),
                Some(other) if other == root => {}
                Some(_) => return None,
            }
        }
        found
    }

    /// Whether a tie has one end in a load and one outside.
    pub(crate) fn crosses(&self, tie: No, load: &[No]) -> bool {
        let inside = |end: &End| matches!(end, End::Part(part) if load.contains(part));
        let joins = &self.things[tie].joins;
        joins.iter().any(inside) && !joins.iter().all(inside)
    }

    /// Whether a loose part hangs in the machine on a tie that it may stay on (R5, R8): a made
    /// `stays` tie with one end on the part (or on what it carries) and one away from it.
    pub(crate) fn hangs(&self, part: No, open: &Open) -> bool {
        open.has(part)
            && self.things[part].stays.iter().any(|&tie| {
                let away = |&end: &End| self.root_of_end(end, open) != Place::On(part);
                let joins = &self.things[tie].joins;
                !open.has(tie) && joins.iter().any(away) && !joins.iter().all(away)
            })
    }

    /// Whether a part that is off still hangs somewhere else than on the part that it is to go on:
    /// a made tie that may stay leads from it to a third place (R5; a tie to its seat alone does
    /// not count, or taking it off there could not be turned round, R7).
    pub(crate) fn hangs_elsewhere(&self, part: No, seat: No, open: &Open) -> bool {
        open.has(part)
            && self.things[part].stays.iter().any(|&tie| {
                let places: Vec<Place> =
                    self.things[tie].joins.iter().map(|&end| self.root_of_end(end, open)).collect();
                !open.has(tie)
                    && places.contains(&Place::On(part))
                    && places.iter().any(|&p| p != Place::On(part) && p != Place::On(seat))
            })
    }
}
