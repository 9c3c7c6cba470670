//! A plan in the words of the trade: what the command line prints and the pages show.

use std::collections::{BTreeMap, BTreeSet};

use lastbolt_ledger::State;
use lastbolt_machine::{Kernel, Kind, Minutes, Set, ThingNo};
use lastbolt_order::Plan;

use crate::case::{Book, JobModel, Written};
use crate::line::fluid_text;
use crate::pressure::{circuits, question};
use crate::shown::{Shown, with_leak_look, with_looks};
use crate::stages;
use crate::view::{Buy, LastLook, PlanView, Stage, StageMinutes, StepVerb};
use crate::walk::{Stand, steps_of};

/// Gives the view of a plan that the planner found for `kernel`, which was compiled from `model`.
pub fn plan_view(model: &JobModel, kernel: &Kernel, plan: &Plan) -> PlanView {
    let book = Book { machine: &model.machine, kernel };
    let shown = shown_plan(kernel, plan);
    let turn = shown.iter().position(|s| !s.todo.verb.opens()).unwrap_or(shown.len());
    let circuits = circuits(book);
    let nothing_said = State::default();
    let step = |s: &Shown| {
        let mut step = book.plan_step(s);
        let of = circuits.iter().find(|c| s.todo.verb.opens() && c.things.contains(&s.todo.thing));
        let asked = of.and_then(|circuit| question(book, &nothing_said, circuit));
        step.line.asks_first = asked.map(|point| point.text);
        step
    };
    let steps = |part: &[Shown]| part.iter().map(step).collect::<Vec<_>>();
    let (strip, build) = (steps(&shown[..turn]), steps(&shown[turn..]));
    let bench = strip.iter().chain(&build).enumerate();
    let bench = bench.filter(|(_, step)| step.line.bench).map(|(at, _)| at + 1).collect();
    let names = |things: &mut dyn Iterator<Item = ThingNo>| {
        things.map(|thing| kernel.name(thing).to_owned()).collect::<Vec<_>>()
    };
    PlanView {
        machine: model.title(),
        purpose: model.purpose(),
        proved: plan.proved,
        minutes: plan.minutes,
        least: plan.least,
        bound: plan.bound,
        elapsed: elapsed(kernel, &shown),
        off: names(&mut plan.off.iter()),
        bench,
        made_blind: names(
            &mut shown.iter().filter(|s| s.is_made_unseen(kernel)).map(|s| s.todo.thing),
        ),
        last_looks: last_looks(kernel, &shown),
        to_buy: to_buy(model, book, &shown),
        tools: once(strip.iter().chain(&build).filter_map(|step| step.line.tool.as_ref())),
        also: once(strip.iter().chain(&build).flat_map(|step| &step.also)),
        guessed: once(strip.iter().chain(&build).filter(|s| s.line.guessed).map(|s| &s.line.thing)),
        stages: planned_stages(kernel, &shown),
        notes: kernel.notes.iter().map(|note| note.message.clone()).collect(),
        strip,
        build,
    }
}

/// The steps of a plan with the looks put in.
fn shown_plan(kernel: &Kernel, plan: &Plan) -> Vec<Shown> {
    let from = Stand {
        open: kernel.open_at_start.clone(),
        started: kernel.no_things(),
        spot: kernel.spot_at_start,
        tool: kernel.tool_at_start,
        pending: Vec::new(),
        forbids: None,
    };
    let shown = with_looks(kernel, &from, &steps_of(plan), &kernel.open_at_start, &|_| false);
    with_leak_look(kernel, shown, false)
}

fn last_looks(kernel: &Kernel, shown: &[Shown]) -> Vec<LastLook> {
    let looks = shown.iter().filter(|s| s.todo.verb == StepVerb::Look);
    let name = |thing| kernel.name(thing).to_owned();
    looks
        .filter_map(|s| Some(LastLook { of: name(s.todo.thing), before: name(s.before?) }))
        .collect()
}

fn once<'a>(names: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut seen = BTreeSet::new();
    names.filter(|name| seen.insert(*name)).cloned().collect()
}

/// What to buy: what is renewed, what each opened thing has new every time, and the fluid of each
/// condition that ends with one (R19).
fn to_buy(model: &JobModel, book: Book<'_>, shown: &[Shown]) -> Vec<Buy> {
    let renew = model.job.renew.iter().map(|name| Buy {
        what: name.value.clone(),
        count: book.kernel.find(name.name()).map_or(1, |thing| book.count(thing)),
        because: name.value.clone(),
    });
    let mut all: Vec<Buy> = renew.collect();
    for step in shown {
        let thing = step.todo.thing;
        let because = book.kernel.name(thing).to_owned();
        if step.todo.verb.opens() {
            let texts = book.renew(thing).iter();
            all.extend(texts.map(|text| Buy {
                what: text.value.clone(),
                count: 1,
                because: because.clone(),
            }));
        }
        if let (StepVerb::End, Written::Prep(prep)) = (step.todo.verb, book.written(thing))
            && let Some(fluid) = &prep.fluid
        {
            all.push(Buy { what: fluid_text(fluid), count: 1, because });
        }
    }
    all
}

fn planned_stages(kernel: &Kernel, shown: &[Shown]) -> Vec<StageMinutes> {
    let mut all = [Minutes::ZERO; 4];
    for step in shown.iter().filter(|s| s.todo.verb != StepVerb::Look) {
        let stage = stages::of_step(kernel, &step.todo);
        let at = Stage::ALL.iter().position(|s| *s == stage).unwrap_or(0);
        all[at] += step.minutes(kernel) + step.change;
    }
    let stage = |(stage, planned): (&Stage, &Minutes)| StageMinutes {
        stage: *stage,
        planned: *planned,
        worked: None,
    };
    Stage::ALL.iter().zip(&all).map(stage).collect()
}

/// Minutes from the first step to the end for one person who does the order as it stands, waits
/// included (R11, R16, R19).
fn elapsed(kernel: &Kernel, shown: &[Shown]) -> Minutes {
    let mut clock = Clock::default();
    let mut turned = false;
    for step in shown.iter().filter(|s| s.todo.verb != StepVerb::Look) {
        if !turned && !step.todo.verb.opens() {
            turned = true;
            clock.wait_for(kernel.targets.iter());
        }
        clock.does(kernel, step);
    }
    if !turned {
        clock.wait_for(kernel.targets.iter());
    }
    let sets = clock.set_at.values().copied().max().unwrap_or(Minutes::ZERO);
    clock.now.max(sets)
}

#[derive(Default)]
struct Clock {
    now: Minutes,
    in_force_at: BTreeMap<ThingNo, Minutes>,
    set_at: BTreeMap<ThingNo, Minutes>,
}

impl Clock {
    fn wait_for(&mut self, preps: impl Iterator<Item = ThingNo>) {
        for prep in preps {
            let ready = self.in_force_at.get(&prep).copied().unwrap_or(Minutes::ZERO);
            self.now = self.now.max(ready);
        }
    }

    fn does(&mut self, kernel: &Kernel, step: &Shown) {
        let thing = step.todo.thing;
        let it = kernel.thing(thing);
        self.now += step.change;
        if let Some(way) = step.todo.kernel_way(kernel) {
            self.wait_for(it.needs.iter().chain(&way.needs).chain(&way.spot_needs).copied());
        }
        if step.todo.verb == StepVerb::End {
            let sets = self
                .set_at
                .iter()
                .filter(|(tie, _)| relies_on(kernel, **tie, thing, &step.stand.open));
            let last = sets.map(|(_, at)| *at).max().unwrap_or(Minutes::ZERO);
            self.now = self.now.max(last);
        }
        self.now += step.minutes(kernel);
        match step.todo.verb {
            StepVerb::Prep => {
                self.in_force_at.insert(thing, self.now + it.wait);
            }
            StepVerb::Make | StepVerb::Tighten if it.sets > Minutes::ZERO => {
                self.set_at.insert(thing, self.now + it.sets);
            }
            _ => {}
        }
    }
}

/// Whether the end of a condition has to wait for a tie, as if the tie were still undone (R11).
fn relies_on(kernel: &Kernel, tie: ThingNo, prep: ThingNo, open: &Set) -> bool {
    kernel.thing(tie).kind == Kind::Tie
        && kernel.still_needed_by(prep, &open.with(tie)).contains(&tie)
}
