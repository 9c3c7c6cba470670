//! The samples in the documents are what the program prints.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;
use std::path::Path;

use common::{example, run_in};
use serde_json::Value;

/// The JSON samples of a document that stand under a heading or sentence.
fn samples(document: &str, under: &str) -> Vec<Value> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs").join(document);
    let text = fs::read_to_string(path).unwrap();
    let (_, text) = text.split_once(under).unwrap();
    let blocks = text.split("```json\n").skip(1).map(|block| block.split("```").next().unwrap());
    blocks.map(|block| serde_json::from_str(block).unwrap()).collect()
}

/// A sample that is no longer true misleads whoever builds on it.
#[test]
fn samples_are_true() {
    let folder = example("hidden").parent().unwrap().to_owned();
    let documented = samples("plan-json.md", "## A full sample");
    let plan = run_in(&folder, &["plan", "hidden.toml", "--json"], b"");
    let verdict = run_in(&folder, &["verify", "hidden.toml", "-", "--json"], plan.out.as_bytes());
    assert_eq!(documented, [plan.json(), verdict.json()]);

    let wrong = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(example("hidden")).unwrap();
    fs::write(wrong.path().join("kelp.toml"), text.replace("minutes = 2", "minutes = 2,5"))
        .unwrap();
    let checked = run_in(wrong.path(), &["check", "kelp.toml", "--json"], b"");
    assert_eq!(samples("check-json.md", "A full sample:"), [checked.json()]);
}
