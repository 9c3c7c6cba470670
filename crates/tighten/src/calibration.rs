//! When a wrench was calibrated, as its owner wrote it, and whether it is due again.

/// The usual time between two calibrations \[months\]: ISO 6789 says a year or 5,000 pulls where
/// nobody laid down another; from memory, and said so wherever it is used.
const USUAL_MONTHS: u32 = 12;
/// Nobody means a longer time \[months\].
const MONTHS_MAX: u32 = 120;
const MS_A_DAY: i64 = 86_400_000;

/// What is known of a wrench's calibration, as of a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Calibration {
    /// Nothing was said.
    Unknown,
    /// It was said in words of which no day can be read.
    Words(String),
    /// Within the time.
    Good {
        /// As written.
        when: String,
        /// The time is the usual one, which stands here from memory.
        from_memory: bool,
    },
    /// The time is over.
    Due {
        /// As written.
        when: String,
        /// The time is the usual one, which stands here from memory.
        from_memory: bool,
    },
}

impl Calibration {
    /// Judges what was written: when it was calibrated, and when again (a day, or a time such as
    /// "12 months"). `now_ms` is the time of day \[ms since 1970, UTC\].
    ///
    /// ```
    /// use lastbolt_tighten::Calibration;
    /// let day = 86_400_000_i64;
    /// let in_2026 = (56 * 365 + 14) * day; // 2026-01-01
    /// let judged = |when, again| Calibration::judge(when, again, in_2026);
    /// assert!(!judged(Some("2025-03-14"), None).is_due());
    /// assert!(judged(Some("14.11.2024"), None).is_due());
    /// assert!(!judged(Some("14.11.2024"), Some("2 years")).is_due());
    /// assert_eq!(judged(None, None), Calibration::Unknown);
    /// ```
    pub fn judge(when: Option<&str>, again: Option<&str>, now_ms: i64) -> Calibration {
        let (when, again) = (said(when).map(str::to_owned), said(again));
        let today = day_of(now_ms);
        if let Some(until) = again.and_then(day) {
            let when = when.unwrap_or_else(|| format!("again {}", again.unwrap_or_default()));
            return Self::as_of(when, today > until, false);
        }
        let Some(when) = when else { return Self::Unknown };
        let Some(from) = day(&when) else { return Self::Words(when) };
        let months = again.and_then(months);
        let until = plus_months(from, months.unwrap_or(USUAL_MONTHS));
        Self::as_of(when, today > until, months.is_none())
    }

    fn as_of(when: String, is_due: bool, from_memory: bool) -> Calibration {
        if is_due { Self::Due { when, from_memory } } else { Self::Good { when, from_memory } }
    }

    /// Tells whether the time is over.
    pub fn is_due(&self) -> bool {
        matches!(self, Self::Due { .. })
    }

    /// Tells whether nothing has to be said before it is used.
    pub fn is_good(&self) -> bool {
        matches!(self, Self::Good { .. })
    }

    /// Gives when it was calibrated, as written, for the record.
    pub fn when(&self) -> Option<&str> {
        match self {
            Self::Unknown => None,
            Self::Words(when) | Self::Good { when, .. } | Self::Due { when, .. } => Some(when),
        }
    }

    /// Gives the sentence that stands at the wrench.
    pub fn sentence(&self) -> String {
        const USUAL: &str = "a year or 5,000 pulls is usual (ISO 6789, from memory)";
        match self {
            Self::Unknown => "When it was calibrated is not known: look at its paper.".to_owned(),
            Self::Words(when) => format!(
                "Calibrated: {when}. No day can be read of that, so whether it is due is not \
                 known."
            ),
            Self::Good { when, .. } => format!("Calibrated: {when}."),
            Self::Due { when, from_memory: true } => {
                format!("Calibration is due: {when} was the last; {USUAL}, its paper wins.")
            }
            Self::Due { when, from_memory: false } => format!("Calibration is due: {when}."),
        }
    }
}

fn said(text: Option<&str>) -> Option<&str> {
    text.map(str::trim).filter(|text| !text.is_empty())
}

/// A day of the civil calendar: year, month, day.
type Day = (i64, u32, u32);

/// Reads a day: 2026-03-14, 14.03.2026, 2026-03, 03/2026; a month alone counts from its first day.
/// A day and a month that could be either way round ("3/4/2026") are no day.
fn day(text: &str) -> Option<Day> {
    let parts: Vec<&str> = text.split(['-', '.', '/']).map(str::trim).collect();
    if parts.iter().any(|part| part.is_empty() || !part.bytes().all(|b| b.is_ascii_digit())) {
        return None;
    }
    let number = |part: &str| part.parse::<u32>().ok();
    let is_year = |part: &str| part.len() == 4;
    let (year, month, day) = match parts.as_slice() {
        [y, m, d] if is_year(y) => (number(y)?, number(m)?, number(d)?),
        [d, m, y] if is_year(y) && text.contains('.') => (number(y)?, number(m)?, number(d)?),
        [a, b, y] if is_year(y) => {
            let (a, b) = (number(a)?, number(b)?);
            match (a > 12, b > 12) {
                (true, false) => (number(y)?, b, a),
                (false, true) => (number(y)?, a, b),
                _ if a == b => (number(y)?, a, b),
                _ => return None,
            }
        }
        [y, m] if is_year(y) => (number(y)?, number(m)?, 1),
        [m, y] if is_year(y) => (number(y)?, number(m)?, 1),
        _ => return None,
    };
    let fits = (1900..=2200).contains(&year) && (1..=12).contains(&month) && day >= 1;
    (fits && day <= 31).then(|| (i64::from(year), month, day))
}

/// Reads a time in months: "12 months", "1 year", "2 years".
fn months(text: &str) -> Option<u32> {
    let (number, unit) = text.split_once(char::is_whitespace)?;
    let number: u32 = number.parse().ok()?;
    let months = match unit.trim().trim_end_matches('.').to_lowercase().as_str() {
        "month" | "months" | "mo" => number,
        "year" | "years" | "yr" | "yrs" => number.checked_mul(12)?,
        _ => return None,
    };
    (1..=MONTHS_MAX).contains(&months).then_some(months)
}

fn plus_months((year, month, day): Day, months: u32) -> Day {
    let all = i64::from(month - 1) + i64::from(months);
    let month = u32::try_from(all.rem_euclid(12)).unwrap_or(0) + 1;
    (year + all.div_euclid(12), month, day)
}

/// The civil calendar from days since 1970: H. Hinnant's `civil_from_days`, from memory, checked
/// below.
fn day_of(ms: i64) -> Day {
    let days = ms.div_euclid(MS_A_DAY) + 719_468;
    let era = days.div_euclid(146_097);
    let of_era = days.rem_euclid(146_097);
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let shifted = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let year = year + era * 400 + i64::from(month <= 2);
    let small = |value: i64| u32::try_from(value).unwrap_or(1);
    (year, small(month), small(day))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read() {
        for (text, wanted) in [
            ("2026-03-14", Some((2026, 3, 14))),
            ("14.3.2026", Some((2026, 3, 14))),
            ("3/14/2026", Some((2026, 3, 14))),
            ("14/3/2026", Some((2026, 3, 14))),
            ("2026-03", Some((2026, 3, 1))),
            ("03/2026", Some((2026, 3, 1))),
            // Either way round, or no day at all.
            ("3/4/2026", None),
            ("spring 2026", None),
            ("2026", None),
            ("2026-13-01", None),
            ("2026-00-10", None),
        ] {
            assert_eq!(day(text), wanted, "{text}");
        }
        assert_eq!(day_of(0), (1970, 1, 1));
        assert_eq!(day_of(951_782_400_000), (2000, 2, 29));
        assert_eq!(day_of(-MS_A_DAY), (1969, 12, 31));
    }

    #[test]
    fn due_or_not() {
        let now = 1_780_000_000_000; // 2026-05-28
        assert_eq!(day_of(now), (2026, 5, 28));
        let judge = |when, again| Calibration::judge(when, again, now);
        assert!(!judge(Some("2025-05-28"), None).is_due(), "to the day");
        let due = judge(Some("2025-05-27"), None);
        assert!(due.is_due() && due.sentence().contains("from memory"), "{}", due.sentence());
        let own = judge(Some("2025-05-27"), Some("6 months"));
        assert!(own.is_due() && !own.sentence().contains("memory"), "{}", own.sentence());
        assert!(judge(None, Some("2026-05-27")).is_due());
        assert!(judge(Some("last week"), Some("2026-05-28")).is_good());
        assert!(matches!(judge(Some("last week"), None), Calibration::Words(_)));
        assert!(judge(None, Some("soon")).when().is_none());
    }
}
