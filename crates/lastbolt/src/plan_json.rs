//! The plan as JSON: the contract of `docs/plan-json.md`.

use lastbolt_job::WayRow;
use lastbolt_job::view::{PlanStep, PlanView, StepVerb, WhyLine};
use lastbolt_machine::Minutes;
use lastbolt_order::More;
use serde::Serialize;
use serde_json::Number;

use crate::input::Input;
use crate::numbers::number;
use crate::told::{Told, file_name};
use crate::what_ifs::{AlsoRow, Leaving, WhatIfs};

/// The version of this form; another one needs a decision.
pub(crate) const VERSION: u32 = 1;

/// A plan.
#[derive(Serialize)]
pub(crate) struct PlanJson<'a> {
    version: u32,
    possible: bool,
    proved: bool,
    minutes: Number,
    least: Number,
    bound: Number,
    elapsed: Number,
    off: &'a [String],
    strip: Vec<StepJson<'a>>,
    build: Vec<StepJson<'a>>,
    bench: Vec<usize>,
    made_blind: &'a [String],
    last_looks: Vec<LookJson<'a>>,
    to_buy: Vec<BuyJson<'a>>,
    tools: &'a [String],
    guessed: &'a [String],
    #[serde(skip_serializing_if = "Vec::is_empty")]
    torque_wrenches: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<Vec<WhyJson>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why_before: Option<Vec<WhyJson>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why_after: Option<Vec<WhyJson>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    leaving: Option<LeavingJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    wished: Option<MoreJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    also: Option<Vec<AlsoJson<'a>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ways: Option<Vec<WayJson<'a>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ways_are_all: Option<bool>,
}

/// What something adds to the least minutes.
#[derive(Serialize)]
struct MoreJson {
    minutes: Option<Number>,
    at_least: Number,
    at_most: Option<Number>,
    proved: bool,
}

#[derive(Serialize)]
struct AlsoJson<'a> {
    id: &'a str,
    possible: Option<bool>,
    #[serde(flatten)]
    more: Option<MoreJson>,
}

#[derive(Serialize)]
struct LeavingJson {
    possible: Option<bool>,
    #[serde(flatten)]
    more: Option<MoreJson>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    because: Vec<BecauseJson>,
}

#[derive(Serialize)]
struct StepJson<'a> {
    #[serde(rename = "do")]
    verb: &'static str,
    id: &'a str,
    from: Option<&'a str>,
    tool: Option<&'a str>,
    minutes: Number,
    change: Number,
    cautions: Vec<&'a str>,
}

#[derive(Serialize)]
struct LookJson<'a> {
    of: &'a str,
    before: &'a str,
}

#[derive(Serialize)]
struct BuyJson<'a> {
    what: &'a str,
    count: u32,
    because: &'a str,
}

/// A link of the chain that makes something come off.
#[derive(Clone, Serialize)]
pub(crate) struct WhyJson {
    pub(crate) id: Option<String>,
    pub(crate) file: Option<String>,
    pub(crate) line: Option<u32>,
    pub(crate) text: String,
}

#[derive(Serialize)]
struct WayJson<'a> {
    from: &'a [String],
    minutes: Number,
    proved: bool,
    bound: Number,
    breaks: &'a [String],
    off: &'a [String],
    renews: &'a [String],
    cautions: &'a [String],
    without: WithoutJson<'a>,
}

/// What was ruled out to find a way in.
#[derive(Serialize)]
struct WithoutJson<'a> {
    leave_alone: &'a [String],
    without_tools: &'a [String],
    not_from: &'a [String],
}

/// There is no plan, and why not.
#[derive(Serialize)]
pub(crate) struct NoPlanJson {
    version: u32,
    /// `None`: the search ended before it knew.
    possible: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bound: Option<Number>,
    because: Vec<BecauseJson>,
}

#[derive(Serialize)]
struct BecauseJson {
    file: String,
    line: u32,
    text: String,
}

impl<'a> PlanJson<'a> {
    pub(crate) fn of(view: &'a PlanView, what_ifs: &'a WhatIfs, input: &Input) -> Self {
        let links = |lines: &[WhyLine]| lines.iter().map(|line| WhyJson::of(line, input)).collect();
        let why = what_ifs.why.as_ref();
        let (strip, build) = (listed(&view.strip), listed(&view.build));
        let bench = strip.iter().chain(&build).enumerate();
        let bench = bench.filter(|(_, step)| step.line.bench).map(|(at, _)| at + 1).collect();
        let look = |look: &'a lastbolt_job::view::LastLook| LookJson {
            of: &look.of,
            before: &look.before,
        };
        let buy = |buy: &'a lastbolt_job::view::Buy| BuyJson {
            what: &buy.what,
            count: buy.count,
            because: &buy.because,
        };
        Self {
            version: VERSION,
            possible: true,
            proved: view.proved,
            minutes: number(view.minutes),
            least: number(view.least),
            bound: number(view.bound),
            elapsed: number(view.elapsed),
            off: &view.off,
            strip: strip.into_iter().map(StepJson::of).collect(),
            build: build.into_iter().map(StepJson::of).collect(),
            bench,
            made_blind: &view.made_blind,
            last_looks: view.last_looks.iter().map(look).collect(),
            to_buy: view.to_buy.iter().map(buy).collect(),
            tools: &view.tools,
            guessed: &view.guessed,
            torque_wrenches: Vec::new(),
            why: why.map(|why| links(&why.chain)),
            why_before: why.map(|why| links(&why.around.before)),
            why_after: why.map(|why| links(&why.around.after)),
            leaving: why.map(|why| LeavingJson::of(&why.leaving, input)),
            wished: what_ifs.wished.as_ref().map(MoreJson::of),
            also: what_ifs.also.as_ref().map(|rows| rows.iter().map(AlsoJson::of).collect()),
            ways: what_ifs.ways.as_ref().map(|ways| ways.iter().map(WayJson::of).collect()),
            ways_are_all: what_ifs.ways.as_ref().map(|_| what_ifs.ways_are_all),
        }
    }

    /// With what no torque wrench of the garage can do.
    pub(crate) fn with_wrenches(self, torque_wrenches: Vec<String>) -> Self {
        Self { torque_wrenches, ..self }
    }
}

/// The steps of the contract: last looks stand in `last_looks`, not among the steps.
fn listed(steps: &[PlanStep]) -> Vec<&PlanStep> {
    let is_last_look =
        |step: &PlanStep| step.line.verb == StepVerb::Look && step.line.before.is_some();
    steps.iter().filter(|step| !is_last_look(step)).collect()
}

impl<'a> StepJson<'a> {
    fn of(step: &'a PlanStep) -> Self {
        Self {
            verb: step.line.verb.word(),
            id: &step.line.thing,
            from: step.line.from.as_deref(),
            tool: step.line.tool.as_deref(),
            minutes: number(step.line.minutes),
            change: number(step.change),
            cautions: step.cautions.iter().map(|caution| caution.text.as_str()).collect(),
        }
    }
}

impl<'a> WayJson<'a> {
    fn of(way: &'a WayRow) -> Self {
        Self {
            from: &way.from,
            minutes: number(way.minutes),
            proved: way.proved,
            bound: number(way.bound),
            breaks: &way.breaks,
            off: &way.off,
            renews: &way.renews,
            cautions: &way.cautions,
            without: WithoutJson {
                leave_alone: &way.without.leave,
                without_tools: &way.without.without,
                not_from: &way.without.not_from,
            },
        }
    }
}

impl MoreJson {
    fn of(more: &More) -> Self {
        Self {
            minutes: more.minutes.map(number),
            at_least: number(more.at_least),
            at_most: more.at_most.map(number),
            proved: more.proved,
        }
    }
}

impl<'a> AlsoJson<'a> {
    fn of(row: &'a AlsoRow) -> Self {
        let more = row.more.as_ref().map(MoreJson::of);
        Self { id: &row.id, possible: possible(row.more.as_ref()), more }
    }
}

/// `Some(false)`: there is no order; `None`: none was found.
fn possible(more: Option<&More>) -> Option<bool> {
    match more {
        None => Some(false),
        Some(more) => more.minutes.map(|_| true),
    }
}

impl LeavingJson {
    fn of(leaving: &Leaving, input: &Input) -> Self {
        let one = |reason: &lastbolt_order::Because| BecauseJson {
            file: if reason.at.line > 0 {
                file_name(&input.sources, reason.at)
            } else {
                "as asked".to_owned()
            },
            line: reason.at.line,
            text: reason.text.clone(),
        };
        Self {
            possible: possible(leaving.more.as_ref()),
            more: leaving.more.as_ref().map(MoreJson::of),
            because: leaving.because.iter().map(one).collect(),
        }
    }
}

impl WhyJson {
    pub(crate) fn of(line: &WhyLine, input: &Input) -> Self {
        let at = line.at.filter(|at| at.line > 0);
        Self {
            id: line.thing.clone(),
            file: at.map(|at| file_name(&input.sources, at)),
            line: at.map(|at| at.line),
            text: line.text.clone(),
        }
    }
}

impl NoPlanJson {
    /// There is no order, or the files cannot be used.
    pub(crate) fn impossible(because: &[Told]) -> Self {
        let one = |told: &Told| BecauseJson {
            file: told.file.clone(),
            line: told.line,
            text: told.message.clone(),
        };
        let because = because.iter().filter(|told| told.is_error()).map(one).collect();
        Self { version: VERSION, possible: Some(false), bound: None, because }
    }

    /// The search ended before it found an order or knew that there is none.
    pub(crate) fn not_known(bound: Minutes, text: &str) -> Self {
        let because = vec![BecauseJson { file: String::new(), line: 0, text: text.to_owned() }];
        Self { version: VERSION, possible: None, bound: Some(number(bound)), because }
    }
}
