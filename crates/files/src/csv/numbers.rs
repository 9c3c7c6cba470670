//! Numbers as spreadsheets write them: with comma or point.

use lastbolt_machine::Minutes;

use crate::limits::COUNT_MAX;

/// Reads a count: a whole number from 1; "3,0" is 3.
///
/// # Errors
/// Says what to write.
pub(super) fn count(text: &str) -> Result<u32, String> {
    let plain = plain(text);
    let whole = match plain.split_once(['.', ',']) {
        Some((whole, rest)) if rest.chars().all(|c| c == '0') => whole,
        _ => &plain,
    };
    let count = whole.parse::<u32>().ok().filter(|count| (1..=COUNT_MAX).contains(count));
    count.ok_or_else(|| format!("Write a whole number from 1 to {COUNT_MAX}, without a unit."))
}

/// Reads minutes: "2,5" and "2.5" are the same.
///
/// # Errors
/// Says what to write.
pub(super) fn minutes(text: &str) -> Result<Minutes, String> {
    let help = || "Write minutes such as 2,5 or 2.5: no unit, no sign for thousands.".to_owned();
    let plain = plain(text).replace(',', ".");
    let (whole, part) = plain.split_once('.').unwrap_or((&plain, ""));
    let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit());
    if whole.is_empty() || !digits(whole) || !digits(part) || (plain.ends_with('.')) {
        return Err(help());
    }
    let number: f64 = plain.parse().map_err(|_| help())?;
    Minutes::from_number(number)
        .map_err(|_| "Write 0 to 10 000 minutes with at most three decimals.".to_owned())
}

/// Writes minutes with as many decimals as they need.
pub(super) fn written(minutes: Minutes, decimal_comma: bool) -> String {
    let text = minutes.as_number().to_string();
    if decimal_comma { text.replace('.', ",") } else { text }
}

/// Without blanks, also those that never break a line.
fn plain(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_spreadsheets() {
        for (text, read) in [
            ("2,5", Some(2_500)),
            ("2.5", Some(2_500)),
            (" 0,125 ", Some(125)),
            ("1\u{a0}000", Some(1_000_000)),
            ("12", Some(12_000)),
            ("1.234,5", None),
            ("1,2,3", None),
            ("2,5 min", None),
            ("-1", None),
            (",5", None),
            ("5,", None),
            ("1e3", None),
            ("10001", None),
            ("0,0005", None),
        ] {
            assert_eq!(minutes(text).ok().map(|minutes| minutes.0), read, "{text}");
        }
        for (text, read) in [
            ("3", Some(3)),
            ("3,0", Some(3)),
            ("3.00", Some(3)),
            ("0", None),
            ("3,5", None),
            ("three", None),
            ("-3", None),
            ("1001", None),
        ] {
            assert_eq!(count(text).ok(), read, "{text}");
        }
        assert_eq!(written(Minutes(2_500), true), "2,5");
        assert_eq!(written(Minutes(3_000), true), "3");
    }
}
