//! One namespace for fixed parts, parts, ties, preps and the set-ups of spots.

use std::cell::Cell;
use std::collections::{BTreeMap, HashMap, HashSet};

use super::{Problems, nearest};
use crate::at::{At, Ref};
use crate::model::Machine;
use crate::problem::Problem;

/// For how many unknown names the nearest known one is looked for.
const NEAREST_MAX: usize = 100;

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Sort {
    Fixed,
    Part,
    Tie,
    Prep,
    SetUp,
}

impl Sort {
    /// With its article, in words of the trade.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Sort::Fixed => "a part that never comes off (`fixed`)",
            Sort::Part => "a part",
            Sort::Tie => "a fixing or connection ([tie])",
            Sort::Prep => "a condition ([prep])",
            Sort::SetUp => "the setting up of a place ([spot])",
        }
    }
}

/// All names of a machine.
pub(crate) struct Names<'a> {
    all: HashMap<&'a str, (Sort, At)>,
    /// The names of set-ups, made from those of their spots.
    set_ups: BTreeMap<String, At>,
    order: Vec<(&'a str, Sort)>,
    spots: HashMap<&'a str, At>,
    /// Tools that some way uses.
    tools: HashSet<&'a str>,
    /// How often the nearest name may still be looked for: it takes time.
    looks: Cell<usize>,
}

impl<'a> Names<'a> {
    pub(crate) fn new(machine: &'a Machine, problems: &mut Problems) -> Self {
        let mut names = Self {
            all: HashMap::new(),
            set_ups: BTreeMap::new(),
            order: Vec::new(),
            spots: HashMap::new(),
            tools: super::things::tools(machine).into_iter().collect(),
            looks: Cell::new(NEAREST_MAX),
        };
        let things = machine.fixed.iter().map(|id| (id, Sort::Fixed));
        let things = things.chain(machine.parts.iter().map(|p| (&p.id, Sort::Part)));
        let things = things.chain(machine.ties.iter().map(|t| (&t.id, Sort::Tie)));
        let things = things.chain(machine.preps.iter().map(|p| (&p.id, Sort::Prep)));
        for (id, sort) in things {
            names.add(id, sort, problems);
        }
        for spot in &machine.spots {
            names.add_spot(spot, problems);
        }
        names
    }

    fn add(&mut self, id: &'a Ref, sort: Sort, problems: &mut Problems) {
        let Some(&(other, first)) = self.all.get(id.name()) else {
            self.all.insert(id.name(), (sort, id.at));
            self.order.push((id.name(), sort));
            return;
        };
        problems.push(twice(id, sort, other, first));
    }

    fn add_spot(&mut self, spot: &'a crate::model::Spot, problems: &mut Problems) {
        let id = &spot.id;
        if id.name().contains('/') {
            problems.push(slash(id, "place to work from"));
        }
        if let Some(first) = self.spots.get(id.name()) {
            let message = format!("The place \"{}\" {}.", id.name(), named_twice(id.at, *first));
            let help = "Put both together, or give one another name.";
            problems.push(Problem::error(id.at, "named-twice", message, help));
            return;
        }
        self.spots.insert(id.name(), id.at);
        if spot.setup.is_none() && spot.pack.is_none() {
            return;
        }
        let set_up = format!("{} set up", id.name());
        if let Some((other, first)) = self.all.get(set_up.as_str()) {
            let name = Ref::new(set_up.clone(), id.at);
            problems.push(twice(&name, Sort::SetUp, *other, *first));
        }
        self.set_ups.insert(set_up, id.at);
    }

    /// What a name stands for.
    pub(crate) fn sort(&self, name: &str) -> Option<Sort> {
        let set_up = || self.set_ups.get(name).map(|_| Sort::SetUp);
        self.all.get(name).map(|(sort, _)| *sort).or_else(set_up)
    }

    pub(crate) fn has_spot(&self, name: &str) -> bool {
        name == "bench" || self.spots.contains_key(name)
    }

    pub(crate) fn has_tool(&self, name: &str) -> bool {
        self.tools.contains(&name)
    }

    /// A name that stands for nothing, with the nearest one that could be meant.
    pub(crate) fn unknown(&self, name: &Ref, wanted: &[Sort]) -> Problem {
        let meant = |only: bool| {
            let names = self.order.iter().filter(|(_, sort)| !only || wanted.contains(sort));
            let set_ups = self.set_ups.keys().map(String::as_str);
            let set_ups = set_ups.filter(|_| !only || wanted.contains(&Sort::SetUp));
            nearest(name.name(), names.map(|(name, _)| *name).chain(set_ups))
        };
        let near = if self.may_look() { meant(true).or_else(|| meant(false)) } else { None };
        let help = match near {
            Some(near) => format!("Did you mean \"{near}\"?"),
            None => format!("Write {}, or correct the name.", table_for(wanted, name.name())),
        };
        let message = format!("Nothing here is named \"{}\".", name.name());
        Problem::error(name.at, "unknown-name", message, help)
    }

    fn may_look(&self) -> bool {
        let left = self.looks.get();
        self.looks.set(left.saturating_sub(1));
        left > 0
    }

    /// A place to work from that is not declared.
    pub(crate) fn unknown_spot(&self, name: &Ref) -> Problem {
        let mut known: Vec<&str> = self.spots.keys().copied().collect();
        known.sort_unstable();
        known.push("bench");
        let near = if self.may_look() { nearest(name.name(), known) } else { None };
        let help = match near {
            Some(near) => format!("Did you mean \"{near}\"?"),
            None => format!("Write [spot.\"{}\"] on a line of its own.", name.name()),
        };
        let message = format!("No place to work from is named \"{}\".", name.name());
        Problem::error(name.at, "unknown-spot", message, help)
    }

    /// A tool that nothing here is done with.
    pub(crate) fn unknown_tool(&self, name: &str, at: At) -> Problem {
        let mut tools: Vec<&str> = self.tools.iter().copied().collect();
        tools.sort_unstable();
        let near = if self.may_look() { nearest(name, tools) } else { None };
        let help = match near {
            Some(near) => format!("Did you mean \"{near}\"?"),
            None => "Correct the name, or take it out.".to_owned(),
        };
        let message = format!("Nothing here is done with the tool \"{name}\".");
        Problem::error(at, "unknown-tool", message, help)
    }
}

/// A `/` where a pair would be misread.
pub(crate) fn slash(name: &Ref, what: &str) -> Problem {
    let message = format!("The {what} \"{}\" has a / in its name.", name.name());
    let other = name.name().replace('/', "-");
    let help = format!("Write \"{other}\", say: the / stands between two names in pairs.");
    Problem::error(name.at, "slash", message, help)
}

fn table_for(wanted: &[Sort], name: &str) -> String {
    match wanted.first() {
        Some(Sort::Fixed | Sort::Part) => format!("[part.\"{name}\"]"),
        Some(Sort::Tie) => format!("[tie.\"{name}\"]"),
        _ => format!("[prep.\"{name}\"]"),
    }
}

fn named_twice(at: At, first: At) -> String {
    if at.file == first.file {
        format!("is named twice; first at line {}", first.line)
    } else {
        "is named twice".to_owned()
    }
}

fn twice(id: &Ref, sort: Sort, other: Sort, first: At) -> Problem {
    let twice = named_twice(id.at, first);
    let message = if sort == other {
        format!("\"{}\" {twice}.", id.name())
    } else {
        let (one, two) = (other.word(), sort.word());
        format!("\"{}\" {twice}, as {one}, and here as {two}.", id.name())
    };
    let help = "Give one of them another name: a name stands for one thing.";
    Problem::error(id.at, "named-twice", message, help)
}
