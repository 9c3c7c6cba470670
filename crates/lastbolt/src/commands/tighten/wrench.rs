//! `lastbolt tighten wrench`.

use std::path::Path;

use lastbolt_files::{Source, read_garage};
use lastbolt_job::{Owned, owned};
use lastbolt_machine::{FileNo, Level};
use lastbolt_tighten::{
    Adapter, Calibration, Choice, Held, Setting, Torque, Trouble, Wrench, WrenchText, choose,
    read_torque,
};
use serde::Serialize;

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::input::read_file;
use crate::live::now_ms;
use crate::told::Told;

/// Says which wrench can do a torque and what it is set to, also behind an adapter.
///
/// Without --range the wrenches of garage.toml are asked. With an adapter that moves the screw away
/// from the wrench's square, give its length and how it is held: 0 straight ahead, 90 across, 180
/// folded back. Nothing is said without the angle: across and ahead are not the same setting.
///
/// Examples:
///   lastbolt tighten wrench "40 N·m"
///   lastbolt tighten wrench "40 N·m" --range "20-100 N·m" --class "II A" --step 0.5
///   lastbolt tighten wrench "80 N·m" --adapter 60 --angle 0 --range "20-100 N·m" --length 400
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    /// The torque, as the maker writes it.
    #[arg(value_name = "TORQUE", required = true, allow_hyphen_values = true)]
    torque: String,
    /// Lowest and largest mark of one wrench: "20-100 N·m".
    #[arg(long, value_name = "RANGE", allow_hyphen_values = true)]
    range: Option<String>,
    /// The unit of its scale, where the range has none.
    #[arg(long, value_name = "UNIT", requires = "range")]
    unit: Option<String>,
    /// Its class: "II A", or how far it may be off: "±4 %".
    #[arg(long, value_name = "CLASS", requires = "range", allow_hyphen_values = true)]
    class: Option<String>,
    /// From mark to mark of its scale.
    #[arg(long, value_name = "STEP", requires = "range", allow_hyphen_values = true)]
    step: Option<String>,
    /// From the middle of the grip to the middle of the square [mm].
    #[arg(long, value_name = "LENGTH", requires = "range", allow_hyphen_values = true)]
    length: Option<String>,
    /// The adapter's length [mm], or its name in garage.toml.
    #[arg(long, value_name = "ADAPTER", requires = "angle", allow_hyphen_values = true)]
    adapter: Option<String>,
    /// How the adapter is held [degrees].
    #[arg(long, value_name = "DEGREES", requires = "adapter", allow_hyphen_values = true)]
    angle: Option<String>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Document {
    version: u8,
    torque: String,
    fits: Vec<Fit>,
    refused: Vec<Refused>,
    #[serde(skip_serializing_if = "Option::is_none")]
    nothing_fits: Option<Sentence>,
}

#[derive(Serialize)]
struct Fit {
    wrench: String,
    set: String,
    unit: &'static str,
    applied: String,
    off_percent: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    band: Option<[String; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tolerance: Option<String>,
    look_at: Vec<String>,
    /// Of the garage's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    calibration: Option<String>,
}

#[derive(Serialize)]
struct Refused {
    wrench: String,
    field: String,
    message: String,
    help: String,
}

#[derive(Serialize)]
struct Sentence {
    field: String,
    message: String,
    help: String,
}

/// Runs the command.
///
/// # Errors
/// Says which word or which line of the garage file is wrong.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let torque = read_torque(&args.torque).map_err(|trouble| given(&trouble))?;
    if let Some(question) = torque.question() {
        return Err(given(&question));
    }
    let tools = tools(args, context)?;
    let held = held(args, &tools)?;
    let choice = choose(&torque, &tools.wrenches, held.as_ref());
    let document = document(&torque, &tools, &choice);
    if args.json {
        context.json(&document)?;
    } else {
        print(&document, context)?;
    }
    Ok(if choice.fits.is_empty() { Done::No } else { Done::Well })
}

fn given(trouble: &Trouble) -> Failure {
    Failure::given(format!("{}: {}", trouble.field, trouble.message), trouble.help.clone())
}

/// The one wrench that is described, else those of the garage.
fn tools(args: &Args, context: &Context) -> Result<Owned, Failure> {
    let path = context.garage_dir().map(|dir| dir.join("garage.toml"));
    let garage = match &path {
        Ok(path) if path.is_file() => of_garage(path)?,
        _ => Owned::default(),
    };
    let Some(range) = &args.range else {
        if garage.wrenches.is_empty() {
            return Err(Failure::given(
                "wrench: the garage lists no torque wrench.",
                "Describe one with --range, or list it in garage.toml: [wrench.\"small\"] range = \
                [5, 25].",
            ));
        }
        return Ok(garage);
    };
    let text = WrenchText {
        range: Some(range),
        unit: args.unit.as_deref(),
        class: args.class.as_deref(),
        step: args.step.as_deref(),
        length: args.length.as_deref(),
    };
    let wrench = Wrench::read("the wrench", text).map_err(|troubles| match troubles.first() {
        Some(first) => given(first),
        None => Failure::given("wrench: it cannot be read.", ""),
    })?;
    Ok(Owned { wrenches: vec![wrench], calibrations: Vec::new(), ..garage })
}

fn of_garage(path: &Path) -> Result<Owned, Failure> {
    let name = path.display().to_string();
    let wrong = |error: &std::io::Error| Failure::given(format!("{name}: {error}."), "");
    let bytes = read_file(&name).map_err(|error| wrong(&error))?;
    let sources = [Source::new(name.clone(), bytes)];
    let (garage, mut problems) = read_garage(&sources, FileNo(0));
    let tools = owned(&garage, None, now_ms());
    problems.extend(tools.problems.iter().cloned());
    let errors: Vec<String> = problems
        .iter()
        .filter(|problem| problem.level == Level::Error)
        .flat_map(|problem| Told::of(problem, &sources).lines())
        .collect();
    if errors.is_empty() {
        return Ok(tools);
    }
    Err(Failure::given(format!("The garage file cannot be used.\n{}", errors.join("\n")), ""))
}

fn held(args: &Args, tools: &Owned) -> Result<Option<Held>, Failure> {
    let (Some(adapter), Some(angle)) = (&args.adapter, &args.angle) else { return Ok(None) };
    let listed = tools.adapters.iter().find(|listed| listed.name == adapter.trim());
    let adapter = match listed {
        Some(listed) => listed.clone(),
        None => Adapter::read("the adapter", Some(adapter)).map_err(|trouble| {
            Failure::given(format!("adapter: {}", trouble.message), trouble.help)
        })?,
    };
    let plain = angle.trim().trim_end_matches(['°', ' ']).replace(',', ".");
    let degrees: f64 = plain.parse().map_err(|_| {
        let message = format!("angle: \"{angle}\" is not understood as degrees.");
        Failure::given(message, "Write a number: 0 is straight ahead, 90 across, 180 folded back.")
    })?;
    Ok(Some(Held { adapter, degrees }))
}

fn document(torque: &Torque, tools: &Owned, choice: &Choice) -> Document {
    let wrenches = &tools.wrenches;
    let name = |number: usize| wrenches.get(number).map_or(String::new(), |w| w.name.clone());
    let refused = choice.refused.iter().map(|(number, why)| Refused {
        wrench: name(*number),
        field: why.field.clone(),
        message: why.message.clone(),
        help: why.help.clone(),
    });
    let nothing = choice.nothing_fits(torque, wrenches);
    Document {
        version: 1,
        torque: torque.text.clone(),
        fits: choice
            .fits
            .iter()
            .map(|(number, setting)| Fit {
                calibration: tools.calibrations.get(*number).map(Calibration::sentence),
                ..fit(name(*number), setting)
            })
            .collect(),
        refused: refused.collect(),
        nothing_fits: nothing.map(|t| Sentence {
            field: t.field,
            message: t.message,
            help: t.help,
        }),
    }
}

fn fit(wrench: String, setting: &Setting) -> Fit {
    let tolerance = setting.tolerance.as_ref();
    Fit {
        wrench,
        set: setting.set.short(3),
        unit: setting.unit.symbol(),
        applied: setting.applied.short(3),
        off_percent: (setting.off_percent * 100.0).round() / 100.0,
        band: setting.band.map(|(low, high)| [low.short(2), high.short(2)]),
        tolerance: tolerance.map(|t| format!("±{} % ({})", t.percent.short(2), t.source)),
        look_at: setting.warnings.iter().map(|warning| warning.text.clone()).collect(),
        calibration: None,
    }
}

fn print(document: &Document, context: &mut Context) -> Result<(), Failure> {
    for fit in &document.fits {
        context.line(&format!("{}: set it to {} {}", fit.wrench, fit.set, fit.unit))?;
        let mut text = format!("    the screw gets {} {}", fit.applied, fit.unit);
        if fit.off_percent != 0.0 {
            text.push_str(&format!(", {:+.1} % off what is asked", fit.off_percent));
        }
        if let (Some([low, high]), Some(tolerance)) = (&fit.band, &fit.tolerance) {
            text.push_str(&format!("; between {low} and {high} {} by {tolerance}", fit.unit));
        }
        context.line(&text)?;
        for look in fit.look_at.iter().chain(&fit.calibration) {
            context.line(&format!("    {look}"))?;
        }
    }
    for refused in &document.refused {
        context.line(&format!("{}: not this one. {}", refused.wrench, refused.message))?;
        context.line(&format!("    {}", refused.help))?;
    }
    if let Some(nothing) = document.nothing_fits.as_ref().filter(|_| document.fits.is_empty()) {
        context.line(&nothing.help)?;
    }
    context.line("The maker's value and instructions always win.")
}
