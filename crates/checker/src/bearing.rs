//! What bears weight is undone last and made first (R23).

use crate::book::{Book, Kind, Way};
use crate::broken::Broken;
use crate::open::{No, Open};

impl Book {
    /// The ties that bear the load of a part where it sits: across its boundary, with all that
    /// they join in the same place as the part; what hangs aside on a tie lies somewhere else.
    /// What is left off and undone is no longer one of them (R17).
    fn bearers(&self, part: No, open: &Open) -> Vec<No> {
        let load = self.load(part, open);
        let here = self.root(part, open);
        self.ties()
            .filter(|&tie| self.things[tie].bears && self.crosses(tie, &load))
            .filter(|&tie| {
                self.things[tie].joins.iter().all(|&end| self.root_of_end(end, open) == here)
            })
            .filter(|tie| !(open.has(*tie) && self.leave_off.contains(tie)))
            .collect()
    }

    /// The parts on their seats that something is there to bear, and nothing does.
    pub(crate) fn hanging(&self, open: &Open, started: &Open) -> Vec<No> {
        let is_part = |&x: &No| self.things[x].kind == Kind::Part;
        let on = (0..self.things.len()).filter(is_part).filter(|&part| !open.has(part));
        on.filter(|&part| {
            let bearers = self.bearers(part, open);
            !bearers.is_empty() && bearers.iter().all(|&tie| open.has(tie) && !started.has(tie))
        })
        .collect()
    }

    /// While parts hang, a step belongs to each of them, or makes one of their bearing ties.
    pub(crate) fn bearing_allows(
        &self,
        x: No,
        open: &Open,
        started: &Open,
        building: bool,
    ) -> Result<(), Broken> {
        let mut hanging = self.hanging(open, started);
        if !building {
            hanging.retain(|part| !self.found_hanging.contains(part));
        }
        let bears_one = hanging.iter().any(|&part| self.bearers(part, open).contains(&x));
        let foreign = hanging.iter().copied().find(|&part| !self.is_for(x, part, &hanging, open));
        match foreign.filter(|_| !bears_one) {
            None => Ok(()),
            Some(part) if building => {
                let tie = self.bearers(part, open)[0];
                Err(Broken::BearsFirst { part, tie, x })
            }
            Some(part) => Err(Broken::ComesOffFirst { part, x }),
        }
    }

    /// Whether a step is left to a part that hangs: its own, or of another that hangs by one of
    /// the same ties, since nobody can tell which of them that tie bore.
    fn is_for(&self, x: No, part: No, hanging: &[No], open: &Open) -> bool {
        let ties = self.bearers(part, open);
        hanging.iter().any(|&other| {
            let shares = self.bearers(other, open).iter().any(|tie| ties.contains(tie));
            shares && self.belongs(x, other, open)
        })
    }

    /// Whether a step is one of a hanging part's own: it comes off or goes on, or the step is a tie
    /// across the boundary of its load, or a prep that such ties need.
    fn belongs(&self, x: No, part: No, open: &Open) -> bool {
        let load = self.load(part, open);
        match self.things[x].kind {
            Kind::Part => x == part,
            Kind::Tie => self.crosses(x, &load),
            Kind::Prep => {
                let ties: Vec<No> = self.ties().filter(|&tie| self.crosses(tie, &load)).collect();
                self.preps_of(&ties).contains(&x)
            }
        }
    }

    /// The preps that any way of these things needs, directly or through other preps.
    pub(crate) fn preps_of(&self, things: &[No]) -> Vec<No> {
        let mut todo = things.to_vec();
        let mut preps: Vec<No> = Vec::new();
        while let Some(x) = todo.pop() {
            let it = &self.things[x];
            let by_ways = |way: &Way| way.needs.iter().chain(&way.spot_needs).copied().collect();
            let of_ways: Vec<Vec<No>> = it.ways.iter().chain(&it.back).map(by_ways).collect();
            for &prep in it.needs.iter().chain(of_ways.iter().flatten()) {
                if !preps.contains(&prep) {
                    preps.push(prep);
                    todo.push(prep);
                }
            }
        }
        preps
    }
}
