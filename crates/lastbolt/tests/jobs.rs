//! A job on the command line, from its files to a plan from where the machine really is.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::path::Path;

use common::{Ran, run_in};

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/kelp");

fn in_garage(folder: &Path, words: &[&str], input: &[u8]) -> Ran {
    let words: Vec<&str> = words.iter().copied().chain(["--garage", "g"]).collect();
    run_in(folder, &words, input)
}

/// At every moment of a job the plan goes on from there, and the checker agrees: what is done is
/// not asked for again, and what is left never grows while the plan is followed.
#[test]
fn a_plan_from_where_the_machine_is() {
    let folder = tempfile::tempdir().unwrap();
    let begun = in_garage(folder.path(), &["begin", DEMO], b"");
    assert_eq!(begun.code, 0, "{}", begun.err);
    let job = begun.out.trim().to_owned();
    let mut least = f64::MAX;
    for _ in 0..200 {
        let ran = in_garage(folder.path(), &["plan", &job, "--json", "--tolerance", "0"], b"");
        let plan = ran.json();
        assert_eq!(plan["possible"], true, "{}", ran.out);
        let words = ["verify", &job, "-", "--json"];
        let verdict = in_garage(folder.path(), &words, ran.out.as_bytes());
        assert_eq!(verdict.code, 0, "{}", verdict.out);
        let minutes = plan["minutes"].as_f64().unwrap();
        assert!(minutes <= least, "{minutes} after {least}");
        least = minutes;
        let steps = ["strip", "build"].map(|list| plan[list].as_array().unwrap().clone()).concat();
        let Some(step) = steps.first() else {
            assert!(least.abs() < 1e-9);
            return;
        };
        let mut did = vec!["did", &job, step["id"].as_str().unwrap()];
        did.extend(["--do", step["do"].as_str().unwrap()]);
        for (option, key) in [("--from", "from"), ("--tool", "tool")] {
            did.extend(step[key].as_str().map(|word| [option, word]).into_iter().flatten());
        }
        let said = in_garage(folder.path(), &did, b"");
        assert_eq!(said.code, 0, "{did:?}: {}", said.err);
    }
    panic!("the job never ends");
}

/// What is slack is planned as made, with a step that tightens it and what has to come off for
/// that (R25); the checker agrees, and the step is gone when it is done.
#[test]
fn what_is_slack_is_in_the_plan_from_here() {
    let folder = tempfile::tempdir().unwrap();
    let machine = r#"
        machine = "cover over a hose"
        fixed = ["block"]
        [spot.above]
        [part.cover]
        ways = [{ from = "above", minutes = 1 }]
        [tie.hose]
        kind = "hose"
        joins = ["block"]
        ways = [{ from = "above", clear = ["cover"], tool = "pliers", minutes = 3 }]
        hidden_by = ["cover"]
        [tie.bolts]
        kind = "screw"
        count = 2
        joins = ["block"]
        ways = [{ from = "above", tool = "socket 10", minutes = 2 }]
        [job]
        off = ["bolts"]
    "#;
    std::fs::write(folder.path().join("machine.toml"), machine).unwrap();
    let job = in_garage(folder.path(), &["begin", "machine.toml"], b"").out.trim().to_owned();
    let planned = |more: &str| {
        let ran = in_garage(folder.path(), &["plan", &job, "--json"], b"");
        let words = ["verify", &job, "-", "--json"];
        let verdict = in_garage(folder.path(), &words, ran.out.as_bytes());
        assert_eq!(verdict.code, 0, "{more}: {}", verdict.out);
        let plan = ran.json();
        let steps = ["strip", "build"].map(|list| plan[list].as_array().unwrap().clone()).concat();
        let word = |step: &serde_json::Value| {
            format!("{} {}", step["do"].as_str().unwrap(), step["id"].as_str().unwrap())
        };
        (plan["minutes"].as_f64().unwrap(), steps.iter().map(word).collect::<Vec<_>>())
    };
    assert_eq!(planned("untouched").0, 4.0);
    in_garage(folder.path(), &["did", &job, "hose", "--do", "slack"], b"");
    // The cover off, the hose tightened, the cover on: 1 + 3 + 1, and the changes of tool.
    let (minutes, steps) = planned("slack");
    assert_eq!(minutes, 9.5);
    let at =
        |word: &str| steps.iter().position(|s| s == word).unwrap_or_else(|| panic!("{steps:?}"));
    assert!(at("off cover") < at("tighten hose") && at("tighten hose") < at("on cover"));
    // The wrong twin: a plan that leaves the hose slack is refused.
    let ran = in_garage(folder.path(), &["plan", &job, "--json"], b"");
    let mut twin = ran.json();
    twin["strip"].as_array_mut().unwrap().retain(|step| step["do"] != "tighten");
    let twin = serde_json::to_string(&twin).unwrap();
    let verdict = in_garage(folder.path(), &["verify", &job, "-"], twin.as_bytes());
    assert_eq!(verdict.code, 1, "{}", verdict.out);
    in_garage(folder.path(), &["did", &job, "cover", "--do", "off"], b"");
    in_garage(folder.path(), &["did", &job, "hose", "--do", "tighten"], b"");
    assert!(!planned("done").1.contains(&"tighten hose".to_owned()));
}

/// Rags, dropped screws and leftovers by commands.
#[test]
fn what_matters_by_commands() {
    let folder = tempfile::tempdir().unwrap();
    let job = in_garage(folder.path(), &["begin", DEMO], b"").out.trim().to_owned();
    let did = |words: &[&str]| {
        let words: Vec<&str> = ["did", &job].iter().chain(words).copied().collect();
        let ran = in_garage(folder.path(), &words, b"");
        assert_eq!(ran.code, 0, "{words:?}: {}", ran.err);
        ran.out
    };
    let state = || in_garage(folder.path(), &["state", &job, "--json"], b"").json();
    did(&["cowl latches"]);
    did(&["--do", "dropped", "--kind", "screw", "--from", "stand"]);
    did(&["--do", "put_in", "--note", "rag", "--kind", "rag", "--from", "stand"]);
    let gate = state()["gate"].clone();
    let texts: Vec<&str> =
        gate["matters"].as_array().unwrap().iter().map(|m| m["text"].as_str().unwrap()).collect();
    assert_eq!(texts, ["Rag, stand: still in", "Screw fell (stand): not found yet"]);
    did(&["--do", "found"]);
    did(&["--do", "taken_out"]);
    assert_eq!(state()["gate"]["matters"].as_array().unwrap().len(), 0);
    let over = in_garage(folder.path(), &["leftover", &job, "clip", "--json"], b"").json();
    assert_eq!(over["still_off"][0]["id"], "cowl latches");
    did(&["cowl latches"]);
    let over = in_garage(folder.path(), &["leftover", &job, "clip"], b"");
    assert!(over.out.starts_with("One clip over: probably the cowl latches."), "{}", over.out);
}

/// A job's files are checked like any others, under any of its names.
#[test]
fn names_of_a_job() {
    let folder = tempfile::tempdir().unwrap();
    let job = in_garage(folder.path(), &["begin", DEMO], b"").out.trim().to_owned();
    let names = [job.clone(), format!("g/jobs/{job}"), format!("g/jobs/{job}/job.db")];
    for name in names {
        let ran = in_garage(folder.path(), &["check", &name], b"");
        assert_eq!(ran.code, 0, "{name}: {}", ran.out);
    }
}
