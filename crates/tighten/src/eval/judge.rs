//! Whether an answer is what a table expects.

use crate::eval::Answer;
use crate::eval::measure::leading;
use crate::trouble::{Trouble, TroubleKind, shown};

/// How an answer compares to what a table expects.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// The row expects nothing, or nothing was computed.
    NotCompared,
    /// Both are known, but no tolerance says how near is near enough: the largest difference.
    NotJudged(Option<f64>),
    /// Within the tolerance; the largest difference, none for words.
    Agrees(Option<f64>),
    /// Outside of the tolerance; the largest difference, none for words.
    Differs(Option<f64>),
    /// What is expected, or the tolerance, cannot be read.
    Unreadable(Trouble),
}

/// How near an answer has to be.
enum Tolerance {
    /// At most so much off, in the unit of the answer.
    Absolute(f64),
    /// At most this share of what is expected.
    Share(f64),
    /// As printed.
    Same,
    /// Within a factor of about three.
    Magnitude,
    /// Not said.
    Open,
}

/// Rounding of the last bits, where a table says "exact".
const EXACT: f64 = 1e-12;

/// Compares an answer to what is expected.
pub fn judge(answer: &Answer, expected: &str, tolerance: &str) -> Verdict {
    if expected.trim().is_empty() {
        return Verdict::NotCompared;
    }
    let tolerance = match read(tolerance) {
        Ok(tolerance) => tolerance,
        Err(trouble) => return Verdict::Unreadable(trouble),
    };
    let computed = match answer {
        Answer::Text(text) => return words(text, expected, &tolerance),
        Answer::Number(number) => std::slice::from_ref(number),
        Answer::Numbers(numbers) => numbers,
    };
    match numbers(expected) {
        Err(trouble) => Verdict::Unreadable(trouble),
        Ok(expected) if expected.len() != computed.len() => Verdict::Differs(None),
        Ok(expected) => compare(computed, &expected, &tolerance),
    }
}

fn compare(computed: &[f64], expected: &[f64], tolerance: &Tolerance) -> Verdict {
    let pairs = || computed.iter().zip(expected);
    let largest = pairs().map(|(c, e)| c - e).max_by(|a, b| a.abs().total_cmp(&b.abs()));
    let near = |c: f64, e: f64| match tolerance {
        // A little more than the bound: what is expected is a decimal, the bound as well.
        Tolerance::Absolute(by) => (c - e).abs() <= by * (1.0 + 1e-9) + EXACT * e.abs(),
        Tolerance::Share(by) => (c - e).abs() <= by * e.abs() * (1.0 + 1e-9),
        Tolerance::Same => (c - e).abs() <= EXACT * e.abs(),
        Tolerance::Magnitude => c * e > 0.0 && (c / e).log10().abs() <= 0.5,
        Tolerance::Open => false,
    };
    match tolerance {
        Tolerance::Open => Verdict::NotJudged(largest),
        _ if pairs().all(|(c, e)| near(*c, *e)) => Verdict::Agrees(largest),
        _ => Verdict::Differs(largest),
    }
}

fn words(text: &str, expected: &str, tolerance: &Tolerance) -> Verdict {
    let plain = |text: &str| {
        let text = text.to_lowercase().replace(',', ".").replace(['–', '—', '−'], "-");
        text.chars().filter(|c| !c.is_whitespace()).collect::<String>()
    };
    let same = plain(text) == plain(expected) || same_numbers(text, expected);
    match tolerance {
        _ if same => Verdict::Agrees(None),
        Tolerance::Open => Verdict::NotJudged(None),
        _ => Verdict::Differs(None),
    }
}

/// "1.0" and "1" are the same figure.
fn same_numbers(text: &str, expected: &str) -> bool {
    match (numbers(text), numbers(expected)) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}

fn numbers(text: &str) -> Result<Vec<f64>, Trouble> {
    let one = |part: &str| match leading("expected", part)? {
        (number, rest) if rest.is_empty() => Ok(number),
        _ => Err(Trouble::new(
            TroubleKind::NotUnderstood,
            "expected",
            format!("\"{}\" is not understood as a number.", shown(part)),
            "Write one number, or several separated by semicolons; leave it empty to only compute.",
        )),
    };
    text.split(';').map(one).collect()
}

/// Reads a tolerance.
fn read(text: &str) -> Result<Tolerance, Trouble> {
    let plain = text.trim().trim_start_matches(['±', '+', '-']).trim().to_lowercase();
    match plain.as_str() {
        "" => return Ok(Tolerance::Open),
        "exact" | "table" | "text" | "exact table" | "same" => return Ok(Tolerance::Same),
        "order of magnitude" => return Ok(Tolerance::Magnitude),
        _ => {}
    }
    let wrong = || {
        Trouble::new(
            TroubleKind::NotUnderstood,
            "tolerance",
            format!("\"{}\" is not understood as a tolerance.", shown(text)),
            "Write 0.6%, 0.05, 1e-15 rel, exact, or leave it empty.",
        )
    };
    let (number, rest) = leading("tolerance", &plain).map_err(|_| wrong())?;
    match rest.as_str() {
        "" | "abs" => Ok(Tolerance::Absolute(number)),
        "%" | "percent" => Ok(Tolerance::Share(number / 100.0)),
        "rel" | "relative" => Ok(Tolerance::Share(number)),
        _ => Err(wrong()),
    }
}
