//! A joint as springs.

use std::fmt;

use super::matrix::Matrix;
use crate::{HOLES_MAX, Hole};

/// A joint as springs: each screw's stiffness in kN/mm and the joint's compliance in mm/kN.
///
/// The matrix is symmetric, and `diag(1/k) + C` is positive definite for every set of screws.
#[derive(Debug, Clone, PartialEq)]
pub struct Elastic {
    stiffness: Vec<f64>,
    compliance: Matrix,
}

/// Why numbers are no joint. Screws are counted from 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ModelError {
    /// No screws, or more than [`HOLES_MAX`], or a matrix of another size.
    Size {
        /// Screws given.
        screws: usize,
        /// Rows of the compliance.
        rows: usize,
    },
    /// A stiffness that is not above 0.
    Stiffness(usize, f64),
    /// A compliance that is no number, or differs from the one the other way round.
    Compliance(usize, usize),
    /// Such a joint would give way to some forces without end.
    NotStable,
    /// A share (of force passed on to the next hole, of force lost) outside of its range.
    Share(f64),
    /// A value that has to be above 0 and is not.
    NotPositive(f64),
    /// A screw that the joint does not have.
    NoScrew(usize),
    /// No softness gives that loss: so few holes, or such a distance, cannot lose as much.
    LossOutOfReach(f64),
}

impl fmt::Display for ModelError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Size { screws, rows } => write!(
                f,
                "{screws} screws with a compliance of {rows} rows: give 1 to {HOLES_MAX} of each, \
                 as many of one as of the other"
            ),
            Self::Stiffness(screw, value) => {
                write!(f, "stiffness of screw {screw} is {value}: give kN/mm above 0")
            }
            Self::Compliance(i, j) => write!(
                f,
                "compliance between holes {i} and {j} is no number or not the same both ways"
            ),
            Self::NotStable => write!(
                f,
                "such a joint would give way without end: holes may not move more for a force \
                 elsewhere than for one at themselves"
            ),
            Self::Share(value) => write!(f, "share {value}: give one from 0 to below 1"),
            Self::NotPositive(value) => write!(f, "{value} has to be above 0"),
            Self::NoScrew(screw) => write!(f, "the joint has no screw {screw}"),
            Self::LossOutOfReach(loss) => write!(
                f,
                "no joint of this shape loses {loss} of the first screw's force: give less"
            ),
        }
    }
}

impl std::error::Error for ModelError {}

impl Elastic {
    /// From each screw's stiffness (kN/mm) and the joint's compliance (mm/kN).
    ///
    /// # Errors
    /// If sizes differ, a stiffness is not above 0, or the compliance is not symmetric and stable.
    pub fn new(stiffness: &[f64], compliance: Matrix) -> Result<Self, ModelError> {
        let count = stiffness.len();
        if count == 0 || count > HOLES_MAX || compliance.size() != count {
            return Err(ModelError::Size { screws: count, rows: compliance.size() });
        }
        let wrong = |k: &f64| !k.is_finite() || *k <= 0.0;
        if let Some(screw) = stiffness.iter().position(wrong) {
            return Err(ModelError::Stiffness(screw + 1, stiffness[screw]));
        }
        let most = (0..count).map(|i| compliance.at(i, i).abs()).fold(0.0, f64::max);
        for i in 0..count {
            for j in 0..=i {
                let (there, back) = (compliance.at(i, j), compliance.at(j, i));
                if !there.is_finite() || (there - back).abs() > 1e-9 * most {
                    return Err(ModelError::Compliance(i + 1, j + 1));
                }
            }
        }
        let joint = Self { stiffness: stiffness.to_vec(), compliance };
        let whole: Vec<usize> = (0..count).collect();
        joint.springs(&whole).cholesky().map(|_| joint).ok_or(ModelError::NotStable)
    }

    /// A joint whose compliance falls with distance: `own * passed_on ^ distance`, distances being
    /// counted in spaces between neighbours (`apart(i, j)`).
    ///
    /// `own` in mm/kN, `passed_on` from 0 to below 1.
    ///
    /// # Errors
    /// As [`Elastic::new`]; also if `own` is below 0 or `passed_on` outside of its range.
    pub fn by_distance(
        stiffness: &[f64],
        own: f64,
        passed_on: f64,
        apart: impl Fn(usize, usize) -> f64,
    ) -> Result<Self, ModelError> {
        if !(own.is_finite() && own >= 0.0) {
            return Err(ModelError::NotPositive(own));
        }
        if !(0.0..1.0).contains(&passed_on) {
            return Err(ModelError::Share(passed_on));
        }
        let cell =
            |i, j| if i == j { own } else { own * passed_on.powf(f64::max(apart(i, j), 0.0)) };
        Self::new(stiffness, Matrix::from_cells(stiffness.len(), cell))
    }

    /// The same joint on a gasket: an even bed of springs of this whole stiffness (kN/mm) along the
    /// holes, under a cover that it lets sink and tilt as one piece.
    ///
    /// Own model from statics: a force at hole j sinks the cover by `1/k` and tilts it about its
    /// middle, so hole i sinks by `1/k + (r_i, S^-1 r_j) n/k`, S being the sum of `r r^T`.
    ///
    /// # Errors
    /// If the stiffness is not above 0 or there is another number of holes than of screws.
    pub fn on_gasket(&self, holes: &[Hole], stiffness: f64) -> Result<Self, ModelError> {
        if !stiffness.is_finite() || stiffness <= 0.0 {
            return Err(ModelError::NotPositive(stiffness));
        }
        let count = self.screws();
        if holes.len() != count {
            return Err(ModelError::Size { screws: holes.len(), rows: count });
        }
        let places = crate::point::normal(&crate::point::points(holes));
        let sum = |of: fn(&crate::point::Point) -> f64| places.iter().map(of).sum::<f64>();
        let (xx, xy, yy) = (sum(|p| p.x * p.x), sum(|p| p.x * p.y), sum(|p| p.y * p.y));
        // Holes in a line resist no tilt across it: a trace of width keeps the sum solvable.
        let trace = 1e-9 * (xx + yy).max(f64::MIN_POSITIVE);
        let (xx, yy) = (xx + trace, yy + trace);
        let determinant = xx * yy - xy * xy;
        let cell = |i: usize, j: usize| {
            let (p, q) = (places[i], places[j]);
            let tilt = (p.x * (yy * q.x - xy * q.y) + p.y * (xx * q.y - xy * q.x)) / determinant;
            self.compliance.at(i, j) + (1.0 + count as f64 * tilt) / stiffness
        };
        let compliance = Matrix::from_cells(count, |i, j| cell(i.min(j), i.max(j)));
        Self::new(&self.stiffness, compliance)
    }

    /// The same joint with its compliance made so many times larger.
    ///
    /// # Errors
    /// If the factor is below 0 or no number.
    pub fn softer(&self, times: f64) -> Result<Self, ModelError> {
        if !(times.is_finite() && times >= 0.0) {
            return Err(ModelError::NotPositive(times));
        }
        let compliance = Matrix::from_cells(self.screws(), |i, j| times * self.compliance.at(i, j));
        Self::new(&self.stiffness, compliance)
    }

    /// How many screws it has.
    #[must_use]
    pub fn screws(&self) -> usize {
        self.stiffness.len()
    }

    /// Stiffness of each screw, kN/mm.
    #[must_use]
    pub fn stiffness(&self) -> &[f64] {
        &self.stiffness
    }

    /// The joint's compliance, mm/kN.
    #[must_use]
    pub fn compliance(&self) -> &Matrix {
        &self.compliance
    }

    /// `M = diag(1/k) + C` over these screws, in this order.
    pub(crate) fn springs(&self, screws: &[usize]) -> Matrix {
        Matrix::from_cells(screws.len(), |row, column| {
            let (i, j) = (screws[row], screws[column]);
            let own = if i == j { 1.0 / self.stiffness[i] } else { 0.0 };
            own + self.compliance.at(i, j)
        })
    }
}
