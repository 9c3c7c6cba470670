//! How many rounds until all screws of a joint carry nearly the same.

use super::joint::{Elastic, ModelError};
use super::passes::{forces, one_round};
use super::softness::{LOSS_PUBLISHED, LOSS_STIFF_ASSUMED, PASSED_ON_ASSUMED, by_loss};
use crate::Hole;
use crate::point::{least_gap, points};

/// The most rounds that are looked at.
pub const HOW_MANY_MAX: usize = 20;

/// The spread after each round, and the first round after which it is small enough.
#[derive(Debug, Clone, PartialEq)]
pub struct HowMany {
    /// (most - least) / mean in %, after each round: the stages, then repeats at full torque.
    pub spread_percent: Vec<f64>,
    /// Rounds at full torque, the last stage being the first of them; none if [`HOW_MANY_MAX`]
    /// rounds do not do.
    pub at_full: Option<usize>,
    /// In some round a screw was left without force: the springs would part, so these numbers say
    /// less than nothing about how many rounds are needed.
    pub slack: bool,
}

/// (most - least) / mean of the forces, in %; how uneven a joint is.
#[must_use]
pub fn spread_percent(forces: &[f64]) -> f64 {
    let most = forces.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = forces.iter().copied().fold(f64::INFINITY, f64::min);
    let mean = forces.iter().sum::<f64>() / forces.len() as f64;
    (most - least) / mean * 100.0
}

/// How many rounds at full torque this joint needs until its spread is at most `aim_percent`.
///
/// `stages` are shares of full torque as the maker gives them, the last being 1. No friction is in
/// it: scatter of friction stays, however many rounds are made ([`super::scatter`]).
///
/// # Errors
/// If a stage is not above 0, there is none, or the order names a screw that the joint has not.
pub fn how_many(
    joint: &Elastic,
    order: &[usize],
    stages: &[f64],
    aim_percent: f64,
) -> Result<HowMany, ModelError> {
    let wrong = |value: &&f64| !value.is_finite() || **value <= 0.0;
    if let Some(value) = stages.iter().chain([&aim_percent]).find(wrong) {
        return Err(ModelError::NotPositive(*value));
    }
    let Some(full) = stages.last() else { return Err(ModelError::NotPositive(0.0)) };
    let repeats = HOW_MANY_MAX.saturating_sub(stages.len());
    let levels = stages.iter().chain(std::iter::repeat_n(full, repeats));
    let rounds: Vec<_> = levels.map(|level| one_round(order, *level)).collect();
    let after = forces(joint, &rounds)?;
    let spread: Vec<f64> = after.iter().map(|forces| spread_percent(forces)).collect();
    let before = stages.len() - 1;
    let at_full = spread.iter().skip(before).position(|s| *s <= aim_percent).map(|i| i + 1);
    let shown = at_full.map_or(spread.len(), |rounds| (before + rounds).max(stages.len()));
    let slack = after.iter().flatten().any(|force| *force <= 0.0);
    Ok(HowMany { spread_percent: spread[..shown].to_vec(), at_full, slack })
}

/// The answer for a joint whose softness nobody knows: between a stiff and a soft one.
#[derive(Debug, Clone, PartialEq)]
pub struct HowManyHere {
    /// If a screw loses [`LOSS_STIFF_ASSUMED`] when its neighbour is tightened: an assumption.
    pub stiff: HowMany,
    /// If it loses [`LOSS_PUBLISHED`], as in the one test that is published.
    pub soft: HowMany,
}

/// How many rounds at full torque the joint with these holes needs, tightened in this order.
///
/// Softness is taken from stiff to soft, see [`HowManyHere`]; how much of a force is passed on to
/// the next hole is an assumption as well ([`PASSED_ON_ASSUMED`]). An estimate, never a
/// specification.
///
/// # Errors
/// As [`how_many`]; also if there are less than two holes.
pub fn how_many_here(
    holes: &[Hole],
    order: &[usize],
    stages: &[f64],
    aim_percent: f64,
) -> Result<HowManyHere, ModelError> {
    let places = points(holes);
    let space = least_gap(&places);
    let apart = |i: usize, j: usize| places[i].to(places[j]) / space;
    let with = |loss: f64| {
        let joint = by_loss(holes.len(), loss, PASSED_ON_ASSUMED, apart)?;
        how_many(&joint, order, stages, aim_percent)
    };
    Ok(HowManyHere { stiff: with(LOSS_STIFF_ASSUMED)?, soft: with(LOSS_PUBLISHED)? })
}
