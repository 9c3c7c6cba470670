//! The wrenches and adapters that the garage's file lists.

use lastbolt_machine::model::GarageSpec;
use lastbolt_machine::{Problem, Ref, Value};
use lastbolt_tighten::{Adapter, Calibration, Held, Trouble, Wrench, WrenchText};

use crate::line::value_text;

/// An adapter as somebody says that it is held.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldText {
    /// Its name in the garage's file, or its length: "60 mm".
    pub adapter: String,
    /// Between wrench and adapter \[degrees\]: 0 straight ahead, 90 across.
    pub degrees: f64,
}

/// What the garage owns, as far as its file can be understood.
#[derive(Clone, Debug, Default)]
pub struct Owned {
    /// The wrenches.
    pub wrenches: Vec<Wrench>,
    /// What is known of the calibration of each.
    pub calibrations: Vec<Calibration>,
    /// The adapters.
    pub adapters: Vec<Adapter>,
    /// The one that is held, if one was said.
    pub held: Option<Held>,
    /// What of the file cannot be used, a sentence each.
    pub troubles: Vec<String>,
    /// The same with the place in the garage's file.
    pub problems: Vec<Problem>,
}

/// Reads what a garage's file lists, and the adapter that is held. `now_ms` is the time of day
/// \[ms since 1970, UTC\].
pub fn owned(garage: &GarageSpec, held: Option<&HeldText>, now_ms: i64) -> Owned {
    let mut all = Owned::default();
    for (name, value) in &garage.wrenches {
        let field = |key: &str| text_of(value, key);
        let (range, unit, class) = (field("range"), field("unit"), field("class"));
        let (step, length) = (field("step"), field("length"));
        let text = WrenchText {
            range: range.as_deref(),
            unit: unit.as_deref(),
            class: class.as_deref(),
            step: step.as_deref(),
            length: length.as_deref(),
        };
        match Wrench::read(name.name(), text) {
            Ok(wrench) => {
                let (when, again) = (field("calibrated"), field("calibrate_again"));
                let judged = Calibration::judge(when.as_deref(), again.as_deref(), now_ms);
                all.wrenches.push(wrench);
                all.calibrations.push(judged);
            }
            Err(troubles) => {
                all.troubles.extend(troubles.iter().map(|t| sentence(name.name(), t)));
                all.problems.extend(troubles.iter().map(|t| problem(name, t)));
            }
        }
    }
    for (name, value) in &garage.adapters {
        match Adapter::read(name.name(), text_of(value, "length").as_deref()) {
            Ok(adapter) => all.adapters.push(adapter),
            Err(trouble) => {
                all.troubles.push(sentence(name.name(), &trouble));
                all.problems.push(problem(name, &trouble));
            }
        }
    }
    if let Some(held) = held {
        let known = all.adapters.iter().find(|adapter| adapter.name == held.adapter).cloned();
        match known.map_or_else(|| Adapter::read(&held.adapter, Some(&held.adapter)), Ok) {
            Ok(adapter) => all.held = Some(Held { adapter, degrees: held.degrees }),
            Err(trouble) => all.troubles.push(sentence(&held.adapter, &trouble)),
        }
    }
    all
}

fn problem(name: &Ref, trouble: &Trouble) -> Problem {
    let message = format!("{}, {}: {}", name.name(), trouble.field, trouble.message);
    Problem::error(name.at, "not-usable", message, trouble.help.clone())
}

fn sentence(name: &str, trouble: &Trouble) -> String {
    format!("{name}: {} {}", trouble.message, trouble.help)
}

/// A field of a wrench or adapter as text; a range may be a list of two numbers.
fn text_of(value: &Value, key: &str) -> Option<String> {
    let Value::Table(table) = value else { return None };
    let (_, value) = table.iter().find(|(name, _)| name == key)?;
    match value {
        Value::List(ends) if ends.len() == 2 => {
            Some(ends.iter().map(value_text).collect::<Vec<_>>().join(" to "))
        }
        value => Some(value_text(value)),
    }
}
