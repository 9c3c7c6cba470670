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

    /// While a part hangs, only its own ties are stepped, what they need, and the part itself.
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
        let Some(&part) = hanging.first() else { return Ok(()) };
        if hanging.iter().any(|&part| self.belongs(x, part, open)) {
            return Ok(());
        }
        if !building {
            return Err(Broken::ComesOffFirst { part, x });
        }
        let tie = self.bearers(part, open)[0];
        Err(Broken::BearsFirst { part, tie, x })
    }

    /// Whether a step is one of those that are left while a part hangs.
    fn belongs(&self, x: No, part: No, open: &Open) -> bool {
        if x == part {
            return true;
        }
        let load = self.load(part, open);
        match self.things[x].kind {
            Kind::Part => false,
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
