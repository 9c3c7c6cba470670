//! Many joints of one kind, each with its own friction, hand and softness: how uneven they end.

use std::fmt;

use super::joint::Elastic;
use super::lanes::LANES;
use super::random::Draws;
use super::study::Study;

/// The most joints of one study.
pub const JOINTS_MAX: usize = 100_000;
/// The most rounds of one study.
pub const ROUNDS_MAX: usize = 40;

/// Rounds as they are made: the order of each, and the share of full torque.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The order of each round, every screw once; screws from 0.
    pub orders: Vec<Vec<usize>>,
    /// The share of full torque of each round.
    pub levels: Vec<f64>,
}

/// What differs from joint to joint. No value here has a default: sources are in docs/methods.md.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Friction that stays with a screw: band in +-% of preload, taken as two standard deviations.
    pub friction_percent: f64,
    /// Wrench and hand, anew at each pull: band in +-%, taken as two standard deviations.
    pub pull_percent: f64,
    /// The joint's compliance, from so many to so many times of what was given, even in its
    /// logarithm; (1, 1) if it is known.
    pub softness: (f64, f64),
}

/// The joints after a round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Half of the joints have at most this spread, (most - least) / mean, %.
    pub median_percent: f64,
    /// 19 of 20 joints have at most this spread, %.
    pub most_percent: f64,
    /// In 19 of 20 joints the least force is at least this share of that at full torque.
    pub least_share: f64,
    /// Joints in which a screw was left without force at the end of this round: there the springs
    /// would part, and the model says too little.
    pub slack: usize,
}

/// Why a study cannot be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ScatterError {
    /// No joints, or more than [`JOINTS_MAX`], or other than the draws are for.
    Joints(usize),
    /// No rounds, more than [`ROUNDS_MAX`], or as many orders as levels.
    Rounds {
        /// Orders given.
        orders: usize,
        /// Levels given.
        levels: usize,
    },
    /// The order of this round (from 1) does not name each screw once.
    Order(usize),
    /// A level that is not above 0.
    Level(f64),
    /// A band outside of 0 to 50 %.
    Band(f64),
    /// A range of softness that is none.
    Softness(f64, f64),
}

impl fmt::Display for ScatterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Joints(count) => {
                write!(f, "{count} joints: give 1 to {JOINTS_MAX}, as many as there are draws for")
            }
            Self::Rounds { orders, levels } => write!(
                f,
                "{orders} orders and {levels} levels: give 1 to {ROUNDS_MAX} of each, as many of \
                 one as of the other"
            ),
            Self::Order(round) => {
                write!(f, "the order of round {round} does not name each screw once")
            }
            Self::Level(level) => write!(f, "level {level}: give a share of full torque above 0"),
            Self::Band(band) => write!(f, "scatter of {band} %: give 0 to 50"),
            Self::Softness(from, to) => write!(
                f,
                "softness from {from} to {to} times: give two numbers from 0.01 to 100, the \
                 smaller one first"
            ),
        }
    }
}

impl std::error::Error for ScatterError {}

/// How uneven joints of this kind are after each round of the plan.
///
/// # Errors
/// If plan, scatter and draws do not fit the joint: [`ScatterError`].
pub fn scatter(
    joint: &Elastic,
    plan: &Plan,
    how: &Scatter,
    draws: &Draws,
) -> Result<Vec<Spread>, ScatterError> {
    look_over(joint, plan, how, draws)?;
    let joints = draws.softness.len();
    let mut study = Study::new(joint, plan, how, draws);
    for batch in (0..joints).step_by(LANES) {
        study.batch(batch);
    }
    Ok(study.told())
}

fn look_over(
    joint: &Elastic,
    plan: &Plan,
    how: &Scatter,
    draws: &Draws,
) -> Result<(), ScatterError> {
    let (screws, rounds) = (joint.screws(), plan.levels.len());
    if plan.orders.len() != rounds || rounds == 0 || rounds > ROUNDS_MAX {
        return Err(ScatterError::Rounds { orders: plan.orders.len(), levels: rounds });
    }
    let joints = draws.softness.len();
    let fits =
        draws.friction.len() == joints * screws && draws.pull.len() == joints * screws * rounds;
    if joints == 0 || joints > JOINTS_MAX || !fits {
        return Err(ScatterError::Joints(joints));
    }
    for (number, order) in plan.orders.iter().enumerate() {
        let mut named = order.clone();
        named.sort_unstable();
        if named.iter().copied().ne(0..screws) {
            return Err(ScatterError::Order(number + 1));
        }
    }
    if let Some(level) = plan.levels.iter().find(|level| !level.is_finite() || **level <= 0.0) {
        return Err(ScatterError::Level(*level));
    }
    let bands = [how.friction_percent, how.pull_percent];
    if let Some(band) = bands.into_iter().find(|band| !(0.0..=50.0).contains(band)) {
        return Err(ScatterError::Band(band));
    }
    let (from, to) = how.softness;
    let range = 0.01..=100.0;
    if !range.contains(&from) || !range.contains(&to) || from > to {
        return Err(ScatterError::Softness(from, to));
    }
    Ok(())
}
