//! Units of torque, with exact constants and the spellings that manuals use.

use crate::exact::Exact;

/// A unit of torque.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TorqueUnit {
    /// N·m.
    NewtonMetre,
    /// N·cm, the same as cN·m.
    NewtonCentimetre,
    /// N·mm.
    NewtonMillimetre,
    /// daN·m.
    DecanewtonMetre,
    /// kN·m.
    KilonewtonMetre,
    /// kgf·m, also written kg·m, kp·m, m·kg.
    KilogramForceMetre,
    /// kgf·cm.
    KilogramForceCentimetre,
    /// lbf·ft, also written ft·lb.
    PoundForceFoot,
    /// lbf·in, also written in·lb.
    PoundForceInch,
    /// ozf·in.
    OunceForceInch,
}

use TorqueUnit::*;

/// Spellings in small letters, without signs and blanks between; the first one of a unit is shown
/// in its own way by [`TorqueUnit::symbol`].
const SPELLINGS: [(TorqueUnit, &[&str]); 10] = [
    (NewtonMetre, &["nm", "mn", "newtonmetre", "newtonmeter", "newtonmetres", "newtonmeters"]),
    (NewtonCentimetre, &["ncm", "cnm"]),
    (NewtonMillimetre, &["nmm"]),
    (DecanewtonMetre, &["danm", "mdan"]),
    (KilonewtonMetre, &["knm"]),
    (KilogramForceMetre, &["kgfm", "kgm", "kpm", "mkgf", "mkg", "mkp", "kilopondmetre"]),
    (KilogramForceCentimetre, &["kgfcm", "kgcm", "kpcm", "cmkgf", "cmkg", "cmkp"]),
    (
        PoundForceFoot,
        &[
            "lbfft",
            "lbft",
            "lbsft",
            "lbffeet",
            "lbfeet",
            "ftlb",
            "ftlbs",
            "ftlbf",
            "ftlbsf",
            "footpound",
            "footpounds",
            "poundfoot",
            "poundfeet",
            "poundsfeet",
            "poundforcefoot",
        ],
    ),
    (
        PoundForceInch,
        &[
            "lbfin",
            "lbin",
            "lbsin",
            "lbfinch",
            "lbinch",
            "inlb",
            "inlbs",
            "inlbf",
            "inlbsf",
            "inchpound",
            "inchpounds",
            "poundinch",
            "poundinches",
            "poundforceinch",
            "inchlb",
            "inchlbs",
        ],
    ),
    (OunceForceInch, &["ozfin", "ozin", "inoz", "inozf", "ounceinch", "inchounces"]),
];

impl TorqueUnit {
    /// Every unit.
    pub const ALL: [TorqueUnit; 10] = [
        NewtonMetre,
        NewtonCentimetre,
        NewtonMillimetre,
        DecanewtonMetre,
        KilonewtonMetre,
        KilogramForceMetre,
        KilogramForceCentimetre,
        PoundForceFoot,
        PoundForceInch,
        OunceForceInch,
    ];

    /// Gives the unit in N·m, exactly.
    ///
    /// From g = 9.80665 m/s² (CGPM 1901), 1 lb = 0.45359237 kg and 1 in = 0.0254 m (international
    /// yard and pound, 1959): each is an exact decimal.
    ///
    /// ```
    /// use lastbolt_tighten::{Exact, TorqueUnit};
    /// // NIST SP 811 (2008), appendix B.8: 1 lbf·ft = 1.355818 N·m, 1 kgf·m = 9.80665 N·m (exact).
    /// assert_eq!(TorqueUnit::PoundForceFoot.in_newton_metres().text(6), "1.355818");
    /// assert_eq!(TorqueUnit::KilogramForceMetre.in_newton_metres().text(5), "9.80665");
    /// // No digit is lost: 0.45359237 * 9.80665 * 0.3048.
    /// assert_eq!(TorqueUnit::PoundForceFoot.in_newton_metres().short(20), "1.3558179483314004");
    /// ```
    pub fn in_newton_metres(self) -> Exact {
        // Digits, and how many of them are decimals.
        let (digits, decimals) = match self {
            NewtonMetre => (1, 0),
            NewtonCentimetre => (1, 2),
            NewtonMillimetre => (1, 3),
            DecanewtonMetre => (10, 0),
            KilonewtonMetre => (1000, 0),
            KilogramForceMetre => (980_665, 5),
            KilogramForceCentimetre => (980_665, 7),
            PoundForceFoot => (45_359_237 * 980_665 * 3_048, 8 + 5 + 4),
            PoundForceInch => (45_359_237 * 980_665 * 254, 8 + 5 + 4),
            OunceForceInch => (45_359_237 * 980_665 * 254 * 625, 8 + 5 + 4 + 4),
        };
        Exact::decimal(digits, decimals).unwrap_or(Exact::ONE)
    }

    /// Gives how it is shown.
    pub fn symbol(self) -> &'static str {
        match self {
            NewtonMetre => "N·m",
            NewtonCentimetre => "N·cm",
            NewtonMillimetre => "N·mm",
            DecanewtonMetre => "daN·m",
            KilonewtonMetre => "kN·m",
            KilogramForceMetre => "kgf·m",
            KilogramForceCentimetre => "kgf·cm",
            PoundForceFoot => "lbf·ft",
            PoundForceInch => "lbf·in",
            OunceForceInch => "ozf·in",
        }
    }

    /// Reads a spelling: case, blanks, points, dots and hyphens between do not matter.
    ///
    /// ```
    /// use lastbolt_tighten::TorqueUnit::{self, *};
    /// for text in ["N·m", "Nm", "N.m", "N m", "n-m", "NM"] {
    ///     assert_eq!(TorqueUnit::read(text), Some(NewtonMetre), "{text}");
    /// }
    /// assert_eq!(TorqueUnit::read("ft-lbs."), Some(PoundForceFoot));
    /// assert_eq!(TorqueUnit::read("kg"), None);
    /// // A milli- or a meganewton-metre is not a newton-metre.
    /// assert_eq!((TorqueUnit::read("mN·m"), TorqueUnit::read("MN·m")), (None, None));
    /// ```
    pub fn read(text: &str) -> Option<TorqueUnit> {
        let plain: String =
            text.chars().filter(|c| !is_between(*c)).flat_map(char::to_lowercase).collect();
        // "m·N" is spelled like "MN": only with a sign between it is a newton-metre.
        if plain == "mn" && !text.trim_start_matches(['m', 'M']).starts_with(is_between) {
            return None;
        }
        SPELLINGS.iter().find(|(_, all)| all.contains(&plain.as_str())).map(|(unit, _)| *unit)
    }
}

/// A sign that may stand between the letters of a unit.
pub(crate) fn is_between(c: char) -> bool {
    matches!(c, '·' | '•' | '⋅' | '∙' | '.' | '*' | '×' | '-' | '‑' | '–' | '_')
        || c.is_whitespace()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]
mod tests {
    use super::*;

    /// Every unit reads back from what is shown, no spelling belongs to two units, and a value of
    /// nine digits goes from any unit into any other and back without losing anything.
    #[test]
    fn every_unit() {
        for unit in TorqueUnit::ALL {
            assert_eq!(TorqueUnit::read(unit.symbol()), Some(unit));
        }
        let mut all: Vec<&str> = SPELLINGS.iter().flat_map(|(_, s)| s.iter().copied()).collect();
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
        let value = Exact::decimal(999_999_999, 6).unwrap();
        for from in TorqueUnit::ALL {
            for to in TorqueUnit::ALL {
                let nm = value.times(from.in_newton_metres()).unwrap();
                let there = nm.over(to.in_newton_metres()).unwrap();
                let back = there.times(to.in_newton_metres()).unwrap();
                assert_eq!(back.over(from.in_newton_metres()), Some(value), "{from:?} {to:?}");
            }
        }
    }
}
