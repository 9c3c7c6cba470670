//! `lastbolt tighten` at the joints of a job: what can be tapped on a card, as commands.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;
use std::path::Path;

use common::{in_garage, run, run_in, well};
use serde_json::{Value, json};

const MACHINE: &str = r#"
machine = "Bramble press"
fixed = ["frame"]
[part.head]
ways = [{ minutes = 1 }]
[tie."head screws"]
kind = "screw"
count = 6
joins = ["head", "frame"]
ways = [{ minutes = 4 }]
tighten = { thread = "M8", stages = ["by hand", "1,2 kgf·m", "24 N·m"], at = [[50, 0], [25, 43.3],
  [-25, 43.3], [-50, 0], [-25, -43.3], [25, -43.3]] }
[tie."twin screws"]
kind = "screw"
count = 2
joins = ["head", "frame"]
ways = [{ minutes = 2 }]
tighten = { stages = ["40 N·m / 50 lbf·ft"] }
[tie."high nuts"]
kind = "nut"
count = 3
joins = ["head", "frame"]
ways = [{ minutes = 2 }]
tighten = { stages = ["900 N·m", "90°, new above 80 mm"] }
"#;
const JOB: &str = "machine_file = \"machine.toml\"\n[job]\noff = [\"head\"]\n";
const GARAGE: &str = r#"
[wrench.short]
range = "5-25 N·m"
class = "II A"
step = 0.5
calibrated = "2001-02-03"
[wrench.long]
range = "10-200 N·m"
class = "I B"
calibrated = 2001-02-03
calibrate_again = "2190-01-01"
"#;
const ID: &str = "bramble-press-1";

/// A folder with the job's files and, if given, a garage file beside them; the job begun and open.
fn begun(beside: Option<&str>) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let files = folder.path().join("files");
    fs::create_dir(&files).unwrap();
    fs::write(files.join("machine.toml"), MACHINE).unwrap();
    fs::write(files.join("job.toml"), JOB).unwrap();
    if let Some(text) = beside {
        fs::write(files.join("garage.toml"), text).unwrap();
    }
    assert_eq!(well(folder.path(), &["begin", "files"]).trim(), ID);
    for fixing in ["head screws", "twin screws", "high nuts"] {
        well(folder.path(), &["did", ID, fixing, "--do", "undo"]);
    }
    well(folder.path(), &["did", ID, "head", "--do", "off"]);
    well(folder.path(), &["did", ID, "head", "--do", "on"]);
    folder
}

fn card(folder: &Path, joint: &str) -> Value {
    in_garage(folder, &["tighten", "card", ID, joint, "--json"]).json()
}

fn refused(folder: &Path, words: &[&str], says: &str) {
    let ran = in_garage(folder, words);
    assert!(ran.code == 1 || ran.code == 2, "{words:?}: {}", ran.code);
    assert!(ran.err.contains(says), "{words:?}: {}", ran.err);
}

fn wrench(round: &Value) -> (Value, Value) {
    let all = round["wrenches"].as_array().unwrap();
    let used = all.iter().find(|wrench| wrench["used"] == true).unwrap();
    (used["name"].clone(), used["setting"].clone())
}

/// Round for round by command: the usual wrench, another one, broken off and gone on with, the last
/// one tight; then the record has it all.
#[test]
fn rounds_by_command() {
    let folder = begun(Some(GARAGE));
    let at = folder.path();
    let first = card(at, "head screws");
    assert_eq!(wrench(&first["rounds"][1]), (json!("short"), json!("12 N·m")), "{first}");
    well(at, &["tighten", "done", ID, "head screws", "--as", "Wren"]);
    well(at, &["tighten", "take", ID, "head screws", "long"]);
    let chosen = card(at, "head screws");
    assert_eq!(wrench(&chosen["rounds"][1]), (json!("long"), json!("11.8 N·m")));
    assert_eq!(wrench(&chosen["rounds"][2]).0, "long", "it stays for the rounds after it");
    refused(at, &["tighten", "take", ID, "head screws", "long"], "is taken for this joint already");
    refused(at, &["tighten", "take", ID, "head screws", "thick"], "These can do it: long, short");

    well(at, &["tighten", "done", ID, "head screws", "--as-far-as", "4"]);
    let broken = card(at, "head screws");
    let on = json!({ "round": 2, "done": [1, 2, 3, 4], "left": [5, 6], "next": 5, "care": null });
    assert_eq!(broken["resume"], on);
    let told = well(at, &["tighten", "card", ID, "head screws"]);
    assert!(told.contains("Go on with screw 5; then 6."), "{told}");
    let six = ["tighten", "done", ID, "head screws", "--as-far-as", "6"];
    refused(at, &six, "screw 6 cannot be the last one done");

    well(at, &["tighten", "done", ID, "head screws"]);
    let other = ["tighten", "done", ID, "head screws", "--wrench", "short", "--event", "e-1"];
    well(at, &other);
    assert!(well(at, &other).contains("Recorded before."), "the same call once more");
    well(at, &["tighten", "repaired", ID, "head screws", "thread insert at number 3"]);
    let done = card(at, "head screws");
    assert_eq!((&done["stands"], &done["next"]), (&json!("home"), &json!(null)));
    assert_eq!(done["repaired"], json!(["thread insert at number 3"]));
    let nothing = ["tighten", "done", ID, "head screws"];
    refused(at, &nothing, "nothing is tightened");

    let record = well(at, &["record", ID]);
    for says in [
        "round 1",
        "round 2: 11.8 N·m, long, calibrated 2001-02-03, as far as 4 of them",
        "round 3: 24 N·m, short, calibrated 2001-02-03",
        "Thread repaired: thread insert at number 3",
    ] {
        assert!(record.contains(says), "{says}: {record}");
    }
    let due = well(at, &["day", ID, "hand-over"]);
    assert!(due.contains("thread repaired (thread insert at number 3)"), "{due}");
}

/// By hand is a command as well, and stands on the list of what is measured later.
#[test]
fn by_hand_by_command() {
    let folder = begun(None);
    let at = folder.path();
    well(at, &["tighten", "done", ID, "head screws"]);
    let all = ["tighten", "done", ID, "head screws", "--by-hand"];
    well(at, &all);
    well(at, &all);
    assert_eq!(card(at, "head screws")["stands"], "home, not measured");
    assert!(well(at, &["day", ID, "hand-over"]).contains("tightness not measured"));
}

/// What keeps a joint shut is answered by command, with the point that the card names.
#[test]
fn questions_by_command() {
    let folder = begun(Some(GARAGE));
    let at = folder.path();
    refused(at, &["tighten", "done", ID, "twin screws"], "differ by more than rounding");
    let told = well(at, &["tighten", "card", ID, "twin screws"]);
    assert!(told.contains("lastbolt tick JOB joint.value.1 ANSWER --thing \"twin screws\""));
    assert!(!told.contains("No wrench"), "what holds is open, no wrench is wanting: {told}");
    well(at, &["tick", ID, "joint.value.1", "40 N·m", "--thing", "twin screws"]);
    assert_eq!(wrench(&card(at, "twin screws")["rounds"][0]).1, "40 N·m");
    well(at, &["tighten", "done", ID, "twin screws"]);
    // Screws of a measured length.
    let measured = |length: &str| {
        well(at, &["tick", ID, "joint.screws", length, "--thing", "high nuts"]);
        card(at, "high nuts")["asks"][0]["settled"].clone()
    };
    assert_eq!((measured("80,5 mm"), measured("79,5 mm")), (json!(false), json!(true)));
    refused(at, &["tick", ID, "joint.screw", "x", "--thing", "high nuts"], "The day asks no");
}

/// Where no wrench fits the plan says so before anything is opened, in words and in data; also
/// where the garage has none at all; and nothing where each joint has one.
#[test]
fn the_plan_says_where_no_wrench_fits() {
    for (garage, says) in [
        (Some(GARAGE), "high nuts, 900 N·m: No wrench of the garage can do 900 N·m"),
        (None, "The garage lists no torque wrench; 3 joints ask for a value"),
    ] {
        let folder = begun(garage);
        for file in ["files", ID] {
            let told = well(folder.path(), &["plan", file]);
            assert!(told.contains("Torque wrenches") && told.contains(says), "{file}: {told}");
        }
        let plan = in_garage(folder.path(), &["plan", "files", "--json"]).json();
        assert!(plan["torque_wrenches"][0].as_str().unwrap().contains(says), "{plan}");
        let day = well(folder.path(), &["day", ID, "size-up"]);
        assert!(day.contains("no wrench for it") || day.contains(says), "{day}");
    }
    let folder = begun(Some(&GARAGE.replace("10-200", "10-1000")));
    let told = well(folder.path(), &["plan", "files"]);
    assert!(!told.contains("Torque wrenches"), "{told}");
    assert!(!well(folder.path(), &["day", ID, "size-up"]).contains("no wrench for it"));
}

/// A garage without a garage file gets the one that stands beside the job's files; one that has a
/// file keeps it, byte for byte.
#[test]
fn a_garage_file_beside_the_job() {
    let folder = begun(Some(GARAGE));
    let own = folder.path().join("g/garage.toml");
    assert_eq!(fs::read_to_string(&own).unwrap(), GARAGE);
    let mine = "# mine\n[wrench.mine]\nrange = \"5-1000 N·m\"\n";
    fs::write(&own, mine).unwrap();
    assert_eq!(well(folder.path(), &["begin", "files"]).trim(), "bramble-press-2");
    assert_eq!(fs::read_to_string(&own).unwrap(), mine, "left as it is");
    assert_eq!(wrench(&card(folder.path(), "head screws")["rounds"][1]).0, "mine", "those of now");
}

/// How many rounds: the same seed gives the same answer, marked as an estimate; where there is
/// nothing to compute it says why.
#[test]
fn rounds_are_estimated() {
    let folder = begun(Some(GARAGE));
    let ask = |joint: &str, seed: &str| {
        let words = ["tighten", "rounds", ID, joint, "--seed", seed, "--joints", "100", "--json"];
        in_garage(folder.path(), &words)
    };
    let told = ask("head screws", "7").json();
    assert_eq!((&told["estimate"], &told["seed"]), (&json!(true), &json!(7)));
    let spread = |row: usize| told["rows"][row]["springs_percent"][1].as_f64().unwrap();
    assert!(spread(2) < 0.6 * spread(1), "once more at the full value evens it out: {told}");
    assert_eq!(ask("head screws", "7").json(), told);
    assert_ne!(ask("head screws", "8").json()["rows"], told["rows"]);
    let none = ask("high nuts", "1");
    assert_eq!(none.code, 1);
    assert!(none.err.starts_with("error: high nuts: "), "{}", none.err);
    let words = well(folder.path(), &["tighten", "rounds", ID, "head screws"]);
    assert!(words.contains("never a specification") && words.contains("seed 1"), "{words}");
}

/// Wrong by design: each ends with 1 and names the field; its right twin does not.
#[test]
fn wrong_by_design() {
    let wrench = ["tighten", "wrench", "40 N·m", "--range"];
    for (wrong, right, field) in [
        (&["20-100 N·m", "--length", "-400"][..], &["20-100 N·m", "--length", "400"][..], "length"),
        (
            &["20-100 N·m", "--length", "400", "--adapter", "400", "--angle", "180"],
            &["20-100 N·m", "--length", "400", "--adapter", "40", "--angle", "180"],
            "angle",
        ),
        (&["20-100 N·m", "--class", "IX Q"], &["20-100 N·m", "--class", "I A"], "class"),
    ] {
        let ran = |more: &[&str]| run(&[&wrench[..], more].concat());
        let said = ran(wrong);
        let told = format!("{}{}", said.out, said.err);
        assert_eq!(said.code, 1, "{wrong:?}: {told}");
        let names = told.contains(&format!("{field}: ")) || told.contains("takes away");
        assert!(names, "{wrong:?}: {told}");
        assert_eq!(ran(right).code, 0, "{right:?}");
    }
    let value = |text: &str| run(&["tighten", "value", text]).code;
    assert_eq!((value("40 N·m / 50 lbf·ft"), value("40 N·m / 30 lbf·ft")), (1, 0));
    let high = run(&["tighten", "wrench", "900 N·m", "--range", "20-100 N·m", "--json"]);
    assert_eq!((high.code, &high.json()["nothing_fits"]["field"]), (1, &json!("wrench")));
    for (row, field) in [
        ("tightening_torque_MA,thread=M8;mu_total=0;class=8.8;head=hex", "mu_total"),
        ("proof_load,thread=M8;class=9.9", "class"),
        ("wrench_setting,T=40 N.m;L=-1 mm;E=2 mm;angle=0", "L"),
        ("wrench_setting,T=40 N.m;L=40 mm;E=40 mm;angle=180", "angle"),
        ("unit,40 N·m / 50 lbf·ft", "torque"),
    ] {
        let table = format!("quantity,inputs\n{row}\n");
        let ran = run_in(Path::new("."), &["tighten", "eval", "-", "--json"], table.as_bytes());
        let error = &ran.json()["rows"][0]["error"];
        assert_eq!(ran.code, 1, "{row}");
        let said = error["field"].as_str().unwrap();
        assert!(said == field || (field == "torque" && said == "inputs"), "{row}: {error}");
    }
    // The command for people names file, line and field too.
    let table = b"quantity,inputs\nproof_load,thread=M8;class=9.9\n";
    let ran = run_in(Path::new("."), &["tighten", "eval", "-"], table);
    assert!(ran.code == 1 && ran.out.contains("-:2:1: error: class: "), "{}", ran.out);
}

/// A tolerance from memory carries its mark in words and in data.
#[test]
fn from_memory_is_marked() {
    let words = ["tighten", "wrench", "40 N·m", "--range", "20-100 N·m", "--class"];
    let told = |class: &str| run(&[&words[..], &[class]].concat()).out;
    assert!(told("I B").contains("from memory") && !told("II A").contains("memory"));
    let folder = begun(Some(GARAGE));
    let own = in_garage(folder.path(), &["tighten", "wrench", "20 N·m", "--json"]).json();
    let told = |at: usize| own["fits"][at]["calibration"].as_str().unwrap_or("-").to_owned();
    assert!(own["fits"][0]["wrench"] == "short" && told(0).contains("due"), "{own}");
    assert!(!told(1).contains("due"), "{own}");
    let all = card(folder.path(), "head screws")["rounds"][1]["wrenches"].clone();
    for wrench in all.as_array().unwrap() {
        let marked = wrench["tolerance"].as_str().unwrap().contains("from memory");
        let is_long = wrench["name"] == "long";
        assert_eq!((marked, &wrench["from_memory"]), (is_long, &json!(is_long)), "{wrench}");
    }
    let calibration = all[0]["calibration"].as_str().unwrap();
    assert!(calibration.contains("due") && calibration.contains("from memory"), "{calibration}");
    assert_eq!(all[1]["calibration"], "Calibrated: 2001-02-03.", "the owner's own day counts");
}

/// Other spellings of units, as a stranger writes them in a machine file.
#[test]
fn spellings_of_units() {
    for (text, setting) in [
        ("1,2 kgf·m", "11.768 N·m"),
        ("95 lbf·in", "10.734 N·m"),
        ("95 in-lb", "10.734 N·m"),
        ("95 in lbs", "10.734 N·m"),
        ("15 ft lbs", "20.337 N·m"),
        ("15 ft-lb", "20.337 N·m"),
        ("15 foot pounds", "20.337 N·m"),
        ("40 Nm", "40 N·m"),
        ("40 N-m", "40 N·m"),
        ("40 N.m", "40 N·m"),
        ("40 newton metres", "40 N·m"),
        ("4 daN·m", "40 N·m"),
        ("4 daNm", "40 N·m"),
        ("1.2 kg·m", "11.768 N·m"),
        ("1,2 mkg", "11.768 N·m"),
        ("120 kgf·cm", "11.768 N·m"),
    ] {
        let ran = run(&["tighten", "wrench", text, "--range", "5-100 N·m", "--json"]);
        let json = ran.json();
        let fit = &json["fits"][0];
        let set = format!("{} {}", fit["set"].as_str().unwrap_or("-"), fit["unit"]);
        assert_eq!((ran.code, set.replace('"', "")), (0, setting.to_owned()), "{text}");
    }
}
