//! Reading a torque: number or range, unit, and the same value in other units behind it.

use crate::cursor::Cursor;
use crate::exact::Exact;
use crate::number::{self, Number};
use crate::torque::{Entry, Torque};
use crate::trouble::{Trouble, TroubleKind, shown};
use crate::unit::{TorqueUnit, is_between};

/// The longest spelling of a unit \[characters\].
const UNIT_CHARS_MAX: usize = 24;
/// The most values of one twin.
const ENTRIES_MAX: usize = 6;
/// The largest torque \[N·m\].
const NEWTON_METRES_MAX: i64 = 100_000;

/// Reads a text that is one torque and nothing else, with its twins.
///
/// # Errors
/// Says what is not understood. That the values of a twin do not agree is no error here: see
/// [`Torque::question`].
///
/// ```
/// use lastbolt_tighten::{TorqueUnit, read_torque};
/// let torque = read_torque("40 N·m / 30 lbf·ft").unwrap();
/// assert!(torque.agrees());
/// assert_eq!(torque.entries()[1].unit, TorqueUnit::PoundForceFoot);
/// // Into a third unit goes the finer of the printed values: 40 N·m, not 30 lbf·ft.
/// let there = torque.aim_in(TorqueUnit::KilogramForceMetre).unwrap();
/// assert_eq!(there.text(3), "4.079");
/// assert!(read_torque("40 N·m / 50 lbf·ft").unwrap().question().is_some());
/// ```
pub fn read_torque(text: &str) -> Result<Torque, Trouble> {
    let mut cursor = Cursor::new(text.trim());
    match scan(&mut cursor) {
        Some(Ok(torque)) if cursor.rest().trim().trim_end_matches('.').is_empty() => Ok(torque),
        Some(Err(trouble)) => Err(trouble),
        Some(Ok(torque)) => Err(Trouble::new(
            TroubleKind::NotUnderstood,
            "torque",
            format!("Behind \"{}\", \"{}\" is not understood.", torque.text, shown(cursor.rest())),
            "Write one value and its unit, or a twin: 40 N·m / 30 lbf·ft.",
        )),
        None => Err(no_torque(text)),
    }
}

fn no_torque(text: &str) -> Trouble {
    let text = text.trim();
    if text.is_empty() {
        let message = "No torque is given.";
        return Trouble::new(
            TroubleKind::Missing,
            "torque",
            message,
            "Write value and unit: 40 N·m.",
        );
    }
    let mut cursor = Cursor::new(text);
    if let Some(Ok(number)) = number::scan(&mut cursor) {
        return no_unit(&number, cursor.rest());
    }
    Trouble::new(
        TroubleKind::NotUnderstood,
        "torque",
        format!("\"{}\" is not understood as a torque.", shown(text)),
        "Write value and unit: 40 N·m, 1,2 kgf·m, 95 lbf·in.",
    )
}

/// Says that a number has no unit, or one that is none of torque.
pub(crate) fn no_unit(number: &Number, rest: &str) -> Trouble {
    let word: String = rest.trim_start().chars().take_while(|c| c.is_alphabetic()).collect();
    let written = if word.is_empty() {
        number.text.clone()
    } else {
        shown(&format!("{} {word}", number.text))
    };
    let (message, help) = match word.to_lowercase().as_str() {
        "" => (
            format!("\"{written}\" has no unit."),
            "Write the unit of the source: N·m, lbf·ft, lbf·in, kgf·m.".to_owned(),
        ),
        "kg" | "kgf" | "kp" | "g" | "lb" | "lbs" | "lbf" | "n" | "dan" | "kn" | "oz" => (
            format!("\"{written}\" is a weight or a force, no torque: the length is missing."),
            "Look whether the source says per metre, foot or inch: N·m, kgf·m, lbf·ft, lbf·in."
                .to_owned(),
        ),
        "m" | "mm" | "cm" | "in" | "ft" => (
            format!("\"{written}\" is a length, no torque."),
            "Write the torque as in the source: 40 N·m.".to_owned(),
        ),
        _ => (
            format!("\"{}\" is not known as a unit of torque.", shown(&word)),
            "Known are N·m, N·cm, daN·m, kgf·m, kgf·cm, lbf·ft, lbf·in, ozf·in.".to_owned(),
        ),
    };
    Trouble::new(TroubleKind::NoUnit, "unit", message, help)
}

/// Reads a torque with its twins from here; none, and nothing read, if there is none.
pub(crate) fn scan(cursor: &mut Cursor<'_>) -> Option<Result<Torque, Trouble>> {
    let from = cursor.at();
    let mut ahead = cursor.clone();
    let mut entries = match entry(&mut ahead)? {
        Ok(first) => vec![first],
        Err(trouble) => return Some(Err(trouble)),
    };
    *cursor = ahead.clone();
    while entries.len() < ENTRIES_MAX {
        let has_twin = match twin(&mut ahead, &entries) {
            Some(Ok(further)) => {
                entries.extend(further);
                true
            }
            Some(Err(trouble)) => return Some(Err(trouble)),
            None => false,
        };
        if !has_twin {
            break;
        }
        *cursor = ahead.clone();
    }
    Torque::new(cursor.since(from), entries).map(Ok)
}

/// Reads " / 30 lbf·ft", " (30 lbf·ft, 4.1 kgf·m)", " = 30 lbf·ft", ", 30 lbf·ft".
fn twin(cursor: &mut Cursor<'_>, so_far: &[Entry]) -> Option<Result<Vec<Entry>, Trouble>> {
    cursor.skip_blanks();
    let sign = cursor.take(|c| matches!(c, '/' | '(' | '[' | '{' | '=' | ',' | '|'))?;
    let closing = match sign {
        '(' => Some(')'),
        '[' => Some(']'),
        '{' => Some('}'),
        _ => None,
    };
    let mut found = Vec::new();
    loop {
        cursor.skip_blanks();
        match entry(cursor)? {
            Ok(entry) => found.push(entry),
            Err(trouble) => return Some(Err(trouble)),
        }
        cursor.skip_blanks();
        let further = closing.is_some() && found.len() < ENTRIES_MAX;
        if !further || cursor.take(|c| matches!(c, ',' | ';' | '/' | '=')).is_none() {
            break;
        }
    }
    if let Some(closing) = closing {
        cursor.take(|c| c == closing)?;
    }
    // After a comma the same unit again is the next value, no twin.
    let is_next = |entry: &Entry| so_far.iter().any(|other| other.unit == entry.unit);
    if sign == ',' && found.iter().any(is_next) {
        return None;
    }
    Some(Ok(found))
}

/// Reads a number or range and its unit; none, and nothing read, if there is none.
fn entry(cursor: &mut Cursor<'_>) -> Option<Result<Entry, Trouble>> {
    let from = cursor.at();
    let mut ahead = cursor.clone();
    let first = match number::scan(&mut ahead)? {
        Ok(first) => first,
        Err(trouble) => return unit_follows(&ahead).then_some(Err(trouble)),
    };
    let first_unit = unit(&mut ahead);
    let mut range = ahead.clone();
    let spread = tolerance(&mut range).or_else(|| second(&mut range));
    let (spread, unit) = match (spread, first_unit) {
        (Some(Err(trouble)), _) => return unit_follows(&range).then_some(Err(trouble)),
        (Some(Ok(spread)), given) => {
            let behind = unit(&mut range);
            let unit = behind.or(given)?;
            if given.is_some_and(|given| given != unit) || needs_unit(&spread, given, behind) {
                (None, given?)
            } else {
                ahead = range;
                (Some(spread), unit)
            }
        }
        (None, given) => (None, given?),
    };
    let text = ahead.since(from).trim().to_owned();
    *cursor = ahead;
    Some(make(text, first, spread, unit))
}

/// "20 N·m - 25 of them" is no range: the second number of a range has a unit, before or behind.
fn needs_unit(spread: &Spread, given: Option<TorqueUnit>, behind: Option<TorqueUnit>) -> bool {
    matches!(spread, Spread::To(_)) && given.is_some() && behind.is_none()
}

fn unit_follows(cursor: &Cursor<'_>) -> bool {
    unit(&mut cursor.clone()).is_some()
}

/// What makes a range of a number.
enum Spread {
    To(Number),
    Equal(Number),
    Percent(Number),
}

/// Reads "± 5", "± 10 %", "+/- 5".
fn tolerance(cursor: &mut Cursor<'_>) -> Option<Result<Spread, Trouble>> {
    cursor.skip_blanks();
    if cursor.take(|c| c == '±').is_none() {
        let sign = ["+/-", "+-", "+/−"].into_iter().find(|sign| cursor.rest().starts_with(sign))?;
        cursor.go(sign.len());
    }
    cursor.skip_blanks();
    let number = match number::scan(cursor)? {
        Ok(number) => number,
        Err(trouble) => return Some(Err(trouble)),
    };
    let mut ahead = cursor.clone();
    ahead.skip_blanks();
    if ahead.take(|c| c == '%').is_some() {
        *cursor = ahead;
        return Some(Ok(Spread::Percent(number)));
    }
    Some(Ok(Spread::Equal(number)))
}

/// Reads "- 25", "to 25", "… 25" behind the first number.
fn second(cursor: &mut Cursor<'_>) -> Option<Result<Spread, Trouble>> {
    cursor.take_word(&["to", "..", "...", "…", "–", "—", "-", "−", "‑"])?;
    cursor.skip_blanks();
    number::scan(cursor).map(|number| number.map(Spread::To))
}

/// Reads the longest spelling of a unit from here; none, and nothing read, if there is none.
pub(crate) fn unit(cursor: &mut Cursor<'_>) -> Option<TorqueUnit> {
    let mut ahead = cursor.clone();
    ahead.skip_blanks();
    let rest = ahead.rest();
    let signs: Vec<(usize, char)> = rest
        .char_indices()
        .take_while(|(_, c)| c.is_alphabetic() || is_between(*c))
        .take(UNIT_CHARS_MAX)
        .collect();
    let found = signs.iter().rev().find_map(|(at, last)| {
        let end = at + last.len_utf8();
        let next = rest[end..].chars().next();
        let ends = last.is_alphabetic() && !next.is_some_and(char::is_alphanumeric);
        ends.then(|| TorqueUnit::read(&rest[..end]))?.map(|unit| (unit, end))
    });
    let (unit, end) = found?;
    ahead.go(end);
    *cursor = ahead;
    Some(unit)
}

fn make(
    text: String,
    first: Number,
    spread: Option<Spread>,
    unit: TorqueUnit,
) -> Result<Entry, Trouble> {
    let too_much = |number: &Number| {
        let nm = number.value.times(unit.in_newton_metres());
        nm.is_none_or(|nm| nm > Exact::whole(NEWTON_METRES_MAX))
    };
    let (low, high, nominal) = match spread {
        None => (first.clone(), first, None),
        Some(Spread::To(second)) => (first, second, None),
        Some(Spread::Equal(by)) => {
            (apart(&first, by.value, &by, true)?, apart(&first, by.value, &by, false)?, Some(first))
        }
        Some(Spread::Percent(by)) => {
            let part = by.value.over(Exact::whole(100)).and_then(|p| p.times(first.value));
            let part = part.ok_or_else(|| out_of_range(&text))?;
            (apart(&first, part, &by, true)?, apart(&first, part, &by, false)?, Some(first))
        }
    };
    if high.value == Exact::ZERO || low.value.is_negative() {
        return Err(Trouble::new(
            TroubleKind::Zero,
            "torque",
            format!("\"{}\" is no torque to tighten to.", shown(&text)),
            "Write a value above nothing; what is put in by hand is \"by hand\".",
        ));
    }
    if low.value > high.value {
        return Err(Trouble::new(
            TroubleKind::Contradiction,
            "torque",
            format!("\"{}\" begins with the larger value.", shown(&text)),
            "Write the lower value first; look into the source whether a digit is missing.",
        ));
    }
    if too_much(&high) {
        return Err(out_of_range(&text));
    }
    Ok(Entry { text, low, high, nominal, unit })
}

/// A number and what is added or taken away, with the text of the value it gives.
fn apart(from: &Number, by: Exact, written: &Number, down: bool) -> Result<Number, Trouble> {
    let value = if down { from.value.minus(by) } else { from.value.plus(by) };
    let value = value.ok_or_else(|| out_of_range(&from.text))?;
    let unit = from.unit.min(written.unit);
    Ok(Number { text: value.short(6), value, unit })
}

fn out_of_range(text: &str) -> Trouble {
    Trouble::new(
        TroubleKind::OutOfRange,
        "torque",
        format!("\"{}\" is more than any joint of a machine takes.", shown(text)),
        format!(
            "Look whether the decimal sign or the unit is wrong; the limit is {NEWTON_METRES_MAX} \
            N·m."
        ),
    )
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<String> {
        let torque = read_torque(text).unwrap_or_else(|trouble| panic!("{text}: {trouble}"));
        let one = |e: &Entry| {
            let (low, high) = (e.low.value.short(6), e.high.value.short(6));
            format!("{low}..{high} {}", e.unit.symbol())
        };
        torque.entries().iter().map(one).collect()
    }

    /// Spellings of value and unit as manuals print them.
    #[test]
    fn spellings() {
        for (text, expected) in [
            ("40 N·m", "40..40 N·m"),
            ("40N.m", "40..40 N·m"),
            ("40 N m", "40..40 N·m"),
            ("40 Nm.", "40..40 N·m"),
            ("1,2 kgf·m", "1.2..1.2 kgf·m"),
            ("1,2 kgm", "1.2..1.2 kgf·m"),
            ("1.2 kp m", "1.2..1.2 kgf·m"),
            ("3 mkg", "3..3 kgf·m"),
            ("4 daNm", "4..4 daN·m"),
            ("95 lbf·in", "95..95 lbf·in"),
            ("95 in-lb", "95..95 lbf·in"),
            ("95 in. lbs.", "95..95 lbf·in"),
            ("30 lbf·ft", "30..30 lbf·ft"),
            ("30 ft-lb", "30..30 lbf·ft"),
            ("30 ft lbs", "30..30 lbf·ft"),
            ("30 lb ft", "30..30 lbf·ft"),
            ("30 foot-pounds", "30..30 lbf·ft"),
            ("20-25 N·m", "20..25 N·m"),
            ("20 – 25 Nm", "20..25 N·m"),
            ("20 to 25 N·m", "20..25 N·m"),
            ("20 N·m to 25 N·m", "20..25 N·m"),
            ("20,5...25,5 N·m", "20.5..25.5 N·m"),
            ("40 ± 5 N·m", "35..45 N·m"),
            ("40 N·m ± 10 %", "36..44 N·m"),
            ("40 N·m +/- 4 N·m", "36..44 N·m"),
            ("7 1/2 lbf·ft", "7.5..7.5 lbf·ft"),
            ("180 cN·m", "180..180 N·cm"),
        ] {
            assert_eq!(read(text), [expected], "{text}");
        }
    }

    /// Twins in every way they are printed.
    #[test]
    fn twins() {
        let both = ["40..40 N·m", "30..30 lbf·ft"];
        for text in [
            "40 N·m / 30 lbf·ft",
            "40 N·m (30 lbf·ft)",
            "40 Nm = 30 ft-lb",
            "40 Nm [30 lb ft]",
            "40 Nm, 30 ft lbs",
        ] {
            assert_eq!(read(text), both, "{text}");
            assert!(read_torque(text).unwrap().agrees(), "{text}");
        }
        assert_eq!(read("40 N·m (4.1 kgf·m, 30 lbf·ft)").len(), 3);
        assert!(read_torque("20-25 N·m (15-18 lbf·ft)").unwrap().agrees());
        // Three printed values of one torque: the first gives both others.
        assert!(read_torque("3.0 kgf·m (29 N·m, 22 lbf·ft)").unwrap().agrees());
    }

    /// A twin agrees when it differs only by rounding of either: half of the last digit and no
    /// more.
    #[test]
    fn only_rounding() {
        for (text, agrees) in [
            ("40 N·m / 30 lbf·ft", true),
            ("41 N·m / 30 lbf·ft", true),
            ("42 N·m / 30 lbf·ft", false),
            ("40 N·m / 29.5 lbf·ft", true),
            ("40 N·m / 29.8 lbf·ft", true),
            ("40 N·m / 29.9 lbf·ft", false),
            ("40.0 N·m / 29.6 lbf·ft", false),
            ("40.1 N·m / 29.6 lbf·ft", true),
            ("10 N·m / 89 lbf·in", true),
            ("10 N·m / 7.4 lbf·ft", true),
            ("10 N·m / 74 lbf·ft", false),
            ("1,2 kgf·m / 12 N·m", true),
            ("12 kgf·m / 12 N·m", false),
            ("20-25 N·m / 15-19 lbf·ft", false),
        ] {
            let torque = read_torque(text).unwrap();
            assert_eq!((torque.agrees(), torque.question().is_none()), (agrees, agrees), "{text}");
            assert_eq!(torque.aim_in(TorqueUnit::NewtonMetre).is_some(), agrees, "{text}");
        }
        let open = read_torque("40 N·m / 50 lbf·ft").unwrap();
        assert_eq!(open.entry_for(TorqueUnit::NewtonMetre), None);
        let settled = open.holding(1).unwrap();
        assert!(settled.question().is_none());
        assert_eq!(settled.aim_in(TorqueUnit::NewtonMetre).unwrap().text(2), "67.79");
        assert!(open.holding(2).is_none());
    }

    /// A printed value is used as printed in its own unit; a rounded one is never converted back.
    #[test]
    fn never_back() {
        let torque = read_torque("40 N·m / 30 lbf·ft").unwrap();
        assert_eq!(torque.aim_in(TorqueUnit::NewtonMetre), Some(Exact::whole(40)));
        assert_eq!(torque.aim_in(TorqueUnit::PoundForceFoot), Some(Exact::whole(30)));
        assert_eq!(torque.aim_in(TorqueUnit::PoundForceInch).unwrap().text(1), "354.0");
        // The wrong twin would start at the rounded 30 lbf·ft.
        let back = convert_text("30 lbf·ft", TorqueUnit::PoundForceInch);
        assert_eq!(back, "360.0");
    }

    fn convert_text(text: &str, unit: TorqueUnit) -> String {
        read_torque(text).unwrap().aim_in(unit).unwrap().text(1)
    }

    /// What is not a torque gets a sentence of its own kind.
    #[test]
    fn sentences() {
        for (text, kind) in [
            ("", TroubleKind::Missing),
            ("40", TroubleKind::NoUnit),
            ("40 kg", TroubleKind::NoUnit),
            ("40 lb", TroubleKind::NoUnit),
            ("40 mm", TroubleKind::NoUnit),
            ("40 quux", TroubleKind::NoUnit),
            ("40 mN·m", TroubleKind::NoUnit),
            ("-40 N·m", TroubleKind::Negative),
            ("0 N·m", TroubleKind::Zero),
            ("1,200 lbf·in", TroubleKind::TwoReadings),
            ("25-20 N·m", TroubleKind::Contradiction),
            ("40 ± 50 N·m", TroubleKind::Zero),
            ("4000000 N·m", TroubleKind::OutOfRange),
            ("forty N·m", TroubleKind::NotUnderstood),
            ("40 N·m sharp", TroubleKind::NotUnderstood),
            ("40 N·m / 50", TroubleKind::NotUnderstood),
        ] {
            let read = read_torque(text).map(|torque| torque.text);
            assert_eq!(read.as_ref().map_err(|t| t.kind), Err(&kind).map_err(|k| *k), "{text}");
        }
    }
}
