//! A job on a random machine: what is asked for, what was found open, what stays off.

use super::*;

impl Maker {
    pub(super) fn job(&mut self) -> JobSpec {
        let mut job = JobSpec::default();
        self.targets(&mut job);
        self.found(&mut job);
        if self.rng.percent(30) {
            job.at = self.any_spot();
        }
        if self.rng.percent(30) {
            let held = self.any_tool();
            job.holding = if self.rng.percent(20) { Some(Ref::bare("a torch")) } else { held };
        }
        if self.rng.percent(5) {
            let ties = self.machine.ties.iter().flat_map(|tie| tie.ways.iter().flatten());
            let used: Vec<Ref> = ties.filter_map(|way| way.tool.clone()).collect();
            job.without_tools.extend(self.rng.pick(&used).cloned());
        }
        if self.machine.spots.len() > 1 && self.rng.percent(8) {
            job.not_from.extend(self.any_spot());
        }
        if self.rng.percent(6) {
            let alone = self.any_thing();
            if !named(&job).any(|name| *name == alone) {
                job.leave_alone.push(alone);
            }
        }
        job
    }

    fn targets(&mut self, job: &mut JobSpec) {
        let count = self.rng.between(1, 2);
        for _ in 0..count {
            let target = self.deep_thing();
            let is_tie = target.name().starts_with("tie");
            if named(job).any(|name| *name == target) || self.only_with_its_carrier(&target) {
                continue;
            }
            if self.rng.percent(if is_tie { 30 } else { 60 }) {
                self.comes_fitted(&target, job);
                job.renew.push(target);
            } else {
                job.off.push(target);
            }
        }
        if named(job).count() == 0 || self.rng.percent(8) {
            job.bring.extend(self.some_prep());
        }
        if named(job).count() == 0 {
            job.off.push(self.machine.ties[0].id.clone());
        }
    }

    fn comes_fitted(&mut self, target: &Ref, job: &mut JobSpec) {
        let riders = self.machine.parts.iter().filter(|p| p.rides.as_ref() == Some(target));
        let riders: Vec<Ref> = riders.map(|part| part.id.clone()).collect();
        if self.rng.percent(50) {
            job.comes_fitted.extend(self.rng.pick(&riders).cloned());
        }
    }

    fn found(&mut self, job: &mut JobSpec) {
        if self.rng.percent(30) {
            let already = self.any_thing();
            if self.rng.percent(30) {
                job.leave_off.push(already.clone());
                // What held a part that stays off stays off with it.
                let holds = |tie: &&Tie| tie.joins.contains(&already);
                for tie in self.machine.ties.iter().filter(holds) {
                    job.already.push(tie.id.clone());
                    job.leave_off.push(tie.id.clone());
                }
            }
            job.already.push(already);
        }
        if self.rng.percent(8) {
            let also = self.any_thing();
            if !job.already.contains(&also) {
                job.already.push(also);
            }
        }
        if self.rng.percent(5)
            && let Some(target) = job.off.first()
            && !job.leave_off.contains(target)
        {
            job.leave_off.push(target.clone());
        }
        if self.rng.percent(6) {
            let preps = self.some_prep();
            job.already.extend(preps);
        }
    }

    fn only_with_its_carrier(&self, target: &Ref) -> bool {
        let part = self.machine.parts.iter().find(|part| part.id == *target);
        part.is_some_and(|part| part.ways.as_ref().is_some_and(Vec::is_empty))
            && self.rng.clone().percent(80)
    }

    fn any_thing(&mut self) -> Ref {
        let thing = self.rng.below(self.ranks.len());
        Ref::bare(&self.ranks[thing])
    }

    /// A part or tie that rather lies further in.
    fn deep_thing(&mut self) -> Ref {
        let one = self.rng.below(self.ranks.len());
        let other = self.rng.below(self.ranks.len());
        Ref::bare(&self.ranks[one.max(other)])
    }
}

fn named(job: &JobSpec) -> impl Iterator<Item = &Ref> {
    job.renew.iter().chain(&job.off).chain(&job.bring)
}
