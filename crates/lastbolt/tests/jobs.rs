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
        let ran = in_garage(folder.path(), &["plan", &job, "--json"], b"");
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
