//! How soon there is a list again after each action of the demo Tarn, in order and out of it:
//! `cargo bench -p lastbolt-job --bench again` prints the table of `docs/performance.md`.
//!
//! Out of order is each action that the list has a few places further on, done too early, whether
//! it is allowed there or not; the job then goes on as if that had not happened.
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on has failed")]

#[path = "../../order/benches/own_time/mod.rs"]
mod own_time;
#[path = "../tests/support/mod.rs"]
mod support;

use lastbolt_files::Source;
use lastbolt_job::{Case, KeptStep, Now, bring_up, read_case};
use lastbolt_ledger::{Accepted, Log, Verb};
use lastbolt_machine::Minutes;

use support::Story;

/// As the server of a job has it.
const NODES: u64 = 5_000;
/// How many places further on an action out of order is taken from.
const TOO_EARLY: usize = 7;
/// What is asked for: a list within so many milliseconds.
const SOON_MS: f64 = 50.0;

fn demo(name: &str) -> Case {
    let folder = format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"));
    let file = |name: &str| Source::new(name, std::fs::read(format!("{folder}/{name}")).unwrap());
    read_case(&[file("machine.toml"), file("job.toml")]).unwrap().case
}

fn verb(step: &KeptStep) -> Verb {
    match step.verb.word() {
        "off" => Verb::Off,
        "on" => Verb::On,
        "undo" => Verb::Undo,
        "make" => Verb::Make,
        "start" => Verb::Start,
        "tighten" => Verb::Tighten,
        "prep" => Verb::Prep,
        _ => Verb::End,
    }
}

/// Records a step and gives where the job is then, with the milliseconds that this took.
fn after(story: &mut Story, step: &KeptStep, nodes: u64) -> (Now, f64) {
    let draft = lastbolt_job::draft(&story.case, &story.now, &step.thing, Some(verb(step)));
    let draft = draft.unwrap();
    let mut event = story.event(draft.verb, Some(&step.thing));
    (event.spot, event.tool) = (draft.spot, draft.tool);
    let Accepted::New(_) = story.log.accept(event, story.ms) else { panic!("refused") };
    let kept = story.now.kept.clone();
    let start = own_time::seconds();
    let now = bring_up(&story.case, story.log.records(), Some(kept), nodes);
    (now, (own_time::seconds() - start) * 1000.0)
}

/// Times of one sort of action.
#[derive(Default)]
struct Times {
    ms: Vec<f64>,
    without: usize,
    /// The bound of each list in per cent of its minutes.
    bounds: Vec<f64>,
}

impl Times {
    fn take(&mut self, (now, ms): &(Now, f64), story: &Story) {
        self.ms.push(*ms);
        let screen = lastbolt_job::screen(&story.case, story.log.records(), now, 0);
        if screen.minutes_left > Minutes::ZERO {
            self.bounds.push(100.0 * screen.bound.as_number() / screen.minutes_left.as_number());
        }
        self.without += usize::from(!now.kept.no_order.is_empty());
    }

    #[allow(clippy::print_stdout, reason = "a bench prints its table")]
    fn print(mut self, name: &str) {
        if self.ms.is_empty() {
            return;
        }
        self.ms.sort_by(f64::total_cmp);
        self.bounds.sort_by(f64::total_cmp);
        let of = |all: &[f64], share: f64| {
            all.get((all.len().saturating_sub(1) as f64 * share) as usize).copied().unwrap_or(100.0)
        };
        let at = |share: f64| of(&self.ms, share);
        let soon = self.ms.iter().filter(|&&ms| ms <= SOON_MS).count();
        println!(
            "{name} | {} | {:.1} | {:.1} | {:.1} | {:.0} | {} | {:.1} | {:.1}",
            self.ms.len(),
            100.0 * soon as f64 / self.ms.len() as f64,
            at(0.5),
            at(0.99),
            at(1.0),
            self.without,
            of(&self.bounds, 0.5),
            of(&self.bounds, 0.0)
        );
    }
}

fn main() {
    let word = |name: &str| std::env::args().skip_while(|word| word != name).nth(1);
    let number = |name: &str, usual| word(name).map_or(usual, |word| word.parse().unwrap());
    let (every, nodes) = (number("--every", 1), number("--nodes", NODES as usize) as u64);
    let case = demo("tarn");
    let now = bring_up(&case, &[], None, NODES);
    let mut story = Story { case, log: Log::default(), now, ms: 0 };
    let (mut in_order, mut at_once) = (Times::default(), Times::default());
    let mut too_early = Times::default();
    let (mut soon, mut better) = (Times::default(), Times::default());
    for at in 0.. {
        let steps = story.now.kept.steps.clone();
        let Some(next) = steps.first() else { break };
        if at % every == 0
            && let Some(step) = steps.get(TOO_EARLY)
        {
            let mut then = story.clone();
            let now = after(&mut then, step, 0);
            too_early.take(&now, &then);
            if now.0.kept.is_stopgap {
                soon.take(&now, &then);
                let now = after(&mut story.clone(), step, nodes);
                better.take(&now, &then);
            }
        }
        let mut then = story.clone();
        at_once.take(&after(&mut then, next, 0), &then);
        let now = after(&mut story, next, NODES);
        in_order.take(&now, &story);
        story.now = now.0;
    }
    at_once.print("in order, at once");
    in_order.print("in order, with what is missed");
    too_early.print("too early, at once");
    soon.print("of these mended first");
    better.print("the same, mended by a search");
}
