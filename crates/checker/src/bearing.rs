//! What bears weight is undone last and made first (R23).

use crate::book::{Book, End, Kind, Way};
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
        let foreign = hanging.into_iter().find(|&part| !self.belongs(x, part, open));
        match foreign.filter(|_| !bears_one) {
            None => Ok(()),
            Some(part) if building => {
                let tie = self.bearers(part, open)[0];
                Err(Broken::BearsFirst { part, tie, x })
            }
            Some(part) => Err(Broken::ComesOffFirst { part, x }),
        }
    }

    /// Whether a step is one of those that are left while a part hangs: a tie across its boundary
    /// or that of what its bearing ties join (which of the two they bear nobody can tell), a prep
    /// that such ties need, a part that they join or that carries it.
    fn belongs(&self, x: No, part: No, open: &Open) -> bool {
        let mut joined = vec![part];
        for tie in self.bearers(part, open) {
            joined.extend(self.things[tie].joins.iter().filter_map(|end| match end {
                End::Fixed => None,
                End::Part(end) => Some(*end),
            }));
        }
        let crosses =
            |tie: No| joined.iter().any(|&part| self.crosses(tie, &self.load(part, open)));
        match self.things[x].kind {
            Kind::Part => joined.iter().any(|&end| self.load(x, open).contains(&end)),
            Kind::Tie => crosses(x),
            Kind::Prep => {
                let ties: Vec<No> = self.ties().filter(|&tie| crosses(tie)).collect();
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
