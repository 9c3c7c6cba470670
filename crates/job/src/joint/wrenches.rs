//! Which wrench for a round, set to what.

use lastbolt_tighten::{Exact, Setting, Stage, choose};

use crate::joint::owned::Owned;
use crate::view::WrenchLine;

/// What the garage's wrenches can do of a round.
#[derive(Clone, Debug, Default)]
pub(crate) struct Fitting {
    pub(crate) wrenches: Vec<WrenchLine>,
    pub(crate) refused: Vec<String>,
    pub(crate) no_wrench: Option<String>,
}

/// Gives what the wrenches can do of a stage: of its last torque, which is what the screw is left
/// with.
pub(crate) fn for_stage(stage: &Stage, owned: &Owned) -> Fitting {
    let Some(torque) = stage.torques().last() else { return Fitting::default() };
    let choice = choose(torque, &owned.wrenches, owned.held.as_ref());
    let line = |(number, setting): &(usize, Setting)| WrenchLine {
        name: owned.wrenches[*number].name.clone(),
        setting: setting_text(setting),
        band: setting.band.map(|band| band_text(band, setting)),
        warnings: setting.warnings.iter().map(|warning| warning.text.clone()).collect(),
    };
    let refused = choice
        .refused
        .iter()
        .map(|(number, why)| format!("{}: {}", owned.wrenches[*number].name, why.message));
    Fitting {
        wrenches: choice.fits.iter().map(line).collect(),
        refused: refused.collect(),
        no_wrench: choice
            .nothing_fits(torque, &owned.wrenches)
            .map(|trouble| format!("{} {}", trouble.message, trouble.help)),
    }
}

fn setting_text(setting: &Setting) -> String {
    format!("{} {}", setting.set.short(3), setting.unit.symbol())
}

fn band_text((low, high): (Exact, Exact), setting: &Setting) -> String {
    format!("{} to {} {}", low.short(3), high.short(3), setting.unit.symbol())
}
