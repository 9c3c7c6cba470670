//! The truth test tested: hidden machines are what they should be, the judge agrees with the
//! planner and the checker, true answers are true, and engines that guess are found out.

mod truth_common;

use std::collections::BTreeMap;

use lastbolt_checker::{Action, Order, Step, Verdict, Wishes, verify};
use lastbolt_files::{Source, read_machine};
use lastbolt_machine::model::Back;
use lastbolt_machine::{FileNo, JobSpec, Level, Machine, Ref, validate};
use lastbolt_testkit::to_toml;
use lastbolt_testkit::truth::wrong::{Free, LateLooks, Reverse};
use lastbolt_testkit::truth::{
    Asking, Bars, Best, Case, Choice, Engine, HAND_MADE, Judge, Manner, Oracle, PutBack, Question,
    Strip, Style, Tally, entries, has_back_only_need, hidden_machine, is_sound, run,
};
use truth_common::{one, planned, stripped};

const MANNERS: [Manner; 2] = [Manner::Anyhow, Manner::Orderly];

fn parse(text: &str) -> Machine {
    let sources = [Source::new("hidden.toml", text.as_bytes().to_vec())];
    let (machine, problems) = read_machine(&sources, FileNo(0));
    let error = problems.iter().find(|problem| problem.level == Level::Error);
    assert!(error.is_none(), "{error:?} in\n{text}");
    machine
}

/// What a machine has, as yes or no.
fn features(machine: &Machine) -> Vec<(&'static str, bool)> {
    let ties = &machine.ties;
    let part = |name: &Ref| machine.parts.iter().any(|part| part.id == *name);
    let ways = || ties.iter().flat_map(|tie| tie.ways.iter().flatten());
    let hidden = || ties.iter().filter(|tie| !tie.hidden_by.is_empty());
    let covers_stay = |tie: &&lastbolt_machine::Tie| {
        let past = |hider: &Ref| tie.ways.iter().flatten().any(|way| !way.clear.contains(hider));
        tie.hidden_by.iter().any(past)
    };
    let other_place = |tie: &&lastbolt_machine::Tie| match &tie.back {
        Back::Ways(back) => {
            back.iter().any(|way| tie.ways.iter().flatten().all(|first| first.from != way.from))
        }
        _ => false,
    };
    vec![
        ("set-up", machine.spots.iter().any(|spot| spot.setup.is_some())),
        ("reach", machine.spots.iter().any(|spot| spot.reach.is_some())),
        ("rider", machine.parts.iter().any(|part| part.rides.is_some())),
        ("back-only need", has_back_only_need(machine)),
        ("back from elsewhere", ties.iter().any(|tie| other_place(&tie))),
        ("second way", ties.iter().any(|tie| tie.ways.as_ref().is_some_and(|w| w.len() > 1))),
        ("hidden", hidden().next().is_some()),
        ("undone with the cover on", hidden().any(|tie| covers_stay(&tie))),
        ("joins two parts", ties.iter().any(|t| t.joins.iter().filter(|n| part(n)).count() > 1)),
        ("holds no part", ties.iter().any(|tie| !tie.joins.iter().any(part))),
        ("a fixing in the way", ways().any(|way| way.clear.iter().any(|name| !part(name)))),
    ]
}

/// Every hidden machine is legal, sound and of the size asked for; every difficulty occurs, and
/// none of the common ones in all.
#[test]
fn hidden_machines_are_varied() {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let (mut by_hand, mut all) = (0, 0);
    for seed in 0..120 {
        let machine = hidden_machine(seed);
        let problems = validate(&machine, None);
        let error = problems.iter().find(|problem| problem.level == Level::Error);
        assert!(error.is_none(), "seed {seed}: {error:?}");
        assert!(is_sound(&machine), "seed {seed}");
        assert!((20..=50).contains(&machine.ties.len()), "seed {seed}: {}", machine.ties.len());
        assert!((6..=18).contains(&machine.parts.len()), "seed {seed}: {}", machine.parts.len());
        for (feature, there) in features(&machine) {
            *counts.entry(feature).or_default() += usize::from(there);
        }
        let ways = machine.ties.iter().flat_map(|tie| tie.ways.iter().flatten());
        ways.for_each(|way| {
            by_hand += usize::from(way.tool.is_none());
            all += 1;
        });
        let job = JobSpec { off: vec![machine.parts[0].id.clone()], ..JobSpec::default() };
        assert_eq!(parse(&to_toml(&machine, &job)).ties.len(), machine.ties.len());
    }
    for (feature, count) in &counts {
        assert!((12..=120).contains(count), "{feature}: {count} of 120");
    }
    assert!((40..=80).contains(&counts["back-only need"]), "{counts:?}");
    assert!((28..=45).contains(&(100 * by_hand / all)), "{by_hand} of {all} by hand");
    assert_eq!(hidden_machine(7), hidden_machine(7));
}

#[test]
fn machines_made_by_hand_are_legal_and_sound() {
    for (name, text) in HAND_MADE {
        let machine = parse(text);
        let problems = validate(&machine, None);
        assert!(!problems.iter().any(|p| p.level == Level::Error), "{name}: {problems:?}");
        assert!(is_sound(&machine), "{name}");
        for manner in MANNERS {
            let strip = stripped(&machine, 3, manner);
            assert!(planned(&machine, &strip).best.minutes.0 > 0, "{name}");
        }
    }
}

/// A strip is legal by the checker, whatever the manner; an orderly person walks less.
#[test]
fn strips_are_legal() {
    let mut minutes = [0; 2];
    for seed in 0..40 {
        let machine = hidden_machine(seed);
        for (number, manner) in MANNERS.into_iter().enumerate() {
            let strip = stripped(&machine, seed, manner);
            let (job, order) = as_order(&strip);
            let verdict = verify(&machine, &job, &Wishes::default(), &order);
            let account = verdict.account().unwrap_or_else(|| panic!("seed {seed}: {verdict:?}"));
            assert_eq!(account.off.len(), strip.opened.len(), "seed {seed}");
            let changes: i64 = account.changes.iter().map(|change| change.0).sum();
            minutes[number] += changes;
            let twice = stripped(&machine, seed, manner);
            assert_eq!(twice, strip);
        }
    }
    assert!(minutes[0] * 2 > minutes[1] * 3, "{minutes:?}");
}

fn as_order(strip: &Strip) -> (JobSpec, Order) {
    let step = |opened: &lastbolt_testkit::truth::Opened| {
        Step::new(opened.action, &opened.thing, opened.spot.as_deref(), opened.tool.as_deref())
    };
    let steps = strip.opened.iter().map(step).collect();
    let off = strip.things().map(|opened| Ref::bare(&opened.thing)).collect();
    let job = JobSpec { off, ..JobSpec::default() };
    (job, Order { strip: steps, build: Vec::new(), strip_only: true })
}

/// All styles tell the same things once, and with their true places but the rough one.
#[test]
fn every_style_tells_everything_once() {
    for seed in 0..20 {
        let machine = hidden_machine(seed);
        let strip = stripped(&machine, seed, Manner::Anyhow);
        let mut all: Vec<&str> = strip.things().map(|opened| opened.thing.as_str()).collect();
        all.sort_unstable();
        for style in Style::ALL {
            let told = entries(&machine, &strip, style);
            let mut names: Vec<&str> = Vec::new();
            for entry in &told {
                for tie in &entry.ties {
                    let opened = strip.things().find(|o| o.thing == tie.truth).unwrap();
                    let right = opened.spot == entry.spot || entry.part.is_some();
                    assert!(style == Style::Rough || right, "seed {seed} {style:?}");
                    names.push(&tie.truth);
                }
                names.extend(entry.part.as_deref());
            }
            names.sort_unstable();
            assert_eq!(names, all, "seed {seed} {style:?}");
        }
        let alone = entries(&machine, &strip, Style::Alone);
        assert_eq!(alone.len(), all.len());
    }
}

/// The judge's minutes of the planner's order are the planner's, and the checker's.
#[test]
fn judge_agrees_with_planner_and_checker() {
    let mut proved = 0;
    for seed in 0..30 {
        let machine = hidden_machine(seed);
        let strip = stripped(&machine, seed, Manner::Anyhow);
        let plan = planned(&machine, &strip);
        let best = plan.best;
        proved += usize::from(best.bound == best.minutes);
        if plan.opens_more {
            // Taking more apart than the strip did is not among what an engine can do.
            continue;
        }
        let judged = Judge::new(&machine, &strip).order(&plan.order);
        let judged = judged.unwrap_or_else(|reason| panic!("seed {seed}: {reason}"));
        assert_eq!(judged.minutes, best.minutes, "seed {seed}");
        let again = Order { strip: judged.set_up, build: judged.steps, strip_only: false };
        match verify(&machine, &strip.job(), &Wishes::default(), &again) {
            Verdict::Accepted(account) => assert_eq!(account.minutes, best.minutes, "seed {seed}"),
            Verdict::Refused(reason) => panic!("seed {seed}: {reason:?}"),
        }
    }
    assert!(proved >= 27, "{proved} of 30 proved");
}

/// The judge refuses what is not legal: a thing left out, twice, unknown, or in the way.
#[test]
fn judge_refuses() {
    let machine = parse(HAND_MADE[0].1);
    let strip = stripped(&machine, 1, Manner::Anyhow);
    let judge = Judge::new(&machine, &strip);
    let ids = |text: &str| text.split(' ').map(str::to_owned).collect::<Vec<_>>();
    let right = "t5 p2 t2 p3 t3 t6 p4 t4 p1 t1";
    assert!(judge.order(&ids(right)).is_ok());
    let refused = |order: &str, why: &str| {
        let reason = judge.order(&ids(order)).unwrap_err();
        assert!(reason.contains(why), "{order}: {reason}");
    };
    refused("t5 p2 t2 p3 t3 t6 p4 t4 p1", "t1 is never closed");
    refused("t5 t5", "t5");
    refused("t5 p99", "not known");
    refused("t5 p3 t3 t6 p2 t2 p4 t4 p1 t1", "R6");
    refused("p2 t2 p3 t3 t5 t6 p4 t4 p1 t1", "R12");
    refused("p4 t4 p1 t1 t5 p2 t2 p3 t3 t6", "R6");
}

/// Answers are those of the documented statements.
#[test]
fn oracle_tells_the_truth() {
    let machine = parse(HAND_MADE[0].1);
    let mut oracle = Oracle::new(&machine);
    for name in machine.parts.iter().map(|p| &p.id).chain(machine.ties.iter().map(|t| &t.id)) {
        oracle.is_called(name.name(), &format!("my {}", name.name()));
    }
    let ask = |kind: &str, these: &str, those: &str| {
        let names =
            |text: &str| text.split(' ').map(|name| format!("my {name}")).collect::<Vec<_>>();
        let (these, those) = (names(these), names(those));
        let kind = kind.to_owned();
        oracle.answer(&Question { id: "q".to_owned(), kind, these, those })
    };
    let (yes, no) = (Ok(Choice::Yes), Ok(Choice::No));
    // The back way counts where one is written.
    assert_eq!(ask("reach", "p2", "p3"), no);
    assert_eq!(ask("reach", "p3", "p2"), yes);
    assert_eq!(ask("reach", "t3 t6", "p1 p2 p4"), yes);
    assert_eq!(ask("reach", "t3 t4", "p1"), no);
    assert_eq!(ask("reach", "t5", "p3"), no);
    assert_eq!(ask("seen", "t5", "p1 p3"), no);
    assert_eq!(ask("seen", "t5 t3", "p1 p2"), yes);
    assert_eq!(ask("holds", "t1 t6", "p3"), yes);
    assert_eq!(ask("holds", "t1 t2", "p3"), no);
    assert!(ask("likes", "t1", "p3").is_err());
    assert!(ask("seen", "t77", "p3").is_err());
}

/// An engine that was told the best order: the harness finds nothing wrong with what is right.
struct Knows {
    order: Vec<String>,
    looks: Vec<(String, String)>,
}

impl Engine for Knows {
    fn took(&mut self, entry: &lastbolt_testkit::truth::Entry) -> Result<Vec<String>, String> {
        let ties = entry.ties.iter().map(|tie| tie.truth.clone());
        Ok(entry.part.iter().cloned().chain(ties).collect())
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        Ok(Vec::new())
    }

    fn answer(&mut self, _: &Question, _: Choice) -> Result<(), String> {
        Ok(())
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        Ok(PutBack { order: self.order.clone(), looks: self.looks.clone() })
    }
}

fn knows(machine: &Machine, strip: &Strip) -> (Best, Knows) {
    let plan = planned(machine, strip);
    let order = plan.order;
    let looks = order.windows(2).map(|pair| (pair[0].clone(), pair[1].clone())).collect();
    (plan.best, Knows { order, looks })
}

/// Who knows the truth passes; who looks when all is covered does not.
#[test]
fn the_truth_passes() {
    let mut tally = Tally::new("knows the truth");
    let mut late = Tally::new("looks last of all");
    for seed in 0..20 {
        let machine = hidden_machine(seed);
        let strip = stripped(&machine, seed, Manner::Anyhow);
        let (best, mut engine) = knows(&machine, &strip);
        let case = Case { machine: &machine, strip: &strip, best };
        tally.runs.push(run(&case, Style::SinceLast, Asking::OneByOne, &mut engine));
        let mut engine = LateLooks(engine);
        late.runs.push(run(&case, Style::SinceLast, Asking::OneByOne, &mut engine));
    }
    assert_eq!(tally.missed(&Bars::default()), Vec::<String>::new(), "{}", tally.row());
    let missed = late.missed(&Bars::default());
    assert!(missed.len() == 1 && missed[0].starts_with("looks"), "{missed:?}");
}

/// The plain reverse of the record and an order by place alone fail in every style and manner, by
/// far: few of their orders are legal and hardly one is near the best.
#[test]
fn guessing_fails() {
    println!("{}", Tally::head());
    for manner in MANNERS {
        for style in Style::ALL {
            let mut reverse = Tally::new(format!("reverse, {}, {manner:?}", style.word()));
            let mut free = Tally::new(format!("by place, {}, {manner:?}", style.word()));
            for seed in 0..20 {
                let asking = Asking::OneByOne;
                reverse.runs.push(one(seed, manner, style, asking, &mut Reverse::default()));
                free.runs.push(one(seed, manner, style, asking, &mut Free::default()));
            }
            for tally in [&reverse, &free] {
                println!("{}", tally.row());
                assert!(tally.legal() <= 10, "{}", tally.row());
                assert!(tally.near(10) <= 8, "{}", tally.row());
            }
            assert!(reverse.missed(&Bars::default()).len() >= 2);
            assert!(free.missed(&Bars::default()).len() >= 2);
        }
    }
}

/// The step words are those of the checker.
#[test]
fn set_ups_are_no_things() {
    let machine = parse(HAND_MADE[2].1);
    let strip = stripped(&machine, 5, Manner::Orderly);
    assert!(strip.opened.iter().any(|opened| opened.action == Action::Prep));
    assert!(strip.things().all(|opened| opened.action != Action::Prep));
    let told = entries(&machine, &strip, Style::Alone);
    assert!(told.iter().all(|entry| entry.ties.iter().all(|tie| !tie.truth.contains("set up"))));
}
