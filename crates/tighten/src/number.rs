//! Numbers as manuals write them: decimal comma or point, groups of three, fractions.

use crate::cursor::Cursor;
use crate::exact::Exact;
use crate::trouble::{Trouble, TroubleKind, shown};

/// The most digits of a number.
const DIGITS_MAX: usize = 9;
/// The most digits behind the decimal sign.
const DECIMALS_MAX: usize = 6;

/// A number with the digits it was written in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Number {
    /// As written: "1,2".
    pub text: String,
    /// Its value, exactly.
    pub value: Exact,
    /// One unit of the last digit written: 0.1 for "1,2", 1 for "40"; for a fraction one part.
    pub unit: Exact,
}

impl Number {
    /// Reads a text that is one number and nothing else.
    ///
    /// # Errors
    /// Says what is not understood, what can be read in two ways, or what is below nothing.
    ///
    /// ```
    /// use lastbolt_tighten::Number;
    /// assert_eq!(Number::read("1,2").unwrap().value, Number::read("1.20").unwrap().value);
    /// // 1,200 may be one thousand two hundred.
    /// assert!(Number::read("1,200").is_err());
    /// ```
    pub fn read(text: &str) -> Result<Number, Trouble> {
        let mut cursor = Cursor::new(text.trim());
        match scan(&mut cursor) {
            Some(Ok(number)) if cursor.rest().trim().is_empty() => Ok(number),
            Some(Err(trouble)) => Err(trouble),
            _ => Err(Trouble::new(
                TroubleKind::NotUnderstood,
                "number",
                format!("\"{}\" is not understood as a number.", shown(text)),
                "Write digits, with a point or a comma before the decimals: 1.2 or 1,2.",
            )),
        }
    }
}

/// Whether a number may begin here.
pub(crate) fn begins(cursor: &Cursor<'_>) -> bool {
    let mut ahead = cursor.clone();
    let sign = ahead.take(|c| matches!(c, '-' | '−'));
    if sign.is_some() && cursor.before().is_some_and(char::is_alphanumeric) {
        return false;
    }
    if vulgar(&ahead).is_some() {
        return true;
    }
    ahead.take(|c| matches!(c, '.' | ','));
    ahead.peek().is_some_and(|c| c.is_ascii_digit())
}

/// Reads a number from here; none, and nothing read, if there is none.
pub(crate) fn scan(cursor: &mut Cursor<'_>) -> Option<Result<Number, Trouble>> {
    if !begins(cursor) {
        return None;
    }
    let from = cursor.at();
    let is_negative = cursor.take(|c| matches!(c, '-' | '−')).is_some();
    let read = match fraction(cursor) {
        Some(parts) => parts,
        None => {
            let start = cursor.at();
            digits(cursor);
            plain(cursor.since(start))
        }
    };
    let text = cursor.since(from).to_owned();
    Some(match read {
        Ok(_) if is_negative => Err(Trouble::new(
            TroubleKind::Negative,
            "number",
            format!("\"{}\" is below nothing.", shown(&text)),
            "Write it without the minus sign, or look into the source again.",
        )),
        Ok((value, unit)) => Ok(Number { text, value, unit }),
        Err(trouble) => Err(trouble),
    })
}

/// Moves over digits with signs between them.
fn digits(cursor: &mut Cursor<'_>) {
    loop {
        while cursor.take(|c| c.is_ascii_digit()).is_some() {}
        let mut ahead = cursor.clone();
        let between = ahead.take(is_inside);
        if between.is_none() || !ahead.peek().is_some_and(|c| c.is_ascii_digit()) {
            return;
        }
        // A plain blank: part of the number only where exactly three digits follow.
        if between == Some(' ') && !three_digits(&ahead) {
            return;
        }
        *cursor = ahead;
    }
}

fn three_digits(cursor: &Cursor<'_>) -> bool {
    let count = cursor.rest().chars().take_while(char::is_ascii_digit).count();
    count == 3 && cursor.before() == Some(' ')
}

fn is_inside(c: char) -> bool {
    matches!(c, '.' | ',' | '\'' | '’' | ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}')
}

/// Makes value and last unit of digits with signs between them.
fn plain(text: &str) -> Result<(Exact, Exact), Trouble> {
    let (whole, decimals) = parts(text)?;
    let all = format!("{whole}{decimals}");
    if all.trim_start_matches('0').len() > DIGITS_MAX || decimals.len() > DECIMALS_MAX {
        return Err(Trouble::new(
            TroubleKind::OutOfRange,
            "number",
            format!("\"{}\" has more digits than any wrench can show.", shown(text)),
            format!("Write at most {DIGITS_MAX} digits, {DECIMALS_MAX} of them decimals."),
        ));
    }
    let count = u32::try_from(decimals.len()).unwrap_or(0);
    let value = all.parse().ok().and_then(|digits: i128| Exact::decimal(digits, count));
    let unit = Exact::decimal(1, count);
    value.zip(unit).ok_or_else(|| not_a_number(text))
}

/// The digits before and behind the decimal sign.
fn parts(text: &str) -> Result<(String, String), Trouble> {
    let signs: Vec<(usize, char)> =
        text.char_indices().filter(|(_, c)| !c.is_ascii_digit()).collect();
    let plain = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
    let Some(&(at, last)) = signs.last() else { return Ok((text.to_owned(), String::new())) };
    let behind = &text[at + last.len_utf8()..];
    let groups = text.split(|c: char| !c.is_ascii_digit()).skip(1);
    let all_three = |mut groups: std::iter::Take<_>| groups.all(|g: &str| g.len() == 3);
    let grouped = all_three(groups.clone().take(signs.len()));
    if signs.len() == 1 {
        let first = &text[..at];
        let could_be_group =
            behind.len() == 3 && (1..=3).contains(&first.len()) && !first.starts_with('0');
        return match last {
            '.' => Ok((first.to_owned(), behind.to_owned())),
            ',' if !could_be_group => Ok((first.to_owned(), behind.to_owned())),
            ',' | ' ' => Err(two_readings(text, first, behind)),
            _ if grouped => Ok((plain(text), String::new())),
            _ => Err(not_a_number(text)),
        };
    }
    // Several signs: the last one is the decimal sign if it is a point or comma and differs.
    let others_same = signs[..signs.len() - 1].iter().all(|(_, c)| *c == signs[0].1);
    let before_grouped = all_three(groups.take(signs.len() - 1));
    if matches!(last, '.' | ',') && last != signs[0].1 && others_same && before_grouped {
        return Ok((plain(&text[..at]), behind.to_owned()));
    }
    if grouped && others_same && last == signs[0].1 && last != '.' {
        return Ok((plain(text), String::new()));
    }
    Err(not_a_number(text))
}

fn two_readings(text: &str, first: &str, behind: &str) -> Trouble {
    let short = format!("{first}.{behind}");
    let short = short.trim_end_matches('0').trim_end_matches('.');
    Trouble::new(
        TroubleKind::TwoReadings,
        "number",
        format!("\"{}\" can be read as {short} or as {first}{behind}.", shown(text)),
        format!("Write {first}.{behind} or {first}{behind}, whichever the source means."),
    )
}

fn not_a_number(text: &str) -> Trouble {
    Trouble::new(
        TroubleKind::NotUnderstood,
        "number",
        format!("\"{}\" is not understood as a number.", shown(text)),
        "Write digits, with one point or comma before the decimals: 1.2 or 1,2.",
    )
}

/// The halves, thirds, quarters and eighths that have a sign of their own.
const VULGAR: [(char, i128, i128); 9] = [
    ('½', 1, 2),
    ('⅓', 1, 3),
    ('⅔', 2, 3),
    ('¼', 1, 4),
    ('¾', 3, 4),
    ('⅛', 1, 8),
    ('⅜', 3, 8),
    ('⅝', 5, 8),
    ('⅞', 7, 8),
];

fn vulgar(cursor: &Cursor<'_>) -> Option<(i128, i128)> {
    let next = cursor.peek()?;
    VULGAR.iter().find(|(sign, ..)| *sign == next).map(|(_, over, under)| (*over, *under))
}

/// Lower numbers that a written fraction may have; 40/30 is no fraction.
const PARTS: [i128; 8] = [2, 3, 4, 6, 8, 12, 16, 32];

/// Reads "1/4", "1 1/2", "½", "7½"; nothing is read if there is none.
fn fraction(cursor: &mut Cursor<'_>) -> Option<Result<(Exact, Exact), Trouble>> {
    let mut ahead = cursor.clone();
    let (whole, over, under) = match (vulgar(&ahead), short_number(&mut ahead)) {
        (Some((over, under)), _) => {
            ahead.take(|_| true);
            (0, over, under)
        }
        (None, None) => return None,
        (None, Some(first)) => behind_number(&mut ahead, first)?,
    };
    if over >= under || over == 0 {
        return None;
    }
    *cursor = ahead;
    let value = Exact::new(whole * under + over, under)?;
    Some(Ok((value, Exact::new(1, under)?)))
}

/// What follows a whole number: "/4", " 1/2" or "½"; gives whole, upper and lower number.
fn behind_number(cursor: &mut Cursor<'_>, first: i128) -> Option<(i128, i128, i128)> {
    if let Some(under) = under(cursor) {
        return Some((0, first, under));
    }
    let had_blank = cursor.peek().is_some_and(char::is_whitespace);
    cursor.skip_blanks();
    if let Some((over, under)) = vulgar(cursor) {
        cursor.take(|_| true);
        return Some((first, over, under));
    }
    let over = short_number(cursor).filter(|_| had_blank)?;
    Some((first, over, under(cursor)?))
}

fn under(cursor: &mut Cursor<'_>) -> Option<i128> {
    cursor.take(|c| matches!(c, '/' | '⁄'))?;
    let under = short_number(cursor)?;
    PARTS.contains(&under).then_some(under)
}

/// Up to three digits that no further digit or decimal follows.
fn short_number(cursor: &mut Cursor<'_>) -> Option<i128> {
    let count = cursor.rest().chars().take_while(char::is_ascii_digit).count();
    if !(1..=3).contains(&count) {
        return None;
    }
    let from = cursor.at();
    let mut ahead = cursor.clone();
    ahead.go(count);
    let number = ahead.since(from).parse().ok()?;
    let mut further = ahead.clone();
    if further.take(|c| matches!(c, '.' | ',')).is_some()
        && further.peek().is_some_and(|c| c.is_ascii_digit())
    {
        return None;
    }
    *cursor = ahead;
    Some(number)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]
mod tests {
    use super::*;

    /// Numbers as they are printed; what can be read in two ways is asked, never guessed.
    #[test]
    fn as_printed() {
        for (text, value) in [
            ("40", "40"),
            ("1,2", "1.2"),
            ("1.200", "1.2"),
            ("0,125", "0.125"),
            (".5", "0.5"),
            ("1.234,5", "1234.5"),
            ("1,234.5", "1234.5"),
            ("1\u{202f}200", "1200"),
            ("1'200", "1200"),
            ("1,234,567", "1234567"),
            ("1/4", "0.25"),
            ("1 1/2", "1.5"),
            ("7½", "7.5"),
            ("¾", "0.75"),
            ("121,5", "121.5"),
        ] {
            let number = Number::read(text);
            assert_eq!(number.map(|n| n.value.short(9)).as_deref(), Ok(value), "{text}");
        }
        for (text, kind) in [
            ("1,200", TroubleKind::TwoReadings),
            ("1 200", TroubleKind::TwoReadings),
            ("-4", TroubleKind::Negative),
            ("1.2.3", TroubleKind::NotUnderstood),
            ("12,34,5", TroubleKind::NotUnderstood),
            ("40/30", TroubleKind::NotUnderstood),
            ("1234567890", TroubleKind::OutOfRange),
            ("1.1234567", TroubleKind::OutOfRange),
            ("forty", TroubleKind::NotUnderstood),
            ("", TroubleKind::NotUnderstood),
        ] {
            assert_eq!(Number::read(text).map_err(|t| t.kind), Err(kind), "{text}");
        }
    }
}
