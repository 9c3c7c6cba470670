//! How far a hand torque wrench may be off: its class, or what its own paper says.

use crate::cursor::Cursor;
use crate::exact::Exact;
use crate::number;
use crate::trouble::{Trouble, TroubleKind, shown};

/// The largest deviation that is believed \[percent\].
const PERCENT_MAX: i64 = 25;

/// A wrench's class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrenchClass {
    /// As written: "II A", "±4 %".
    pub text: String,
    kind: Kind,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Kind {
    /// Said by the owner, from the wrench's paper.
    Percent(Exact),
    /// Type I (shows the value) or II (is set to it), and the letter of its class.
    Iso { setting: bool, letter: char },
}

/// How far off a wrench may be, and where that is from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tolerance {
    /// Percent of the value, both ways.
    pub percent: Exact,
    /// Where the figure is from.
    pub source: &'static str,
    /// It stands here from memory: the paper of the wrench has to be looked at.
    pub from_memory: bool,
}

impl WrenchClass {
    /// Reads "II A", "type II class A", "I B", or the figure itself: "±4 %".
    ///
    /// # Errors
    /// Says that it is not known, or that the type is missing.
    ///
    /// ```
    /// use lastbolt_tighten::{Exact, WrenchClass};
    /// let class = WrenchClass::read("ISO 6789 type II class A").unwrap();
    /// assert_eq!(class.tolerance(Exact::whole(200)).percent, Exact::whole(4));
    /// assert_eq!(class.tolerance(Exact::whole(10)).percent, Exact::whole(6));
    /// let own = WrenchClass::read("± 3 %").unwrap();
    /// assert_eq!(own.tolerance(Exact::ONE).percent, Exact::whole(3));
    /// assert!(WrenchClass::read("Z").is_err() && WrenchClass::read("A").is_err());
    /// ```
    pub fn read(text: &str) -> Result<WrenchClass, Trouble> {
        let kind = match percent(text) {
            Some(percent) => Kind::Percent(percent?),
            None => iso(text)?,
        };
        Ok(WrenchClass { text: text.trim().to_owned(), kind })
    }

    /// Gives how far off a wrench of this class may be; `high_nm` is its largest value \[N·m\].
    ///
    /// ISO 6789:2003 (kept in ISO 6789-1:2017): setting wrenches with a scale (II A) ±4 %, those up
    /// to 10 N·m ±6 % of the value; seen in a tool maker's printed extract. The figures of the
    /// other classes are from memory and marked so.
    pub fn tolerance(&self, high_nm: Exact) -> Tolerance {
        let (setting, letter) = match self.kind {
            Kind::Percent(percent) => {
                return Tolerance { percent, source: "as said of this wrench", from_memory: false };
            }
            Kind::Iso { setting, letter } => (setting, letter),
        };
        let is_small = high_nm <= Exact::whole(10);
        let is_narrow = match setting {
            true => matches!(letter, 'A' | 'B' | 'C'),
            false => matches!(letter, 'B' | 'C' | 'E'),
        };
        let percent = Exact::whole(if is_narrow && !is_small { 4 } else { 6 });
        let from_memory = !(setting && letter == 'A');
        let source = if from_memory { "ISO 6789:2003, from memory" } else { "ISO 6789:2003" };
        Tolerance { percent, source, from_memory }
    }
}

/// Reads "±4 %"; none if it is no figure.
fn percent(text: &str) -> Option<Result<Exact, Trouble>> {
    let mut cursor = Cursor::new(text.trim());
    for sign in ["±", "+/-", "+-"] {
        if cursor.rest().starts_with(sign) {
            cursor.go(sign.len());
            break;
        }
    }
    cursor.skip_blanks();
    let number = match number::scan(&mut cursor)? {
        Ok(number) => number,
        Err(trouble) => return Some(Err(Trouble { field: "class".to_owned(), ..trouble })),
    };
    cursor.take_word(&["%", "percent", "per cent"])?;
    if !cursor.rest().trim().is_empty() {
        return None;
    }
    let fits = number.value > Exact::ZERO && number.value <= Exact::whole(PERCENT_MAX);
    Some(if fits { Ok(number.value) } else { Err(unknown(text)) })
}

fn iso(text: &str) -> Result<Kind, Trouble> {
    let upper = text.to_uppercase();
    let said = upper.replace("ISO", " ").replace("6789", " ").replace("TYPE", " ");
    let said = said.replace("CLASS", " ");
    let plain: String = said.chars().filter(|c| c.is_alphanumeric()).collect();
    let letters = |from: &str| match from.chars().collect::<Vec<_>>()[..] {
        [letter] => Some(letter),
        _ => None,
    };
    let (setting, rest) = match (plain.strip_prefix("II"), plain.strip_prefix('2')) {
        (Some(rest), _) | (None, Some(rest)) => (true, rest),
        _ => match (plain.strip_prefix('I'), plain.strip_prefix('1')) {
            (Some(rest), _) | (None, Some(rest)) => (false, rest),
            _ if letters(&plain).is_some_and(|c| ('A'..='G').contains(&c)) => {
                return Err(Trouble::new(
                    TroubleKind::TwoReadings,
                    "class",
                    format!("Class \"{}\" is not the same for both types.", shown(text)),
                    "Write \"II A\" for a wrench that is set to a value, \"I A\" for one that \
                    shows it.",
                ));
            }
            _ => return Err(unknown(text)),
        },
    };
    let last = if setting { 'G' } else { 'E' };
    let letter = letters(rest).filter(|letter| ('A'..=last).contains(letter));
    letter.map(|letter| Kind::Iso { setting, letter }).ok_or_else(|| unknown(text))
}

fn unknown(text: &str) -> Trouble {
    Trouble::new(
        TroubleKind::Unknown,
        "class",
        format!("\"{}\" is not known as the class of a wrench.", shown(text)),
        "Write type and class of ISO 6789 (II A) or the figure of its paper (±4 %).",
    )
}
