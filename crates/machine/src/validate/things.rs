//! What parts, ties, preps and spots say of each other.

use std::collections::{HashMap, HashSet};

use super::names::{Names, Sort, slash};
use super::{Problems, nearest};
use crate::at::{At, Ref};
use crate::forbids::LEAK_LOOK;
use crate::hazards::HAZARDS;
use crate::model::{Back, Machine, Part, Prep, Tie, Way};
use crate::problem::Problem;

/// How many parts may lie one on the other; what lies deeper is not looked through.
const CARRIERS_MAX: usize = 100;

/// The parts that carry each part, nearest first; circles are cut.
pub(crate) type Carriers<'a> = HashMap<&'a str, Vec<&'a str>>;

/// Looks through every thing of the machine.
pub(crate) fn look(machine: &Machine, names: &Names<'_>, problems: &mut Problems) {
    let carriers = carriers(machine);
    let ties = machine.ties.iter().map(|tie| (tie.id.name(), tie)).collect();
    let mut look = Look { names, carriers: &carriers, ties, problems };
    for part in &machine.parts {
        look.part(part);
    }
    for tie in &machine.ties {
        look.tie(tie);
    }
    for prep in &machine.preps {
        look.prep(prep);
    }
    for spot in &machine.spots {
        look.needs(&spot.needs);
        for other in &spot.not_with {
            look.spot(other);
        }
    }
    for hazard in all_hazards(machine) {
        look.hazard(hazard);
    }
    look.groups(machine);
}

/// Every word under `hazards`.
fn all_hazards(machine: &Machine) -> impl Iterator<Item = &Ref> {
    let parts = machine.parts.iter().flat_map(|part| &part.hazards);
    let ties = machine.ties.iter().flat_map(|tie| &tie.hazards);
    let preps = machine.preps.iter().flat_map(|prep| &prep.hazards);
    let spots = machine.spots.iter().flat_map(|spot| &spot.hazards);
    parts.chain(ties).chain(preps).chain(spots)
}

/// All ways of a thing, both directions.
pub(crate) fn both<'a>(
    ways: &'a Option<Vec<Way>>,
    back: &'a Back,
) -> impl Iterator<Item = &'a Way> {
    let back = match back {
        Back::Ways(ways) => ways.as_slice(),
        Back::Unstated | Back::ByItself(_) => &[],
    };
    ways.iter().flatten().chain(back)
}

/// All ways of the machine.
pub(crate) fn all_ways(machine: &Machine) -> impl Iterator<Item = &Way> {
    let parts = machine.parts.iter().flat_map(|p| both(&p.ways, &p.back));
    let ties = machine.ties.iter().flat_map(|t| both(&t.ways, &t.back));
    let preps = machine.preps.iter().flat_map(|p| both(&p.ways, &p.back));
    parts.chain(ties).chain(preps)
}

/// Every tool that some way uses, once.
pub(crate) fn tools(machine: &Machine) -> Vec<&str> {
    let mut seen = HashSet::new();
    let used = all_ways(machine).filter_map(|way| way.tool.as_ref()).map(Ref::name);
    used.filter(|tool| seen.insert(*tool)).collect()
}

pub(crate) fn carriers(machine: &Machine) -> Carriers<'_> {
    let direct: HashMap<&str, &str> = machine
        .parts
        .iter()
        .filter_map(|p| Some((p.id.name(), p.rides.as_ref()?.name())))
        .collect();
    let mut all = Carriers::new();
    for part in &machine.parts {
        let mut chain = Vec::new();
        let mut at = part.id.name();
        while let Some(&carrier) = direct.get(at) {
            if carrier == part.id.name() || chain.contains(&carrier) || chain.len() == CARRIERS_MAX
            {
                break;
            }
            chain.push(carrier);
            at = carrier;
        }
        all.insert(part.id.name(), chain);
    }
    all
}

struct Look<'a> {
    names: &'a Names<'a>,
    carriers: &'a Carriers<'a>,
    ties: HashMap<&'a str, &'a Tie>,
    problems: &'a mut Problems,
}

impl<'a> Look<'a> {
    fn error(&mut self, at: At, kind: &'static str, message: String, help: impl Into<String>) {
        self.problems.push(Problem::error(at, kind, message, help));
    }

    /// Whether a name is one of the sorts wanted; says so if nothing has that name.
    fn known(&mut self, name: &Ref, wanted: &[Sort]) -> Option<Sort> {
        let sort = self.names.sort(name.name());
        if sort.is_none() {
            self.problems.push(self.names.unknown(name, wanted));
        }
        sort
    }

    fn spot(&mut self, name: &Ref) {
        if !self.names.has_spot(name.name()) {
            self.problems.push(self.names.unknown_spot(name));
        }
    }

    fn part(&mut self, part: &Part) {
        self.needs(&part.needs);
        if let Some(carrier) = &part.rides {
            self.rides(part, carrier);
        }
        for tie in &part.stays {
            self.stays(part, tie);
        }
        let carriers = self.carriers.get(part.id.name()).cloned().unwrap_or_default();
        if carriers.len() == CARRIERS_MAX {
            let name = part.id.name();
            let message = format!("\"{name}\" lies on more than {CARRIERS_MAX} parts in a row.");
            self.error(part.id.at, "wrong-rides", message, "Leave some `rides` out.");
        }
        for way in both(&part.ways, &part.back) {
            self.way(&part.id, way, &carriers);
            if let Some(from) = way.from.as_ref().filter(|f| f.name() == "bench")
                && part.rides.is_none()
            {
                let name = part.id.name();
                let message =
                    format!("\"{name}\" rides on nothing, so it never lies on the bench.");
                let help = "Write `rides`, or another place after `from`.";
                self.error(from.at, "bench-without-rides", message, help);
            }
        }
        self.no_ways_left(part);
        if let Some(after) = &part.after
            && after.name() != LEAK_LOOK
        {
            let message = format!("`after` cannot be \"{}\".", after.name());
            self.error(after.at, "bad-after", message, "Write after = \"leak look\".");
        }
    }

    /// A word under `hazards` that means nothing would be no caution at all.
    fn hazard(&mut self, word: &Ref) {
        let name = word.name();
        if HAZARDS.contains(&name) {
            return;
        }
        let message = format!("\"{name}\" is no word for a hazard.");
        let help = match nearest(name, HAZARDS.iter().copied()) {
            Some(near) => format!("Did you mean \"{near}\"?"),
            None => format!(
                "Write one of: {}; or say it in words under `cautions`.",
                HAZARDS.join(", ")
            ),
        };
        self.error(word.at, "unknown-hazard", message, &help);
    }

    /// `ways = []` without a carrier, and `back = []`.
    fn no_ways_left(&mut self, part: &Part) {
        let never = part.ways.as_ref().is_some_and(Vec::is_empty);
        if never && part.rides.is_none() {
            let name = part.id.name();
            let message =
                format!("\"{name}\" has ways = [] and rides on nothing: it never comes off.");
            let help = "Leave `ways` out for a part taken off by hand, or list it under `fixed`.";
            self.error(part.id.at, "no-ways", message, help);
        }
        if matches!(&part.back, Back::Ways(ways) if ways.is_empty()) && !never {
            let message = format!("\"{}\" has back = []: it could never go back.", part.id.name());
            self.error(
                part.id.at,
                "no-back",
                message,
                "Leave `back` out if it goes back as it came off.",
            );
        }
    }

    fn rides(&mut self, part: &Part, carrier: &Ref) {
        let help = "Name the part that it sits on.";
        match self.known(carrier, &[Sort::Part]) {
            Some(Sort::Part) if carrier.name() == part.id.name() => {
                let message = format!("\"{}\" cannot ride on itself.", part.id.name());
                self.error(carrier.at, "wrong-rides", message, help);
            }
            Some(Sort::Fixed) => {
                let message =
                    format!("\"{}\" never comes off, so nothing rides on it.", carrier.name());
                self.error(carrier.at, "wrong-rides", message, "Leave `rides` out.");
            }
            Some(Sort::Part) | None => {}
            Some(sort) => {
                let message = format!("`rides` names \"{}\", {}.", carrier.name(), sort.word());
                self.error(carrier.at, "wrong-rides", message, help);
            }
        }
    }

    fn stays(&mut self, part: &Part, tie: &Ref) {
        match self.known(tie, &[Sort::Tie]) {
            None => return,
            Some(Sort::Tie) => {}
            Some(sort) => {
                let message = format!("`stays` names \"{}\", {}.", tie.name(), sort.word());
                self.error(tie.at, "wrong-sort", message, "Name fixings or connections ([tie]).");
                return;
            }
        }
        let Some(written) = self.ties.get(tie.name()).copied() else {
            return;
        };
        let on_it = |end: &Ref| {
            end.name() == part.id.name()
                || self.carriers.get(end.name()).is_some_and(|c| c.contains(&part.id.name()))
        };
        if !written.joins.iter().any(on_it) {
            let (tie_name, name) = (tie.name(), part.id.name());
            let message =
                format!("\"{tie_name}\" joins neither \"{name}\" nor anything riding on it.");
            let help = "Take it out of `stays`, or correct `joins`.";
            self.error(tie.at, "stays-elsewhere", message, help);
        }
    }

    fn tie(&mut self, tie: &Tie) {
        self.needs(&tie.needs);
        if tie.joins.is_empty() {
            let message = format!("\"{}\" joins nothing.", tie.id.name());
            let help = "Write joins = [\"...\", \"...\"]; one name is enough for a drain plug.";
            self.error(tie.id.at, "no-joins", message, help);
        }
        for end in &tie.joins {
            match self.known(end, &[Sort::Part, Sort::Fixed]) {
                Some(Sort::Part | Sort::Fixed) | None => {}
                Some(sort) => {
                    let message = format!("`joins` names \"{}\", {}.", end.name(), sort.word());
                    self.error(
                        end.at,
                        "wrong-sort",
                        message,
                        "Name parts, or things under `fixed`.",
                    );
                }
            }
        }
        for part in &tie.hidden_by {
            match self.known(part, &[Sort::Part]) {
                Some(Sort::Part) | None => {}
                Some(sort) => {
                    let message =
                        format!("`hidden_by` names \"{}\", {}.", part.name(), sort.word());
                    self.error(part.at, "wrong-sort", message, "Name parts that cover it.");
                }
            }
        }
        if matches!(&tie.back, Back::Ways(ways) if ways.is_empty()) {
            let message =
                format!("\"{}\" has back = []: it could never be made again.", tie.id.name());
            self.error(
                tie.id.at,
                "no-back",
                message,
                "Leave `back` out if it is made as it was undone.",
            );
        }
        let carriers = self.carriers_of_all(&tie.joins);
        for way in both(&tie.ways, &tie.back) {
            self.way(&tie.id, way, &carriers);
        }
    }

    /// The parts that carry all of these, itself included where it is one of them.
    fn carriers_of_all(&self, joins: &[Ref]) -> Vec<&'a str> {
        let chain = |end: &Ref| -> Vec<&'a str> {
            let carriers = self.carriers.get_key_value(end.name());
            carriers.map_or_else(Vec::new, |(own, all)| {
                std::iter::once(*own).chain(all.iter().copied()).collect()
            })
        };
        let mut chains = joins.iter().map(chain);
        let first = chains.next().unwrap_or_default();
        chains.fold(first, |all, chain| all.into_iter().filter(|c| chain.contains(c)).collect())
    }

    fn prep(&mut self, prep: &Prep) {
        self.needs(&prep.needs);
        for way in both(&prep.ways, &prep.back) {
            self.way(&prep.id, way, &[]);
        }
        let name = prep.id.name();
        match &prep.back {
            Back::Unstated => {
                let message = format!("How does \"{name}\" end? `back` is missing.");
                let help = "Write back = [{ minutes = 1 }], \
                            or back = \"by itself\" if nothing has to be done.";
                self.error(prep.id.at, "prep-without-back", message, help);
            }
            Back::Ways(ways) if ways.is_empty() => {
                let message = format!("\"{name}\" has back = []: it could never end.");
                self.error(
                    prep.id.at,
                    "no-back",
                    message,
                    "Write back = \"by itself\" if nothing has to be done.",
                );
            }
            Back::Ways(_) | Back::ByItself(_) => {}
        }
        for need in prep.needs.iter().filter(|need| need.name() == name) {
            let message = format!("\"{name}\" needs itself.");
            self.error(need.at, "needs-itself", message, "Take it out of `needs`.");
        }
    }

    fn needs(&mut self, needs: &[Ref]) {
        for need in needs {
            match self.known(need, &[Sort::Prep, Sort::SetUp]) {
                Some(Sort::Prep | Sort::SetUp) | None => {}
                Some(sort) => {
                    let message = format!("`needs` names \"{}\", {}.", need.name(), sort.word());
                    let help = if sort == Sort::Fixed {
                        "Name conditions ([prep]).".to_owned()
                    } else {
                        format!("Write clear = [\"{}\"] in `ways`.", need.name())
                    };
                    self.error(need.at, "wrong-sort", message, help);
                }
            }
        }
    }

    /// One way of the thing `id`, which is carried by `carriers`.
    fn way(&mut self, id: &Ref, way: &Way, carriers: &[&str]) {
        if let Some(from) = &way.from {
            self.spot(from);
        }
        if let Some(tool) = way.tool.as_ref().filter(|tool| tool.name().contains('/')) {
            self.problems.push(slash(tool, "tool"));
        }
        self.needs(&way.needs);
        for need in way.needs.iter().filter(|need| need.name() == id.name()) {
            let message = format!("\"{}\" needs itself.", id.name());
            self.error(need.at, "needs-itself", message, "Take it out of `needs`.");
        }
        let bench = way.from.as_ref().is_some_and(|from| from.name() == "bench");
        for clear in &way.clear {
            let name = clear.name();
            match self.known(clear, &[Sort::Part, Sort::Tie]) {
                Some(Sort::Fixed) => {
                    let message =
                        format!("`clear` names \"{name}\", which never comes off (`fixed`).");
                    let help = "Take it out of `clear`, or write it as a part.";
                    self.error(clear.at, "clear-fixed", message, help);
                }
                Some(sort @ (Sort::Prep | Sort::SetUp)) => {
                    let message = format!("`clear` names \"{name}\", {}.", sort.word());
                    let help = format!("Write needs = [\"{name}\"].");
                    self.error(clear.at, "clear-prep", message, help);
                }
                Some(Sort::Part | Sort::Tie) if name == id.name() => {
                    let message = format!("\"{name}\" is to be clear of itself.");
                    self.error(clear.at, "clear-itself", message, "Take it out of `clear`.");
                }
                Some(_) if bench && carriers.contains(&name) => {
                    let message = format!("On the bench \"{}\" lies on \"{name}\".", id.name());
                    let help = "Take it out of `clear`: it cannot be away from there.";
                    self.error(clear.at, "clear-carrier", message, help);
                }
                _ => {}
            }
        }
    }

    fn groups(&mut self, machine: &Machine) {
        let mut first: HashMap<&str, At> = HashMap::new();
        for group in &machine.together {
            if group.value.len() < 2 {
                let message = "A group under `together` has fewer than two members.".to_owned();
                self.error(group.at, "small-group", message, "Name all that are started together.");
            }
            for member in &group.value {
                match self.known(member, &[Sort::Tie]) {
                    None => continue,
                    Some(Sort::Tie) => {}
                    Some(sort) => {
                        let message =
                            format!("`together` names \"{}\", {}.", member.name(), sort.word());
                        self.error(member.at, "wrong-sort", message, "Name fixings ([tie]).");
                        continue;
                    }
                }
                if let Some(before) = first.insert(member.name(), member.at) {
                    let line = before.line;
                    let message = format!(
                        "\"{}\" is in `together` twice; first at line {line}.",
                        member.name()
                    );
                    let help = "Name it in one group only; put groups that share it together.";
                    self.error(member.at, "two-groups", message, help);
                }
            }
        }
    }
}
