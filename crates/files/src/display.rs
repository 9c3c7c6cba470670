//! How a garage wants numbers, dates and money shown: `[display]` of its file.

use lastbolt_machine::model::GarageSpec;
use lastbolt_machine::{Problem, Ref, Value};

/// The form of a date.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DateForm {
    /// As the browser has it.
    #[default]
    Local,
    /// 2026-11-26.
    YearFirst,
    /// 26.11.2026.
    DayDots,
    /// 26/11/2026.
    DaySlashes,
    /// 11/26/2026.
    MonthFirst,
}

impl DateForm {
    /// Gives the word of the file; none for what no file says.
    pub fn word(self) -> &'static str {
        match self {
            Self::Local => "",
            Self::YearFirst => "year-month-day",
            Self::DayDots => "day.month.year",
            Self::DaySlashes => "day/month/year",
            Self::MonthFirst => "month/day/year",
        }
    }

    fn read(text: &str) -> Option<Self> {
        let plain: String = text.to_lowercase().split_whitespace().collect();
        Some(match plain.as_str() {
            "year-month-day" | "yyyy-mm-dd" | "iso" => Self::YearFirst,
            "day.month.year" | "dd.mm.yyyy" => Self::DayDots,
            "day/month/year" | "dd/mm/yyyy" => Self::DaySlashes,
            "month/day/year" | "mm/dd/yyyy" => Self::MonthFirst,
            _ => return None,
        })
    }
}

/// The unit in which torques are shown beside the maker's own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TorqueUnits {
    /// Newton metres.
    #[default]
    NewtonMetres,
    /// Pound-force feet.
    PoundFeet,
}

impl TorqueUnits {
    /// Gives the word of the file.
    pub fn word(self) -> &'static str {
        match self {
            Self::NewtonMetres => "N·m",
            Self::PoundFeet => "lbf·ft",
        }
    }

    fn read(text: &str) -> Option<Self> {
        let plain: String = text.to_lowercase().chars().filter(|c| c.is_alphabetic()).collect();
        match plain.as_str() {
            "nm" | "metric" => Some(Self::NewtonMetres),
            "lbfft" | "lbft" | "ftlb" | "ftlbf" | "ftlbs" => Some(Self::PoundFeet),
            _ => None,
        }
    }
}

/// How a garage wants numbers, dates and money shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Display {
    /// Numbers have a decimal comma.
    pub comma: bool,
    /// The form of dates.
    pub date: DateForm,
    /// The unit of torque.
    pub units: TorqueUnits,
    /// The money of prices.
    pub currency: Option<String>,
}

impl Display {
    /// Gives what a garage file says; what it does not say, or not in known words, is as where
    /// there is no file.
    pub fn of(garage: &GarageSpec) -> Self {
        Self::read(&garage.display).0
    }

    /// Reads the entries of `[display]`, with a remark for each that says nothing.
    pub(crate) fn read(entries: &[(Ref, Value)]) -> (Self, Vec<Problem>) {
        let mut display = Self::default();
        let mut remarks = Vec::new();
        for (key, value) in entries {
            let text = if let Value::Text(text) = value { text.trim() } else { "" };
            let known = match key.name() {
                "decimal" => read_comma(text).map(|comma| display.comma = comma),
                "date" => DateForm::read(text).map(|date| display.date = date),
                "units" => TorqueUnits::read(text).map(|units| display.units = units),
                "currency" => (!text.is_empty()).then(|| display.currency = Some(text.to_owned())),
                _ => Some(()),
            };
            if known.is_none() {
                remarks.push(says_nothing(key));
            }
        }
        (display, remarks)
    }

    /// Gives a text with this garage's decimal sign in every number before a unit that Lastbolt
    /// itself writes: "9.5 l" is "9,5 l" then. A torque stays as its maker prints it, a name as it
    /// is.
    pub fn prose(&self, text: &str) -> String {
        if !self.comma || !text.contains('.') {
            return text.to_owned();
        }
        let mut all = String::with_capacity(text.len());
        let mut from = 0;
        for (at, _) in text.match_indices('.') {
            let (before, after) = (&text[..at], &text[at + 1..]);
            all.push_str(&text[from..at]);
            all.push(if is_decimal(before, after) { ',' } else { '.' });
            from = at + 1;
        }
        all.push_str(&text[from..]);
        all
    }

    /// Gives a price as it is kept: a number alone gets the money of this garage, so that it keeps
    /// its money when the garage counts in another one later.
    pub fn price(&self, text: &str) -> String {
        let text = text.trim();
        let is_bare = text.chars().all(|c| c.is_ascii_digit() || " .,'\u{2019}".contains(c));
        match &self.currency {
            Some(money) if is_bare && !text.is_empty() => format!("{text} {money}"),
            _ => text.to_owned(),
        }
    }

    /// Gives a number as this garage writes it. The text has a point, as files have it.
    pub fn number(&self, text: &str) -> String {
        let is_number = text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-'));
        if self.comma && is_number { text.replace('.', ",") } else { text.to_owned() }
    }
}

/// Units behind which no name or thread stands.
const UNITS: [&str; 9] = ["l", "kg", "g", "min", "h", "mm", "cm", "km", "bar"];

/// Whether a point stands in a number with a unit behind it.
fn is_decimal(before: &str, after: &str) -> bool {
    let digits = before.chars().rev().take_while(char::is_ascii_digit).count();
    let stands_before = before.chars().rev().nth(digits);
    let is_free = stands_before.is_none_or(|c| !c.is_alphanumeric() && !".,-_/".contains(c));
    let decimals = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
    let unit = after[decimals..].strip_prefix(' ').unwrap_or_default();
    let unit = unit.split(|c: char| !c.is_alphanumeric()).next().unwrap_or_default();
    digits > 0 && is_free && decimals > 0 && UNITS.contains(&unit)
}

fn read_comma(text: &str) -> Option<bool> {
    match text {
        "," | "comma" => Some(true),
        "." | "point" => Some(false),
        _ => None,
    }
}

fn says_nothing(key: &Ref) -> Problem {
    let help = match key.name() {
        "decimal" => "Write decimal = \"comma\" or decimal = \"point\".",
        "date" => "Write date = \"day.month.year\", \"year-month-day\" or \"month/day/year\".",
        "units" => "Write units = \"N·m\" or units = \"lbf·ft\".",
        _ => "Write it in quotes, or leave it out.",
    };
    let message = format!("`{}` is not understood and changes nothing.", key.name());
    Problem::note(key.at, "unknown-word", message, help)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Source, read_garage};

    fn display(text: &str) -> (Display, usize) {
        let (spec, problems) = read_garage(&[Source::new("garage.toml", text)], Default::default());
        (Display::of(&spec), problems.len())
    }

    /// What is written counts; what is not understood changes nothing and is no error.
    #[test]
    fn what_a_garage_says() {
        let text = "[display]\ndecimal = \",\"\ndate = \"day.month.year\"\nunits = \"lbf ft\"\n\
                    currency = \"crowns\"\nlanguage = \"any\"\n";
        let (all, remarks) = display(text);
        assert!(all.comma && remarks == 0);
        assert_eq!((all.date, all.units), (DateForm::DayDots, TorqueUnits::PoundFeet));
        assert_eq!(all.currency.as_deref(), Some("crowns"));
        assert_eq!(display("[display]\ndecimal = \";\"\ndate = 3\n"), (Display::default(), 2));
        assert_eq!(display("[display]\ndecmal = \",\"\n").1, 1, "a slip is remarked");
        assert_eq!(display(""), (Display::default(), 0));
    }

    /// Amounts get the comma in running text too; threads, addresses, times and the maker's torque
    /// stay. The wrong twin, every point between digits, spoils a thread.
    #[test]
    fn amounts_get_the_comma_in_running_text() {
        let comma = Display { comma: true, ..Display::default() };
        assert_eq!(
            comma.prose("Coolant, 7.5 l; 12.25 kg (0.5 min)"),
            "Coolant, 7,5 l; 12,25 kg (0,5 min)"
        );
        let same = "M6x1.25 l 1.2.3 kg, 23.5 N·m, screw 2.5 long, file v1.5 kg.toml, end. 5 l";
        assert_eq!(comma.prose(same), same);
        assert_ne!(same.replace("1.25", "1,25"), comma.prose(same));
        assert_eq!(Display::default().prose("7.5 l"), "7.5 l");
    }

    /// A number alone gets the money, words and other money stay.
    #[test]
    fn prices_keep_their_money() {
        let crowns = Display { currency: Some("crowns".into()), ..Display::default() };
        assert_eq!(crowns.price(" 85,00 "), "85,00 crowns");
        assert_eq!(crowns.price("1 200.50"), "1 200.50 crowns");
        assert_eq!(crowns.price("85 talers"), "85 talers");
        assert_eq!(crowns.price("for nothing"), "for nothing");
        assert_eq!(Display::default().price("85"), "85");
    }

    /// Only numbers get the comma: names with points in them stay as they are.
    #[test]
    fn numbers_get_the_comma() {
        let comma = Display { comma: true, ..Display::default() };
        assert_eq!(comma.number("2.50"), "2,50");
        assert_eq!(comma.number("M6x1.25"), "M6x1.25");
        assert_eq!(Display::default().number("2.50"), "2.50");
    }
}
