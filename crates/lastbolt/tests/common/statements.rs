//! The documented statements of questions, evaluated as any program would: from the JSON in
//! `docs/questions-json.md`.

use std::fs;
use std::path::{Path, PathBuf};

use lastbolt_machine::model::Back;
use lastbolt_machine::{Machine, Ref, Tie, Way};
use serde_json::Value;

/// A document of the project.
pub(crate) fn document(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs").join(name)
}

/// The documented statements, as a program reads them.
pub(crate) struct Statements<'a> {
    pub(crate) kinds: Value,
    pub(crate) machine: &'a Machine,
}

impl Statements<'_> {
    /// Whether a statement is true of the machine.
    pub(crate) fn is_true(&self, kind: &str, these: &[String], those: &[String]) -> bool {
        let scope = Scope { these, those, bound: Vec::new() };
        self.judge(&self.kinds[kind], &scope)
    }

    fn judge(&self, statement: &Value, scope: &Scope<'_>) -> bool {
        if let Some(all) = statement["all"].as_array() {
            return all.iter().all(|one| self.judge(one, scope));
        }
        for (word, expected) in [("in", true), ("not_in", false)] {
            let Some(pair) = statement[word].as_array() else { continue };
            let word = |at: usize| pair[at].as_str().unwrap();
            let (name, list) = word(1).split_once('.').unwrap();
            let is_in = self.list(scope.get(name), list).contains(scope.name(word(0)));
            return is_in == expected;
        }
        if let Some(pair) = statement["equal"].as_array() {
            let from = |at: usize| match pair[at].as_str().unwrap().split_once('.').unwrap() {
                (way, "from") => scope.from(way),
                (_, other) => panic!("{other} is not documented"),
            };
            return from(0).is_some() && from(0) == from(1);
        }
        let quantifier = ["every", "some", "none"].into_iter().find(|q| statement[*q].is_string());
        let quantifier = quantifier.unwrap();
        let variable = statement[quantifier].as_str().unwrap();
        let mut values = self.values(statement["of"].as_str().unwrap(), scope).into_iter();
        let mut holds = |value: Bound| {
            let mut bound = scope.bound.clone();
            bound.push((variable.to_owned(), value));
            self.judge(&statement["holds"], &Scope { bound, ..*scope })
        };
        match quantifier {
            "every" => values.all(holds),
            "some" => values.any(holds),
            _ => !values.any(&mut holds),
        }
    }

    fn values(&self, of: &str, scope: &Scope<'_>) -> Vec<Bound> {
        let names = |all: &[String]| all.iter().cloned().map(Bound::Thing).collect();
        match of {
            "these" => names(scope.these),
            "those" => names(scope.those),
            other if other.starts_with("before(") || other.starts_with("after(") => {
                let (side, thing) = other.split_once('(').unwrap();
                let thing = scope.name(thing.trim_end_matches(')'));
                let at = scope.these.iter().position(|name| name == thing).unwrap();
                names(if side == "before" { &scope.these[..at] } else { &scope.these[at + 1..] })
            }
            other => {
                let thing = other.strip_prefix("back_ways(").and_then(|o| o.strip_suffix(')'));
                let thing = thing.unwrap_or_else(|| panic!("{other} is not documented"));
                let ways = back_ways(self.machine, scope.name(thing));
                ways.into_iter().map(|way| Bound::Way(Box::new(way))).collect()
            }
        }
    }

    fn list(&self, bound: &Bound, list: &str) -> Vec<String> {
        match (bound, list) {
            (Bound::Way(way), "clear") => plain(&way.clear),
            (Bound::Thing(name), "hidden_by") => {
                tie(self.machine, name).map(|tie| plain(&tie.hidden_by)).unwrap_or_default()
            }
            (Bound::Thing(name), "joins") => {
                tie(self.machine, name).map(|tie| plain(&tie.joins)).unwrap_or_default()
            }
            other => panic!("{other:?} is not documented"),
        }
    }
}

#[derive(Clone, Debug)]
enum Bound {
    Thing(String),
    Way(Box<Way>),
}

struct Scope<'a> {
    these: &'a [String],
    those: &'a [String],
    bound: Vec<(String, Bound)>,
}

impl Scope<'_> {
    fn get(&self, variable: &str) -> &Bound {
        &self.bound.iter().find(|(name, _)| name == variable).unwrap().1
    }

    fn from(&self, variable: &str) -> Option<&str> {
        match self.get(variable) {
            Bound::Way(way) => way.from.as_ref().map(Ref::name),
            Bound::Thing(_) => panic!("{variable} is no way"),
        }
    }

    fn name(&self, variable: &str) -> &String {
        match self.get(variable) {
            Bound::Thing(name) => name,
            Bound::Way(_) => panic!("{variable} is no thing"),
        }
    }
}

fn plain(names: &[Ref]) -> Vec<String> {
    names.iter().map(|name| name.value.clone()).collect()
}

fn tie<'a>(machine: &'a Machine, name: &str) -> Option<&'a Tie> {
    machine.ties.iter().find(|tie| tie.id.name() == name)
}

/// The back ways: `back`, else `ways`, else one way that lists nothing.
fn back_ways(machine: &Machine, name: &str) -> Vec<Way> {
    let part = machine.parts.iter().find(|part| part.id.name() == name);
    let (ways, back) = match (part, tie(machine, name)) {
        (Some(part), _) => (&part.ways, &part.back),
        (None, Some(tie)) => (&tie.ways, &tie.back),
        (None, None) => panic!("there is no {name}"),
    };
    let written: Option<&[Way]> = match back {
        Back::Ways(back) => Some(back),
        _ => ways.as_deref(),
    };
    written.map_or_else(|| vec![Way::default()], <[Way]>::to_vec)
}

/// What `docs/questions-json.md` says of each kind.
pub(crate) fn documented() -> Value {
    let text = fs::read_to_string(document("questions-json.md")).unwrap();
    let (_, block) = text.split_once("```json\n").unwrap();
    serde_json::from_str(block.split("```").next().unwrap()).unwrap()
}
