//! Why: a garage has its lists in a spreadsheet. What it brings is shown before anything is
//! recorded, a list with a mistake records nothing, and what is written opens anywhere.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;

use common::{Ran, in_garage};

const LIST: &str = "\u{feff}part;kind;count;place;tool;minutes;note;price\r\n\
    tray;;;above;;;keep flat;12\r\n\
    tray;nut;3;above;socket 10;2,5;;1\r\n\
    air box;screw;4;above;;;;\r\n\
    ;earth;2;above;;;;\r\n\
    ;earth;2;above;;;;\r\n";

struct Garage {
    folder: tempfile::TempDir,
    job: String,
}

impl Garage {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("list.csv"), LIST).unwrap();
        let begun = in_garage(folder.path(), &["begin", "--machine", "Kelp outboard"]);
        assert_eq!(begun.code, 0, "{}", begun.err);
        let job = begun.out.trim().to_owned();
        Self { folder, job }
    }

    fn runs(&self, words: &[&str]) -> Ran {
        in_garage(self.folder.path(), words)
    }

    fn entries(&self) -> usize {
        let record = self.runs(&["record", &self.job, "--json"]).json();
        record["lines"].as_array().unwrap().len()
    }
}

fn has_all(text: &str, said: &[&str]) {
    for said in said {
        assert!(text.contains(said), "{said} is not in:\n{text}");
    }
}

#[test]
fn shown_first_then_recorded_once() {
    let garage = Garage::new();
    let words = ["import", &garage.job, "list.csv", "--off"];
    let shown = garage.runs(&words);
    assert_eq!(shown.code, 0, "{}", shown.err);
    has_all(
        &shown.out,
        &[
            "list.csv: 4 rows, separated by semicolons.",
            "  Tray off: 3 nuts (above, socket 10)\n  Air box off: 4 screws (above)",
            "  Undone: 2 earths (above)",
            "line 6: says the same as line 5",
            "column \"price\"",
            "Nothing was recorded.",
        ],
    );
    assert_eq!(garage.entries(), 0);
    let words = ["import", &garage.job, "list.csv", "--off", "--yes", "--as", "Wren"];
    let recorded = garage.runs(&words);
    has_all(&recorded.out, &["Recorded: 5 entries."]);
    let state = garage.runs(&["state", &garage.job]);
    has_all(&state.out, &["still off: 2 earths, 3 nuts, 4 screws, 2 parts"]);
    has_all(&garage.runs(&words).out, &["There is nothing to record."]);
    assert_eq!(garage.entries(), 5);
    has_all(&garage.runs(&["record", &garage.job]).out, &["keep flat", "Wren"]);
}

/// Without a word that things are off, a list is what was counted before the first bolt.
#[test]
fn counted_before() {
    let garage = Garage::new();
    let recorded = garage.runs(&["import", &garage.job, "list.csv", "--yes"]);
    has_all(&recorded.out, &["Counted before", "  3 nuts, above", "Recorded: 3 entries."]);
    garage.runs(&["took", &garage.job, "tray", "--from", "above", "--tie", "nut:2"]);
    garage.runs(&["all-off", &garage.job]);
    has_all(&garage.runs(&["state", &garage.job]).out, &["3 expected, 2 recorded"]);
}

/// A list with a mistake is used not at all, and every mistake is said with its line.
#[test]
fn bad_lists_record_nothing() {
    let garage = Garage::new();
    let cases: [(&[u8], i32, &[&str]); 7] = [
        (b"", 1, &["bad.csv:1:1: error: There is nothing in this list."]),
        (b"tray;nut;3\n", 1, &["bad.csv:1:1: error:", "names no part, kind or name"]),
        (
            b"part;kind;count\ntray;nut;3\ntray;clip;none\nbox;nut;-1\n",
            1,
            &["bad.csv:3:1: error: \"none\"", "bad.csv:4:1: error: \"-1\"", "2 errors"],
        ),
        (b"part;note\ntray;\"open\n", 1, &["bad.csv:2:1: error: A quote begins"]),
        (b"PK\x03\x04...", 1, &["a workbook", "CSV"]),
        (b"\x89PNG\r\n\x1a\n\0\0\0", 1, &["no text"]),
        (
            b"kind;name;count\nnut;a;1\nnut;a;2\n",
            1,
            &["bad.csv:3:1: error: \"a\" stands on line 2"],
        ),
    ];
    for (bytes, code, said) in cases {
        fs::write(garage.folder.path().join("bad.csv"), bytes).unwrap();
        for words in [
            &["import", &garage.job, "bad.csv", "--off", "--yes"][..],
            &["import", "--machine", "Kelp", "bad.csv"],
            &["begin", "--machine", "Kelp", "--list", "bad.csv"],
        ] {
            let ran = garage.runs(words);
            assert_eq!(ran.code, code, "{words:?}: {}{}", ran.out, ran.err);
            has_all(&ran.err, said);
            assert_eq!(ran.out, "", "{words:?}");
        }
    }
    assert_eq!(garage.entries(), 0);
    let asked: [&[&str]; 5] = [
        &["import", "list.csv"],
        &["import", "--machine", " ", "list.csv"],
        &["import", "--machine", "Kelp", &garage.job, "list.csv"],
        &["export", &garage.job, "--csv", "--separator", "|"],
        &["export", &garage.job, "--separator", ";"],
    ];
    for words in asked {
        let ran = garage.runs(words);
        assert_eq!(ran.code, 2, "{words:?}: {}{}", ran.out, ran.err);
    }
    let missing = garage.runs(&["import", &garage.job, "nothere.csv"]);
    assert_eq!(missing.code, 1, "{}", missing.err);
}

/// What a job knows goes out as a list, whatever the names are, and makes a machine again.
#[test]
fn out_and_in_again() {
    let garage = Garage::new();
    let job = garage.job.as_str();
    garage.runs(&["took", job, "=SUM(A1:A9)", "--from", "above", "--tie", "nut:3:@nuts; upper"]);
    garage.runs(&["took", job, "hood", "--from", "above"]);
    garage.runs(&["did", job, "hood", "--do", "on"]);
    let written = garage.runs(&["export", job, "out.csv", "--csv", "--separator", ";"]);
    assert_eq!(written.code, 0, "{}", written.err);
    let text = fs::read_to_string(garage.folder.path().join("out.csv")).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let expected = [
        "\u{feff}part;kind;count;name;place;tool;minutes;note;stands",
        "'=SUM(A1:A9);;1;;above;;;;off",
        "'=SUM(A1:A9);nut;3;\"'@nuts; upper\";above;;;;off",
        "hood;;1;;above;;;;home",
    ];
    assert_eq!(lines, expected);
    assert_eq!(
        garage.runs(&["export", job, "--csv", "--separator", ";"]).out.trim_end(),
        text.trim_end()
    );
    let again = garage.runs(&["export", job, "out.csv", "--csv"]);
    assert_eq!(again.code, 2, "a list never goes over a file unasked: {}", again.err);

    let machine = garage.runs(&["import", "--machine", "Kelp 2", "out.csv"]);
    assert_eq!(machine.code, 0, "{}", machine.err);
    fs::write(garage.folder.path().join("kelp2.toml"), &machine.out).unwrap();
    let checked = garage.runs(&["check", "kelp2.toml"]);
    assert_eq!(checked.code, 0, "{}", checked.out);
    has_all(&machine.out, &["[part.\"=SUM(A1:A9)\"]", "[tie.\"@nuts; upper\"]"]);
    let begun =
        garage.runs(&["begin", "--machine", "Kelp 2", "--after", "hood", "--list", "out.csv"]);
    assert_eq!(begun.code, 0, "{}", begun.err);
    has_all(&begun.err, &["Known from the list: 2 parts, 1 fixings and connections."]);
    let plan = garage.runs(&["plan", begun.out.trim(), "--json"]).json();
    assert_eq!(plan["off"], serde_json::json!(["hood"]));
}
