//! The small machines with known minutes: planned, and every plan judged by the checker.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use common::{example, run, run_in, word};
use serde_json::Value;

fn expected() -> Vec<(String, f64, Option<Vec<String>>)> {
    let text = std::fs::read_to_string(example("x").with_file_name("expected.csv")).unwrap();
    let mut all = Vec::new();
    for line in text.lines().skip(1) {
        // The third column is quoted and has commas in it.
        let (head, rest) = line.split_once(",\"").unwrap();
        let (_, tail) = rest.split_once("\",").unwrap();
        let (name, minutes) = head.split_once(',').unwrap();
        let mut tail = tail.split(',');
        let only = tail.next() == Some("1");
        let mut off: Vec<String> = tail.next().unwrap().split(" + ").map(str::to_owned).collect();
        off.sort();
        all.push((name.to_owned(), minutes.parse().unwrap(), only.then_some(off)));
    }
    assert_eq!(all.len(), 16);
    all
}

fn sorted_off(plan: &Value) -> Vec<String> {
    let off = plan["off"].as_array().unwrap().iter();
    let mut off: Vec<String> = off.map(|name| name.as_str().unwrap().to_owned()).collect();
    off.sort();
    off
}

/// The contract's own examples: the least minutes, proved, the known set of things off, and a
/// verdict of the independent checker on each.
#[test]
fn least_minutes_and_a_legal_order() {
    for (name, minutes, off) in expected() {
        let file = example(&name);
        assert_eq!(run(&["check", word(&file)]).code, 0, "{name} does not check clean");
        let ran = run(&["plan", word(&file), "--json"]);
        let plan = ran.json();
        assert_eq!(ran.code, 0, "{name}");
        assert_eq!(plan["version"], 1);
        assert_eq!(plan["least"].as_f64(), Some(minutes), "{name}");
        let given = plan["minutes"].as_f64().unwrap();
        assert!(given >= minutes && given <= minutes * 1.03, "{name}: {given}");
        assert_eq!(plan["proved"], true, "{name}");
        let least = run(&["plan", word(&file), "--json", "--tolerance", "0"]).json();
        assert_eq!(least["minutes"].as_f64(), Some(minutes), "{name}");
        if let Some(off) = off {
            assert_eq!(sorted_off(&plan), off, "{name}");
        }
        let folder = file.parent().unwrap();
        let verdict = run_in(folder, &["verify", word(&file), "-", "--json"], ran.out.as_bytes());
        assert_eq!(verdict.code, 0, "{name}: {}", verdict.out);
        assert_eq!(verdict.json()["minutes"].as_f64(), Some(given), "{name}");
    }
}

/// Putting back is half of the work; a plan for taking apart alone is judged as such.
#[test]
fn strip_only_is_less_and_legal() {
    for (name, minutes, _) in expected() {
        let file = example(&name);
        let ran = run(&["plan", word(&file), "--json", "--strip-only"]);
        let plan = ran.json();
        assert_eq!(plan["build"].as_array().unwrap().len(), 0, "{name}");
        assert!(plan["minutes"].as_f64().unwrap() < minutes, "{name}");
        let folder = file.parent().unwrap();
        let verdict = run_in(folder, &["verify", word(&file), "-", "--json"], ran.out.as_bytes());
        assert_eq!(verdict.code, 0, "{name}: {}", verdict.out);
        assert_eq!(verdict.json()["strip_only"], true, "{name}");
    }
}

/// The same input gives the same plan, so that two people look at the same sheet.
#[test]
fn the_same_plan_every_time() {
    for name in ["prep_drain", "rider_bench"] {
        let file = example(name);
        let plan = || run(&["plan", word(&file), "--json"]).out;
        assert_eq!(plan(), plan(), "{name}");
    }
}

/// The demos are what a newcomer tries first: clean, possible, and every order accepted.
#[test]
fn demos_are_clean_and_their_orders_legal() {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    for name in ["kelp", "tussock", "tarn"] {
        let checked = run_in(&demo, &["check", name, "--json"], b"").json();
        let is_error = |told: &&Value| told["level"] == "error";
        assert_eq!(checked.as_array().unwrap().iter().find(is_error), None, "{name}");
        let ran = run_in(&demo, &["plan", name, "--json", "--seconds", "2"], b"");
        let plan = ran.json();
        assert!(plan["bound"].as_f64() <= plan["minutes"].as_f64(), "{name}");
        let verdict = run_in(&demo, &["verify", name, "-", "--json"], ran.out.as_bytes());
        assert_eq!(verdict.code, 0, "{name}: {}", verdict.out);
    }
}
