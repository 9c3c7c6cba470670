//! What the garage owns: wrenches and adapters.

use crate::angle::Length;
use crate::class::WrenchClass;
use crate::cursor::Cursor;
use crate::exact::Exact;
use crate::number;
use crate::scan_torque;
use crate::trouble::{Trouble, TroubleKind, shown};
use crate::unit::TorqueUnit;

/// A torque wrench.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrench {
    /// What it is called in the garage.
    pub name: String,
    /// The lowest marked value, in its unit.
    pub low: Exact,
    /// The largest marked value, in its unit.
    pub high: Exact,
    /// The unit of its scale.
    pub unit: TorqueUnit,
    /// Its class, if it is known.
    pub class: Option<WrenchClass>,
    /// From mark to mark, counted from the lowest, in its unit; none: it can be set to anything.
    pub step: Option<Exact>,
    /// From the middle of the grip to the middle of the square \[mm\]; needed with an adapter.
    pub length_mm: Option<Exact>,
}

/// A wrench as it is written in a garage file or on the command line.
#[derive(Clone, Copy, Debug, Default)]
pub struct WrenchText<'a> {
    /// "20-200", "20-200 N·m".
    pub range: Option<&'a str>,
    /// "N·m", where the range has none.
    pub unit: Option<&'a str>,
    /// "II A", "±4 %".
    pub class: Option<&'a str>,
    /// "1", "0,25".
    pub step: Option<&'a str>,
    /// "400 mm"; a bare number is millimetres.
    pub length: Option<&'a str>,
}

impl Wrench {
    /// Reads a wrench; every trouble at once, each with the field's name.
    ///
    /// # Errors
    /// Says what is missing, not understood or not known.
    pub fn read(name: &str, text: WrenchText<'_>) -> Result<Wrench, Vec<Trouble>> {
        let mut troubles = Vec::new();
        let mut keep = |trouble: Trouble| {
            troubles.push(trouble);
        };
        let range = range(text.range.unwrap_or_default(), text.unit).map_err(&mut keep).ok();
        let class = text.class.map(WrenchClass::read).transpose().map_err(&mut keep).ok();
        let step = text.step.map(read_step).transpose().map_err(&mut keep).ok();
        let length = text.length.map(millimetres).transpose().map_err(&mut keep).ok();
        match (range, class, step, length) {
            (Some((low, high, unit)), Some(class), Some(step), Some(length_mm)) => {
                Ok(Wrench { name: name.to_owned(), low, high, unit, class, step, length_mm })
            }
            _ => Err(troubles),
        }
    }

    /// Gives the largest value \[N·m\].
    pub fn high_nm(&self) -> Exact {
        self.high.times(self.unit.in_newton_metres()).unwrap_or(self.high)
    }

    /// Gives "20 to 200 N·m".
    pub fn range_text(&self) -> String {
        format!("{} to {} {}", self.low.short(3), self.high.short(3), self.unit.symbol())
    }
}

fn range(text: &str, unit: Option<&str>) -> Result<(Exact, Exact, TorqueUnit), Trouble> {
    let wrong = |kind, message: String| {
        Trouble::new(kind, "range", message, "Write lowest and largest mark: 20-200 N·m.")
    };
    if text.trim().is_empty() {
        return Err(wrong(TroubleKind::Missing, "The wrench has no range.".to_owned()));
    }
    let mut cursor = Cursor::new(text.trim());
    let not_understood = || {
        wrong(
            TroubleKind::NotUnderstood,
            format!("\"{}\" is not understood as a range.", shown(text)),
        )
    };
    let number = |cursor: &mut Cursor<'_>| match number::scan(cursor) {
        Some(Ok(number)) => Ok(number.value),
        Some(Err(trouble)) => Err(Trouble { field: "range".to_owned(), ..trouble }),
        None => Err(not_understood()),
    };
    let low = number(&mut cursor)?;
    let low_unit = scan_torque::unit(&mut cursor);
    cursor.take_word(&["to", "..", "...", "…", "–", "—", "-", "−"]).ok_or_else(not_understood)?;
    cursor.skip_blanks();
    let high = number(&mut cursor)?;
    let written = scan_torque::unit(&mut cursor).or(low_unit);
    if !cursor.rest().trim().is_empty() || low_unit.is_some_and(|unit| Some(unit) != written) {
        return Err(not_understood());
    }
    if high <= low {
        let message = format!("\"{}\" does not go from a lower to a larger mark.", shown(text));
        return Err(wrong(TroubleKind::Contradiction, message));
    }
    Ok((low, high, unit_of(written, unit)?))
}

fn unit_of(written: Option<TorqueUnit>, said: Option<&str>) -> Result<TorqueUnit, Trouble> {
    let help = "Known are N·m, N·cm, daN·m, kgf·m, kgf·cm, lbf·ft, lbf·in, ozf·in.";
    let wrong = |kind, message: String| Err(Trouble::new(kind, "unit", message, help));
    let Some(said) = said else {
        return match written {
            Some(unit) => Ok(unit),
            None => wrong(TroubleKind::NoUnit, "The wrench's scale has no unit.".to_owned()),
        };
    };
    match (TorqueUnit::read(said), written) {
        (None, _) => {
            let message = format!("\"{}\" is not known as a unit of torque.", shown(said));
            wrong(TroubleKind::NoUnit, message)
        }
        (Some(unit), Some(other)) if unit != other => {
            let message =
                format!("The range is in {}, the unit is {}.", other.symbol(), unit.symbol());
            wrong(TroubleKind::Contradiction, message)
        }
        (Some(unit), _) => Ok(unit),
    }
}

fn read_step(text: &str) -> Result<Exact, Trouble> {
    let help = "Write how much lies between two marks of the scale, in its unit: 0.5.";
    let value =
        number::Number::read(text).map_err(|t| Trouble { field: "step".to_owned(), ..t })?.value;
    if value == Exact::ZERO {
        let message = "A step of 0 leaves no marks on the scale.";
        return Err(Trouble::new(TroubleKind::Zero, "step", message, help));
    }
    Ok(value)
}

/// Reads a length; a bare number is millimetres.
fn millimetres(text: &str) -> Result<Exact, Trouble> {
    if number::Number::read(text).is_ok() {
        return Length::read(&format!("{text} mm")).map(|length| length.millimetres);
    }
    Length::read(text).map(|length| length.millimetres)
}

/// An adapter that moves the screw away from the wrench's square: a crow's foot, an offset ring.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Adapter {
    /// What it is called in the garage.
    pub name: String,
    /// From the middle of the square to the middle of the screw \[mm\].
    pub length_mm: Exact,
}

impl Adapter {
    /// Reads an adapter; a bare number is millimetres.
    ///
    /// # Errors
    /// Says that the length is missing, nothing, below nothing or not understood.
    pub fn read(name: &str, length: Option<&str>) -> Result<Adapter, Trouble> {
        let length = length.ok_or_else(|| {
            let help = "Write it from the middle of the square to the middle of the screw: 60 mm.";
            Trouble::new(TroubleKind::Missing, "length", "The adapter has no length.", help)
        })?;
        Ok(Adapter { name: name.to_owned(), length_mm: millimetres(length)? })
    }
}

/// An adapter as it is held at one joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// The adapter.
    pub adapter: Adapter,
    /// Between the wrench, seen from its grip, and the adapter \[degrees\]: 0 is straight ahead and
    /// makes it longer, 90 is across, 180 is folded back.
    pub degrees: f64,
}
