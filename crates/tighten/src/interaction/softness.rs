//! Where stiffness comes from: formulas with their inputs given, and a figure that was published.
//! No value stands in for one that nobody knows, but what is marked so here.

use super::joint::{Elastic, ModelError};
use super::passes::influence;

/// Share of a screw's force that was lost when its neighbour was tightened, in a published test
/// without a gasket. A single figure: an order of magnitude (boltscience.com,
/// pages/tsequence.htm; read).
pub const LOSS_PUBLISHED: f64 = 0.35;
/// The same share in a joint called stiff here: own assumption, no source.
pub const LOSS_STIFF_ASSUMED: f64 = 0.10;
/// Share of the joint's give that one space between neighbours passes on: own assumption.
pub const PASSED_ON_ASSUMED: f64 = 0.5;

/// Stiffness of a screw as a plain rod, kN/mm: `E A / l` (Hooke).
///
/// `e_gpa` Young's modulus in GPa (kN/mm2), `area_mm2` stress area, `clamped_mm` length between
/// head and nut. Head, thread and nut give as well and are left out: a real screw is softer.
///
/// # Errors
/// If one of them is not above 0.
pub fn screw_stiffness(e_gpa: f64, area_mm2: f64, clamped_mm: f64) -> Result<f64, ModelError> {
    for value in [e_gpa, area_mm2, clamped_mm] {
        if !value.is_finite() || value <= 0.0 {
            return Err(ModelError::NotPositive(value));
        }
    }
    Ok(e_gpa * area_mm2 / clamped_mm)
}

/// Stiffness of a gasket for each square millimetre, GPa/mm (kN/mm for each mm2): `E / t`.
///
/// ```
/// use lastbolt_tighten::gasket_stiffness;
/// // E = 68.7 GPa, t = 2.5 mm: Abaqus Example Problems 1.1.1, after Sawa and others 1991.
/// assert!((gasket_stiffness(68.7, 2.5).unwrap() - 27.48).abs() < 0.005);
/// ```
///
/// # Errors
/// If one of them is not above 0.
pub fn gasket_stiffness(e_gpa: f64, thick_mm: f64) -> Result<f64, ModelError> {
    screw_stiffness(e_gpa, 1.0, thick_mm)
}

/// The joint of this kind in which the first screw of the order loses this share of its force when
/// the screw beside it is tightened next; how soft that is comes out, it need not be known.
///
/// `passed_on` and `apart` as in [`Elastic::by_distance`]; the neighbour is the nearest other
/// screw. Scale-free: screws are given a stiffness of 1.
///
/// # Errors
/// If there are less than two screws, or no softness loses as much.
pub fn by_loss(
    screws: usize,
    loss: f64,
    passed_on: f64,
    apart: impl Fn(usize, usize) -> f64 + Copy,
) -> Result<Elastic, ModelError> {
    if screws < 2 {
        return Err(ModelError::Size { screws, rows: screws });
    }
    if !(0.0..1.0).contains(&loss) {
        return Err(ModelError::Share(loss));
    }
    let stiffness = vec![1.0; screws];
    let nearest = (1..screws).min_by(|a, b| apart(0, *a).total_cmp(&apart(0, *b))).unwrap_or(1);
    let with = |own: f64| Elastic::by_distance(&stiffness, own, passed_on, apart);
    let lost = |joint: &Elastic| Ok(-influence(joint, &[0, nearest])?.at(0, 1));
    let (mut low, mut high) = (0.0, 1e6);
    if lost(&with(high)?)? < loss {
        return Err(ModelError::LossOutOfReach(loss));
    }
    // The loss rises with softness: halving finds it to the last digit.
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if lost(&with(middle)?)? < loss {
            low = middle;
        } else {
            high = middle;
        }
    }
    with(f64::midpoint(low, high))
}
