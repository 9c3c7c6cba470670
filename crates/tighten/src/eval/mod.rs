//! Rows of quantity and inputs, as tables of check values have them, computed and compared.
//!
//! To add a quantity: 1. write its formula as a function of its own with equation, units, range and
//! source; 2. add an entry to [`QUANTITIES`] that reads the inputs and calls it; 3. add its rows to
//! `tests/data`; 4. describe it in `docs/tighten-json.md` (a test compares the lists).

mod by_formula;
mod by_model;
mod by_table;
mod inputs;
mod judge;
mod measure;
mod registry;

use crate::trouble::Trouble;

pub use judge::{Verdict, judge};
pub use registry::{QUANTITIES, Quantity};

/// One row of a table.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Row<'a> {
    /// What is asked: "stress_area_As".
    pub quantity: &'a str,
    /// What it is asked for: "thread=M8x1.25;mu_total=0.12".
    pub inputs: &'a str,
    /// The unit that is wanted; empty: the usual one.
    pub unit: &'a str,
    /// What comes out according to the table; empty: not said.
    pub expected: &'a str,
    /// How near that has to be met: "0.6%", "0.05", "exact"; empty: not said.
    pub tolerance: &'a str,
}

/// What comes out.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// A number.
    Number(f64),
    /// Several numbers, in their order.
    Numbers(Vec<f64>),
    /// Words, an order, a range as printed.
    Text(String),
}

impl Answer {
    /// Gives it as one text; numbers with at most nine figures.
    pub fn text(&self) -> String {
        match self {
            Answer::Number(number) => number_text(*number),
            Answer::Numbers(numbers) => {
                let texts: Vec<String> = numbers.iter().map(|n| number_text(*n)).collect();
                texts.join(";")
            }
            Answer::Text(text) => text.clone(),
        }
    }
}

/// Writes a number with at most nine figures.
fn number_text(number: f64) -> String {
    if number == 0.0 || !number.is_finite() {
        return format!("{number}");
    }
    #[allow(clippy::cast_possible_truncation, reason = "the exponent of a finite number is small")]
    let whole = number.abs().log10().floor() as i32 + 1;
    let decimals = usize::try_from((9 - whole).clamp(0, 17)).unwrap_or(0);
    let text = format!("{number:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// How an answer was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Computed.
    Formula,
    /// Looked up in a published table.
    Table,
}

/// An answer with where it is from.
#[derive(Clone, Debug, PartialEq)]
pub struct Computed {
    /// The answer, in `unit`.
    pub answer: Answer,
    /// Its unit.
    pub unit: String,
    /// How it was found.
    pub how: How,
    /// The formula's or table's source and edition.
    pub source: String,
    /// What was taken from a table since the row does not say it.
    pub assumed: Vec<String>,
    /// Something in it stands from memory.
    pub from_memory: bool,
    /// Inputs that nothing was done with.
    pub not_used: Vec<String>,
}

/// What became of a row.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// What was computed, or what is wrong with the row.
    pub computed: Result<Computed, Trouble>,
    /// How it compares to what the table expects.
    pub verdict: Verdict,
}

/// Computes every row of a table. Rows may point at others ("same", "from the two areas"): at the
/// nearest one before that has what is needed, else at the first one behind.
pub fn evaluate(rows: &[Row<'_>]) -> Vec<Outcome> {
    (0..rows.len()).map(|number| outcome(rows, number)).collect()
}

fn outcome(rows: &[Row<'_>], number: usize) -> Outcome {
    let row = &rows[number];
    let computed = registry::compute(rows, number);
    let verdict = match &computed {
        Ok(computed) => judge(&computed.answer, row.expected, row.tolerance),
        Err(_) => Verdict::NotCompared,
    };
    match verdict {
        // What is expected or its tolerance cannot be read: that is wrong with the row.
        Verdict::Unreadable(trouble) => {
            Outcome { computed: Err(trouble), verdict: Verdict::NotCompared }
        }
        verdict => Outcome { computed, verdict },
    }
}
