//! Every key with a value that it does not take: the place, and what to write instead.

use lastbolt_files::{Source, read_garage, read_job, read_machine};
use lastbolt_machine::{FileNo, Problem};

fn list(problems: &[Problem]) -> String {
    let all = problems.iter().map(|p| format!("{}:{} {}", p.at.line, p.at.column, p.kind));
    all.collect::<Vec<_>>().join(", ")
}

#[track_caller]
fn check(text: &str, expect: &str) {
    let (_, problems) = read_machine(&[Source::new("m.toml", text)], FileNo(0));
    assert_eq!(list(&problems), expect, "{text}: {problems:#?}");
}

/// The help for the only problem of a file.
#[track_caller]
fn help(text: &str) -> String {
    let (_, problems) = read_machine(&[Source::new("m.toml", text)], FileNo(0));
    assert_eq!(problems.len(), 1, "{problems:#?}");
    problems[0].help.clone()
}

/// Every key of every table refuses a value of another sort, at that value.
#[test]
fn every_key_refuses_the_wrong_sort() {
    let odd = |key: &str| match key {
        "odometer" => None,
        "fluid" | "tighten" | "life" | "missed" | "ways" | "back" | "together" => Some("3"),
        "spot" | "prep" | "part" | "tie" | "between" | "tool_change" | "job" => Some("3"),
        "awkward" | "bears" | "feel" => Some("3"),
        _ => Some("true"),
    };
    let heads = [
        ("[spot.a]\n", lastbolt_files::keys::SPOT),
        ("[prep.a]\n", lastbolt_files::keys::PREP),
        ("[part.a]\n", lastbolt_files::keys::PART),
        ("[tie.a]\n", lastbolt_files::keys::TIE),
        ("[job]\n", lastbolt_files::keys::JOB),
        ("", lastbolt_files::keys::MACHINE),
    ];
    for (head, keys) in heads {
        for key in keys {
            let Some(odd) = odd(key) else {
                continue;
            };
            let line = if head.is_empty() { 1 } else { 2 };
            check(
                &format!("{head}{key} = {odd}\n"),
                &format!("{line}:{} wrong-type", key.len() + 4),
            );
        }
    }
    for key in lastbolt_files::keys::WAY {
        let odd = if *key == "feel" { "3" } else { "true" };
        let text = format!("[part.a]\nways = [{{ {key} = {odd} }}]\n");
        check(&text, &format!("2:{} wrong-type", key.len() + 14));
    }
}

/// Units beside numbers, and what to write instead.
#[test]
fn units() {
    let minutes = |written: &str| help(&format!("[spot.a]\nsetup = {written}\n"));
    assert_eq!(minutes("\"2\""), "Write setup = 2, without quotes and without a unit.");
    assert_eq!(minutes("\"2 h\""), "Write setup = 120, without quotes and without a unit.");
    assert_eq!(minutes("\"30 s\""), "Write setup = 0.5, without quotes and without a unit.");
    assert_eq!(minutes("\"2,5 min\""), "Write setup = 2.5, without quotes and without a unit.");
    assert_eq!(minutes("2 h"), "Write setup = 120.");
    let other = "Write setup = and a number, without quotes and without a unit.";
    assert_eq!(minutes("\"a while\""), other);
    assert_eq!(
        help("[part.a]\nkg = \"500 g\"\n"),
        "Write kg = 0.5, without quotes and without a unit."
    );
}

/// Numbers of minutes that R22 refuses.
#[test]
fn minutes() {
    check("[spot.a]\nsetup = -1", "2:9 negative-minutes");
    check("[spot.a]\nsetup = inf", "2:9 not-a-time");
    check("[spot.a]\nsetup = nan", "2:9 not-a-time");
    check("[spot.a]\nsetup = 10000.001", "2:9 too-many-minutes");
    check("[spot.a]\nsetup = 10000", "");
    check("[spot.a]\nsetup = 0.0001", "2:9 too-fine");
    check("[spot.a]\nsetup = 0.1000", "");
    check("[spot.a]\nsetup = 1.0000000001", "2:9 too-fine");
    check("[tie.a]\ncount = 0", "2:9 bad-number");
    check("[tie.a]\ncount = 1.5", "2:9 bad-number");
    check("[tie.a]\ncount = 4.0", "");
    check("[prep.a]\nfluid = { name = \"oil\", litres = -1 }", "2:34 bad-number");
    check("[prep.a]\nfluid = { litres = 1 }", "2:9 missing-key");
}

/// Names: empty, too long, trimmed; lists of the wrong form; keys of one's own.
#[test]
fn names() {
    check("fixed = [\" \"]", "1:10 empty-name");
    check("[part.\"\"]", "1:7 empty-name");
    check("fixed = \"block\"", "1:9 wrong-type");
    check(&format!("fixed = [\"{}\"]", "x".repeat(201)), "1:10 too-long");
    check("x-own = 1\n[x-more]\na = 1\n[part.a]\nx-b = 2\nways = [{ x-c = 1 }]", "");
    check("[part.a]\nway = []", "2:1 unknown-key");
    check(
        "[between]\n\"a b\" = 2\n\"a / \" = 2\n\"a / b / c\" = 1",
        "2:1 bad-pair, 3:1 bad-pair, 4:1 bad-pair",
    );
    check("[part.a]\nback = \"by itself\"", "2:8 wrong-type");
    check("[prep.a]\nback = \"by hand\"", "2:8 bad-back");
    check(
        "[part.a]\nways = [{ breaks = 2 }, { breaks = \"often\" }]",
        "2:20 bad-number, 2:36 bad-chance",
    );
    assert_eq!(help("[part.a]\nbak = []").split('?').next(), Some("Did you mean `back`"));
    assert!(help("[part.a]\nminutes = 2").contains("ways = [{ ... }]"));
    let (machine, _) = read_machine(&[Source::new("m", "fixed = [\" block \"]")], FileNo(0));
    assert_eq!(machine.fixed[0].name(), "block");
}

/// Too many things, ways and entries are said once; what is within the limit is read.
#[test]
fn limits() {
    let many: String = (0..5_002).map(|i| format!("[part.p{i}]\n")).collect();
    check(&many, "5001:7 too-many");
    let ways = format!("[part.a]\nways = [{}]", "{}, ".repeat(201));
    check(&ways, "2:8 too-many");
    let unknown: String = (0..5_000).map(|i| format!("k{i} = 1\n")).collect();
    let (_, problems) = read_machine(&[Source::new("m", unknown)], FileNo(0));
    assert_eq!(problems.len(), 201);
    assert_eq!(problems[200].message, "There are 4800 more problems.");
}

/// Job and garage files have keys of their own.
#[test]
fn jobs_and_garages() {
    let job = |text: &str| list(&read_job(&[Source::new("j", text)], FileNo(0)).1);
    assert_eq!(job("machine_file = \"m.toml\"\n[job]\nproof = \"a\"\ncomplaint = [\"b\"]"), "");
    assert_eq!(job("[job]\n"), "1:2 missing-key");
    assert_eq!(
        job("machine_file = \"m.toml\"\nrenew = [\"a\"]"),
        "1:1 missing-key, 2:1 unknown-key"
    );
    let garage = |text: &str| read_garage(&[Source::new("g", text)], FileNo(0));
    let (spec, problems) =
        garage("[person.Wren]\n[minutes]\nscrew = 0.5\nnut = \"1\"\n[display]\na = 1");
    assert_eq!(list(&problems), "4:7 wrong-type");
    assert_eq!((spec.people.len(), spec.minutes.by_kind.len()), (1, 1));
    assert_eq!(list(&garage("[persn.Wren]").1), "1:2 unknown-key");
}
