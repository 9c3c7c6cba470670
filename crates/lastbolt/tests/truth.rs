//! Why: whoever judges the way back from outside has the commands and the documents, nothing else.
//! A hidden machine is taken apart in a random legal order and everything is said through the
//! built program: begun, told by the handful, questions read as documented and answered from the
//! hidden machine, the way back read from `plan --json`, then done step by step as `next` says.
//! Both orders must go on the hidden machine. One that only reverses must fail there.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]
#![allow(clippy::print_stdout, reason = "it prints its runs")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;
#[allow(dead_code, reason = "each test file uses its share of the common functions")]
#[path = "common/statements.rs"]
mod statements;

use std::collections::{BTreeMap, BTreeSet};

use common::{Ran, run_in};
use lastbolt_files::{Source, read_machine};
use lastbolt_machine::{FileNo, JobSpec, Machine};
use lastbolt_testkit::truth::{
    Entry, HAND_MADE, Judge, Manner, PutBack, Strip, Style, believable_machine, entries,
    has_back_only_need, plain_machine, strip,
};
use lastbolt_testkit::{Rng, to_toml};
use serde_json::Value;
use statements::{Statements, documented};

/// More steps than any of these machines has, looks among them.
const STEPS_MAX: usize = 400;

/// One job in a garage of its own, told and asked through the program.
struct Judged<'a> {
    folder: tempfile::TempDir,
    job: String,
    statements: Statements<'a>,
    /// From the program's names to the hidden ones.
    truth: BTreeMap<String, String>,
    questions: usize,
}

impl<'a> Judged<'a> {
    fn begin(machine: &'a Machine) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let words = ["begin", "--machine", "Something", "--after", "all of it", "--garage", "g"];
        let begun = run_in(folder.path(), &words, b"");
        assert_eq!(begun.code, 0, "{}", begun.err);
        let job = begun.out.trim().to_owned();
        let statements = Statements { kinds: documented(), machine };
        Self { folder, job, statements, truth: BTreeMap::new(), questions: 0 }
    }

    fn runs(&self, command: &str, words: &[&str]) -> Ran {
        let mut all = vec![command, &self.job];
        all.extend(words);
        all.extend(["--garage", "g"]);
        let ran = run_in(self.folder.path(), &all, b"");
        assert_eq!(ran.code, 0, "{command} {words:?}: {}{}", ran.out, ran.err);
        ran
    }

    fn json(&self, command: &str, words: &[&str]) -> Value {
        self.runs(command, &[words, &["--json"]].concat()).json()
    }

    /// Says one handful: kind, place and count; names mean nothing.
    fn took(&mut self, entry: &Entry) {
        let part = format!("P{}", self.truth.len());
        let mut words = vec![if entry.part.is_some() { part.as_str() } else { "--no-part" }];
        if let Some(spot) = &entry.spot {
            words.extend(["--from", spot]);
        }
        let ties: Vec<String> =
            entry.ties.iter().map(|tie| format!("{}:{}", tie.kind, tie.count)).collect();
        ties.iter().for_each(|tie| words.extend(["--tie", tie]));
        let given = self.json("took", &words);
        let ties = given["ties"].as_array().unwrap();
        assert_eq!(ties.len(), entry.ties.len(), "{given}");
        if let Some(truth) = &entry.part {
            self.truth.insert(text(&given["part"]), truth.clone());
        }
        for (tie, told) in ties.iter().zip(&entry.ties) {
            self.truth.insert(text(&tie["id"]), told.truth.clone());
        }
    }

    fn hidden(&self, name: &str) -> String {
        self.truth.get(name).unwrap_or_else(|| panic!("what is {name}?")).clone()
    }

    fn hidden_list(&self, names: &Value) -> Vec<String> {
        names.as_array().unwrap().iter().map(|name| self.hidden(name.as_str().unwrap())).collect()
    }

    /// Answers every list of questions from first to last, until there is none.
    fn answers(&mut self) {
        loop {
            let open = self.json("ask", &[]);
            let open = open.as_array().unwrap();
            if open.is_empty() {
                return;
            }
            for question in open {
                let (these, those) =
                    (self.hidden_list(&question["these"]), self.hidden_list(&question["those"]));
                let kind = question["kind"].as_str().unwrap();
                let about = [these.clone(), those.clone()].concat();
                assert_eq!(self.hidden_list(&question["about"]), about);
                let yes = self.statements.is_true(kind, &these, &those);
                let id = question["id"].as_str().unwrap();
                self.runs("answer", &[id, if yes { "yes" } else { "no" }]);
                self.questions += 1;
            }
            assert!(self.questions <= 2 * self.truth.len(), "it never stops asking");
        }
    }

    /// The way back as `plan --json` has it, in hidden names.
    fn way_back(&self) -> PutBack {
        let plan = self.json("plan", &[]);
        assert_eq!(plan["possible"], true, "{plan}");
        assert_eq!(plan["strip"], serde_json::json!([]), "all is off already");
        let closes = |step: &&Value| matches!(step["do"].as_str(), Some("on" | "make" | "tighten"));
        let steps = plan["build"].as_array().unwrap().iter().filter(closes);
        let looks = plan["last_looks"].as_array().unwrap().iter();
        let name = |value: &Value| self.hidden(value.as_str().unwrap());
        PutBack {
            order: steps.map(|step| name(&step["id"])).collect(),
            looks: looks.map(|look| (name(&look["of"]), name(&look["before"]))).collect(),
        }
    }

    /// Does what is said next until nothing is: what was closed in which order, and each look with
    /// what was still to be closed then.
    fn goes_home(&self) -> PutBack {
        let mut done = PutBack::default();
        let mut looked: Vec<(String, usize)> = Vec::new();
        for _ in 0..STEPS_MAX {
            let next = self.json("next", &[])["next"].clone();
            let Some(id) = next["id"].as_str() else {
                let before = |at: usize| done.order.get(at).cloned();
                let looks = looked.into_iter().filter_map(|(of, at)| Some((of, before(at)?)));
                done.looks = looks.collect();
                return done;
            };
            let verb = next["records"][0]["verb"].as_str().unwrap();
            self.runs("did", &[id, "--do", verb]);
            match verb {
                "looked" => looked.push((self.hidden(id), done.order.len())),
                "start" => {}
                _ => done.order.push(self.hidden(id)),
            }
        }
        panic!("the list never ends")
    }

    /// The gate, first start, the end, the record.
    fn starts(&self) {
        let gate = self.json("state", &[]);
        assert_eq!(gate["gate"]["heading"], "All home");
        assert_eq!(gate["gate"]["lines"], serde_json::json!([]));
        assert_eq!(gate["open"], serde_json::json!([]));
        self.runs("did", &["first start", "--do", "gate"]);
        self.runs("did", &["--do", "first_start", "--note", "ran at once"]);
        self.runs("did", &["--do", "finished"]);
        let record = self.json("record", &[]);
        assert_eq!(record["finished"], true);
        assert_eq!(record["leftovers"], serde_json::json!([]));
        // Every thing stands in the record as off and as home, in the words of the program.
        let lines = record["lines"].as_array().unwrap();
        for kind in ["opened", "closed"] {
            let of_kind = lines.iter().filter(|line| line["kind"] == kind);
            let ids = of_kind.flat_map(|line| line["ids"].as_array().unwrap());
            let ids: BTreeSet<&str> = ids.map(|id| id.as_str().unwrap()).collect();
            assert!(ids.iter().copied().eq(self.truth.keys().map(String::as_str)), "{kind}");
        }
    }

    /// What is exported is a machine file that can be used.
    fn exports(&self) {
        self.runs("export", &["known.toml"]);
        let words = ["check", "known.toml", "--json"];
        let checked = run_in(self.folder.path(), &words, b"");
        assert_eq!(checked.code, 0, "{}", checked.out);
    }
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_else(|| panic!("{value} is no text")).to_owned()
}

/// The plain reverse of what was told.
fn reverse(told: &[Entry]) -> Vec<String> {
    let backwards = told.iter().rev().flat_map(|entry| {
        entry.part.iter().cloned().chain(entry.ties.iter().rev().map(|tie| tie.truth.clone()))
    });
    backwards.collect()
}

fn stripped(machine: &Machine, seed: u64, manner: Manner) -> Strip {
    strip(machine, manner, &mut Rng::new(seed ^ 0x5eed)).unwrap()
}

/// What came of a job.
#[derive(Default)]
struct Played {
    /// Why one of its ways back does not go on the hidden machine.
    fails: Option<String>,
    late: usize,
    looks: usize,
}

/// Plays a whole job; panics where the way back does not go on the hidden machine, or a look of it
/// comes too late.
fn play(name: &str, machine: &Machine, strip: &Strip, style: Style) {
    let played = played(name, machine, strip, style);
    assert!(played.fails.is_none(), "{name}: {:?}", played.fails);
    assert!(played.late == 0, "{name}: {} looks late", played.late);
}

/// Plays a whole job and judges both of its ways back.
fn played(name: &str, machine: &Machine, strip: &Strip, style: Style) -> Played {
    let told = entries(machine, strip, style);
    let mut run = Judged::begin(machine);
    told.iter().for_each(|entry| run.took(entry));
    run.runs("all-off", &[]);
    run.answers();
    let judge = Judge::new(machine, strip);
    let planned = run.way_back();
    let done = run.goes_home();
    let mut played = Played::default();
    for (what, back) in [("plan", &planned), ("next", &done)] {
        let verdict = judge.order(&back.order);
        let looks = judge.looks(back);
        let late = looks.iter().filter(|look| !look.in_time).count();
        println!(
            "{name}, {what}: {} things, {} questions, {} of {} looks late, legal: {}",
            run.truth.len(),
            run.questions,
            late,
            looks.len(),
            verdict.is_ok(),
        );
        played.fails = played.fails.or(verdict.err().map(|why| format!("{what}: {why}")));
        played.late += late;
        played.looks += looks.len();
    }
    assert!(2 * run.questions <= 3 * run.truth.len(), "{name}: {} questions", run.questions);
    run.exports();
    run.starts();
    played
}

/// A machine as its file says it.
fn from_file(text: &str) -> Machine {
    let (machine, _) = read_machine(&[Source::new("hidden.toml", text.as_bytes())], FileNo(0));
    machine
}

/// A believable machine without conditions, which are recorded otherwise.
fn layered(seed: u64, actions: usize) -> Machine {
    let machine = believable_machine(seed, actions);
    from_file(&to_toml(&machine, &JobSpec::default()))
}

/// A demo machine with only what kind, place and count can tell of it.
fn demo(name: &str) -> Machine {
    let path = format!("{}/../../demo/{name}/machine.toml", env!("CARGO_MANIFEST_DIR"));
    let machine = from_file(&std::fs::read_to_string(path).unwrap());
    from_file(&to_toml(&plain_machine(&machine), &JobSpec::default()))
}

/// Machines that somebody wrote down with care, told part by part and fixing by fixing: one way
/// back in twenty may fail, and one look in twenty come too late.
#[test]
fn demo_machines_go_home_by_commands() {
    let (mut fails, mut late, mut looks, mut jobs) = (Vec::new(), 0, 0, 0);
    for (name, style) in [
        ("kelp", Style::Holding),
        ("kelp", Style::Alone),
        ("tussock", Style::Holding),
        ("tussock", Style::Alone),
    ] {
        let machine = demo(name);
        for seed in 1..=5 {
            let Some(strip) = strip(&machine, Manner::Anyhow, &mut Rng::new(seed ^ 0x5eed)) else {
                continue;
            };
            let name = format!("{name}, {}, {seed}", style.word());
            let played = played(&name, &machine, &strip, style);
            fails.extend(played.fails.map(|why| format!("{name}: {why}")));
            late += played.late;
            looks += played.looks;
            jobs += 1;
        }
    }
    assert!(jobs >= 18, "only {jobs} strips came to an end");
    assert!(fails.len() * 20 <= jobs, "of {jobs}: {fails:#?}");
    assert!(late * 20 <= looks, "{late} of {looks} looks late");
}

#[test]
fn believable_machines_go_home_by_commands() {
    for (seed, actions, manner) in [(1, 40, Manner::Anyhow), (2, 28, Manner::Orderly)] {
        let machine = layered(seed, actions);
        let strip = stripped(&machine, seed, manner);
        play(&format!("layered {seed}"), &machine, &strip, Style::Holding);
    }
}

/// Where something has to go back before what came off after it, the plain reverse fails and the
/// way back is another one.
#[test]
fn what_only_putting_back_asks_for_is_found_out() {
    let mut played = 0;
    for (name, text) in HAND_MADE {
        let machine = from_file(text);
        let strip = stripped(&machine, 1, Manner::Anyhow);
        let told = entries(&machine, &strip, Style::Holding);
        let fails = Judge::new(&machine, &strip).order(&reverse(&told)).is_err();
        if has_back_only_need(&machine) && fails {
            play(name, &machine, &strip, Style::Holding);
            played += 1;
        }
    }
    assert!(played >= 2, "{played} machines on which the plain reverse fails");
}
