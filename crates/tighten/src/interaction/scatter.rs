//! Many joints of one kind, each with its own friction, hand and softness: how uneven they end.

use std::fmt;

use super::joint::Elastic;
use super::lanes::{Columns, LANES, Lane, ZERO, add_product};
use super::random::Draws;

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
    let full = plan.levels[plan.levels.len() - 1];
    Ok(study.found.into_iter().map(|round| round.spread(full)).collect())
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

/// What is known of all joints after one round.
struct Found {
    spreads: Vec<f64>,
    leasts: Vec<f64>,
    slack: usize,
}

impl Found {
    fn spread(mut self, full: f64) -> Spread {
        Spread {
            median_percent: quantile(&mut self.spreads, 0.5),
            most_percent: quantile(&mut self.spreads, 0.95),
            least_share: quantile(&mut self.leasts, 0.05) / full,
            slack: self.slack,
        }
    }
}

/// The value below which this share of the values lies, straight between neighbours.
fn quantile(values: &mut [f64], share: f64) -> f64 {
    let place = share * (values.len() - 1) as f64;
    let below = place.floor();
    let (_, low, above) = values.select_nth_unstable_by(below as usize, f64::total_cmp);
    let high = above.iter().copied().fold(f64::INFINITY, f64::min).min(f64::MAX);
    if above.is_empty() { *low } else { *low + (place - below) * (high - *low) }
}

struct Study<'a> {
    joint: &'a Elastic,
    plan: &'a Plan,
    how: &'a Scatter,
    draws: &'a Draws,
    /// The place of each round's pulls in the order of the first round.
    places: Vec<Vec<usize>>,
    columns: Columns,
    /// The columns of a joint whose softness is known: worked out once.
    known: Option<(Vec<f64>, Vec<f64>)>,
    force: Vec<Lane>,
    friction: Vec<Lane>,
    found: Vec<Found>,
}

impl<'a> Study<'a> {
    fn new(joint: &'a Elastic, plan: &'a Plan, how: &'a Scatter, draws: &'a Draws) -> Self {
        let screws = joint.screws();
        let place = |screw: &usize| plan.orders[0].iter().position(|s| s == screw).unwrap_or(0);
        let places = plan.orders.iter().map(|order| order.iter().map(place).collect()).collect();
        let joints = draws.softness.len();
        let found = |_| Found {
            spreads: Vec::with_capacity(joints),
            leasts: Vec::with_capacity(joints),
            slack: 0,
        };
        let mut study = Self {
            joint,
            plan,
            how,
            draws,
            places,
            columns: Columns::new(screws),
            known: None,
            force: vec![ZERO; screws],
            friction: vec![ZERO; screws],
            found: (0..plan.levels.len()).map(found).collect(),
        };
        if how.softness.0 >= how.softness.1 {
            study.work_out([how.softness.0; LANES]);
            let one = |lanes: &[Lane]| lanes.iter().map(|lane| lane[0]).collect();
            study.known = Some((one(&study.columns.first), one(&study.columns.later)));
        }
        study
    }

    fn work_out(&mut self, softness: Lane) {
        let (joint, order) = (self.joint, &self.plan.orders[0]);
        self.columns.work_out(|row, column| {
            let cell = joint.compliance().at(order[row], order[column]);
            let own = if row == column { 1.0 / joint.stiffness()[order[row]] } else { 0.0 };
            softness.map(|softness| own + softness * cell)
        });
    }

    /// The joints from this one on, as many as there are lanes; the last one again where there are
    /// no more, and not counted.
    fn batch(&mut self, from: usize) {
        let (draws, screws) = (self.draws, self.joint.screws());
        let joints = draws.softness.len();
        let lane = |i: usize| (from + i).min(joints - 1);
        if self.known.is_none() {
            let (low, high) = self.how.softness;
            let (low, wide) = (low.ln(), (high / low).ln());
            let softness = |i| (low + wide * draws.softness[lane(i)]).exp();
            self.work_out(std::array::from_fn(softness));
        }
        let (friction, order) = (0.5 * self.how.friction_percent / 100.0, &self.plan.orders[0]);
        for (cell, screw) in self.friction.iter_mut().zip(order) {
            let of = |i| 1.0 + friction * draws.friction[lane(i) * screws + screw];
            *cell = std::array::from_fn(of);
        }
        self.force.fill(ZERO);
        for round in 0..self.plan.levels.len() {
            self.round(from, round);
            let counted = LANES.min(joints - from);
            self.found[round].take(&self.force, counted);
        }
    }

    fn round(&mut self, from: usize, round: usize) {
        let (draws, screws) = (self.draws, self.joint.screws());
        let (joints, rounds) = (draws.softness.len(), self.plan.levels.len());
        let level = self.plan.levels[round];
        let pull = 0.5 * self.how.pull_percent / 100.0;
        let first = round == 0;
        let rows: [&[f64]; LANES] = std::array::from_fn(|i| {
            let row = ((from + i).min(joints - 1) * rounds + round) * screws;
            &draws.pull[row..row + screws]
        });
        for (place, screw) in self.places[round].iter().zip(&self.plan.orders[round]) {
            let friction = &self.friction[*place];
            let goal: Lane =
                std::array::from_fn(|i| level * friction[i] * (1.0 + pull * rows[i][*screw]));
            let before = self.force[*place];
            let more: Lane = std::array::from_fn(|i| goal[i] - before[i]);
            let moved = if first { *place } else { screws };
            let column = place * screws;
            let forces = &mut self.force[..moved];
            if let Some((firsts, laters)) = &self.known {
                let column = &(if first { firsts } else { laters })[column..column + moved];
                for (force, share) in forces.iter_mut().zip(column) {
                    add_product(force, &[*share; LANES], &more);
                }
            } else {
                let of = if first { &self.columns.first } else { &self.columns.later };
                for (force, share) in forces.iter_mut().zip(&of[column..column + moved]) {
                    add_product(force, share, &more);
                }
            }
            self.force[*place] = goal;
        }
    }
}

impl Found {
    fn take(&mut self, forces: &[Lane], counted: usize) {
        let (mut most, mut least, mut sum) = (forces[0], forces[0], forces[0]);
        for force in &forces[1..] {
            most = std::array::from_fn(|i| if force[i] > most[i] { force[i] } else { most[i] });
            least = std::array::from_fn(|i| if force[i] < least[i] { force[i] } else { least[i] });
            sum = std::array::from_fn(|i| sum[i] + force[i]);
        }
        let count = forces.len() as f64;
        for i in 0..counted {
            self.spreads.push((most[i] - least[i]) * count / sum[i] * 100.0);
            self.leasts.push(least[i]);
            self.slack += usize::from(least[i] <= 0.0);
        }
    }
}
