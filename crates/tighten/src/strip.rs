//! When a thread strips instead of the screw breaking.

use std::f64::consts::PI;

use crate::thread::Thread;
use crate::trouble::Trouble;
use crate::vdi2230::positive;

/// 1/√3, as the standard rounds it.
const TAN_30: f64 = 0.57735;

/// Shear area of the internal thread by length of engagement \[mm²/mm\], basic dimensions.
///
/// AS/L = π n d · (1/(2n) + 0.57735 (d − d2)), with n = 1/P threads by millimetre, d and d2 \[mm\];
/// the standard's least major diameter of the screw and largest pitch diameter of the nut are the
/// basic ones here. Source: FED-STD-H28 (1969), appendix; Machinery's Handbook has the same.
pub fn shear_area_internal_mm(thread: &Thread) -> f64 {
    let n = 1.0 / thread.pitch_mm;
    PI * n * thread.d_mm * (1.0 / (2.0 * n) + TAN_30 * (thread.d_mm - thread.d2_mm()))
}

/// Force at which the internal thread strips \[N\]: AS/L · Le · τ, with τ = 0.6 · Rm by custom.
///
/// Le: length of engagement \[mm\], without the chamfer; τ \[MPa\]. Basic dimensions, so a real
/// thread is some percent weaker.
///
/// # Errors
/// Says which field is wrong: `Le`, `tau`.
pub fn strip_force_internal_n(thread: &Thread, le_mm: f64, tau_mpa: f64) -> Result<f64, Trouble> {
    Ok(shear_area_internal_mm(thread) * positive("Le", le_mm)? * positive("tau", tau_mpa)?)
}

/// Least length of engagement at which a screw breaks before the tapped thread strips \[mm\].
///
/// Le = SF · As · Rm_bolt / (AS/L · τ). As \[mm²\], Rm_bolt and τ \[MPa\], SF a factor ≥ 1.
///
/// # Errors
/// Says which field is wrong: `Rm_bolt`, `tau`, `SF`.
///
/// ```
/// use lastbolt_tighten::{Thread, min_engagement_tapped_mm};
/// // A published calculator: M10, 830 MPa in 310 MPa, τ = 0.6 Rm: 9.4 mm. Matches.
/// let m10 = Thread::read("M10x1.5").unwrap();
/// let length = min_engagement_tapped_mm(&m10, 830.0, 0.6 * 310.0, 1.0).unwrap();
/// assert!((length - 9.4).abs() < 0.05);
/// ```
pub fn min_engagement_tapped_mm(
    thread: &Thread,
    rm_bolt_mpa: f64,
    tau_mpa: f64,
    factor: f64,
) -> Result<f64, Trouble> {
    let force = thread.stress_area_mm2() * positive("Rm_bolt", rm_bolt_mpa)?;
    let per_mm = shear_area_internal_mm(thread) * positive("tau", tau_mpa)?;
    Ok(positive("SF", factor)? * force / per_mm)
}

/// Least length of engagement where screw and nut are of one material \[mm\].
///
/// Le = 2 At / (π D1 · (1/2 + 0.57735 n (d2 − D1))), basic dimensions: D1 least minor diameter of
/// the nut, d2 pitch diameter of the screw \[mm\], At \[mm²\], n = 1/P. Source: FED-STD-H28 (1969),
/// appendix.
///
/// # Errors
/// Says that `At` is not above nothing.
///
/// ```
/// use lastbolt_tighten::{Thread, h28_min_engagement_mm};
/// // Worked by hand: 2 · 58.0 / (π · 8.376 · 0.75).
/// let m10 = Thread::read("M10").unwrap();
/// assert!((h28_min_engagement_mm(&m10, 58.0).unwrap() - 5.878).abs() < 0.001);
/// ```
pub fn h28_min_engagement_mm(thread: &Thread, at_mm2: f64) -> Result<f64, Trouble> {
    let n = 1.0 / thread.pitch_mm;
    let minor = thread.minor_nut_mm();
    let ring = 0.5 + TAN_30 * n * (thread.d2_mm() - minor);
    Ok(2.0 * positive("At", at_mm2)? / (PI * minor * ring))
}

/// Preload that an angle of turning adds \[N\]: F = (P · angle / 360) / (δS + δP).
///
/// P \[mm\], angle \[degrees\], δS + δP \[mm/N\] how much screw and parts give. Range: beyond the
/// snug torque, below yield. Source: VDI 2230 part 1 (2015), angle controlled tightening in the
/// elastic range.
///
/// # Errors
/// Says which field is wrong: `P`, `angle`, `dS+dP`.
///
/// ```
/// use lastbolt_tighten::angle_preload_n;
/// // By hand: 1.5 mm · 90/360 = 0.375 mm; at 6.5e-6 mm/N that is 57.692 kN.
/// assert!((angle_preload_n(1.5, 90.0, 6.5e-6).unwrap() - 57_692.3).abs() < 0.1);
/// ```
pub fn angle_preload_n(pitch_mm: f64, angle_deg: f64, give_mm_per_n: f64) -> Result<f64, Trouble> {
    let turned = positive("P", pitch_mm)? * positive("angle", angle_deg)? / 360.0;
    Ok(turned / positive("dS+dP", give_mm_per_n)?)
}
