//! Orders in short hand: `undo x @A +T1, off cover | on cover, make x @A +T1`, where `@` is the
//! spot, `+` the tool and `|` the turn; without a turn only taking apart is asked for.

#![allow(dead_code, reason = "each test file uses some of these")]

use lastbolt_checker::{Account, Action, Order, Step, Verdict, Wishes, verify};
use lastbolt_files::{Source, read_machine};
use lastbolt_machine::{FileNo, JobSpec, Level, Machine, Minutes};

pub(crate) fn read(text: &str) -> (Machine, JobSpec) {
    let sources = [Source::new("case.toml", text.as_bytes().to_vec())];
    let (machine, problems) = read_machine(&sources, FileNo(0));
    let error = problems.iter().find(|problem| problem.level == Level::Error);
    assert!(error.is_none(), "{error:?}");
    let job = machine.job.clone().expect("a job");
    (machine, job)
}

pub(crate) fn order(text: &str) -> Order {
    let steps = |text: &str| -> Vec<Step> {
        text.split(',').map(str::trim).filter(|step| !step.is_empty()).map(step).collect()
    };
    match text.split_once('|') {
        Some((strip, build)) => {
            Order { strip: steps(strip), build: steps(build), strip_only: false }
        }
        None => Order { strip: steps(text), build: Vec::new(), strip_only: true },
    }
}

fn step(text: &str) -> Step {
    let (text, tool) = cut(text, '+');
    let (text, from) = cut(text, '@');
    let (word, id) = text.split_once(' ').expect("a verb and a name");
    let action = Action::from_word(word).expect("a verb of the contract");
    Step::new(action, id.trim(), from, tool)
}

fn cut(text: &str, mark: char) -> (&str, Option<&str>) {
    match text.split_once(mark) {
        Some((before, after)) => (before.trim(), Some(after.trim())),
        None => (text.trim(), None),
    }
}

pub(crate) fn judge(file: &str, steps: &str) -> Verdict {
    let (machine, job) = read(file);
    verify(&machine, &job, &Wishes::default(), &order(steps))
}

#[track_caller]
pub(crate) fn accepted(file: &str, steps: &str) -> Account {
    let verdict = judge(file, steps);
    verdict.account().unwrap_or_else(|| panic!("{steps}: {verdict:?}")).clone()
}

#[track_caller]
pub(crate) fn costs(file: &str, steps: &str, minutes: f64) {
    let minutes = Minutes::from_number(minutes).expect("legal minutes");
    assert_eq!(accepted(file, steps).minutes, minutes, "{steps}");
}

/// The rule that an order breaks, the step of its phase, and the line of the file that says so.
#[track_caller]
pub(crate) fn refused(file: &str, steps: &str, rule: &str, step: Option<usize>) -> String {
    let verdict = judge(file, steps);
    let reason = verdict.reason().unwrap_or_else(|| panic!("{steps}: {verdict:?}"));
    assert_eq!((reason.rule, reason.step), (rule, step), "{steps}: {}", reason.text);
    reason.text.clone()
}

/// A fixing under a cover, with a dear way past it.
pub(crate) const COVER: &str = r#"
fixed = ["block"]
[spot.A]
[spot.B]
[between]
"A / B" = 3
[part."cover"]
ways = [{ from = "A", minutes = 2 }]
[tie."x"]
joins = ["block"]
ways = [{ from = "A", tool = "T1", clear = ["cover"], minutes = 1 }, { from = "B", minutes = 6 }]
"#;

/// That machine with a job.
pub(crate) fn cover(job: &str) -> String {
    format!("{COVER}[job]\n{job}")
}

/// A part that may be put aside on its hose, with a rider.
pub(crate) const CALIPER: &str = r#"
fixed = ["body", "knuckle"]
[spot.arch]
[prep."fluid out"]
ways = [{ minutes = 2 }]
back = [{ minutes = 10 }]
[part."caliper"]
stays = ["hose"]
ways = [{ from = "arch", minutes = 1 }]
[part."pad"]
rides = "caliper"
ways = [{ from = "bench", minutes = 1 }]
[tie."hose"]
joins = ["caliper", "body"]
needs = ["fluid out"]
ways = [{ from = "arch", minutes = 1 }]
[tie."screws"]
joins = ["caliper", "knuckle"]
ways = [{ from = "arch", minutes = 2 }]
"#;
