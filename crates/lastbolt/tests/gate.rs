//! The gates, and where to look when it does not start, on the command line.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use common::in_garage;

const MACHINE: &str = r#"
machine = "Plover pump set"
fixed = ["engine", "frame"]
[tie."feed line"]
kind = "union"
joins = ["engine", "frame"]
[tie."main earth"]
kind = "earth"
joins = ["engine", "frame"]
[job]
off = ["feed line", "main earth"]
"#;

/// Exit code 1 while it is shut, 0 when it is clear or was passed with a reason; what is open and
/// where stands in it.
#[test]
fn a_gate_is_shut_until_it_is_clear_or_passed() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("pump.toml"), MACHINE).unwrap();
    let runs = |words: &[&str]| {
        let ran = in_garage(folder.path(), words);
        assert_eq!(ran.err, "", "{words:?}");
        ran
    };
    let job = runs(&["begin", "pump.toml"]).out.trim().to_owned();
    for thing in ["feed line", "main earth"] {
        runs(&["did", &job, thing, "--do", "undo"]);
    }
    runs(&["did", &job, "main earth", "--do", "make"]);
    let gate = runs(&["gate", &job]);
    assert_eq!(gate.code, 1);
    assert!(gate.out.contains("Not yet: 1 open"), "{}", gate.out);
    assert!(gate.out.contains("feed line: off (between engine and frame)"), "{}", gate.out);
    let list = runs(&["disturbed", &job]).out;
    assert!(list.starts_with("1. Look at the feed line"), "what is off first: {list}");
    assert!(list.contains("nothing comes off"), "{list}");
    runs(&["disturbed", &job, "--thing", "feed line", "--answer", "was it"]);
    assert!(runs(&["disturbed", &job]).out.contains("answered: was it"));
    runs(&["did", &job, "feed line", "--do", "make"]);
    // Home, and still shut: what is asked before cranking.
    let gate = runs(&["gate", &job, "--json"]);
    assert_eq!((gate.code, gate.json()["heading"].as_str()), (1, Some("All home")));
    assert_eq!(gate.json()["shut"], true);
    for point in ["start.out", "start.earths", "start.runs"] {
        assert!(gate.out.contains(point), "{point}: {}", gate.out);
        runs(&["tick", &job, point, if point == "start.out" { "all out" } else { "done" }]);
    }
    assert_eq!(runs(&["gate", &job]).code, 0);
    // The road wants the first start; passed with a reason it is open.
    let road = runs(&["gate", &job, "road"]);
    assert_eq!(road.code, 1);
    assert!(road.out.contains("It has not been started yet."), "{}", road.out);
    runs(&["did", &job, "road", "--do", "gate", "--note", "towed home"]);
    let road = runs(&["gate", &job, "road"]);
    assert_eq!(road.code, 0);
    assert!(road.out.contains("Passed: towed home"), "{}", road.out);
}

/// A gate or a thing that is none gets a sentence.
#[test]
fn what_is_no_gate_is_said() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("pump.toml"), MACHINE).unwrap();
    let job = in_garage(folder.path(), &["begin", "pump.toml"]).out.trim().to_owned();
    let ran = in_garage(folder.path(), &["gate", &job, "garden"]);
    assert_ne!(ran.code, 0);
    assert!(ran.err.contains("Write start or road."), "{}", ran.err);
    let words = ["disturbed", &job, "--thing", "feed lin", "--answer", "was it"];
    let ran = in_garage(folder.path(), &words);
    assert!(ran.err.contains("Did you mean \"feed line\"?"), "{}", ran.err);
}

/// Whoever reads the list can answer it: it says which words settle a point, and the words of the
/// button do as well. The wrong twin, words of one's own, is kept and leaves it open.
#[test]
fn the_list_says_what_answers_it() {
    let folder = tempfile::tempdir().unwrap();
    let machine =
        "machine = \"cover\"\nfixed = [\"block\"]\n[part.cover]\n[job]\noff = [\"cover\"]\n";
    std::fs::write(folder.path().join("m.toml"), machine).unwrap();
    let job = common::well(folder.path(), &["begin", "m.toml"]).trim().to_owned();
    for _ in 0..2 {
        common::well(folder.path(), &["did", &job, "cover"]);
    }
    let gate = || in_garage(folder.path(), &["gate", &job]);
    assert!(gate().out.contains("Answer: \"all out\" or in words"), "{}", gate().out);
    common::well(folder.path(), &["tick", &job, "start.out", "all is out, I think"]);
    assert_eq!(gate().code, 1);
    common::well(folder.path(), &["tick", &job, "start.out", "All out, counted"]);
    assert_eq!(gate().code, 0, "{}", gate().out);
}
