//! Stop, break, change and hand over by commands alone.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::path::Path;

use common::{in_garage, well};

/// Invented: a pump under a lid.
const PUMP: &str = r#"
machine = "Plover pump"
fixed = ["frame"]
[part.lid]
[tie."lid nuts"]
kind = "nut"
count = 4
joins = ["lid", "frame"]
note = "Due: nuts again after 10 hours"
[part.pump]
kg = 30
ways = [{ clear = ["lid"], minutes = 1 }]
[tie."pump hose"]
kind = "hose"
joins = ["pump", "frame"]
[job]
renew = ["pump"]
"#;

fn begun(folder: &Path) -> String {
    std::fs::write(folder.join("pump.toml"), PUMP).unwrap();
    well(folder, &["begin", "pump.toml"]).trim().to_owned()
}

#[test]
fn a_night_standing_a_broken_nut_and_another_helper() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let job = begun(folder);
    well(folder, &["did", &job, "lid nuts", "--as", "Wren"]);
    well(folder, &["did", &job, "lid", "--as", "Wren"]);
    let sheet = well(folder, &["stand", &job, "lid on the bench", "--as", "Wren"]);
    for wanted in
        ["Standing: do not start", "DO NOT START.", "NO LID.", "lid on the bench", "Job A"]
    {
        assert!(sheet.contains(wanted), "{wanted}: {sheet}");
    }
    assert!(!sheet.contains("NO PUMP."), "the wrong twin names what is still on: {sheet}");
    assert!(well(folder, &["next", &job]).starts_with("Left standing: lid on the bench"));
    let resumed = well(folder, &["resume", &job]);
    assert!(resumed.contains("How it was left: lid on the bench"), "{resumed}");
    assert!(resumed.contains("done last"), "{resumed}");
    assert_eq!(in_garage(folder, &["resume", &job]).code, 2, "it does not stand any more");

    let broke = well(folder, &["broke", &job, "pump hose", "will not come"]);
    for wanted in ["Pump hose: will not come", "What stops", "Pump off", "How long, about?"] {
        assert!(broke.contains(wanted), "{wanted}: {broke}");
    }
    let open = in_garage(folder, &["broke", &job, "--json"]).json();
    let point = open["open"][0]["point"].as_str().unwrap().to_owned();
    assert_eq!(open["open"][0]["minutes"], serde_json::Value::Null, "no number of our own");
    well(folder, &["tick", &job, &point, "cut and renewed", "--thing", "pump hose"]);
    let settled = well(folder, &["broke", &job]);
    assert!(settled.contains("settled: cut and renewed"), "{settled}");

    let over = well(folder, &["handover", &job, "--to", "Kit"]);
    assert!(over.contains("In these hands since\n  Kit ("), "{over}");
    assert!(over.contains("Lid off"), "{over}");
    let next = in_garage(folder, &["next", &job, "--json"]).json();
    assert_eq!(next["broken"], serde_json::json!([]));
}

#[test]
fn sheets_as_text_and_what_falls_due() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let job = begun(folder);
    let sheet = |name: &str| well(folder, &["sheet", &job, name]);
    assert!(sheet("way-in").contains("[ ] "), "boxes for a pen: {}", sheet("way-in"));
    assert!(sheet("to-buy").contains("Pump"));
    for name in ["way-back", "bench", "standing", "handover", "owner"] {
        assert!(sheet(name).contains("maker's instructions"), "{name}");
    }
    let none = in_garage(folder, &["sheet", &job, "way-out"]);
    assert_eq!(none.code, 2);
    assert!(none.err.contains("way-in"), "{}", none.err);
    assert_eq!(in_garage(folder, &["broke", &job, "lid nut", "seized"]).code, 2);

    well(folder, &["did", &job, "lid nuts"]);
    well(folder, &["note", &job, "recheck", "wheels", "--due", "after 50 km"]);
    assert!(well(folder, &["due"]).contains("Nothing falls due"), "the job is in hand");
    let own = well(folder, &["due", &job]);
    assert!(own.contains("Wheels, after 50 km") && own.contains("Nuts again after 10 hours"));
    let due = in_garage(folder, &["due", &job, "--json"]).json();
    let point = due["due"][0]["point"].as_str().unwrap().to_owned();
    well(folder, &["tick", &job, &point, "not yet"]);
    assert!(well(folder, &["due", &job]).contains("Wheels"), "not yet is asked again");
    well(folder, &["tick", &job, &point, "done"]);
    assert!(!well(folder, &["due", &job]).contains("Wheels"));
}
