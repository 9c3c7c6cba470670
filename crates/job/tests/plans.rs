//! The plan as the command line prints it, and why things come off.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::collections::BTreeMap;

use lastbolt_checker::{Action, Order, Step, Verdict, Wishes, verify};
use lastbolt_job::view::{PlanStep, PlanView, StepVerb};
use lastbolt_job::{plan_view, why};
use lastbolt_machine::Minutes;
use lastbolt_order::{Ask, Plan, plan};

use support::{case, data};

fn planned(case: &lastbolt_job::Case) -> (Plan, PlanView) {
    let answer = plan(&case.kernel, &Ask::default());
    let plan = answer.plan().expect("a plan").clone();
    let view = plan_view(&case.model, &case.kernel, &plan);
    (plan, view)
}

fn order(view: &PlanView) -> Order {
    let step = |step: &PlanStep| {
        let line = &step.line;
        let action = Action::from_word(line.verb.word()).expect("a word of the contract");
        Step {
            minutes: Some(line.minutes),
            change: Some(step.change),
            ..Step::new(action, &line.thing, line.from.as_deref(), line.tool.as_deref())
        }
    };
    Order {
        strip: view.strip.iter().map(step).collect(),
        build: view.build.iter().map(step).collect(),
        strip_only: false,
    }
}

/// The independent checker accepts what the view shows, looks included, and comes to the same
/// minutes, elapsed minutes, last looks and things made unseen.
#[test]
fn the_checker_agrees_with_the_view() {
    for name in ["hidden", "rider_bench", "together", "hung_aside", "starter", "soak"] {
        let case = data(name);
        let (_, view) = planned(&case);
        let verdict =
            verify(&case.model.machine, &case.model.job, &Wishes::default(), &order(&view));
        let Verdict::Accepted(account) = verdict else { panic!("{name}: {verdict:?}") };
        assert_eq!(account.minutes, view.minutes, "{name}");
        assert_eq!(account.elapsed, view.elapsed, "{name}");
        assert_eq!(account.made_blind, view.made_blind, "{name}");
        let looks: BTreeMap<_, _> =
            view.last_looks.iter().map(|l| (l.of.clone(), l.before.clone())).collect();
        let theirs: BTreeMap<_, _> =
            account.last_looks.iter().map(|l| (l.of.clone(), l.before.clone())).collect();
        assert_eq!(theirs, looks, "{name}");
        let stages: Minutes = view.stages.iter().map(|s| s.planned).sum();
        assert_eq!(stages, view.minutes, "{name}: the stages add up");
    }
}

/// A twin whose look stands after the cover is refused by that checker.
#[test]
fn a_look_after_its_cover_is_refused() {
    let case = data("hidden");
    let (_, view) = planned(&case);
    let mut order = order(&view);
    let look = order.build.iter().position(|s| s.action == Action::Look).expect("a look");
    let step = order.build.remove(look);
    order.build.insert(look + 1, step);
    let verdict = verify(&case.model.machine, &case.model.job, &Wishes::default(), &order);
    assert!(verdict.reason().is_some());
}

/// Bench numbers count through both lists; what to buy names its reason.
#[test]
fn bench_numbers_and_what_to_buy() {
    let (_, view) = planned(&data("rider_bench"));
    let all: Vec<&PlanStep> = view.strip.iter().chain(&view.build).collect();
    assert!(!view.bench.is_empty());
    for (at, step) in all.iter().enumerate() {
        assert_eq!(view.bench.contains(&(at + 1)), step.line.bench, "{}", step.line.text);
    }
    let bought: Vec<_> =
        view.to_buy.iter().map(|b| (b.what.as_str(), b.because.as_str())).collect();
    assert_eq!(bought, [("oil cooler", "oil cooler"), ("cooler seal", "cooler screws")]);
    assert_eq!(view.tools, ["socket 10", "spanner 24"]);
}

/// Waits run unattended: the elapsed time has them, the work has not; the fluid is bought.
#[test]
fn waits_and_fluids() {
    let case = data("soak");
    let (_, view) = planned(&case);
    assert_eq!(view.minutes, Minutes::whole(9));
    assert_eq!(view.elapsed, Minutes::whole(9 + 30 + 20));
    let bought: Vec<_> = view.to_buy.iter().map(|b| b.what.as_str()).collect();
    assert_eq!(bought, ["coolant, 4.5 l"]);
    let step = view.build.iter().find(|s| s.line.verb == StepVerb::End).unwrap();
    assert_eq!(step.line.text, "Fill again: coolant, 4.5 l (coolant drained)");
}

/// Minutes from the table are said to be guesses; those of the file are not.
#[test]
fn guesses_are_said() {
    let text = "machine = 'm'\nfixed = ['block']\n[part.lid]\nways = [{ minutes = 1 }]\n\
                [tie.bolts]\nkind = 'screw'\ncount = 4\njoins = ['lid', 'block']\n\
                [job]\noff = ['lid']\n";
    let (_, view) = planned(&case(text));
    assert_eq!(view.guessed, ["bolts"]);
    assert_eq!(view.minutes, Minutes(2000 + 2 * 2800));
}

/// The chain from what was asked for down to the thing, each link with its line.
#[test]
fn why_it_comes_off() {
    let case = data("starter");
    let (plan, _) = planned(&case);
    let of = |name: &str| why(&case.kernel, &plan, case.kernel.find(name).unwrap());
    let texts: Vec<_> = of("battery isolated").into_iter().map(|l| l.text).collect();
    assert_eq!(texts.len(), 2, "{texts:?}");
    assert!(texts[0].contains("asked for"), "{texts:?}");
    assert!(texts[1].contains("must be in force while undoing the starter cable"), "{texts:?}");
    let shield = of("shield");
    assert!(shield.last().unwrap().text.contains("In the way"), "{shield:?}");
    assert!(shield.iter().all(|l| l.at.is_some_and(|at| at.line > 0)), "{shield:?}");
    let cover = of("cover");
    let things: Vec<_> = cover.iter().filter_map(|l| l.thing.as_deref()).collect();
    assert_eq!(things, ["top hose", "cover"]);
    // A thing that is left as it is has no chain.
    let extra = case_with_spare();
    let (plan, _) = planned(&extra);
    let spare = why(&extra.kernel, &plan, extra.kernel.find("spare").unwrap());
    assert_eq!(spare.len(), 1);
    assert!(spare[0].text.contains("Left as it is"), "{spare:?}");
}

fn case_with_spare() -> lastbolt_job::Case {
    case("machine = 'm'\n[part.lid]\n[part.spare]\n[job]\noff = ['lid']\n")
}
