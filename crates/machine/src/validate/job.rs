//! What a job says of its machine.

use std::collections::HashSet;

use super::Problems;
use super::names::{Names, Sort};
use super::things::{Carriers, carriers};
use crate::at::Ref;
use crate::model::{JobSpec, Machine};
use crate::problem::{Level, Problem};

/// Looks through every name of a job.
pub(crate) fn look(machine: &Machine, job: &JobSpec, names: &Names<'_>, out: &mut Problems) {
    let carriers = carriers(machine);
    let mut look = Look { names, carriers: &carriers, out };
    look.targets(job);
    look.comes_fitted(job);
    look.found_open(job);
    if let Some(at) = &job.at {
        look.spot(at);
    }
    for spot in &job.not_from {
        look.spot(spot);
    }
    for tool in &job.without_tools {
        if !look.names.has_tool(tool.name()) {
            let mut problem = look.names.unknown_tool(tool.name(), tool.at);
            problem.level = Level::Note;
            look.out.push(problem);
        }
    }
    for (key, list) in [("leave_alone", &job.leave_alone), ("consider", &job.consider)] {
        for name in list {
            look.no_fixed(name, key, &[Sort::Part, Sort::Tie, Sort::Prep]);
        }
    }
    look.contradictions(job);
}

struct Look<'a> {
    names: &'a Names<'a>,
    carriers: &'a Carriers<'a>,
    out: &'a mut Problems,
}

impl Look<'_> {
    fn error(&mut self, at: &Ref, kind: &'static str, message: String, help: impl Into<String>) {
        self.out.push(Problem::error(at.at, kind, message, help));
    }

    fn spot(&mut self, name: &Ref) {
        if !self.names.has_spot(name.name()) {
            self.out.push(self.names.unknown_spot(name));
        }
    }

    /// The sort of a name that may not be fixed; `None` once something has been said.
    fn no_fixed(&mut self, name: &Ref, key: &str, wanted: &[Sort]) -> Option<Sort> {
        match self.names.sort(name.name()) {
            None => {
                self.out.push(self.names.unknown(name, wanted));
                None
            }
            Some(Sort::Fixed) => {
                let message = format!("`{key}` names \"{}\", which never comes off.", name.name());
                let help = "Take it out of `fixed` in the machine file, or out of here.";
                self.error(name, "fixed-named", message, help);
                None
            }
            sort => sort,
        }
    }

    fn targets(&mut self, job: &JobSpec) {
        for (key, list) in [("renew", &job.renew), ("off", &job.off)] {
            for name in list {
                let sort = self.no_fixed(name, key, &[Sort::Part, Sort::Tie]);
                if let Some(Sort::Prep | Sort::SetUp) = sort {
                    let message = format!("`{key}` names \"{}\", a condition.", name.name());
                    let help = format!("Write do = [\"{}\"].", name.name());
                    self.error(name, "wrong-sort", message, help);
                }
            }
        }
        for name in &job.bring {
            let sort = self.no_fixed(name, "do", &[Sort::Prep, Sort::SetUp]);
            if let Some(sort @ (Sort::Part | Sort::Tie)) = sort {
                let message = format!("`do` names \"{}\", {}.", name.name(), sort.word());
                let help = format!("Write off = [\"{0}\"], or renew = [\"{0}\"].", name.name());
                self.error(name, "wrong-sort", message, help);
            }
        }
    }

    fn comes_fitted(&mut self, job: &JobSpec) {
        for name in &job.comes_fitted {
            let sort = self.no_fixed(name, "comes_fitted", &[Sort::Part]);
            let Some(sort) = sort else {
                continue;
            };
            let on = self.carriers.get(name.name());
            let renewed = |carrier: &&str| job.renew.iter().any(|r| r.name() == *carrier);
            if sort != Sort::Part {
                let message = format!("`comes_fitted` names \"{}\", {}.", name.name(), sort.word());
                self.error(name, "wrong-sort", message, "Name parts that ride on the new part.");
            } else if !on.is_some_and(|on| on.iter().any(renewed)) {
                let message = format!("\"{}\" rides on no part that is renewed.", name.name());
                let help = "Name the part it sits on under `renew`, or take it out.";
                self.error(name, "fitted-elsewhere", message, help);
            }
        }
    }

    fn found_open(&mut self, job: &JobSpec) {
        for name in &job.already {
            self.no_fixed(name, "already", &[Sort::Part, Sort::Tie, Sort::Prep]);
        }
        let listed: HashSet<&str> = [&job.already, &job.renew, &job.off, &job.bring]
            .iter()
            .flat_map(|l| l.iter())
            .map(Ref::name)
            .collect();
        for name in &job.leave_off {
            let sort = self.no_fixed(name, "leave_off", &[Sort::Part, Sort::Tie, Sort::Prep]);
            if sort.is_some() && !listed.contains(name.name()) {
                let message =
                    format!("\"{}\" is neither off already nor to come off.", name.name());
                let help = "Name it under `already` or `off` too, or take it out of `leave_off`.";
                self.error(name, "leave-off-elsewhere", message, help);
            }
        }
    }

    /// A target that is also to be left alone.
    fn contradictions(&mut self, job: &JobSpec) {
        for name in &job.leave_alone {
            let wanted = [&job.renew, &job.off, &job.bring];
            let wanted = wanted.iter().flat_map(|l| l.iter()).find(|r| r.name() == name.name());
            if let Some(wanted) = wanted {
                let line = wanted.at.line;
                let message = format!(
                    "\"{}\" is to be left alone and to come off (line {line}).",
                    name.name()
                );
                self.error(name, "contradiction", message, "Take one of the two out.");
            }
        }
    }
}
