//! What truth tests share besides the testkit: the best order, from the planner.

#![allow(dead_code, reason = "each test uses its part")]

use lastbolt_machine::{Extra, Machine, compile};
use lastbolt_order::{Action, Answer, Ask, Step, plan};
use lastbolt_testkit::Rng;
use lastbolt_testkit::truth::{
    Asking, Best, Case, Engine, Manner, Run, Strip, Style, hidden_machine, run, strip,
};

/// States that the planner may look at for the best order.
const NODES: u64 = 60_000;

/// The best way back from where a strip ended, as the planner has it.
pub(crate) struct Planned {
    /// Its minutes.
    pub(crate) best: Best,
    /// What is closed, set-ups left out.
    pub(crate) order: Vec<String>,
    /// Whether it takes more apart first than the strip did, set-ups left out.
    pub(crate) opens_more: bool,
}

/// Plans the best way back from where a strip ended.
pub(crate) fn planned(machine: &Machine, strip: &Strip) -> Planned {
    let kernel = compile(machine, &strip.job(), &Extra::default()).expect("a legal machine");
    let ask = Ask { nodes: NODES, ..Ask::default() };
    let plan = match plan(&kernel, &ask) {
        Answer::Possible(plan) => *plan,
        other => panic!("there is no way back: {other:?}"),
    };
    let things = |steps: &[Step]| -> Vec<String> {
        let is_thing = |step: &&Step| !matches!(step.action, Action::Prep | Action::End);
        let steps = steps.iter().filter(is_thing);
        steps.map(|step| kernel.name(step.thing).to_owned()).collect()
    };
    Planned {
        best: Best { minutes: plan.minutes, bound: plan.bound },
        order: things(&plan.build),
        opens_more: !things(&plan.strip).is_empty(),
    }
}

/// The strip of a seed.
pub(crate) fn stripped(machine: &Machine, seed: u64, manner: Manner) -> Strip {
    let mut rng = Rng::new(seed ^ 0x5eed);
    strip(machine, manner, &mut rng).expect("a sound machine comes apart")
}

/// One hidden machine through an engine.
pub(crate) fn one(
    seed: u64,
    manner: Manner,
    style: Style,
    asking: Asking,
    engine: &mut dyn Engine,
) -> Run {
    let machine = hidden_machine(seed);
    let strip = stripped(&machine, seed, manner);
    let best = planned(&machine, &strip).best;
    run(&Case { machine: &machine, strip: &strip, best }, style, asking, engine)
}
