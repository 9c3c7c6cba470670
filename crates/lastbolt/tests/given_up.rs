//! A job is given up and taken up again by commands; gates passed with something open; the list.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::path::Path;

use common::{in_garage, well};

/// Invented.
const MACHINE: &str = r#"
machine = "Dunlin dredger"
fixed = ["hull"]
[part.flap]
[tie."flap screws"]
kind = "screw"
count = 4
joins = ["flap", "hull"]
[job]
renew = ["flap"]
"#;

fn begun(folder: &Path) -> String {
    std::fs::write(folder.join("dredger.toml"), MACHINE).unwrap();
    well(folder, &["begin", "dredger.toml"]).trim().to_owned()
}

#[test]
fn given_up_and_taken_back() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let job = begun(folder);
    assert!(well(folder, &["state", &job]).contains("All home"), "the twin: not given up");
    let said = well(folder, &["give-up", &job, "no flap to be had", "--as", "Wren"]);
    for wanted in ["Job given up: no flap to be had", "Nothing is claimed", "take-back"] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    let state = well(folder, &["state", &job]);
    assert!(state.contains("This job was given up: no flap to be had."), "{state}");
    assert!(!state.contains("All home") && !state.contains("handed over"), "{state}");
    for command in ["state", "next", "record", "gate"] {
        let json = in_garage(folder, &[command, &job, "--json"]).json();
        assert_eq!(json["given_up"], "no flap to be had", "{command}");
    }
    let gate = in_garage(folder, &["gate", &job]);
    assert_eq!(gate.code, 1, "no gate of it is clear");
    assert!(well(folder, &["record", &job]).contains("Given up: no flap to be had"));
    let jobs = well(folder, &["jobs"]);
    assert!(jobs.contains("Handed over or given up") && jobs.contains(&job), "{jobs}");
    let listed = in_garage(folder, &["jobs", "--json"]).json();
    let keys = ["given_up", "job", "last_at_ms", "letter", "stands", "title", "waits_for"];
    let mut own: Vec<&str> = listed["jobs"][0].as_object().unwrap().keys().map(|k| &**k).collect();
    own.sort_unstable();
    assert_eq!(own, keys, "docs/questions-json.md shows these");
    assert_eq!(listed["jobs"][0]["given_up"], "no flap to be had");

    well(folder, &["take-back", &job]);
    assert!(well(folder, &["state", &job]).contains("All home"));
    let state = in_garage(folder, &["state", &job, "--json"]).json();
    assert!(state["given_up"].is_null());
    assert!(well(folder, &["jobs"]).starts_with("In hand\n"));
    assert_eq!(well(folder, &["jobs", "heron"]).trim(), "No job has these words.");
}

#[test]
fn a_gate_passed_over_open_checks_says_so_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let job = begun(folder);
    for _ in 0..4 {
        let next = in_garage(folder, &["next", &job, "--json"]).json();
        let verb = next["next"]["records"][0]["verb"].as_str().unwrap();
        well(folder, &["did", &job, next["next"]["id"].as_str().unwrap(), "--do", verb]);
    }
    assert_eq!(in_garage(folder, &["gate", &job]).code, 1, "something is to be checked");
    let said = well(folder, &["did", &job, "first start", "--do", "gate"]);
    assert!(said.contains("First start agreed with ") && said.contains("not checked"), "{said}");
    for command in ["next", "state", "gate"] {
        let text = well(folder, &[command, &job]);
        assert!(text.contains("First start agreed with "), "{command}: {text}");
    }
    let gate = in_garage(folder, &["gate", &job, "--json"]).json();
    let passed = gate["passed"].clone();
    assert!(passed["not_checked"].as_u64().unwrap() > 0 && passed["open"] == 0, "{passed}");
    let next = in_garage(folder, &["next", &job, "--json"]).json();
    assert_eq!(next["notes"][0], passed["text"]);
    for point in gate["points"].as_array().unwrap() {
        let answer = point["answers"][0]["answer"].as_str().unwrap_or("looked");
        let mut words = vec!["tick", &job, point["point"].as_str().unwrap(), answer];
        if let Some(thing) = point["thing"].as_str() {
            words.extend(["--thing", thing]);
        }
        well(folder, &words);
    }
    let state = well(folder, &["state", &job]);
    assert!(!state.contains("agreed with"), "settled, it is said no more: {state}");
}
