//! The garage's own things on the command line: printed, changed with remarks kept, used.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;
use std::path::Path;

use common::{Ran, in_garage, run_in, well};

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

/// Names in nobody's language, amounts with a point, a torque in the maker's own unit.
const KNOT: &str = r#"
machine = "Ozvu"
fixed = ["bolm"]
[spot.zed]
[prep."olje ven"]
ways = [{ from = "zed", minutes = 4 }]
back = [{ from = "zed", minutes = 4 }]
fluid = { name = "olje", litres = 7.5 }
[part.kru]
needs = ["olje ven"]
ways = [{ from = "zed", minutes = 1 }]
[tie."zgornja cev"]
kind = "vez"
joins = ["kru", "bolm"]
ways = [{ from = "zed", minutes = 1 }]
[tie."vijaki"]
kind = "screw"
count = 4
joins = ["kru", "bolm"]
ways = [{ from = "zed", tool = "socket 13", minutes = 3 }]
tighten = { stages = ["20 N·m crosswise"] }
[job]
off = ["kru"]
"#;

fn begun(garage: &str) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("g")).unwrap();
    fs::write(folder.path().join("g/garage.toml"), garage).unwrap();
    fs::write(folder.path().join("knot.toml"), KNOT).unwrap();
    let job = well(folder.path(), &["begin", "knot.toml"]).trim().to_owned();
    (folder, job)
}

/// Numbers of the garage in every text for people, its money on a bare price, its unit beside the
/// maker's own; what programs read stays as it was.
#[test]
fn numbers_money_and_units_of_the_garage() {
    let shown = "[display]\ndecimal = \",\"\ncurrency = \"crowns\"\nunits = \"lbf ft\"\n";
    let (folder, job) = begun(shown);
    let said = |words: &[&str]| well(folder.path(), words);
    let day = said(&["day", &job, "size-up"]);
    assert!(day.contains("7,5 l") && !day.contains("7.5"), "{day}");
    let json = said(&["day", &job, "--json"]);
    assert!(json.contains("7.5 l") && !json.contains("7,5"), "{json}");
    for thing in ["olje ven", "zgornja cev", "vijaki", "kru"] {
        said(&["did", &job, thing]);
    }
    let back = said(&["sheet", &job, "way-back"]);
    assert!(back.contains("20 N·m crosswise (torque 14,8 lbf·ft)"), "{back}");
    said(&["note", &job, "ask owner", "New hose too?", "--price", "85,00"]);
    said(&["note", &job, "buy", "hose", "--price", "12 talers"]);
    let day = said(&["day", &job, "size-up"]);
    assert!(day.contains("85,00 crowns") && day.contains("12 talers"), "{day}");
    assert!(!day.contains("12 talers crowns"));
}

/// A mark that means nothing is refused with the nearest word; one that does is said at the step.
#[test]
fn a_hazard_is_marked_by_a_command() {
    let (folder, job) = begun("");
    let note = |word: &str, thing: &[&str]| {
        let words = ["note", &job, "hazard", word];
        in_garage(folder.path(), &words.iter().chain(thing).copied().collect::<Vec<_>>())
    };
    let wrong = note("presure", &["--thing", "zgornja cev"]);
    assert!(wrong.code != 0 && wrong.err.contains("Did you mean \"pressure\"?"), "{}", wrong.err);
    assert!(note("pressure", &[]).code != 0, "of what?");
    assert_eq!(note("pressure", &["--thing", "zgornja cev"]).code, 0);
    let asked = in_garage(folder.path(), &["day", &job, "make-ready"]).out;
    assert!(asked.contains("Zgornja cev: how was the pressure let off"), "{asked}");
    // The same word in the file; another one is an error with its place.
    let bad = KNOT.replace("kind = \"vez\"", "kind = \"vez\"\nhazards = [\"presure\"]");
    fs::write(folder.path().join("bad.toml"), bad).unwrap();
    let check = in_garage(folder.path(), &["check", "bad.toml"]);
    assert!(
        check.code != 0 && check.out.contains("unknown-hazard")
            || check.out.contains("Did you mean \"pressure\"?"),
        "{}",
        check.out
    );
}
