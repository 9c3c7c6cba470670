//! `lastbolt tighten value`.

use lastbolt_tighten::{Action, Stage, Torque, TorqueUnit, read_stage};
use serde::Serialize;

use crate::context::{Context, Done};
use crate::failure::Failure;

/// Says how a tightening value is read, and what it is in the other units.
///
/// Write it as the maker does, in quotes: "40 N·m", "1,2 kgf·m", "95 in-lb", "40 N·m + 90°, new
/// screws". Two values for one thing ("40 N·m / 30 lbf·ft") have to agree but for rounding; else it
/// asks which one holds and ends with 1.
///
/// Example: lastbolt tighten value "40 N·m / 30 lbf·ft"
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    /// The value or stage, as the maker writes it.
    #[arg(value_name = "TEXT", required = true, allow_hyphen_values = true)]
    text: String,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// The units that are always shown.
const SHOWN: [TorqueUnit; 4] = [
    TorqueUnit::NewtonMetre,
    TorqueUnit::KilogramForceMetre,
    TorqueUnit::PoundForceFoot,
    TorqueUnit::PoundForceInch,
];

#[derive(Serialize)]
struct Told {
    version: u8,
    text: String,
    actions: Vec<Line>,
    words: Vec<String>,
    new_screws: bool,
    once: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    limit_mm: Option<String>,
    notes: Vec<String>,
    questions: Vec<Question>,
}

#[derive(Serialize)]
struct Line {
    what: &'static str,
    text: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    units: Vec<InUnit>,
}

#[derive(Serialize)]
struct InUnit {
    unit: &'static str,
    value: String,
    printed: bool,
}

#[derive(Serialize)]
struct Question {
    field: String,
    message: String,
    help: String,
}

/// Runs the command.
///
/// # Errors
/// Fails when the answer cannot be written.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let stage = read_stage(&args.text);
    let told = told(&stage);
    let is_well = told.questions.is_empty() && !(stage.text.is_empty());
    if args.json {
        context.json(&told)?;
    } else {
        print(&told, context)?;
    }
    Ok(if is_well { Done::Well } else { Done::No })
}

fn told(stage: &Stage) -> Told {
    Told {
        version: 1,
        text: stage.text.clone(),
        actions: stage.actions.iter().map(line).collect(),
        words: stage.words.clone(),
        new_screws: stage.new_screws,
        once: stage.once,
        limit_mm: stage.limit.as_ref().map(|limit| limit.millimetres.short(3)),
        notes: stage.notes.clone(),
        questions: stage
            .open()
            .into_iter()
            .map(|t| Question { field: t.field, message: t.message, help: t.help })
            .collect(),
    }
}

fn line(action: &Action) -> Line {
    let (what, text, units) = match action {
        Action::ByHand => ("by hand", "by hand".to_owned(), Vec::new()),
        Action::Torque(torque) => ("torque", torque.text.clone(), units(torque)),
        Action::Angle(angle) => ("angle", format!("turn by {}", angle.text), Vec::new()),
        Action::ToYield => ("to yield", "to yield".to_owned(), Vec::new()),
        Action::Slacken(None) => ("slacken", "slacken again".to_owned(), Vec::new()),
        Action::Slacken(Some(by)) => ("slacken", format!("slacken by {}", by.text), Vec::new()),
    };
    Line { what, text, units }
}

/// What is printed stays as printed; the others are converted, with two decimals more than a scale
/// has.
fn units(torque: &Torque) -> Vec<InUnit> {
    let mut all: Vec<TorqueUnit> = torque.entries().iter().map(|entry| entry.unit).collect();
    all.extend(SHOWN.iter().filter(|unit| !torque.entries().iter().any(|e| e.unit == **unit)));
    all.into_iter()
        .filter_map(|unit| {
            let (low, high) = torque.range_in(unit)?;
            let printed = torque.entries().iter().find(|entry| entry.unit == unit);
            let decimals = 3;
            let value = match low == high {
                true => low.short(decimals),
                false => format!("{} to {}", low.short(decimals), high.short(decimals)),
            };
            Some(InUnit { unit: unit.symbol(), value, printed: printed.is_some() })
        })
        .collect()
}

fn print(told: &Told, context: &mut Context) -> Result<(), Failure> {
    for line in &told.actions {
        context.line(&line.text)?;
        for unit in &line.units {
            let how = if unit.printed { "as printed" } else { "converted" };
            context.line(&format!("    {} {}  ({how})", unit.value, unit.unit))?;
        }
    }
    if told.new_screws {
        context.line("new screws")?;
    }
    if let Some(limit) = &told.limit_mm {
        context.line(&format!("new above {limit} mm"))?;
    }
    if !told.words.is_empty() {
        context.line(&format!("in the maker's words: {}", told.words.join(" · ")))?;
    }
    for note in &told.notes {
        context.line(note)?;
    }
    for question in &told.questions {
        context.line(&format!("{}: {}", question.field, question.message))?;
        context.line(&format!("    {}", question.help))?;
    }
    if told.text.is_empty() {
        context.line("There is nothing to read.")?;
    }
    Ok(())
}
