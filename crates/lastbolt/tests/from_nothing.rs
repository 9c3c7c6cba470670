//! Why: what the documents on jobs from nothing show is what a reader gets, and a question means
//! what it is documented to mean.
//!
//! With LASTBOLT_WRITE_DOCS set, the samples are written anew instead of compared.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;
use std::path::{Path, PathBuf};

use common::run_in;
use lastbolt_machine::model::Back;
use lastbolt_machine::{Machine, Ref, Tie, Way};
use lastbolt_testkit::Rng;
use lastbolt_testkit::truth::{Choice, Oracle, Question, hidden_machine};
use serde_json::Value;

fn document(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs").join(name)
}

/// The words of a command line with plain double quotes.
fn words(line: &str) -> Vec<String> {
    let mut all = Vec::new();
    for (number, piece) in line.split('"').enumerate() {
        if number % 2 == 1 {
            all.push(piece.to_owned());
        } else {
            all.extend(piece.split_whitespace().map(str::to_owned));
        }
    }
    all
}

/// Plays every command of a document in one garage; gives the document with what was printed.
fn played(text: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    let mut result: Vec<String> = Vec::new();
    let mut is_console = false;
    let mut last = String::new();
    for line in text.lines() {
        if line.starts_with("```") {
            is_console = line == "```console";
            result.push(line.to_owned());
        } else if let Some(command) = line.strip_prefix("$ lastbolt ").filter(|_| is_console) {
            let command = with_open_question(command, &last);
            let own = words(&command);
            let mut all: Vec<&str> = own.iter().map(String::as_str).collect();
            all.extend(["--garage", "g"]);
            let ran = run_in(folder.path(), &all, b"");
            assert_eq!(ran.code, 0, "{command}: {}", ran.err);
            result.push(format!("$ lastbolt {command}"));
            result.extend(ran.err.lines().chain(ran.out.lines()).map(str::to_owned));
            last = ran.out;
        } else if !is_console {
            result.push(line.to_owned());
        }
    }
    result.join("\n") + "\n"
}

/// An answer is to the first question that was just listed.
fn with_open_question(command: &str, listed: &str) -> String {
    let id = |word: &&str| ["reach-", "seen-", "holds-"].iter().any(|kind| word.starts_with(kind));
    let said = command.split(' ').find(id);
    let open = listed.split(|c: char| c.is_whitespace() || c == '"').find(id);
    match (said, open) {
        (Some(said), Some(open)) if command.starts_with("answer ") => command.replace(said, open),
        _ => command.to_owned(),
    }
}

/// Samples that are no longer true mislead whoever follows them.
#[test]
fn samples_are_true() {
    for name in ["from-nothing.md", "questions-json.md"] {
        let text = fs::read_to_string(document(name)).unwrap();
        let played = played(&text);
        if std::env::var_os("LASTBOLT_WRITE_DOCS").is_some() {
            fs::write(document(name), &played).unwrap();
            continue;
        }
        assert!(played == text, "{name}: run this test with LASTBOLT_WRITE_DOCS=1:\n{played}");
        // A sample that was tampered with is found.
        let wrong = text.replacen("bramble-saw-bearing-1\n", "bramble-saw-bearing-7\n", 1);
        assert_ne!(played, wrong);
    }
}

/// The documented statements, as a program reads them.
struct Statements<'a> {
    kinds: Value,
    machine: &'a Machine,
}

impl Statements<'_> {
    fn is_true(&self, kind: &str, these: &[String], those: &[String]) -> bool {
        let scope = Scope { these, those, bound: Vec::new() };
        self.judge(&self.kinds[kind], &scope)
    }

    fn judge(&self, statement: &Value, scope: &Scope<'_>) -> bool {
        if let Some(all) = statement["all"].as_array() {
            return all.iter().all(|one| self.judge(one, scope));
        }
        if let Some(pair) = statement["in"].as_array() {
            let word = |at: usize| pair[at].as_str().unwrap();
            let (name, list) = word(1).split_once('.').unwrap();
            return self.list(scope.get(name), list).contains(scope.name(word(0)));
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

fn documented() -> Value {
    let text = fs::read_to_string(document("questions-json.md")).unwrap();
    let (_, block) = text.split_once("```json\n").unwrap();
    serde_json::from_str(block.split("```").next().unwrap()).unwrap()
}

/// The documented statements say the same as those that the truth test answers by; a statement
/// that forgets something is found out.
#[test]
fn kinds_mean_what_is_documented() {
    let mut wrong = documented();
    wrong["reach"]["holds"]["all"].as_array_mut().unwrap().pop();
    let (mut asked, mut differ) = ([[0_u32; 2]; 4], 0);
    for seed in 1..=40 {
        let machine = hidden_machine(seed);
        let mut oracle = Oracle::new(&machine);
        let parts = machine.parts.iter().map(|part| part.id.value.clone());
        let parts: Vec<String> = parts.collect();
        let ties: Vec<String> = machine.ties.iter().map(|tie| tie.id.value.clone()).collect();
        let all = [parts.clone(), ties.clone()].concat();
        all.iter().for_each(|name| oracle.is_called(name, name));
        let right = Statements { kinds: documented(), machine: &machine };
        let careless = Statements { kinds: wrong.clone(), machine: &machine };
        let mut rng = Rng::new(seed);
        for _ in 0..60 {
            for (number, kind) in ["reach", "seen", "holds", "place"].into_iter().enumerate() {
                let these = some_of(&mut rng, if kind == "reach" { &all } else { &ties });
                let those = some_of(&mut rng, &parts);
                let question = Question {
                    id: String::new(),
                    kind: kind.to_owned(),
                    these: these.clone(),
                    those: those.clone(),
                };
                let truth = oracle.answer(&question).unwrap() == Choice::Yes;
                assert_eq!(right.is_true(kind, &these, &those), truth, "{question:?}");
                differ += u32::from(careless.is_true(kind, &these, &those) != truth);
                asked[number][usize::from(truth)] += 1;
            }
        }
    }
    assert!(asked.iter().flatten().all(|times| *times > 50), "{asked:?}");
    assert!(differ > 0);
}

fn some_of(rng: &mut Rng, names: &[String]) -> Vec<String> {
    let count = 1 + rng.below(3);
    (0..count).map(|_| names[rng.below(names.len())].clone()).collect()
}
