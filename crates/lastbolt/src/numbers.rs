//! Minutes as numbers for programs and as words for people.

use lastbolt_machine::Minutes;
use serde_json::Number;

/// Gives minutes as a JSON number with at most three decimals and none that are not needed.
pub(crate) fn number(minutes: Minutes) -> Number {
    if minutes.0 % 1000 == 0 {
        return Number::from(minutes.0 / 1000);
    }
    // Thousandths below 2^53: the nearest double is written with the same three decimals.
    Number::from_f64(minutes.as_number()).unwrap_or_else(|| Number::from(minutes.0 / 1000))
}

#[cfg(test)]
mod tests {
    use lastbolt_job::about;

    use super::*;

    /// Programs compare these numbers: 12 is not 12.0, and no fourth decimal appears.
    #[test]
    fn numbers_have_the_decimals_they_need() {
        let check = |thousandths, text: &str| {
            assert_eq!(number(Minutes(thousandths)).to_string(), text);
        };
        check(12_000, "12");
        check(500, "0.5");
        check(0, "0");
        check(9_320, "9.32");
        check(1, "0.001");
        check(9_999_999, "9999.999");
        for thousandths in 0..20_000 {
            let text = number(Minutes(thousandths)).to_string();
            let decimals = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            assert!(decimals <= 3, "{text}");
        }
    }

    /// Minutes of this trade are good to plus or minus half, so nobody is told thousandths.
    #[test]
    fn spoken_minutes() {
        let check = |thousandths, text: &str| assert_eq!(about(Minutes(thousandths)), text);
        check(0, "under a minute");
        check(2_500, "about 3 min");
        check(89_400, "about 89 min");
        check(320_500, "about 5 h 20");
        check(599_000, "about 10 h");
        check(605_000, "about 10 h 05");
    }
}
