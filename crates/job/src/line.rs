//! One step in words: its sentence, its line, and what a person needs to know to do it.

use lastbolt_machine::kernel::BENCH;
use lastbolt_machine::model::{Back, Value};
use lastbolt_machine::{Kind, LEAK_LOOK, Minutes, Set, ThingNo, Way};

use crate::case::{Book, Written};
use crate::shown::{Shown, is_leak_look};
use crate::view::{Caution, CautionFrom, PlanStep, StepLine, StepVerb, Tag};
use crate::waits;
use crate::walk::Todo;
use crate::words;

/// What one person lifts close to the body at waist height, in kilograms (common practice).
const KG_A_PERSON: f64 = 25.0;

impl<'a> Book<'a> {
    /// The sentence of a step: "Starter screws: 2 screws out".
    pub(crate) fn title(self, todo: &Todo, before: Option<ThingNo>) -> String {
        let name = words::large(self.kernel.name(todo.thing));
        let book = (self.kind(todo.thing), self.count(todo.thing));
        match (todo.verb, self.written(todo.thing)) {
            (StepVerb::Off, _) => format!("{name} off"),
            (StepVerb::On, _) => format!("{name} on"),
            (StepVerb::Prep, Written::SetUp(spot)) => format!("Set up: {}", spot.id.name()),
            (StepVerb::End, Written::SetUp(spot)) => format!("Pack up: {}", spot.id.name()),
            (StepVerb::Prep, _) => format!("Make ready: {}", self.kernel.name(todo.thing)),
            (StepVerb::End, Written::Prep(prep)) => match &prep.fluid {
                Some(fluid) => {
                    let name = self.kernel.name(todo.thing);
                    format!("Fill again: {} ({name})", fluid_text(fluid))
                }
                None => format!("Back to normal: {}", self.kernel.name(todo.thing)),
            },
            (StepVerb::Look, _) if is_leak_look(self.kernel, todo) => {
                format!("Leak look, before the {} goes on", self.kernel.name(todo.thing))
            }
            (StepVerb::Look, _) => match before {
                Some(cover) => {
                    format!("Last look: {name}, before the {} goes on", self.kernel.name(cover))
                }
                None => format!("Last look: {name}"),
            },
            (verb, _) => format!("{name}: {}", words::done(verb, book.0, book.1)),
        }
    }

    /// The line of a step in a list.
    pub(crate) fn line(self, shown: &Shown, tag: Option<Tag>) -> StepLine {
        let todo = &shown.todo;
        let way = todo.kernel_way(self.kernel).filter(|_| todo.verb != StepVerb::Look);
        let spot = way.and_then(|way| way.spot);
        let tool = way.and_then(|way| way.tool).filter(|_| todo.verb != StepVerb::Start);
        StepLine {
            verb: todo.verb,
            thing: match is_leak_look(self.kernel, todo) {
                true => LEAK_LOOK.to_owned(),
                false => self.kernel.name(todo.thing).to_owned(),
            },
            text: self.title(todo, shown.before),
            from: spot.map(|spot| self.kernel.spots[spot.0].clone()),
            tool: tool.map(|tool| self.kernel.tools[tool.0].clone()),
            minutes: shown.minutes(self.kernel),
            guessed: way.is_some_and(|way| way.guessed) && todo.verb != StepVerb::Start,
            tag,
            bench: spot == Some(BENCH),
            before: shown.before.map(|part| self.kernel.name(part).to_owned()),
            asks_first: None,
        }
    }

    /// A step of a plan.
    pub(crate) fn plan_step(self, shown: &Shown) -> PlanStep {
        let todo = &shown.todo;
        let way = todo.kernel_way(self.kernel);
        let is_look = todo.verb == StepVerb::Look;
        PlanStep {
            line: self.line(shown, None),
            change: shown.change,
            cautions: self.all_cautions(todo),
            also: way.filter(|_| !is_look).map_or_else(Vec::new, |way| way.also.clone()),
            who: self.who(todo.thing).filter(|_| !is_look).map(str::to_owned),
            mark: self.mark(todo),
            lift: self.lift(todo, &shown.stand.open),
            people: if is_look { 1 } else { self.people(todo.thing) },
            by_feel: !is_look && way.is_some_and(|way| way.feel),
            wait: waits::after_step(self, todo),
        }
    }

    /// Unattended minutes after a step.
    pub(crate) fn wait(self, todo: &Todo) -> Minutes {
        let it = self.kernel.thing(todo.thing);
        match todo.verb {
            StepVerb::Prep => it.wait,
            StepVerb::Make | StepVerb::Tighten => it.sets,
            _ => Minutes::ZERO,
        }
    }

    /// The mark that is to be made before something is undone.
    pub(crate) fn mark(self, todo: &Todo) -> Option<String> {
        let mark = self.facts(todo.thing)?.mark.as_ref()?;
        matches!(todo.verb, StepVerb::Off | StepVerb::Undo).then(|| mark.value.clone())
    }

    /// Cautions of the spot, and of the thing itself.
    pub(crate) fn cautions_at(self, todo: &Todo) -> Vec<Caution> {
        let mut all = Vec::new();
        let spot = todo.kernel_way(self.kernel).and_then(|way| way.spot);
        if let Some(spot) = spot.and_then(|spot| self.spot(spot)) {
            all.extend(spot.cautions.iter().map(|caution| Caution {
                text: caution.value.clone(),
                of: spot.id.value.clone(),
                from: CautionFrom::Spot,
            }));
        }
        let from = match self.kernel.thing(todo.thing).kind {
            Kind::Prep => CautionFrom::MakeReady,
            Kind::Part | Kind::Tie => CautionFrom::Thing,
        };
        all.extend(self.cautions(todo.thing).iter().map(|caution| Caution {
            text: caution.value.clone(),
            of: self.kernel.name(todo.thing).to_owned(),
            from,
        }));
        all
    }

    /// "11 kg"; "30 kg: helper or hoist" where it is more than one person lifts, awkward, or two
    /// people are asked for.
    pub(crate) fn lift(self, todo: &Todo, open: &Set) -> Option<String> {
        let people = self.people(todo.thing);
        if !matches!(todo.verb, StepVerb::Off | StepVerb::On) {
            let asks = people > 1 && todo.verb != StepVerb::Look;
            return asks.then(|| format!("{people} people: helper"));
        }
        let awkward = match self.written(todo.thing) {
            Written::Part(part) => part.awkward,
            _ => false,
        };
        let kg = self.kilograms(todo.thing, open);
        let heavy = kg.is_some_and(|kg| kg > KG_A_PERSON) || people > 1;
        let mut text = match kg {
            Some(kg) => words::kilograms(kg),
            None if people > 1 => format!("{people} people"),
            None if awkward => "awkward to hold".to_owned(),
            None => return None,
        };
        if awkward && kg.is_some() {
            text.push_str(", awkward to hold");
        }
        if heavy {
            text.push_str(": helper or hoist");
        }
        Some(text)
    }

    /// The way of the file behind a step.
    pub(crate) fn written_way(self, todo: &Todo) -> Option<&'a Way> {
        let at = todo.kernel_way(self.kernel)?.at;
        let (ways, back) = match self.written(todo.thing) {
            Written::Part(part) => (&part.ways, &part.back),
            Written::Tie(tie) => (&tie.ways, &tie.back),
            Written::Prep(prep) => (&prep.ways, &prep.back),
            Written::SetUp(_) => return None,
        };
        let back: &[Way] = match back {
            Back::Ways(back) => back,
            Back::Unstated | Back::ByItself(_) => &[],
        };
        let mut all = ways.iter().flatten().chain(back);
        all.find(|way| way.at == at && at.line > 0)
    }

    /// The file's notes on the way and on the thing.
    pub(crate) fn notes(self, todo: &Todo) -> Vec<String> {
        let way = self.written_way(todo).and_then(|way| way.note.as_ref());
        let thing = match self.written(todo.thing) {
            Written::Part(part) => part.facts.note.as_ref(),
            Written::Tie(tie) => tie.facts.note.as_ref(),
            Written::Prep(prep) => prep.note.as_ref(),
            Written::SetUp(_) => None,
        };
        way.into_iter().chain(thing).map(|note| note.value.clone()).collect()
    }

    /// Thread and lengths of a fixing, as the file states them.
    pub(crate) fn sizes(self, thing: ThingNo) -> Option<String> {
        let Written::Tie(tie) = self.written(thing) else { return None };
        let Some(Value::Table(table)) = &tie.tighten else { return None };
        let of_size = |key: &str| matches!(key, "thread" | "lengths");
        let sizes: Vec<String> = table
            .iter()
            .filter(|(key, _)| of_size(key))
            .map(|(_, size)| value_text(size))
            .collect();
        (!sizes.is_empty()).then(|| sizes.join(", "))
    }

    /// Rounds of tightening, as the file states them.
    pub(crate) fn rounds(self, thing: ThingNo) -> Vec<String> {
        let Written::Tie(tie) = self.written(thing) else { return Vec::new() };
        let Some(Value::Table(table)) = &tie.tighten else { return Vec::new() };
        let stages = table.iter().find(|(key, _)| key == "stages").map(|(_, stages)| stages);
        match stages {
            Some(Value::List(stages)) => stages.iter().map(value_text).collect(),
            Some(one) => vec![value_text(one)],
            None => Vec::new(),
        }
    }
}

/// "outboard gear oil, 0.25 l".
pub(crate) fn fluid_text(fluid: &lastbolt_machine::model::Fluid) -> String {
    if fluid.litres.is_empty() {
        fluid.name.clone()
    } else {
        format!("{}, {} l", fluid.name, fluid.litres)
    }
}

/// A free value as text, in the digits in which it was written.
pub(crate) fn value_text(value: &Value) -> String {
    match value {
        Value::Text(text) | Value::Number(text) => text.clone(),
        Value::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Value::List(items) => items.iter().map(value_text).collect::<Vec<_>>().join(", "),
        Value::Table(items) => {
            let one = |(key, value): &(String, Value)| format!("{key} {}", value_text(value));
            items.iter().map(one).collect::<Vec<_>>().join(", ")
        }
    }
}
