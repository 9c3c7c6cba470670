//! True answers: the documented statements about a machine file, asked of the hidden machine.

use std::collections::BTreeMap;

use lastbolt_machine::model::Back;
use lastbolt_machine::{Machine, Ref, Way};

use super::engine::Question;

/// An answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// The statement is true of the machine file.
    Yes,
    /// It is not.
    No,
    /// Nobody can say.
    Unknown,
}

impl Choice {
    /// The word of the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Unknown => "unknown",
        }
    }
}

/// Somebody who knows the hidden machine.
#[derive(Clone, Debug)]
pub struct Oracle<'a> {
    machine: &'a Machine,
    /// From the engine's names to the hidden ones.
    truth: BTreeMap<String, String>,
}

impl<'a> Oracle<'a> {
    /// Knows a machine.
    pub fn new(machine: &'a Machine) -> Self {
        Self { machine, truth: BTreeMap::new() }
    }

    /// Takes note that the engine calls a hidden thing so.
    pub fn is_called(&mut self, truth: &str, name: &str) {
        self.truth.insert(name.to_owned(), truth.to_owned());
    }

    /// The hidden name of what the engine calls so.
    pub fn truth(&self, name: &str) -> Option<&str> {
        self.truth.get(name).map(String::as_str)
    }

    /// Answers a question.
    ///
    /// # Errors
    /// Says which name or kind of question is not known.
    pub fn answer(&self, question: &Question) -> Result<Choice, String> {
        let known = |names: &[String]| -> Result<Vec<String>, String> {
            let one = |name: &String| {
                self.truth(name).map(str::to_owned).ok_or_else(|| format!("who is {name:?}?"))
            };
            names.iter().map(one).collect()
        };
        let (these, those) = (known(&question.these)?, known(&question.those)?);
        let is_in_turn = question.kind == "in_turn";
        if these.is_empty() || (those.is_empty() && !is_in_turn) {
            return Err(format!("question {:?} asks about nothing", question.id));
        }
        let yes = match question.kind.as_str() {
            "reach" => these.iter().all(|thing| self.reached(thing, &those)),
            "seen" => these.iter().all(|thing| !self.is_hidden_by(thing, &those)),
            "holds" => these.iter().any(|tie| self.joins(tie, &those)),
            "place" => these.iter().all(|thing| self.goes_from(thing, &those)),
            "with" => these.iter().any(|tie| {
                those.iter().any(|part| {
                    let part = std::slice::from_ref(part);
                    self.joins(tie, part) && self.goes_from(tie, part)
                })
            }),
            "in_turn" => self.in_turn(&these, &those),
            other => return Err(format!("{other:?} is no kind of question")),
        };
        Ok(if yes { Choice::Yes } else { Choice::No })
    }

    /// It has a back way whose `clear` names none of those, and is hidden by none of them.
    fn reached(&self, thing: &str, those: &[String]) -> bool {
        let free = |way: &Way| !way.clear.iter().any(|name| those.contains(&name.value));
        let ways = match self.back_ways(thing) {
            // No way written is one way by hand from anywhere.
            None => true,
            Some(ways) => ways.iter().any(free),
        };
        ways && !self.is_hidden_by(thing, those)
    }

    /// Each can go home with those and the ones before it at home, and holds none that comes after.
    fn in_turn(&self, these: &[String], those: &[String]) -> bool {
        let mut home = those.to_vec();
        these.iter().enumerate().all(|(at, thing)| {
            let free = |way: &Way| !way.clear.iter().any(|name| home.contains(&name.value));
            let ways = self.back_ways(thing).is_none_or(|ways| ways.iter().any(free));
            let joined = |name: &String| self.joins(thing, std::slice::from_ref(name));
            let covers: Vec<String> = home.iter().filter(|name| !joined(name)).cloned().collect();
            let goes =
                ways && !self.is_hidden_by(thing, &covers) && !self.joins(thing, &these[at + 1..]);
            home.push(thing.clone());
            goes
        })
    }

    /// It has a back way from the place of some back way of one of those.
    fn goes_from(&self, thing: &str, those: &[String]) -> bool {
        let places = |name: &str| -> Vec<&str> {
            let ways = self.back_ways(name).unwrap_or_default().iter();
            ways.filter_map(|way| way.from.as_ref().map(Ref::name)).collect()
        };
        let there: Vec<&str> = those.iter().flat_map(|name| places(name)).collect();
        places(thing).iter().any(|place| there.contains(place))
    }

    fn back_ways(&self, thing: &str) -> Option<&[Way]> {
        let part = self.machine.parts.iter().find(|part| part.id.name() == thing);
        let tie = self.machine.ties.iter().find(|tie| tie.id.name() == thing);
        let (ways, back) = match (part, tie) {
            (Some(part), _) => (&part.ways, &part.back),
            (_, Some(tie)) => (&tie.ways, &tie.back),
            _ => return None,
        };
        match back {
            Back::Ways(back) => Some(back),
            _ => ways.as_deref(),
        }
    }

    fn is_hidden_by(&self, thing: &str, those: &[String]) -> bool {
        let tie = self.machine.ties.iter().find(|tie| tie.id.name() == thing);
        let among = |name: &Ref| those.contains(&name.value);
        tie.is_some_and(|tie| tie.hidden_by.iter().any(among))
    }

    fn joins(&self, thing: &str, those: &[String]) -> bool {
        let tie = self.machine.ties.iter().find(|tie| tie.id.name() == thing);
        tie.is_some_and(|tie| tie.joins.iter().any(|name| those.contains(&name.value)))
    }
}
