//! Numbers: minutes, counts, kilograms; and what to write where a unit was put beside them.

use lastbolt_machine::minutes::MinutesError;
use lastbolt_machine::{Minutes, Sited};

use crate::fields::{Fields, Found};
use crate::limits::COUNT_MAX;
use crate::tree::{Data, Node};

/// The heaviest part, in kilograms.
const KG_MAX: f64 = 100_000.0;

impl Found {
    /// Minutes as R22 allows them.
    pub(crate) fn minutes(&mut self, node: &Node, key: &str) -> Option<Sited<Minutes>> {
        let Data::Number { digits, number } = &node.data else {
            let help = number_help(node, key, minutes_per_unit);
            self.wrong_type(node, key, "a number of minutes", help);
            return None;
        };
        let read = if decimals(digits) > 3 && number.is_finite() && *number >= 0.0 {
            Err(MinutesError::TooFine)
        } else {
            Minutes::from_number(*number)
        };
        match read {
            Ok(minutes) => Some(Sited::new(minutes, node.at)),
            Err(_) if node.reported => None,
            Err(error) => {
                let (kind, message, help) = minutes_error(error, key, digits);
                self.error(node.at, kind, message, help);
                None
            }
        }
    }

    /// A whole number from 1.
    pub(crate) fn count(&mut self, node: &Node, key: &str) -> Option<Sited<u32>> {
        let Data::Number { digits, number } = &node.data else {
            let help = number_help(node, key, |_| None);
            self.wrong_type(node, key, "a whole number", help);
            return None;
        };
        let whole = number.fract() == 0.0 && *number >= 1.0 && *number <= f64::from(COUNT_MAX);
        if whole {
            // In range by the test above.
            return Some(Sited::new(*number as u32, node.at));
        }
        if !node.reported {
            let message = format!("`{key}` is {digits}; it must be a whole number from 1.");
            let help = format!("Write {key} = 1, or up to {COUNT_MAX}.");
            self.error(node.at, "bad-number", message, help);
        }
        None
    }

    /// Kilograms.
    pub(crate) fn kg(&mut self, node: &Node, key: &str) -> Option<Sited<f64>> {
        let Data::Number { digits, number } = &node.data else {
            let help = number_help(node, key, kg_per_unit);
            self.wrong_type(node, key, "a number of kilograms", help);
            return None;
        };
        if number.is_finite() && (0.0..=KG_MAX).contains(number) {
            return Some(Sited::new(*number, node.at));
        }
        if !node.reported {
            let message = format!("`{key}` is {digits}, which is no weight in kilograms.");
            let help = format!("Write a number from 0 to {KG_MAX}.");
            self.error(node.at, "bad-number", message, help);
        }
        None
    }
}

impl Fields<'_> {
    pub(crate) fn minutes(&mut self, key: &str) -> Option<Sited<Minutes>> {
        self.node(key).and_then(|node| self.found.minutes(node, key))
    }

    pub(crate) fn count(&mut self, key: &str) -> Option<Sited<u32>> {
        self.node(key).and_then(|node| self.found.count(node, key))
    }

    pub(crate) fn kg(&mut self, key: &str) -> Option<Sited<f64>> {
        self.node(key).and_then(|node| self.found.kg(node, key))
    }
}

fn minutes_error(error: MinutesError, key: &str, digits: &str) -> (&'static str, String, String) {
    let message = |what: &str| format!("`{key}` is {digits}, {what}.");
    match error {
        MinutesError::Negative => (
            "negative-minutes",
            message("less than nothing"),
            "Write minutes from 0 upwards.".to_owned(),
        ),
        MinutesError::NotFinite => (
            "not-a-time",
            message("which is no time at all"),
            format!("Write a number of minutes, or leave `{key}` out."),
        ),
        MinutesError::TooLarge => (
            "too-many-minutes",
            message("more than 10,000 minutes"),
            "Write minutes, not seconds; 10,000 is almost a week.".to_owned(),
        ),
        MinutesError::TooFine => (
            "too-fine",
            message("with more than three decimals"),
            "Round it to three decimals at most.".to_owned(),
        ),
    }
}

/// How many decimals were written, ending zeros left out; none where there is an exponent.
fn decimals(digits: &str) -> usize {
    if digits.contains(['e', 'E']) {
        return 0;
    }
    let after = digits.split_once('.').map_or("", |(_, after)| after);
    after.trim_end_matches(['0', '_']).chars().filter(char::is_ascii_digit).count()
}

fn minutes_per_unit(unit: &str) -> Option<f64> {
    match unit {
        "" | "m" | "min" | "mins" | "minute" | "minutes" | "'" => Some(1.0),
        "h" | "hr" | "hrs" | "hour" | "hours" | "std" => Some(60.0),
        "s" | "sec" | "secs" | "second" | "seconds" => Some(1.0 / 60.0),
        "d" | "day" | "days" => Some(1440.0),
        _ => None,
    }
}

fn kg_per_unit(unit: &str) -> Option<f64> {
    match unit {
        "" | "kg" | "kilo" | "kilos" => Some(1.0),
        "g" => Some(0.001),
        "t" => Some(1000.0),
        _ => None,
    }
}

/// The number of a text such as `2 min` or `5kg`, minutes and kilograms where the unit says so.
pub(crate) fn number_without_unit(text: &str) -> Option<f64> {
    let text = text.trim().to_lowercase();
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))?;
    let (digits, unit) = text.split_at(end);
    let unit = unit.trim().trim_end_matches('.');
    let number: f64 = digits.replace(',', ".").parse().ok()?;
    let per = minutes_per_unit(unit).or_else(|| kg_per_unit(unit))?;
    Some((number * per * 1000.0).round() / 1000.0)
}

/// What to write instead of a text where a number belongs.
fn number_help(node: &Node, key: &str, per_unit: impl Fn(&str) -> Option<f64>) -> String {
    let plain = format!("Write {key} = and a number, without quotes and without a unit.");
    let Data::Text(text) = &node.data else {
        return plain;
    };
    let text = text.trim().to_lowercase();
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')));
    let (digits, unit) = text.split_at(end.unwrap_or(text.len()));
    let number: Option<f64> = digits.replace(',', ".").parse().ok();
    let per = per_unit(unit.trim().trim_end_matches('.'));
    match (number, per) {
        (Some(number), Some(per)) if number.is_finite() => {
            let rounded = (number * per * 1000.0).round() / 1000.0;
            format!("Write {key} = {rounded}, without quotes and without a unit.")
        }
        _ if unit.is_empty() && number.is_some() => {
            format!("Write {key} = {digits}, without quotes.")
        }
        _ => plain,
    }
}
