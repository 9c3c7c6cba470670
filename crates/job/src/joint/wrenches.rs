//! Which wrench for a round, set to what.

use std::collections::BTreeSet;

use lastbolt_machine::model::GarageSpec;
use lastbolt_tighten::{Exact, Setting, Stage, Tolerance, choose};

use crate::case::JobModel;
use crate::joint::owned::{Owned, owned};
use crate::joint::written::written;
use crate::view::WrenchLine;

/// What the garage's wrenches can do of a round.
#[derive(Clone, Debug, Default)]
pub(crate) struct Fitting {
    /// The one that is used first.
    pub(crate) wrenches: Vec<WrenchLine>,
    pub(crate) refused: Vec<String>,
    /// The chosen one is none of them, and why.
    pub(crate) not_chosen: Option<String>,
    pub(crate) no_wrench: Option<String>,
}

/// Gives what the wrenches can do of a stage: of its last torque, which is what the screw is left
/// with. `chosen` is taken where it can do it, else the one that can do it best.
pub(crate) fn for_stage(stage: &Stage, owned: &Owned, chosen: Option<&str>) -> Fitting {
    // A value of which it is open what holds is asked about, and no wrench is looked for.
    let Some(torque) = stage.torques().last().filter(|torque| torque.question().is_none()) else {
        return Fitting::default();
    };
    let choice = choose(torque, &owned.wrenches, owned.held.as_ref());
    let mut wrenches: Vec<WrenchLine> =
        choice.fits.iter().map(|(number, setting)| line(owned, *number, setting)).collect();
    let at = wrenches.iter().position(|line| Some(line.name.as_str()) == chosen);
    if let Some(at) = at {
        wrenches[..=at].rotate_right(1);
    }
    if let Some(first) = wrenches.first_mut() {
        first.used = true;
    }
    let why_not = |(number, why): &(usize, lastbolt_tighten::Trouble)| {
        format!("{}: {}", owned.wrenches[*number].name, why.message)
    };
    let refused = |name: &str| {
        let own = choice.refused.iter().find(|(number, _)| owned.wrenches[*number].name == name);
        own.map_or_else(|| format!("{name}: the garage does not list it."), why_not)
    };
    Fitting {
        wrenches,
        not_chosen: chosen.filter(|_| at.is_none()).map(refused),
        refused: choice.refused.iter().map(why_not).collect(),
        no_wrench: choice
            .nothing_fits(torque, &owned.wrenches)
            .map(|trouble| format!("{} {}", trouble.message, trouble.help)),
    }
}

/// What of a list no wrench of the garage can tighten, a sentence each: said where a job is sized
/// up, not at the joint. `things` are the fixings that are closed.
pub fn no_wrench(model: &JobModel, garage: &GarageSpec, things: &[&str]) -> Vec<String> {
    let owned = owned(garage, None, 0);
    let ties = model.machine.ties.iter().filter(|tie| things.contains(&tie.id.name()));
    let joints: Vec<(&str, Vec<Stage>)> =
        ties.map(|tie| (tie.id.name(), written(tie).stages)).collect();
    let asked: BTreeSet<&str> = joints
        .iter()
        .flat_map(|(_, stages)| stages.iter().flat_map(Stage::torques))
        .map(|torque| torque.text.as_str())
        .collect();
    if asked.is_empty() {
        return Vec::new();
    }
    if owned.wrenches.is_empty() {
        let asking = |(_, stages): &&(&str, Vec<Stage>)| {
            stages.iter().any(|stage| stage.torques().next().is_some())
        };
        let count = joints.iter().filter(asking).count();
        let values: Vec<&str> = asked.into_iter().collect();
        return vec![format!("{}: {}.", none_listed(count), values.join(", "))];
    }
    let none = |(name, stages): &(&str, Vec<Stage>)| {
        stages.iter().find_map(|stage| {
            let none = for_stage(stage, &owned, None).no_wrench?;
            Some(format!("{name}, {}: {none}", stage.text))
        })
    };
    joints.iter().filter_map(none).collect()
}

/// "The garage lists no torque wrench; 3 joints ask for a value"
pub(crate) fn none_listed(joints: usize) -> String {
    let joints = match joints {
        1 => "1 joint asks".to_owned(),
        count => format!("{count} joints ask"),
    };
    format!("The garage lists no torque wrench; {joints} for a value")
}

fn line(owned: &Owned, number: usize, setting: &Setting) -> WrenchLine {
    let tolerance = setting.tolerance.as_ref();
    let calibration = &owned.calibrations[number];
    WrenchLine {
        name: owned.wrenches[number].name.clone(),
        setting: setting_text(setting, owned.wrenches[number].step.is_some()),
        used: false,
        takes: None,
        band: setting.band.map(|band| band_text(band, setting)),
        tolerance: tolerance.map(tolerance_text),
        from_memory: tolerance.is_some_and(|tolerance| tolerance.from_memory),
        calibrated: calibration.when().map(str::to_owned),
        calibration: calibration.sentence(),
        look_at_calibration: !calibration.is_good(),
        warnings: setting.warnings.iter().map(|warning| warning.text.clone()).collect(),
    }
}

fn tolerance_text(tolerance: &Tolerance) -> String {
    format!("±{} % ({})", tolerance.percent.short(2), tolerance.source)
}

/// A mark of the scale as it is; where nobody said which marks there are, no more digits than one
/// can read.
fn setting_text(setting: &Setting, has_marks: bool) -> String {
    let digits = if has_marks { 3 } else { digits(setting.set) };
    format!("{} {}", setting.set.short(digits), setting.unit.symbol())
}

fn band_text((low, high): (Exact, Exact), setting: &Setting) -> String {
    let digits = digits(low);
    format!("{} to {} {}", low.short(digits), high.short(digits), setting.unit.symbol())
}

/// No more digits than a scale has.
fn digits(value: Exact) -> u32 {
    if value < Exact::whole(10) { 2 } else { 1 }
}
