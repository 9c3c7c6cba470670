//! The contract's examples: the slow planner must find the minutes, the sets and the ties made
//! blind that were worked by hand, and every planner with a mistake must be caught by some of
//! them. Without these the slow planner would only agree with itself.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use lastbolt_checker::{Order, Verdict, Wishes, verify};
use lastbolt_files::{Source, read_machine};
use lastbolt_machine::{FileNo, JobSpec, Level, Machine, Minutes};
use lastbolt_testkit::{slow_plan, to_toml, wrong};

struct Expected {
    case: String,
    minutes: Minutes,
    off_sets: usize,
    off_set: BTreeSet<String>,
    made_blind: Vec<String>,
}

#[test]
fn slow_planner_finds_the_worked_minutes() {
    let all = expected();
    assert_eq!(all.len(), 16);
    for expected in all {
        let case = &expected.case;
        let (machine, job) = read(case);
        let slow = slow_plan(&machine, &job, &Wishes::default(), false);
        let slow = slow.expect("small").expect("possible");
        assert_eq!(slow.minutes, expected.minutes, "{case}");
        assert_eq!(slow.off_sets.len(), expected.off_sets, "{case}");
        if expected.off_sets == 1 {
            assert_eq!(slow.off_sets.first(), Some(&expected.off_set), "{case}");
        }
        let verdict = verify(&machine, &job, &Wishes::default(), &slow.order);
        let account = verdict.account().unwrap_or_else(|| panic!("{case}: {verdict:?}"));
        assert_eq!(account.minutes, expected.minutes, "{case}");
        assert_eq!(account.made_blind, expected.made_blind, "{case}");
        assert_eq!(account.off, expected.off_set, "{case}");
    }
}

/// Each wrong planner fails where the contract says that its idea fails.
#[test]
fn wrong_planners_are_caught() {
    let dearer = |case, planner, minutes| {
        assert_eq!(judged(case, planner).map_err(|_| ()), Ok(minutes), "{case}");
    };
    let illegal = |case, planner, rule: &str| {
        assert_eq!(judged(case, planner), Err(rule.to_owned()), "{case}");
    };
    dearer("joint", wrong::separate_directions, Minutes(8500));
    dearer("extra_off", wrong::smallest_off_set, Minutes(18_000));
    dearer("prep_clamp", wrong::greedy_ways, Minutes(32_000));
    illegal("joint", wrong::plain_reversal, "R6");
    illegal("back_only", wrong::plain_reversal, "R6");
    illegal("hidden", wrong::plain_reversal, "R1");
    illegal("prep_drain", wrong::plain_reversal, "R4");
    illegal("together", wrong::plain_reversal, "R13");
    dearer("back_only", wrong::separate_directions, Minutes(8000));
    illegal("back_only", wrong::greedy_ways, "R1");
}

/// The right planner is not caught by what catches the wrong ones: the best strip of `extra_off`
/// put back by itself is as good as the best plan, so that case says nothing about it.
#[test]
fn a_case_that_cannot_tell_is_not_counted() {
    let best = judged("extra_off", wrong::separate_directions);
    assert_eq!(best, Ok(Minutes(10_000)));
}

#[test]
fn what_is_written_is_what_was_read() {
    for expected in expected() {
        let (machine, job) = read(&expected.case);
        let again = parse(&to_toml(&machine, &job));
        let slow = slow_plan(&again.0, &again.1, &Wishes::default(), false);
        let slow = slow.expect("small").expect("possible");
        assert_eq!(slow.minutes, expected.minutes, "{}", expected.case);
        assert_eq!(slow.off_sets.len(), expected.off_sets, "{}", expected.case);
    }
}

type Planner = fn(&Machine, &JobSpec, &Wishes) -> Option<Order>;

/// The minutes of a planner's order, or the rule that it breaks.
fn judged(case: &str, planner: Planner) -> Result<Minutes, String> {
    let (machine, job) = read(case);
    let order = planner(&machine, &job, &Wishes::default()).expect("some order");
    match verify(&machine, &job, &Wishes::default(), &order) {
        Verdict::Accepted(account) => Ok(account.minutes),
        Verdict::Refused(reason) => Err(reason.rule.to_owned()),
    }
}

fn data(name: &str) -> String {
    let path: PathBuf = [env!("CARGO_MANIFEST_DIR"), "tests", "data", name].iter().collect();
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn read(case: &str) -> (Machine, JobSpec) {
    parse(&data(&format!("{case}.toml")))
}

fn parse(text: &str) -> (Machine, JobSpec) {
    let sources = [Source::new("case.toml", text.as_bytes().to_vec())];
    let (machine, problems) = read_machine(&sources, FileNo(0));
    let error = problems.iter().find(|problem| problem.level == Level::Error);
    assert!(error.is_none(), "{error:?} in\n{text}");
    let job = machine.job.clone().expect("a job");
    (machine, job)
}

fn expected() -> Vec<Expected> {
    let text = data("expected.csv");
    let names = |field: &str, by: &str| -> Vec<String> {
        field.split(by).map(str::trim).filter(|s| !s.is_empty()).map(str::to_owned).collect()
    };
    let row = |line: &str| {
        // The source column is in quotes and has a comma of its own.
        let (head, rest) = line.split_once(",\"").expect("quotes");
        let (_, tail) = rest.split_once("\",").expect("quotes");
        let (case, minutes) = head.split_once(',').expect("two columns");
        let tail: Vec<&str> = tail.split(',').collect();
        Expected {
            case: case.to_owned(),
            minutes: Minutes::from_number(minutes.parse().expect("minutes")).expect("legal"),
            off_sets: tail[0].parse().expect("a number"),
            off_set: names(tail[1], " + ").into_iter().collect(),
            made_blind: names(tail[2], " + "),
        }
    };
    text.lines().skip(1).filter(|line| !line.trim().is_empty()).map(row).collect()
}
