//! The inputs of one row: "thread=M8x1.25;mu_total=0.12;class=8.8".

use std::cell::RefCell;
use std::collections::BTreeSet;

use crate::eval::measure::{self, Measure};
use crate::thread::Thread;
use crate::trouble::{Trouble, TroubleKind, shown};

/// The most inputs of a row.
const INPUTS_MAX: usize = 50;
/// The longest inputs of a row \[characters\].
const CHARS_MAX: usize = 4_000;

/// The inputs of one row; it is remembered which of them were used.
pub(super) struct Inputs<'a> {
    text: &'a str,
    parts: Vec<(&'a str, &'a str)>,
    used: RefCell<BTreeSet<usize>>,
}

impl<'a> Inputs<'a> {
    /// Splits the inputs at semicolons; a part without "=" has no name.
    pub(super) fn of(text: &'a str) -> Result<Inputs<'a>, Trouble> {
        let parts: Vec<(&str, &str)> = text
            .split(';')
            .map(str::trim)
            .filter(|part| !part.is_empty())
            .map(|part| match part.rsplit_once('=') {
                // "f=fc=0.15" names two inputs at once; "Rm>=220" is no input.
                Some((key, value)) if !key.ends_with(['>', '<']) => (key.trim(), value.trim()),
                _ => ("", part),
            })
            .collect();
        if parts.len() > INPUTS_MAX || text.chars().count() > CHARS_MAX {
            let message = format!("This row has more than {INPUTS_MAX} inputs.");
            let help = "Look whether a quote is missing at the end of a cell.";
            return Err(Trouble::new(TroubleKind::OutOfRange, "inputs", message, help));
        }
        Ok(Inputs { text, parts, used: RefCell::default() })
    }

    /// Gives the whole text.
    pub(super) fn text(&self) -> &'a str {
        self.text.trim()
    }

    /// Gives the parts that have no name, in their order.
    pub(super) fn unnamed(&self) -> Vec<&'a str> {
        let unnamed = self.parts.iter().enumerate().filter(|(_, (key, _))| key.is_empty());
        let mut used = self.used.borrow_mut();
        unnamed
            .map(|(number, (_, value))| {
                used.insert(number);
                *value
            })
            .collect()
    }

    /// Gives the text of an input, if it is there; letters may be small or capital.
    pub(super) fn text_of(&self, name: &str) -> Option<&'a str> {
        let of = |same: &dyn Fn(&str) -> bool| {
            self.parts.iter().position(|(key, _)| key.split('=').any(|key| same(key.trim())))
        };
        let at = of(&|key| key == name).or_else(|| of(&|key| key.eq_ignore_ascii_case(name)))?;
        self.used.borrow_mut().insert(at);
        Some(self.parts[at].1)
    }

    /// Gives the text of an input.
    ///
    /// # Errors
    /// Says that it is missing.
    pub(super) fn need(&self, name: &str) -> Result<&'a str, Trouble> {
        let found = self.text_of(name).filter(|text| !text.is_empty());
        found.ok_or_else(|| self.missing(name))
    }

    /// Says that an input is missing.
    pub(super) fn missing(&self, name: &str) -> Trouble {
        let near = self.parts.iter().map(|(key, _)| *key).find(|key| is_near(key, name));
        let help = match near {
            Some(near) => format!("Was \"{near}\" meant for it?"),
            None => format!("Add {name}=... to the inputs."),
        };
        Trouble::new(TroubleKind::Missing, name, format!("The input {name} is missing."), help)
    }

    /// Gives a number without a unit, if it is there.
    pub(super) fn number(&self, name: &str) -> Result<Option<f64>, Trouble> {
        self.measured(name, Measure::Plain, "")
    }

    /// Gives a number without a unit.
    pub(super) fn need_number(&self, name: &str) -> Result<f64, Trouble> {
        self.number(name)?.ok_or_else(|| self.missing(name))
    }

    /// Gives an input in the usual unit of its measure (N, mm, MPa, N·m, degrees): the unit stands
    /// in the name (FM_kN=20.7), behind the number (FM=20.7 kN), or it is the one given here.
    pub(super) fn measured(
        &self,
        name: &str,
        measure: Measure,
        unit: &str,
    ) -> Result<Option<f64>, Trouble> {
        let begin = |key: &&str| {
            let (head, tail) = (key.get(..name.len())?, key.get(name.len()..)?);
            let unit = tail.strip_prefix('_')?;
            let is_it = head == name && measure::factor(measure, unit).is_some();
            is_it.then(|| (key.to_string(), unit.to_owned()))
        };
        let named = self.parts.iter().find_map(|(key, _)| begin(key));
        let (field, unit) = match named {
            Some(named) => named,
            None => (name.to_owned(), unit.to_owned()),
        };
        let Some(text) = self.text_of(&field) else { return Ok(None) };
        let (value, behind) = measure::leading(&field, text)?;
        let word = behind.trim_end_matches("total").trim();
        let word = if word.is_empty() { unit.as_str() } else { word };
        match measure::factor(measure, word) {
            Some(factor) => Ok(Some(value * factor)),
            None => Err(Trouble::new(
                TroubleKind::NoUnit,
                &field,
                format!("\"{}\" is no unit of {field}.", shown(word)),
                format!("Known are {}.", measure::known(measure)),
            )),
        }
    }

    /// Gives an input in the usual unit of its measure.
    ///
    /// # Errors
    /// Says that it is missing, no number, or in a unit of something else.
    pub(super) fn need_measured(
        &self,
        name: &str,
        measure: Measure,
        unit: &str,
    ) -> Result<f64, Trouble> {
        self.measured(name, measure, unit)?.ok_or_else(|| self.missing(name))
    }

    /// Gives the thread: thread=M8x1, or a part without a name that is one.
    pub(super) fn thread(&self) -> Result<Thread, Trouble> {
        if let Some(text) = self.text_of("thread") {
            return Thread::read(text);
        }
        let looks = |text: &&str| {
            text.starts_with(['M', 'm']) || text.starts_with(|c: char| c.is_ascii_digit())
        };
        let unnamed = self.unnamed();
        let found = unnamed.iter().filter(|text| looks(text)).find_map(|t| Thread::read(t).ok());
        found.ok_or_else(|| match unnamed.first() {
            Some(first) if !first.is_empty() && looks(first) => {
                Thread::read(first).err().unwrap_or_else(|| self.missing("thread"))
            }
            _ => self.missing("thread"),
        })
    }

    /// Says that another reader takes all of them.
    pub(super) fn all_used(&self) {
        self.used.borrow_mut().extend(0..self.parts.len());
    }

    /// Gives the inputs that nothing was done with.
    pub(super) fn not_used(&self) -> Vec<String> {
        let used = self.used.borrow();
        let rest = self.parts.iter().enumerate().filter(|(number, _)| !used.contains(number));
        rest.map(|(_, (key, value))| match key.is_empty() {
            true => shown(value),
            false => shown(&format!("{key}={value}")),
        })
        .collect()
    }
}

/// Whether a key may be a slip of another: the same without case and signs, or one letter off.
fn is_near(key: &str, name: &str) -> bool {
    let plain = |text: &str| -> Vec<char> {
        text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
    };
    let (a, b) = (plain(key), plain(name));
    if a.is_empty() || b.len() < 3 || a == b {
        return !a.is_empty() && a == b;
    }
    let same = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
    let tail = a.iter().rev().zip(b.iter().rev()).take_while(|(x, y)| x == y).count();
    a.len().abs_diff(b.len()) <= 1 && same + tail + 1 >= a.len().max(b.len())
}
