//! A copy of the machine and the job without the names that are wrong, so that what cannot be
//! reached is looked for even where other mistakes are still there. Leaving a demand out only
//! lets more come off: what is found stuck in the copy is stuck in the original.

use std::collections::HashSet;

use super::names::{Names, Sort};
use crate::at::Ref;
use crate::model::{Back, JobSpec, Machine, Way};

/// The machine and the job with every wrong name left out.
pub(crate) fn without_mistakes(
    machine: &Machine,
    job: &JobSpec,
    names: &Names<'_>,
) -> (Machine, JobSpec) {
    let keep = Keep { names };
    let (mut machine, mut job) = (machine.clone(), job.clone());
    let mut seen = HashSet::new();
    let mut first = |id: &Ref| seen.insert(id.value.clone());
    machine.fixed.retain(|id| first(id));
    machine.parts.retain(|p| first(&p.id));
    machine.ties.retain(|t| first(&t.id));
    machine.preps.retain(|p| first(&p.id));
    for part in &mut machine.parts {
        part.rides.take_if(|r| !keep.is(r, &[Sort::Part]));
        keep.list(&mut part.stays, &[Sort::Tie]);
        keep.list(&mut part.needs, &[Sort::Prep, Sort::SetUp]);
        keep.ways(&mut part.ways, &mut part.back, &part.id);
    }
    for tie in &mut machine.ties {
        keep.list(&mut tie.joins, &[Sort::Part, Sort::Fixed]);
        keep.list(&mut tie.hidden_by, &[Sort::Part]);
        keep.list(&mut tie.needs, &[Sort::Prep, Sort::SetUp]);
        keep.ways(&mut tie.ways, &mut tie.back, &tie.id);
    }
    for prep in &mut machine.preps {
        prep.needs.retain(|need| need.name() != prep.id.name());
        keep.list(&mut prep.needs, &[Sort::Prep, Sort::SetUp]);
        keep.ways(&mut prep.ways, &mut prep.back, &prep.id);
    }
    for spot in &mut machine.spots {
        keep.list(&mut spot.needs, &[Sort::Prep, Sort::SetUp]);
    }
    for group in &mut machine.together {
        keep.list(&mut group.value, &[Sort::Tie]);
    }
    keep.job(&mut job);
    (machine, job)
}

struct Keep<'a> {
    names: &'a Names<'a>,
}

impl Keep<'_> {
    fn is(&self, name: &Ref, sorts: &[Sort]) -> bool {
        self.names.sort(name.name()).is_some_and(|sort| sorts.contains(&sort))
    }

    fn list(&self, list: &mut Vec<Ref>, sorts: &[Sort]) {
        list.retain(|name| self.is(name, sorts));
    }

    fn ways(&self, ways: &mut Option<Vec<Way>>, back: &mut Back, id: &Ref) {
        let back = match back {
            Back::Ways(ways) => ways.as_mut_slice(),
            Back::Unstated | Back::ByItself(_) => &mut [],
        };
        for way in ways.iter_mut().flatten().chain(back) {
            way.from.take_if(|from| !self.names.has_spot(from.name()));
            self.list(&mut way.clear, &[Sort::Part, Sort::Tie]);
            way.clear.retain(|clear| clear.name() != id.name());
            self.list(&mut way.needs, &[Sort::Prep, Sort::SetUp]);
            way.needs.retain(|need| need.name() != id.name());
        }
    }

    fn job(&self, job: &mut JobSpec) {
        let things = [Sort::Part, Sort::Tie];
        let preps = [Sort::Prep, Sort::SetUp];
        let all = [Sort::Part, Sort::Tie, Sort::Prep, Sort::SetUp];
        self.list(&mut job.renew, &things);
        self.list(&mut job.off, &things);
        self.list(&mut job.bring, &preps);
        self.list(&mut job.comes_fitted, &[Sort::Part]);
        self.list(&mut job.already, &all);
        self.list(&mut job.leave_off, &all);
        self.list(&mut job.leave_alone, &all);
        job.at.take_if(|at| !self.names.has_spot(at.name()));
    }
}
