//! Numbers with units in the inputs of a row, and units of answers.

use crate::trouble::{Trouble, TroubleKind, shown};
use crate::unit::TorqueUnit;

/// What a number measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Measure {
    Force,
    Length,
    Area,
    Stress,
    Torque,
    Angle,
    Give,
    Stiffness,
    Plain,
}

use Measure::*;

const LBF_N: f64 = 4.448_221_615_260_5;
const PSI_MPA: f64 = LBF_N / (25.4 * 25.4);

/// Units by what they measure, in newton, millimetre, megapascal, degree, mm/N.
const UNITS: [(Measure, &[(&str, f64)]); 8] = [
    (
        Force,
        &[
            ("N", 1.0),
            ("kN", 1000.0),
            ("daN", 10.0),
            ("MN", 1e6),
            ("lbf", LBF_N),
            ("lb", LBF_N),
            ("kip", 1000.0 * LBF_N),
            ("kgf", 9.806_65),
            ("kp", 9.806_65),
        ],
    ),
    (
        Length,
        &[
            ("mm", 1.0),
            ("cm", 10.0),
            ("m", 1000.0),
            ("um", 0.001),
            ("µm", 0.001),
            ("in", 25.4),
            ("ft", 304.8),
        ],
    ),
    (
        Area,
        &[
            ("mm2", 1.0),
            ("mm²", 1.0),
            ("mm^2", 1.0),
            ("cm2", 100.0),
            ("m2", 1e6),
            ("in2", 25.4 * 25.4),
        ],
    ),
    (
        Stress,
        &[
            ("MPa", 1.0),
            ("N/mm2", 1.0),
            ("N/mm²", 1.0),
            ("GPa", 1000.0),
            ("kPa", 0.001),
            ("Pa", 1e-6),
            ("psi", PSI_MPA),
            ("ksi", 1000.0 * PSI_MPA),
        ],
    ),
    (Angle, &[("deg", 1.0), ("°", 1.0), ("rad", 180.0 / std::f64::consts::PI), ("turn", 360.0)]),
    (Give, &[("mm/N", 1.0), ("mm/kN", 0.001), ("um/N", 0.001), ("m/N", 1000.0)]),
    (Stiffness, &[("MPa/mm", 1.0), ("GPa/mm", 1000.0), ("N/mm3", 1.0)]),
    (Plain, &[("-", 1.0), ("", 1.0), ("%", 0.01), ("x d", 1.0)]),
];

/// Gives how many of the usual units a unit is; none if it is none of that measure.
pub(super) fn factor(measure: Measure, unit: &str) -> Option<f64> {
    let unit = unit.trim();
    if measure == Torque {
        return TorqueUnit::read(unit).map(|unit| unit.in_newton_metres().to_f64());
    }
    let (_, units) = UNITS.iter().find(|(of, _)| *of == measure)?;
    let found = |same: &dyn Fn(&str) -> bool| units.iter().find(|(name, _)| same(name));
    let exact = found(&|name| name == unit);
    // "MN" and "mN" differ; "MPA" and "Mm" do not mean anything else.
    let loose = || found(&|name| name.eq_ignore_ascii_case(unit) && name != "MN");
    exact.or_else(loose).map(|(_, factor)| *factor)
}

/// Gives the units of a measure for a sentence.
pub(super) fn known(measure: Measure) -> String {
    if measure == Torque {
        return TorqueUnit::ALL.map(TorqueUnit::symbol).join(", ");
    }
    let units = UNITS.iter().find(|(of, _)| *of == measure).map_or(&[][..], |(_, units)| units);
    let names: Vec<&str> = units.iter().map(|(name, _)| *name).filter(|n| !n.is_empty()).collect();
    names.join(", ")
}

/// Reads the number at the beginning of a text, and gives what stands behind it.
///
/// # Errors
/// Says that there is no number, or that it can be read in two ways.
pub(super) fn leading(field: &str, text: &str) -> Result<(f64, String), Trouble> {
    let text = text.trim();
    let end = number_end(text);
    let (number, rest) = text.split_at(end);
    let value = plain_number(field, number, text)?;
    Ok((value, rest.trim().to_owned()))
}

/// Where the number ends: digits with signs between, and an exponent.
fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut at = usize::from(text.starts_with(['-', '+']));
    let is_part = |c: u8| c.is_ascii_digit() || c == b'.' || c == b',';
    while bytes.get(at).copied().is_some_and(is_part) {
        at += 1;
    }
    if bytes.get(at).is_some_and(|c| matches!(c, b'e' | b'E')) {
        let mut ahead = at + 1;
        ahead += usize::from(bytes.get(ahead).is_some_and(|c| matches!(c, b'-' | b'+')));
        if bytes.get(ahead).is_some_and(u8::is_ascii_digit) {
            while bytes.get(ahead).is_some_and(u8::is_ascii_digit) {
                ahead += 1;
            }
            at = ahead;
        }
    }
    at
}

fn plain_number(field: &str, number: &str, text: &str) -> Result<f64, Trouble> {
    let not_a_number = || {
        Trouble::new(
            TroubleKind::NotUnderstood,
            field,
            format!("\"{}\" is not understood as a number.", shown(text)),
            format!("Write {field}=NUMBER, with a point or a comma before the decimals."),
        )
    };
    let commas = number.matches(',').count();
    if let Some((first, behind)) = number.split_once(',')
        && commas == 1
        && behind.len() == 3
        && (1..=3).contains(&first.len())
        && first != "0"
        && behind.bytes().all(|c| c.is_ascii_digit())
    {
        return Err(Trouble::new(
            TroubleKind::TwoReadings,
            field,
            format!("\"{}\" can be read as {first}.{behind} or as {first}{behind}.", shown(text)),
            "Write the one that is meant.",
        ));
    }
    let value: f64 = number.replace(',', ".").parse().map_err(|_| not_a_number())?;
    if value.is_finite() { Ok(value) } else { Err(not_a_number()) }
}
