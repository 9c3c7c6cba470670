//! What a wrench is set to when the screw is not under its square.

use crate::exact::Exact;
use crate::trouble::{Trouble, TroubleKind};

/// How many times longer the lever is with the adapter: T = S · factor.
///
/// T = S · (L + E · cos α) / L. L \[mm\] is the wrench from the middle of the grip to its square, E
/// \[mm\] the adapter from the square to the screw, α \[degrees\] the angle between wrench and
/// adapter, 0 straight ahead. S is what the wrench is set to, T what the screw gets, in one unit.
/// Range: L > 0, E ≥ 0,
/// |α| ≤ 360, L + E · cos α > 0. Source: plain statics; US Army TM 5-3810-305-23 has it for α = 0.
///
/// # Errors
/// Says which field is wrong: `L`, `E`, `angle`, or that the adapter takes all the length away.
///
/// ```
/// use lastbolt_tighten::{Exact, lever_factor};
/// // TM 5-3810-305-23: 300 lbf·ft, 18 in wrench, 6 in adapter straight ahead: set to 225.
/// let factor = lever_factor(Exact::whole(18), Exact::whole(6), 0.0).unwrap();
/// assert_eq!(Exact::whole(300).over(factor), Some(Exact::whole(225)));
/// // Across it changes nothing; folded back by its own length nothing is left.
/// assert_eq!(lever_factor(Exact::whole(40), Exact::whole(5), 90.0), Ok(Exact::ONE));
/// assert!(lever_factor(Exact::whole(40), Exact::whole(40), 180.0).is_err());
/// ```
pub fn lever_factor(length: Exact, adapter: Exact, degrees: f64) -> Result<Exact, Trouble> {
    let wrong = |kind, field: &str, message: &str, help: &str| {
        Err(Trouble::new(kind, field, message, help))
    };
    if length <= Exact::ZERO {
        let kind = if length.is_negative() { TroubleKind::Negative } else { TroubleKind::Zero };
        return wrong(kind, "L", "The length of the wrench is not above nothing.", LENGTH_HELP);
    }
    if adapter.is_negative() {
        return wrong(
            TroubleKind::Negative,
            "E",
            "The length of the adapter is below nothing.",
            "An adapter that points back has a length above nothing and an angle of 180.",
        );
    }
    if !degrees.is_finite() || degrees.abs() > 360.0 {
        let message = "The angle of the adapter is not between -360 and 360 degrees.";
        return wrong(TroubleKind::OutOfRange, "angle", message, "0 is straight ahead, 90 across.");
    }
    let along = cosine(degrees).and_then(|cosine| adapter.times(cosine));
    let lever = along.and_then(|along| length.plus(along));
    let factor = lever.and_then(|lever| lever.over(length));
    match factor {
        None => wrong(
            TroubleKind::OutOfRange,
            "L",
            "These lengths have too many digits.",
            "Write them in millimetres with at most one decimal.",
        ),
        Some(factor) if factor <= Exact::ZERO => wrong(
            TroubleKind::Cancels,
            "angle",
            "Held like this the adapter takes away all of the wrench's length: the screw gets \
            nothing.",
            "Hold it across (90 degrees) or ahead, or take a shorter adapter.",
        ),
        Some(factor) => Ok(factor),
    }
}

const LENGTH_HELP: &str = "Measure from the middle of the grip to the middle of the square.";

/// The cosine, exactly where it is a simple fraction, else to nine decimals.
fn cosine(degrees: f64) -> Option<Exact> {
    let turn = degrees.abs() % 360.0;
    let simple = [
        (0.0, 2),
        (60.0, 1),
        (90.0, 0),
        (120.0, -1),
        (180.0, -2),
        (240.0, -1),
        (270.0, 0),
        (300.0, 1),
    ];
    match simple.iter().find(|(angle, _)| (turn - angle).abs() < 1e-12) {
        Some((_, halves)) => Exact::new(*halves, 2),
        None => Exact::near(turn.to_radians().cos()),
    }
}

/// How far the screw's torque is off when the wrench was set for one angle of the adapter and held
/// at another \[percent\]: 100 · ((L + E · cos held) / (L + E · cos set) − 1).
///
/// # Errors
/// As [`lever_factor`].
///
/// ```
/// use lastbolt_tighten::{Exact, adapter_angle_error};
/// // A published table for E/L = 0.25, set for 90 degrees and held at 75: 6.5 % too much.
/// let error = adapter_angle_error(Exact::whole(4), Exact::ONE, 90.0, 75.0).unwrap();
/// assert!((error - 6.5).abs() < 0.05);
/// ```
pub fn adapter_angle_error(
    length: Exact,
    adapter: Exact,
    set_for: f64,
    held_at: f64,
) -> Result<f64, Trouble> {
    let set = lever_factor(length, adapter, set_for)?;
    let held = lever_factor(length, adapter, held_at)?;
    Ok(100.0 * (held.to_f64() / set.to_f64() - 1.0))
}
