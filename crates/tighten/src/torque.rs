//! A torque as its source gives it: digits, unit, range, and the same value in further units.

use crate::exact::Exact;
use crate::number::Number;
use crate::trouble::{Trouble, TroubleKind};
use crate::unit::TorqueUnit;

/// One printed value with its unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// As written, number and unit.
    pub text: String,
    /// The lowest value; the same as `high` where the source gives one number.
    pub low: Number,
    /// The highest value.
    pub high: Number,
    /// The value in the middle that the source itself prints ("40 ± 5"), if it does.
    pub nominal: Option<Number>,
    /// The unit.
    pub unit: TorqueUnit,
}

impl Entry {
    /// Gives what to aim at, in the entry's own unit: the number printed, for a range its middle.
    pub fn aim(&self) -> Exact {
        match &self.nominal {
            Some(nominal) => nominal.value,
            None => middle(self.low.value, self.high.value),
        }
    }

    /// Tells whether the source gives a range rather than one number.
    pub fn is_range(&self) -> bool {
        self.low.value != self.high.value
    }

    /// Gives a number of this entry in another unit, exactly; none if it does not fit.
    pub fn convert(&self, value: Exact, unit: TorqueUnit) -> Option<Exact> {
        convert(value, self.unit, unit)
    }
}

fn middle(low: Exact, high: Exact) -> Exact {
    low.plus(high).and_then(|sum| sum.times(Exact::new(1, 2)?)).unwrap_or(low)
}

/// Converts a value from one unit into another, exactly; none if it does not fit.
///
/// ```
/// use lastbolt_tighten::{Exact, TorqueUnit, convert};
/// let there = convert(Exact::whole(100), TorqueUnit::NewtonMetre, TorqueUnit::PoundForceFoot);
/// assert_eq!(there.unwrap().text(2), "73.76");
/// ```
pub fn convert(value: Exact, from: TorqueUnit, to: TorqueUnit) -> Option<Exact> {
    if from == to {
        return Some(value);
    }
    value.times(from.in_newton_metres().over(to.in_newton_metres())?)
}

/// A torque as its source gives it. What is printed stays what it is: every conversion starts at a
/// printed value, and nothing rounded is ever converted again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Torque {
    /// As written, whole.
    pub text: String,
    /// The printed values, at least one; several are the same torque in several units.
    entries: Vec<Entry>,
    /// Which entry holds where they do not agree, once somebody has said it.
    holds: Option<usize>,
}

impl Torque {
    pub(crate) fn new(text: &str, entries: Vec<Entry>) -> Option<Torque> {
        (!entries.is_empty()).then(|| Torque { text: text.to_owned(), entries, holds: None })
    }

    /// Gives the printed values, at least one.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Tells whether the printed values are one torque: each is one of them, rounded.
    ///
    /// Two agree when one, converted, gives the other after rounding to the digits that the other
    /// is printed in (half a unit of its last digit either way). Of three or more, one of them has
    /// to give all the others.
    pub fn agrees(&self) -> bool {
        self.entries.iter().any(|base| self.entries.iter().all(|other| is_rounded(base, other)))
    }

    /// Gives the question that has to be answered before this torque can be used, if there is one.
    pub fn question(&self) -> Option<Trouble> {
        if self.holds.is_some() || self.agrees() {
            return None;
        }
        let texts: Vec<&str> = self.entries.iter().map(|entry| entry.text.as_str()).collect();
        let first = &self.entries[0];
        let in_first = |entry: &Entry| {
            let value = entry.convert(entry.aim(), first.unit);
            let value = value.map_or_else(String::new, |value| value.short(2));
            format!("{} is {value} {}", entry.text, first.unit.symbol())
        };
        let others: Vec<String> = self.entries[1..].iter().map(in_first).collect();
        Some(Trouble::new(
            TroubleKind::TwinDisagrees,
            "torque",
            format!("{} differ by more than rounding: {}.", texts.join(" and "), others.join(", ")),
            "Look into the source again and say which one holds; until then it is not used.",
        ))
    }

    /// Gives the same torque with one of the printed values holding, the others put aside; none if
    /// there is no such entry.
    #[must_use]
    pub fn holding(&self, entry: usize) -> Option<Torque> {
        (entry < self.entries.len()).then(|| Torque { holds: Some(entry), ..self.clone() })
    }

    /// Gives which entry somebody said holds.
    pub fn said_to_hold(&self) -> Option<usize> {
        self.holds
    }

    /// Gives the printed value that a conversion into this unit starts from: the one printed in
    /// that unit, else the one with the finest digits, of equals the first; none as long as it is
    /// open which one holds.
    pub fn entry_for(&self, unit: TorqueUnit) -> Option<&Entry> {
        if let Some(holds) = self.holds {
            return self.entries.get(holds);
        }
        if !self.agrees() {
            return None;
        }
        if let Some(printed) = self.entries.iter().find(|entry| entry.unit == unit) {
            return Some(printed);
        }
        let fineness = |entry: &Entry| entry.low.unit.over(entry.low.value);
        let mut best = &self.entries[0];
        for entry in &self.entries[1..] {
            if let (Some(this), Some(least)) = (fineness(entry), fineness(best))
                && this < least
            {
                best = entry;
            }
        }
        Some(best)
    }

    /// Gives what to aim at in a unit, exactly; none as long as it is open which value holds.
    pub fn aim_in(&self, unit: TorqueUnit) -> Option<Exact> {
        let entry = self.entry_for(unit)?;
        entry.convert(entry.aim(), unit)
    }

    /// Gives the lowest and the highest that the source allows, in a unit, exactly.
    pub fn range_in(&self, unit: TorqueUnit) -> Option<(Exact, Exact)> {
        let entry = self.entry_for(unit)?;
        Some((entry.convert(entry.low.value, unit)?, entry.convert(entry.high.value, unit)?))
    }
}

/// Whether `other` is `base` converted and rounded to the digits that `other` is printed in.
fn is_rounded(base: &Entry, other: &Entry) -> bool {
    if base.is_range() != other.is_range() {
        return false;
    }
    let near = |base_value: &Number, printed: &Number| {
        let there = convert(base_value.value, base.unit, other.unit);
        let apart = there.and_then(|there| there.minus(printed.value)).map(Exact::abs);
        let half = printed.unit.times(Exact::new(1, 2).unwrap_or(Exact::ONE));
        apart.zip(half).is_some_and(|(apart, half)| apart <= half)
    };
    near(&base.low, &other.low) && near(&base.high, &other.high)
}
