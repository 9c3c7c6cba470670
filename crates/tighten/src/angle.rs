//! Angles of turning and lengths of screws, as their source gives them.

use crate::cursor::Cursor;
use crate::exact::Exact;
use crate::number::{self, Number};
use crate::trouble::{Trouble, TroubleKind, shown};

/// The largest angle of one stage \[degrees\].
const DEGREES_MAX: i64 = 1080;

/// An angle to turn by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Angle {
    /// As written: "90°", "1/4 turn".
    pub text: String,
    /// Degrees, exactly; the lower of a range.
    pub low: Exact,
    /// Degrees; the higher of a range.
    pub high: Exact,
}

impl Angle {
    /// Reads a text that is one angle and nothing else.
    ///
    /// # Errors
    /// Says what is not understood.
    ///
    /// ```
    /// use lastbolt_tighten::{Angle, Exact};
    /// for text in ["90°", "90 deg", "+90°", "1/4 turn", "a quarter turn", "¼ turn"] {
    ///     assert_eq!(Angle::read(text).unwrap().low, Exact::whole(90), "{text}");
    /// }
    /// assert!(Angle::read("90 °C").is_err());
    /// ```
    pub fn read(text: &str) -> Result<Angle, Trouble> {
        let mut cursor = Cursor::new(text.trim());
        match scan(&mut cursor) {
            Some(Ok(angle)) if cursor.rest().trim().is_empty() => Ok(angle),
            Some(Err(trouble)) => Err(trouble),
            _ => Err(Trouble::new(
                TroubleKind::NotUnderstood,
                "angle",
                format!("\"{}\" is not understood as an angle.", shown(text)),
                "Write degrees or turns: 90°, 90 deg, 1/4 turn.",
            )),
        }
    }
}

/// Words for parts of a turn.
const WORDS: [(&str, i64); 6] = [
    ("a quarter turn", 90),
    ("quarter turn", 90),
    ("a half turn", 180),
    ("half a turn", 180),
    ("half turn", 180),
    ("one turn", 360),
];

/// Reads an angle from here; none, and nothing read, if there is none.
pub(crate) fn scan(cursor: &mut Cursor<'_>) -> Option<Result<Angle, Trouble>> {
    let from = cursor.at();
    let mut ahead = cursor.clone();
    ahead.take(|c| c == '+');
    ahead.skip_blanks();
    let start = ahead.at();
    let words = WORDS.map(|(words, _)| words);
    if let Some(found) = ahead.take_word(&words) {
        let degrees = WORDS.iter().find(|(words, _)| *words == found)?.1;
        *cursor = ahead;
        return Some(Ok(make(cursor.since(from), Exact::whole(degrees), Exact::whole(degrees))));
    }
    let first = match number::scan(&mut ahead)? {
        Ok(first) => first,
        Err(trouble) => {
            let is_angle = unit(&mut ahead).is_some();
            return is_angle.then_some(Err(Trouble { field: "angle".to_owned(), ..trouble }));
        }
    };
    let mut range = ahead.clone();
    unit(&mut range);
    let second = second(&mut range);
    let high = match second {
        Some(second) if unit(&mut range.clone()).is_some() => {
            ahead = range;
            second
        }
        _ => first.clone(),
    };
    let one = unit(&mut ahead)?;
    let by = tolerance(&mut ahead);
    let text = ahead.since(start).to_owned();
    *cursor = ahead;
    Some(match by {
        None => degrees(&text, first.value, high.value, one),
        Some(by) => {
            let low = first.value.minus(by).unwrap_or(Exact::ZERO);
            degrees(&text, low, high.value.plus(by).unwrap_or(high.value), one)
        }
    })
}

/// Reads "± 5°" behind an angle; nothing is read if there is none.
fn tolerance(cursor: &mut Cursor<'_>) -> Option<Exact> {
    let mut ahead = cursor.clone();
    ahead.take_word(&["±", "+/-"])?;
    ahead.skip_blanks();
    let by = number::scan(&mut ahead)?.ok()?;
    unit(&mut ahead);
    *cursor = ahead;
    Some(by.value)
}

fn second(cursor: &mut Cursor<'_>) -> Option<Number> {
    cursor.take_word(&["to", "–", "-", "…", "..", "..."])?;
    cursor.skip_blanks();
    number::scan(cursor)?.ok()
}

fn make(text: &str, low: Exact, high: Exact) -> Angle {
    Angle { text: text.trim().trim_start_matches('+').trim().to_owned(), low, high }
}

fn degrees(text: &str, low: Exact, high: Exact, one: i64) -> Result<Angle, Trouble> {
    let value = |number: Exact| number.times(Exact::whole(one));
    let both = value(low).zip(value(high));
    let wrong = |kind, message: String, help: &str| Err(Trouble::new(kind, "angle", message, help));
    match both {
        Some((low, high))
            if low > Exact::ZERO && high >= low && high <= Exact::whole(DEGREES_MAX) =>
        {
            Ok(make(text, low, high))
        }
        Some((low, _)) if low == Exact::ZERO => wrong(
            TroubleKind::Zero,
            format!("\"{}\" turns nothing.", shown(text)),
            "Write an angle above nothing.",
        ),
        Some((low, high)) if high < low => wrong(
            TroubleKind::Contradiction,
            format!("\"{}\" begins with the larger angle.", shown(text)),
            "Write the smaller angle first.",
        ),
        _ => wrong(
            TroubleKind::OutOfRange,
            format!("\"{}\" is more than three turns.", shown(text)),
            "Look whether the decimal sign or the unit is wrong.",
        ),
    }
}

/// Reads the unit of an angle and gives how many degrees it is.
fn unit(cursor: &mut Cursor<'_>) -> Option<i64> {
    let mut ahead = cursor.clone();
    ahead.skip_blanks();
    let one = if ahead.take(|c| matches!(c, '°' | 'º' | '˚')).is_some() {
        let mut letter = ahead.clone();
        letter.skip_blanks();
        // Degrees of heat are no angle.
        let heat = letter.take(|c| matches!(c, 'C' | 'F' | 'K')).is_some();
        if heat && !letter.peek().is_some_and(char::is_alphanumeric) {
            return None;
        }
        1
    } else if ahead.take_word(&["deg", "deg.", "degs", "degree", "degrees"]).is_some() {
        1
    } else if ahead.take_word(&["of a turn", "turn", "turns", "rev", "revolution"]).is_some() {
        360
    } else {
        return None;
    };
    *cursor = ahead;
    Some(one)
}

/// A length of a screw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Length {
    /// As written: "121,5 mm".
    pub text: String,
    /// Millimetres, exactly.
    pub millimetres: Exact,
}

impl Length {
    /// Reads a text that is one length and nothing else.
    ///
    /// # Errors
    /// Says what is not understood, or that it is nothing or below.
    ///
    /// ```
    /// use lastbolt_tighten::Length;
    /// assert_eq!(Length::read("4 in").unwrap().millimetres.short(3), "101.6");
    /// assert!(Length::read("-40 mm").is_err());
    /// ```
    pub fn read(text: &str) -> Result<Length, Trouble> {
        let mut cursor = Cursor::new(text.trim());
        let number = match number::scan(&mut cursor) {
            Some(Ok(number)) => number,
            Some(Err(trouble)) => return Err(Trouble { field: "length".to_owned(), ..trouble }),
            None => return Err(no_length(text)),
        };
        let one = length_unit(&mut cursor).filter(|_| cursor.rest().trim().is_empty());
        let millimetres = one.and_then(|one| number.value.times(one));
        let millimetres = millimetres.ok_or_else(|| no_length(text))?;
        if millimetres == Exact::ZERO {
            let message = format!("\"{}\" is no length.", shown(text));
            return Err(Trouble::new(
                TroubleKind::Zero,
                "length",
                message,
                "Write it in mm: 121.5 mm.",
            ));
        }
        Ok(Length { text: text.trim().to_owned(), millimetres })
    }
}

fn no_length(text: &str) -> Trouble {
    Trouble::new(
        TroubleKind::NotUnderstood,
        "length",
        format!("\"{}\" is not understood as a length.", shown(text)),
        "Write number and unit: 121.5 mm, 4.78 in.",
    )
}

/// Reads a length from here; none, and nothing read, if there is none.
pub(crate) fn scan_length(cursor: &mut Cursor<'_>) -> Option<Length> {
    let mut ahead = cursor.clone();
    let from = ahead.at();
    let number = number::scan(&mut ahead)?.ok()?;
    let one = length_unit(&mut ahead)?;
    let millimetres = number.value.times(one).filter(|mm| *mm > Exact::ZERO)?;
    let text = ahead.since(from).to_owned();
    *cursor = ahead;
    Some(Length { text, millimetres })
}

fn length_unit(cursor: &mut Cursor<'_>) -> Option<Exact> {
    let millimetres =
        match cursor.take_word(&["mm", "cm", "m", "in", "inch", "inches", "ft", "\""])? {
            "mm" => (1, 0),
            "cm" => (10, 0),
            "m" => (1000, 0),
            "ft" => (3048, 1),
            _ => (254, 1),
        };
    Exact::decimal(millimetres.0, millimetres.1)
}
