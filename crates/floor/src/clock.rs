//! Times of day: read here and nowhere else, and written in UTC; the browser makes them local.

use std::time::{SystemTime, UNIX_EPOCH};

/// The time of day \[ms since 1970, UTC\].
pub(crate) fn now_ms() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
}

/// A time of day taken apart, in UTC.
struct Parts {
    year: i64,
    month: i64,
    day: i64,
    hour: i64,
    minute: i64,
    second: i64,
}

/// The civil calendar from days since 1970: H. Hinnant's `civil_from_days`, from memory, checked
/// by the tests below.
fn parts(ms: i64) -> Parts {
    let seconds = ms.div_euclid(1000);
    let (days, rest) = (seconds.div_euclid(86_400), seconds.rem_euclid(86_400));
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let day_of_era = z.rem_euclid(146_097);
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    Parts { year, month, day, hour: rest / 3600, minute: rest / 60 % 60, second: rest % 60 }
}

/// "2026-11-25T16:40:05Z", for machines.
pub(crate) fn iso(ms: i64) -> String {
    let Parts { year, month, day, hour, minute, second } = parts(ms);
    format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}Z")
}

/// The year of a time of day, in UTC.
pub(crate) fn year(ms: i64) -> i64 {
    parts(ms).year
}

/// "2026-11-25 16:40 UTC", for people without scripts.
pub(crate) fn plain(ms: i64) -> String {
    let Parts { year, month, day, hour, minute, .. } = parts(ms);
    format!("{year:04}-{month:02}-{day:02} {hour:02}:{minute:02} UTC")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Leap days, turns of the year and times before 1970 are where such sums go wrong; the
    /// values are those of `date -u -d @SECONDS`.
    #[test]
    fn calendar() {
        assert_eq!(iso(0), "1970-01-01T00:00:00Z");
        assert_eq!(iso(-1), "1969-12-31T23:59:59Z");
        assert_eq!(iso(951_782_400_000), "2000-02-29T00:00:00Z");
        assert_eq!(iso(1_709_251_199_000), "2024-02-29T23:59:59Z");
        assert_eq!(iso(1_735_689_599_999), "2024-12-31T23:59:59Z");
        assert_eq!(plain(4_102_444_800_000), "2100-01-01 00:00 UTC");
    }
}
