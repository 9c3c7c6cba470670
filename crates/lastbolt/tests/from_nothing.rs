//! Why: what the documents on jobs from nothing show is what a reader gets, and a question means
//! what it is documented to mean.
//!
//! With LASTBOLT_WRITE_DOCS set, the samples are written anew instead of compared.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
#[path = "common/statements.rs"]
mod statements;

use std::collections::BTreeSet;
use std::fs;

use common::run_in;
use lastbolt_testkit::Rng;
use lastbolt_testkit::truth::{Choice, Oracle, Question, hidden_machine};
use statements::{Statements, document, documented};

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
    let id = |word: &&str| {
        ["reach-", "seen-", "holds-", "place-", "with-", "in_turn-"]
            .iter()
            .any(|kind| word.starts_with(kind))
    };
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

/// The documented statements say the same as those that the truth test answers by; a statement
/// that forgets something is found out.
#[test]
fn kinds_mean_what_is_documented() {
    let mut wrong = documented();
    for kind in ["reach", "in_turn"] {
        wrong[kind]["holds"]["all"].as_array_mut().unwrap().pop();
    }
    let kinds = ["reach", "seen", "holds", "place", "with", "in_turn"];
    let (mut asked, mut differ) = ([[0_u32; 2]; 6], [0; 6]);
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
            for (number, kind) in kinds.into_iter().enumerate() {
                let of_all = matches!(kind, "reach" | "in_turn");
                let these = some_of(&mut rng, if of_all { &all } else { &ties });
                let those = some_of(&mut rng, &parts);
                let question = Question {
                    id: String::new(),
                    kind: kind.to_owned(),
                    these: these.clone(),
                    those: those.clone(),
                };
                let truth = oracle.answer(&question).unwrap() == Choice::Yes;
                assert_eq!(right.is_true(kind, &these, &those), truth, "{question:?}");
                differ[number] += u32::from(careless.is_true(kind, &these, &those) != truth);
                asked[number][usize::from(truth)] += 1;
            }
        }
    }
    assert!(asked.iter().flatten().all(|times| *times > 50), "{asked:?}");
    assert!(differ[0] > 0 && differ[5] > 0, "{differ:?}");
}

fn some_of(rng: &mut Rng, names: &[String]) -> Vec<String> {
    let count = 1 + rng.below(3);
    let mut some: Vec<String> = (0..count).map(|_| names[rng.below(names.len())].clone()).collect();
    let mut seen = BTreeSet::new();
    some.retain(|name| seen.insert(name.clone()));
    some
}
