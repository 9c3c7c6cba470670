//! The work of a study: joints side by side through the rounds.

use super::joint::Elastic;
use super::lanes::{Columns, LANES, Lane, Tight, ZERO, pulls};
use super::random::Draws;
use super::scatter::{Plan, Scatter, Spread};

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

/// The study while it is made.
pub(crate) struct Study<'a> {
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
    goals: Vec<Lane>,
    found: Vec<Found>,
}

impl<'a> Study<'a> {
    pub(crate) fn new(
        joint: &'a Elastic,
        plan: &'a Plan,
        how: &'a Scatter,
        draws: &'a Draws,
    ) -> Self {
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
            goals: vec![ZERO; screws],
            found: (0..plan.levels.len()).map(found).collect(),
        };
        if how.softness.0 >= how.softness.1 {
            study.work_out([how.softness.0; LANES]);
            let one = |lanes: &[Lane]| lanes.iter().map(|lane| lane[0]).collect();
            study.known = Some((one(&study.columns.first), one(&study.columns.later)));
        }
        study
    }

    /// What is told of each round.
    pub(crate) fn told(self) -> Vec<Spread> {
        let full = self.plan.levels.last().copied().unwrap_or(1.0);
        self.found.into_iter().map(|round| round.spread(full)).collect()
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
    pub(crate) fn batch(&mut self, from: usize) {
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
        let rows: [&[f64]; LANES] = std::array::from_fn(|i| {
            let row = ((from + i).min(joints - 1) * rounds + round) * screws;
            &draws.pull[row..row + screws]
        });
        let places = &self.places[round];
        for ((goal, place), screw) in
            self.goals.iter_mut().zip(places).zip(&self.plan.orders[round])
        {
            let friction = &self.friction[*place];
            for i in 0..LANES {
                goal[i] = level * friction[i] * (1.0 + pull * rows[i][*screw]);
            }
        }
        // In the first round only what is tight moves.
        let tight = if round == 0 { Tight::SoFar } else { Tight::All };
        let (force, goals) = (&mut self.force, &self.goals);
        match (&self.known, tight) {
            (Some((first, _)), Tight::SoFar) => pulls(force, goals, places, first, tight),
            (Some((_, later)), Tight::All) => pulls(force, goals, places, later, tight),
            (None, Tight::SoFar) => pulls(force, goals, places, &self.columns.first, tight),
            (None, Tight::All) => pulls(force, goals, places, &self.columns.later, tight),
        }
    }
}

impl Found {
    fn take(&mut self, forces: &[Lane], counted: usize) {
        let (mut most, mut least, mut sum) = (forces[0], forces[0], forces[0]);
        for force in &forces[1..] {
            for i in 0..LANES {
                most[i] = if force[i] > most[i] { force[i] } else { most[i] };
                least[i] = if force[i] < least[i] { force[i] } else { least[i] };
                sum[i] += force[i];
            }
        }
        let count = forces.len() as f64;
        for i in 0..counted {
            self.spreads.push((most[i] - least[i]) * count / sum[i] * 100.0);
            self.leasts.push(least[i]);
            self.slack += usize::from(least[i] <= 0.0);
        }
    }
}
