//! What the planner's tests share: a machine as it is searched, an order as it is checked.
#![allow(dead_code, reason = "each test file uses a part of it")]

use lastbolt_checker::{Action, Order, Step};
use lastbolt_machine::{Extra, JobSpec, Kernel, LEAK_LOOK, Machine, SpotNo, ToolNo, compile};
use lastbolt_order::Plan;

/// A made machine for the planner.
pub(crate) fn compiled(machine: &Machine, job: &JobSpec) -> Kernel {
    compile(machine, job, &Extra::default()).expect("a made machine is legal")
}

/// A plan as the independent checker reads it, with the minutes that the plan reports.
pub(crate) fn to_check(kernel: &Kernel, plan: &Plan, strip_only: bool) -> Order {
    let step = |s: &lastbolt_order::Step| {
        let spot = s.spot.map(|SpotNo(n)| kernel.spots[n].as_str());
        let tool = s.tool.map(|ToolNo(n)| kernel.tools[n].as_str());
        let action = Action::from_word(s.action.word()).expect("the words are the same");
        let mut step = Step::new(action, kernel.name(s.thing), spot, tool);
        step.minutes = Some(s.minutes);
        step.change = Some(s.change);
        step
    };
    let mut build: Vec<Step> = plan.build.iter().map(step).collect();
    if let Some(at) = plan.leak_look {
        build.insert(at, Step::new(Action::Look, LEAK_LOOK, None, None));
    }
    Order { strip: plan.strip.iter().map(step).collect(), build, strip_only }
}
