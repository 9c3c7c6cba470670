//! Torque by one factor, and by the theory of the power screw.

use std::f64::consts::PI;

use crate::trouble::Trouble;
use crate::vdi2230::{check_friction, positive};

/// Torque by one factor for all friction: T = K · d · F, in the unit of d times that of F.
///
/// K \[-\], d and F in any units. Range: 0.05 ≤ K ≤ 1. Source: Shigley, Mechanical Engineering
/// Design (the equation with the torque coefficient); a rule of thumb, never better than about a
/// quarter.
///
/// # Errors
/// Says which field is wrong: `K`, `d`, `F`.
///
/// ```
/// use lastbolt_tighten::short_form_torque;
/// // Shigley, example 8-3: K = 0.2, 3/4 in, 25 000 lbf: 3750 lbf·in. Matches.
/// assert!((short_form_torque(0.2, 0.75, 25_000.0).unwrap() - 3750.0).abs() < 1e-9);
/// ```
pub fn short_form_torque(k: f64, d: f64, f: f64) -> Result<f64, Trouble> {
    if !(0.05..=1.0).contains(&k) {
        positive("K", k)?;
        let message = format!("K = {k} is no torque factor.");
        let help = "It is about 0.2 dry and 0.15 oiled; between 0.05 and 1.";
        return Err(Trouble::new(crate::trouble::TroubleKind::OutOfRange, "K", message, help));
    }
    Ok(k * positive("d", d)? * positive("F", f)?)
}

/// What [`long_form_torque`] is computed from; lengths in one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PowerScrew {
    /// Preload F.
    pub preload: f64,
    /// Middle diameter of the thread.
    pub dm: f64,
    /// Lead: pitch of a single thread.
    pub lead: f64,
    /// Friction in the thread.
    pub f: f64,
    /// Friction of the collar.
    pub fc: f64,
    /// Middle *radius* of the collar.
    pub collar_radius: f64,
}

/// Torque of a screw as a power screw, in the unit of length times that of force.
///
/// T = F dm/2 · (l + π f dm sec 30°) / (π dm − f l sec 30°) + F fc rc
///
/// Range: f, fc 0.02 to 0.8, and π dm > f l sec 30°. Source: Shigley, Mechanical Engineering
/// Design, power screws with 60° profile.
///
/// # Errors
/// Says which field is wrong: `F`, `dm`, `l`, `f`, `fc`, `collar`.
///
/// ```
/// use lastbolt_tighten::{PowerScrew, long_form_torque};
/// // Shigley, example 8-3: 3/4-16 UNF, 25 000 lbf, f = fc = 0.15: 3551 lbf·in. Matches.
/// let screw = PowerScrew {
///     preload: 25_000.0, dm: 0.7094, lead: 1.0 / 16.0, f: 0.15, fc: 0.15,
///     collar_radius: 0.625 * 0.75,
/// };
/// assert!((long_form_torque(&screw).unwrap() - 3551.0).abs() < 0.5);
/// ```
pub fn long_form_torque(screw: &PowerScrew) -> Result<f64, Trouble> {
    positive("F", screw.preload)?;
    positive("dm", screw.dm)?;
    positive("l", screw.lead)?;
    positive("collar", screw.collar_radius)?;
    check_friction("f", screw.f)?;
    check_friction("fc", screw.fc)?;
    let sec = 1.0 / 30.0_f64.to_radians().cos();
    let up = screw.lead + PI * screw.f * screw.dm * sec;
    let down = PI * screw.dm - screw.f * screw.lead * sec;
    positive("dm", down)?;
    let thread = screw.preload * screw.dm / 2.0 * up / down;
    Ok(thread + screw.preload * screw.fc * screw.collar_radius)
}
