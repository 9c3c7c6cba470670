//! Minutes as exact thousandths, and the table of minutes for what was left out (R27).

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};

/// A time in thousandths of a minute, so that sums are exact (R22).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Minutes(pub i64);

/// Why a number is no legal number of minutes (R22).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MinutesError {
    /// Below zero.
    Negative,
    /// Infinite or not a number.
    NotFinite,
    /// Above 10,000.
    TooLarge,
    /// More than three decimals.
    TooFine,
}

impl Minutes {
    /// No time at all.
    pub const ZERO: Self = Self(0);
    /// The largest number of minutes that a file may state.
    pub const LARGEST: Self = Self(10_000_000);
    /// Longer than any plan can be; used as "no way at all".
    pub const NEVER: Self = Self(i64::MAX / 4);

    /// Whole minutes.
    pub const fn whole(minutes: i64) -> Self {
        Self(minutes * 1000)
    }

    /// Reads a number of minutes as a file may state it: 0 to 10,000, at most three decimals.
    ///
    /// # Errors
    /// Says which of the limits of R22 is broken.
    pub fn from_number(minutes: f64) -> Result<Self, MinutesError> {
        if !minutes.is_finite() {
            return Err(MinutesError::NotFinite);
        }
        if minutes < 0.0 {
            return Err(MinutesError::Negative);
        }
        if minutes > 10_000.0 {
            return Err(MinutesError::TooLarge);
        }
        let thousandths = (minutes * 1000.0).round();
        if (minutes * 1000.0 - thousandths).abs() > 1e-6 {
            return Err(MinutesError::TooFine);
        }
        // In range by the tests above: 0 to 10,000,000.
        Ok(Self(thousandths as i64))
    }

    /// The number of minutes as a floating-point number, for JSON and for display.
    pub fn as_number(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// Times a whole number, as R27 multiplies by `count`.
    pub fn times(self, count: u32) -> Self {
        Self(self.0.saturating_mul(i64::from(count)))
    }

    /// Whether this stands for "no way at all".
    pub fn is_never(self) -> bool {
        self >= Self::NEVER
    }
}

impl Add for Minutes {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Minutes {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Minutes {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Sum for Minutes {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::ZERO, Add::add)
    }
}

impl fmt::Display for Minutes {
    /// Writes at most three decimals and none that are not needed: `3`, `0.5`, `12.25`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let whole = self.0.unsigned_abs() / 1000;
        let rest = self.0.unsigned_abs() % 1000;
        if rest == 0 {
            return write!(f, "{sign}{whole}");
        }
        let decimals = format!("{rest:03}");
        write!(f, "{sign}{whole}.{}", decimals.trim_end_matches('0'))
    }
}

/// Minutes for what a file leaves out, by kind of fixing (R27; every figure invented).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MinuteTable {
    /// Minutes by kind from a garage file; they win over the built-in table.
    pub by_kind: Vec<(String, Minutes)>,
}

impl MinuteTable {
    /// Minutes for a tie of this kind, for all its pieces; times 1.5 where it is done by feel.
    pub fn tie(&self, kind: &str, count: u32, feel: bool) -> Minutes {
        let one = self.lookup(kind).unwrap_or_else(|| built_in(kind));
        let all = one.times(count.max(1));
        if feel { Minutes(all.0.saturating_mul(3) / 2) } else { all }
    }

    /// Minutes for a part: 1, unless the garage file says otherwise under `part`.
    pub fn part(&self, feel: bool) -> Minutes {
        let one = self.lookup("part").unwrap_or(Minutes::whole(1));
        if feel { Minutes(one.0 * 3 / 2) } else { one }
    }

    /// Minutes for one piece of a kind, and whether they are the garage's own.
    pub fn one(&self, kind: &str) -> (Minutes, bool) {
        match self.lookup(kind) {
            Some(own) => (own, true),
            None if kind == "part" => (Minutes::whole(1), false),
            None => (built_in(kind), false),
        }
    }

    fn lookup(&self, kind: &str) -> Option<Minutes> {
        self.by_kind.iter().find(|(k, _)| k == kind).map(|(_, m)| *m)
    }
}

/// The built-in table of R27, in minutes for one piece (invented, marked so in the docs).
fn built_in(kind: &str) -> Minutes {
    Minutes(match kind {
        "screw" | "nut" | "stud" | "cable" => 700,
        "plug" | "earth" | "push-in" | "push-in pipe" | "quick joint" => 500,
        "clip" | "push peg" | "circlip" | "roll pin" | "pin" | "split pin" | "hook" => 400,
        "union" | "banjo" => 1500,
        "cable tie" => 200,
        _ => 1000,
    })
}

/// The kinds of fixing and connection that counts and minutes know (R27, trade words).
pub const KNOWN_KINDS: &[&str] = &[
    "screw",
    "nut",
    "stud",
    "plug",
    "earth",
    "hose",
    "union",
    "banjo",
    "clamp",
    "V-clamp",
    "quick joint",
    "push-in",
    "push-in pipe",
    "push peg",
    "clip",
    "hook",
    "circlip",
    "roll pin",
    "split pin",
    "pin",
    "dowel",
    "press fit",
    "spline",
    "taper",
    "key",
    "ball joint",
    "cable",
    "cable tie",
    "tape",
    "belt",
    "chain",
    "spring",
    "sealant",
    "fixing",
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers of files are exact in thousandths, and every limit of R22 is its own error.
    #[test]
    fn reads_and_writes_minutes() {
        assert_eq!(Minutes::from_number(0.1), Ok(Minutes(100)));
        assert_eq!(Minutes::from_number(9.32).map(|m| m.to_string()), Ok("9.32".into()));
        assert_eq!(Minutes::from_number(-0.5), Err(MinutesError::Negative));
        assert_eq!(Minutes::from_number(f64::NAN), Err(MinutesError::NotFinite));
        assert_eq!(Minutes::from_number(10_000.5), Err(MinutesError::TooLarge));
        assert_eq!(Minutes::from_number(0.0005), Err(MinutesError::TooFine));
        assert_eq!(Minutes(28_500).to_string(), "28.5");
    }

    /// The pieces of a tie count, and work by feel takes half as long again (R27).
    #[test]
    fn table_minutes() {
        let table = MinuteTable::default();
        assert_eq!(table.tie("screw", 4, false), Minutes(2800));
        assert_eq!(table.tie("plug", 1, true), Minutes(750));
        assert_eq!(table.tie("whatsit", 2, false), Minutes(2000));
        let own = MinuteTable { by_kind: vec![("screw".into(), Minutes(1000))] };
        assert_eq!(own.tie("screw", 2, false), Minutes(2000));
    }
}
