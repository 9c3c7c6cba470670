//! The options of `plan`, its sheet, its exit codes.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;
use std::io::Read;
use std::process::{Command, Stdio};

use common::{example, run, run_in, word};

fn plan(name: &str, more: &[&str]) -> common::Ran {
    let file = example(name);
    let words: Vec<&str> = ["plan", word(&file)].iter().chain(more).copied().collect();
    run(&words)
}

/// The exit code says what sort of answer it is: 0 done, 1 no, 2 asked for what is not there.
#[test]
fn exit_codes() {
    assert_eq!(plan("hidden", &[]).code, 0);
    assert_eq!(plan("hidden", &["--leave", "cover plate"]).code, 1);
    assert_eq!(plan("hidden", &["--leave", "cover plat"]).code, 2);
    assert_eq!(plan("hidden", &["--without", "spoon"]).code, 2);
    assert_eq!(plan("hidden", &["--tolerance", "-3"]).code, 2);
    assert_eq!(plan("hidden", &["--seconds", "0"]).code, 2);
    assert_eq!(plan("hidden", &["--people", "0"]).code, 2);
    assert_eq!(run(&["plan"]).code, 2);
    assert_eq!(run(&["mend"]).code, 2);
    assert_eq!(run(&["plan", "nowhere.toml"]).code, 1);
}

/// A name that is not known gets the nearest one.
#[test]
fn unknown_names_get_the_nearest() {
    let ran = plan("hidden", &["--why", "cover plat"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("is called \"cover plat\""), "{}", ran.err);
    assert!(ran.err.contains("The nearest name is \"cover plate\"."), "{}", ran.err);
}

/// The chain from what was asked for to the thing, with the lines of the file.
#[test]
fn why_gives_the_chain() {
    let ran = plan("hidden", &["--why", "cover plate"]);
    let lines: Vec<&str> = ran.out.lines().collect();
    assert!(lines[0].starts_with("The plug was asked for."), "{}", ran.out);
    assert!(lines[1].contains("cover plate") && lines[1].contains("hidden.toml:14"), "{}", ran.out);
    let json = plan("hidden", &["--why", "cover plate", "--json"]).json();
    assert_eq!(json["why"].as_array().unwrap().len(), 2);
    // What waits for it, and that it cannot be left alone, with what was wished among the reasons.
    assert!(ran.out.contains("Waits for the cover plate:"), "{}", ran.out);
    assert!(ran.out.contains("The cover plate cannot be left alone:"), "{}", ran.out);
    assert_eq!(json["why_after"][0]["id"], "plug", "{json}");
    assert_eq!(json["leaving"]["possible"], false, "{json}");
    assert!(!json["leaving"]["because"].as_array().unwrap().is_empty(), "{json}");
}

/// Reasons name the wish, from the command line or with its line in the job file; without the
/// wish there is an order.
#[test]
fn wishes_are_among_the_reasons() {
    let json = plan("hidden", &["--leave", "cover plate", "--leave", "tray", "--json"]).json();
    let because = json["because"].as_array().unwrap().clone();
    let wish = |text: &str| because.iter().any(|reason| reason["text"] == text);
    assert!(wish("\"cover plate\" is to be left alone."), "{json}");
    assert!(!wish("\"tray\" is to be left alone."), "the tray is not needed: {json}");
    let reason = because.iter().find(|r| r["text"].as_str().unwrap().contains("left alone"));
    assert_eq!(reason.unwrap()["line"], 0);

    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(example("hidden")).unwrap();
    let text = format!("{}\nleave_alone = [\"cover plate\"]\n", text.trim_end());
    fs::write(folder.path().join("machine.toml"), &text).unwrap();
    let json = run_in(folder.path(), &["plan", ".", "--json"], b"").json();
    assert_eq!(json["possible"], false);
    // What the file alone shows to be impossible is refused before any search, in one sentence.
    let text = json["because"][0]["text"].as_str().unwrap();
    assert!(text.contains("cover plate") && text.contains("(line 14)"), "{json}");
}

/// A wish that can be fulfilled says what it costs; places can be wished away too.
#[test]
fn wishes_say_what_they_cost() {
    let free = plan("cx_dearer_way_here", &["--json"]).json()["minutes"].as_f64().unwrap();
    let file = fs::read_to_string(example("cx_dearer_way_here")).unwrap();
    let mut said = 0;
    for place in file.lines().filter_map(|line| line.strip_prefix("[spot.")?.strip_suffix(']')) {
        let more = ["--not-from", place.trim_matches('"'), "--json"];
        let json = plan("cx_dearer_way_here", &more).json();
        if json["possible"] == true {
            let costs = json["wished"]["minutes"].as_f64().unwrap();
            assert!((json["minutes"].as_f64().unwrap() - free - costs).abs() < 1e-9, "{json}");
            assert_eq!(json["wished"]["proved"], true, "{json}");
            said += 1;
        }
    }
    assert!(said > 0, "no place could be done without");
    assert_eq!(plan("hidden", &["--not-from", "the moon"]).code, 2);
}

/// "And that too": the extra minutes are those of the two plans; without ID the candidates of
/// the job file.
#[test]
fn also_says_what_it_adds() {
    let minutes = |more: &[&str]| {
        let words: Vec<&str> = more.iter().copied().chain(["--json"]).collect();
        plan("hidden", &words).json()
    };
    let (without, with) = (minutes(&[]), minutes(&["--also", "tray"]));
    let number = |json: &serde_json::Value| json.as_f64().unwrap();
    let row = &with["also"][0];
    assert_eq!(row["id"], "tray");
    let adds = number(&with["minutes"]) - number(&without["minutes"]);
    assert!((number(&row["minutes"]) - adds).abs() < 1e-9, "{row}");
    assert_eq!(row["proved"], true);
    let kelp = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/kelp");
    let json = run(&["plan", kelp, "--json", "--also"]).json();
    let job = fs::read_to_string(format!("{kelp}/job.toml")).unwrap();
    for row in json["also"].as_array().unwrap() {
        assert!(job.contains(row["id"].as_str().unwrap()), "{row}");
        assert_eq!(row["proved"], true, "{row}");
    }
}

/// Ways in: three at most, shortest first, none with all the parts and places of another.
#[test]
fn ways_in_are_really_different() {
    use std::collections::BTreeSet;
    for demo in ["kelp", "tussock"] {
        let folder = format!("{}/../../demo/{demo}", env!("CARGO_MANIFEST_DIR"));
        let json = run(&["plan", &folder, "--ways", "--json"]).json();
        let ways = json["ways"].as_array().unwrap();
        assert!((1..=3).contains(&ways.len()), "{demo}");
        let takes = |way: &serde_json::Value| -> BTreeSet<String> {
            let names = |key: &str| way[key].as_array().unwrap().clone();
            let text = |v: serde_json::Value| v.as_str().unwrap().to_owned();
            let parts = names("off").into_iter().map(|v| format!("part {}", text(v)));
            parts.chain(names("from").into_iter().map(|v| format!("from {}", text(v)))).collect()
        };
        for (at, way) in ways.iter().enumerate() {
            for other in &ways[at + 1..] {
                assert!(way["minutes"].as_f64() <= other["minutes"].as_f64(), "{demo}");
                let (a, b) = (takes(way), takes(other));
                assert!(!a.is_subset(&b) && !b.is_subset(&a), "{demo}: {a:?} {b:?}");
            }
        }
    }
}

/// With a number of states and a seed the plan is the same every time, whatever the clock says.
#[test]
fn the_same_plan_twice() {
    let kelp = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/kelp");
    let words = ["plan", kelp, "--json", "--nodes", "300", "--seed", "7", "--ways", "--also"];
    assert_eq!(run(&words).out, run(&words).out);
}

/// Not possible is an answer with its reasons, each with its line.
#[test]
fn not_possible_says_because() {
    let ran = plan("hidden", &["--leave", "cover plate", "--json"]);
    let json = ran.json();
    assert_eq!(json["possible"], false);
    let because = json["because"].as_array().unwrap();
    assert!(!because.is_empty());
    for reason in because {
        assert!(reason["text"].as_str().unwrap().len() > 10, "{reason}");
        assert!(reason["line"].as_u64().is_some(), "{reason}");
    }
}

/// What-ifs change the plan: one more thing costs more, and a tool that is not there too.
#[test]
fn what_ifs() {
    let minutes = |more: &[&str]| {
        let words: Vec<&str> = more.iter().copied().chain(["--json"]).collect();
        plan("prep_drain", &words).json()["minutes"].as_f64().unwrap()
    };
    assert!((minutes(&[]) - 58.0).abs() < 1e-9);
    let more = plan("extra_off", &["--also", "cover", "--json"]).json();
    assert!(more["off"].as_array().unwrap().iter().any(|name| name == "cover"));
    let ways = plan("hidden", &["--ways", "--json"]).json();
    assert!(!ways["ways"].as_array().unwrap().is_empty());
}

/// The sheet has its four headings in this order, and nothing on it that the trade does not say.
#[test]
fn the_sheet() {
    let out = plan("prep_drain", &[]).out;
    let at = |title: &str| out.find(&format!("\n{title}\n")).unwrap_or_else(|| panic!("{out}"));
    assert!(at("Way in") < at("Way back") && at("Way back") < at("To buy and borrow"), "{out}");
    assert!(out.contains("no better order can be found"), "{out}");
    let bench = plan("rider_bench", &[]).out;
    assert!(bench.contains("\nAt the bench\n"), "{bench}");
    let one = plan("prep_drain", &["--people", "2"]);
    assert!(one.err.contains("still for one person"), "{}", one.err);
}

/// A machine without a job has nothing to take apart, and says so.
#[test]
fn nothing_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(example("hidden")).unwrap();
    let (machine, _) = text.split_once("[job]").unwrap();
    fs::write(folder.path().join("machine.toml"), machine).unwrap();
    let ran = run_in(folder.path(), &["plan", "."], b"");
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains("Nothing is asked for"), "{}", ran.out);
    let asked = run_in(folder.path(), &["plan", ".", "--also", "plug", "--json"], b"").json();
    assert!(asked["minutes"].as_f64().unwrap() > 0.0);
}

/// The garage's own minutes count only where a garage is named.
#[test]
fn minutes_of_the_garage() {
    let folder = tempfile::tempdir().unwrap();
    let machine = "machine = \"m\"\nfixed = [\"b\"]\n[tie.s]\nkind = \"screw\"\njoins = [\"b\"]\n\
                   [job]\noff = [\"s\"]\n";
    fs::write(folder.path().join("machine.toml"), machine).unwrap();
    fs::create_dir(folder.path().join("g")).unwrap();
    fs::write(folder.path().join("g/garage.toml"), "[minutes]\nscrew = 5\n").unwrap();
    let minutes = |words: &[&str]| run_in(folder.path(), words, b"").json()["minutes"].clone();
    assert_eq!(minutes(&["plan", ".", "--json"]), 1.4);
    assert_eq!(minutes(&["plan", ".", "--json", "--garage", "g"]), 10);
}

/// Somebody who reads only the first line does no harm: `lastbolt ... | head -1`.
#[test]
fn a_closed_pipe_is_no_error() {
    let text = fs::read_to_string(example("hidden")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    // More than a pipe holds.
    let many: String = (0..4000).map(|n| format!("wrong-{n} = 1\n")).collect();
    for n in 0..12 {
        fs::write(folder.path().join(format!("{n}.toml")), format!("{many}{text}")).unwrap();
    }
    let names: Vec<String> = (0..12).map(|n| format!("{n}.toml")).collect();
    let mut child = Command::new(env!("CARGO_BIN_EXE_lastbolt"))
        .arg("check")
        .args(&names)
        .arg("--json")
        .current_dir(folder.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0; 1];
    child.stdout.take().unwrap().read_exact(&mut first).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert!(output.status.code().is_some(), "it was killed: {:?}", output.status);
    assert_ne!(output.status.code(), Some(101));
}

/// Ctrl-C ends the search and prints the best order so far, with its bound in plain words. The
/// machine is too large to be proved in the time that is allowed.
#[cfg(unix)]
#[test]
fn ctrl_c_gives_the_best_so_far() {
    use std::time::{Duration, Instant};
    let folder = tempfile::tempdir().unwrap();
    let (machine, job) = lastbolt_testkit::layered_machine(1, 160);
    let file = folder.path().join("machine.toml");
    fs::write(&file, lastbolt_testkit::to_toml(&machine, &job)).unwrap();
    // Before the program is ready for it, Ctrl-C simply ends it, and before there is an order
    // there is nothing to print: then later is tried.
    for wait in [1_000, 4_000, 12_000] {
        let began = Instant::now();
        let child = Command::new(env!("CARGO_BIN_EXE_lastbolt"))
            .args(["plan", word(&file), "--seconds", "300", "--nodes", "1000000000"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(wait));
        let id = child.id().to_string();
        Command::new("kill").args(["-INT", &id]).status().unwrap();
        let output = child.wait_with_output().unwrap();
        if output.status.code() == Some(0) {
            let sheet = String::from_utf8_lossy(&output.stdout);
            let said = "the best found when it was stopped; nothing can be quicker than";
            assert!(sheet.contains(said), "{sheet}");
            assert!(sheet.contains("\nWay in\n") && sheet.contains("\nWay back\n"), "{sheet}");
            assert!(began.elapsed() < Duration::from_secs(60), "it went on searching");
            return;
        }
    }
    panic!("Ctrl-C gave no order");
}

/// Two numbers that read the same are not set against each other at the head of the sheet.
#[test]
fn the_quickest_is_named_only_where_that_shows() {
    let demo = |name: &str| format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"));
    let mut files = vec![demo("kelp"), demo("tussock")];
    let all = fs::read_dir(example("hidden").parent().unwrap()).unwrap();
    let all = all.map(|file| file.unwrap().path().to_str().unwrap().to_owned());
    files.extend(all.filter(|path| path.ends_with(".toml")));
    let mut easy = 0;
    for file in files {
        let text = run(&["plan", &file, "--tolerance", "10"]).out;
        let head = text.lines().nth(1).unwrap_or_default().to_lowercase();
        if let Some((minutes, _)) = head.split_once(" of work; chosen to be easy to follow") {
            let minutes = minutes.trim_start_matches("about ");
            assert!(!head.ends_with(&format!("takes {minutes}.")), "{file}: {head}");
            easy += 1;
        }
    }
    assert!(easy > 0);
}

/// `--why` says a place's condition once, both directions in one line, and of a condition that it
/// is done without.
#[test]
fn why_is_short_and_speaks_of_conditions_as_such() {
    let kelp = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/kelp");
    let tussock = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/tussock");
    let why = |file: &str, id: &str| run(&["plan", file, "--why", id, "--nodes", "20000"]).out;
    let screws = why(kelp, "leg screws");
    let both = "In the way while undoing and putting back the leg dowels: the leg screws.";
    assert!(screws.contains(both), "{screws}");
    let case = why(kelp, "gearcase");
    let bench = "Taking off and putting back the impeller is bench work, so the gearcase has to";
    assert!(case.contains(bench), "{case}");
    assert!(case.contains("\"impeller\" comes off or goes back at the bench only."), "{case}");
    let shut = why(kelp, "fuel shut");
    assert!(shut.contains("\nWaits for \"fuel shut\":\n"), "{shut}");
    assert!(shut.contains("\n\"fuel shut\" cannot be done without:\n"), "{shut}");
    assert!(shut.contains("while taking off and putting back the gearcase."), "{shut}");
    let soaked = why(kelp, "seized screw soaked");
    assert!(soaked.contains("Doing without \"seized screw soaked\": about 11 min more."));
    let fast = why(tussock, "tractor stood fast");
    let place = "\"tractor stood fast\" must be in force while anything is done from above.";
    assert_eq!(fast.matches(place).count(), 1, "{fast}");
    assert!(fast.lines().count() < 20, "{fast}");
    let asked = why(kelp, "impeller");
    assert!(asked.contains("\"impeller\" is to be left alone, and was asked for."), "{asked}");
}
