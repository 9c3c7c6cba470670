//! The garage's own things on the command line: printed, changed with remarks kept, used.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;
use std::path::Path;

use common::{Ran, run_in};

fn garage(folder: &Path, words: &[&str]) -> Ran {
    let words: Vec<&str> =
        ["garage"].iter().chain(words).copied().chain(["--garage", "g"]).collect();
    run_in(folder, &words, b"")
}

/// One change at a time; every remark stays; what is not the garage's own is called so.
#[test]
fn changed_and_printed() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("g/garage.toml");
    assert!(garage(folder.path(), &[]).out.contains("none yet"));
    assert_eq!(garage(folder.path(), &["add", "person", "Wren"]).code, 0);
    let text = fs::read_to_string(&file).unwrap() + "# ours\n[minutes] # slow\nscrew = 1 # rusty\n";
    fs::write(&file, &text).unwrap();
    assert_eq!(garage(folder.path(), &["set", "minutes", "screw", "0,75"]).code, 0);
    assert_eq!(fs::read_to_string(&file).unwrap(), text.replace("= 1", "= 0.75"));
    assert_eq!(garage(folder.path(), &["set", "display", "decimal", ","]).code, 0);
    let said = garage(folder.path(), &[]);
    assert!(said.out.contains("  screw: 0,75\n"), "{}", said.out);
    assert!(said.out.contains("  nut: 0,7  (not yours yet)\n"), "{}", said.out);
    let json = garage(folder.path(), &["--json"]).json();
    assert_eq!(json["version"], 1);
    assert_eq!(json["display"]["decimal"], "comma");
    assert_eq!(json["people"], serde_json::json!({ "Wren": {} }));
    assert_eq!(garage(folder.path(), &["remove", "minutes", "screw"]).code, 0);
    assert!(garage(folder.path(), &[]).out.contains("  screw: 0,7  (not yours yet)\n"));
}

/// Minutes of the garage are those of a job that begins in it, and stay what they were.
#[test]
fn a_job_keeps_the_minutes_it_began_with() {
    let folder = tempfile::tempdir().unwrap();
    let machine = "machine = \"cover\"\nfixed = [\"block\"]\n[part.cover]\n[tie.bolts]\nkind = \
                   \"screw\"\ncount = 2\njoins = [\"cover\", \"block\"]\n\
                   [job]\noff = [\"cover\"]\n";
    fs::write(folder.path().join("machine.toml"), machine).unwrap();
    assert_eq!(garage(folder.path(), &["set", "minutes", "screw", "5"]).code, 0);
    let begin = ["begin", "machine.toml", "--garage", "g"];
    let job = run_in(folder.path(), &begin, b"").out.trim().to_owned();
    assert_eq!(garage(folder.path(), &["set", "minutes", "screw", "50"]).code, 0);
    let plan = |job: &str| {
        let plan = run_in(folder.path(), &["plan", job, "--json", "--garage", "g"], b"").json();
        plan["minutes"].as_f64().unwrap()
    };
    assert!((plan(&job) - 22.0).abs() < 1e-9, "two screws of 5 and a part of 1, both ways");
    assert!((plan("machine.toml") - 202.0).abs() < 1e-9, "a file is planned with those of now");
}

/// What is wrong is said and nothing is changed; a damaged file hinders nothing else.
#[test]
fn what_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("g/garage.toml");
    for (words, code) in [
        (&["set", "minutes", "screw", "soon"][..], 2),
        (&["set", "minute", "screw", "1"], 1),
        (&["set", "display", "date", "often"], 2),
        (&["add", "wrench", " "], 1),
        (&["remove", "person", "Finch"], 1),
        (&["set", "person", "Wren", "nose", "x"], 1),
    ] {
        let ran = garage(folder.path(), words);
        assert_eq!(ran.code, code, "{words:?}: {}", ran.err);
        assert!(ran.err.starts_with("error: "), "{}", ran.err);
        assert!(!file.exists(), "{words:?}");
    }
    let damaged = "[minutes]\nscrew = half\n";
    fs::write(&file, damaged).unwrap();
    for words in [&["set", "minutes", "nut", "1"][..], &[], &["--json"]] {
        let ran = garage(folder.path(), words);
        assert_eq!(ran.code, 1, "{words:?}");
        assert!(ran.err.contains("line 2"), "{}", ran.err);
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), damaged);
    let begun = run_in(folder.path(), &["begin", "--machine", "Finch", "--garage", "g"], b"");
    assert_eq!(begun.code, 0, "{}", begun.err);
    assert!(begun.err.contains("note: The garage file is left as it is"), "{}", begun.err);
}
