//! What is open at the start, what is asked for, what stays off (R2, R17, R18).

use std::collections::BTreeSet;

use lastbolt_machine::{JobSpec, Ref};

use crate::book::{Book, End, Kind, before};
use crate::open::{No, Open};
use crate::order::Wishes;
use crate::verdict::Reason;

impl Book {
    /// Works the job and the wishes into the book.
    pub(crate) fn start(&mut self, job: &JobSpec, wishes: &Wishes) -> Result<(), Box<Reason>> {
        self.open_at_start = self.found_open(&self.numbers(&job.already)?);
        self.spot_at_start = job.at.as_ref().map(|spot| self.spot(spot)).transpose()?;
        let held = job.holding.as_ref().map(Ref::name);
        self.tool_at_start = held.and_then(|held| self.tools.iter().position(|t| t == held));
        self.targets = self.asked_for(job, wishes)?;
        self.leave_off = self.numbers(&job.leave_off)?.into_iter().collect();
        for name in &job.leave_off {
            let x = self.number(name)?;
            if !self.open_at_start.has(x) && !self.targets.contains(&x) {
                let text = format!("\"{}\" is neither off already nor asked for.", name.name());
                return Err(before("R17", name.at, text));
            }
        }
        let alone: Vec<Ref> = wishes.leave.iter().map(Ref::bare).collect();
        for x in self.numbers(&job.leave_alone)?.into_iter().chain(self.numbers(&alone)?) {
            self.things[x].left_alone = true;
        }
        Ok(())
    }

    /// What is open when these things were found open: a part takes the ties across the boundary
    /// of its load with it (R17). A made tie whose ends lie apart (R18) is always among them: one
    /// of its ends lies with a loose part that it may not stay on, so it crosses that load.
    fn found_open(&self, already: &[No]) -> Open {
        let mut named = Open::none(self.things.len());
        already.iter().for_each(|&thing| named.add(thing));
        let mut open = named.clone();
        for &part in already.iter().filter(|&&thing| self.things[thing].kind == Kind::Part) {
            let load = self.load(part, &named);
            for tie in self.ties() {
                if self.crosses(tie, &load) && !self.things[part].stays.contains(&tie) {
                    open.add(tie);
                }
            }
        }
        open
    }

    /// Everything that has to be open at the turn (R2).
    fn asked_for(&self, job: &JobSpec, wishes: &Wishes) -> Result<BTreeSet<No>, Box<Reason>> {
        let also: Vec<Ref> = wishes.also.iter().map(Ref::bare).collect();
        let mut targets: BTreeSet<No> = BTreeSet::new();
        targets.extend(self.numbers(&job.off)?);
        targets.extend(self.numbers(&job.bring)?);
        targets.extend(self.numbers(&also)?);
        let fitted = self.numbers(&job.comes_fitted)?;
        for x in self.numbers(&job.renew)? {
            targets.insert(x);
            if self.things[x].kind == Kind::Part {
                targets.extend(self.renewed(x, &fitted));
            }
        }
        Ok(targets)
    }

    /// What renewing a part asks besides the part: all that rides on it off, but for what the new
    /// one comes with; all that joins it undone, but for what is wholly inside it and its fitted
    /// riders.
    fn renewed(&self, part: No, fitted: &[No]) -> BTreeSet<No> {
        let mut targets = BTreeSet::new();
        let mut new_part = vec![part];
        let mut looked_at = 0;
        while looked_at < new_part.len() {
            for &rider in &self.things[new_part[looked_at]].riders {
                if fitted.contains(&rider) {
                    new_part.push(rider);
                } else {
                    targets.insert(rider);
                }
            }
            looked_at += 1;
        }
        for tie in self.ties() {
            let inside = |end: &End| matches!(end, End::Part(p) if new_part.contains(p));
            let joins = &self.things[tie].joins;
            let comes_with_it = new_part.len() > 1 && joins.iter().all(inside);
            if joins.iter().any(inside) && !comes_with_it {
                targets.insert(tie);
            }
        }
        targets
    }
}
