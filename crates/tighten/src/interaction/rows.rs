//! Rows of check tables about elastic interaction, in the tables' own words.
//!
//! A quantity is `ei_LAYOUT_ASKED`. Layouts: `two_bolts`, `three_in_row` to `nine_in_row`, `ringN`.
//! Asked: `first_after_second` (what the first keeps), digits or `star_pass1`, `clockwise_pass1`
//! (forces by place after one round; digits are the order), `..._range_by_pass` (spread in % after
//! each of four rounds). Inputs: `kb` (kN/mm), `c` or `c11` (mm/kN), `rho` or `c12`, `T` (kN),
//! `order 1-5-3` or `order 1..8`; `same` takes those of an earlier row that it does not say itself.

use super::joint::Elastic;
use super::matrix::Matrix;
use super::passes::{forces, one_round};
use super::spread_percent;
use crate::HOLES_MAX;
use crate::ring::ring_order;
use crate::trouble::{Trouble, TroubleKind};

/// How many rounds a row "by pass" tells.
const ROUNDS_TOLD: usize = 4;

/// The answer of a row: forces in kN, or spreads in %. `None` if the quantity is none of these.
///
/// `before` are the inputs of the row that `same` points at.
#[must_use]
pub fn elastic_row(
    quantity: &str,
    inputs: &str,
    before: Option<&str>,
) -> Option<Result<Vec<f64>, Trouble>> {
    let name = quantity.trim().strip_prefix("ei_")?;
    Some(answer(name, inputs, before))
}

/// How the screws stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Layout {
    Row(usize),
    Ring(usize),
}

impl Layout {
    fn count(self) -> usize {
        match self {
            Self::Row(count) | Self::Ring(count) => count,
        }
    }

    fn apart(self, i: usize, j: usize) -> f64 {
        let steps = i.abs_diff(j);
        match self {
            Self::Row(_) => steps as f64,
            Self::Ring(count) => steps.min(count - steps) as f64,
        }
    }
}

fn answer(name: &str, inputs: &str, before: Option<&str>) -> Result<Vec<f64>, Trouble> {
    let unknown = || {
        trouble(
            TroubleKind::Unknown,
            "quantity",
            format!("\"ei_{name}\" is no quantity of elastic interaction."),
            "Known are layouts two_bolts, three_in_row, ring8 with first_after_second, digits of \
             an order, star_pass1, clockwise_pass1, star_range_by_pass.",
        )
    };
    let (layout, asked) = layout(name).ok_or_else(unknown)?;
    let count = layout.count();
    if asked.contains("compensated") {
        return Err(trouble(
            TroubleKind::OutOfRange,
            "quantity",
            "What would have to be put on the first screws for even loads is not computed.".into(),
            "More than the maker's value is never offered; a round again at full torque does it.",
        ));
    }
    let inputs = Inputs::read(inputs, before)?;
    let joint = joint(layout, &inputs)?;
    let force = inputs.need("T")?;
    let order = match inputs.order(count)? {
        Some(order) => order,
        None if asked.starts_with("star") => ring_order(count),
        None if asked.bytes().all(|b| b.is_ascii_digit()) && asked.len() == count => {
            order_of(asked.bytes().map(|b| usize::from(b - b'0')).collect(), count)?
        }
        None => (0..count).collect(),
    };
    let rounds = if asked.ends_with("range_by_pass") { ROUNDS_TOLD } else { 1 };
    let model = |why: super::ModelError| model_trouble(&why);
    let after = forces(&joint, &vec![one_round(&order, force); rounds]).map_err(model)?;
    match asked {
        "first_after_second" => Ok(vec![after[0][order[0]]]),
        _ if asked.ends_with("range_by_pass") => {
            Ok(after.iter().map(|forces| spread_percent(forces)).collect())
        }
        _ if asked.ends_with("pass1") || asked.bytes().all(|b| b.is_ascii_digit()) => {
            Ok(after[0].clone())
        }
        _ => Err(unknown()),
    }
}

/// The layout at the beginning of a name, and the rest of it.
fn layout(name: &str) -> Option<(Layout, &str)> {
    const NUMBERS: [&str; 8] = ["two", "three", "four", "five", "six", "seven", "eight", "nine"];
    if let Some(rest) = name.strip_prefix("ring") {
        let (count, asked) = rest.split_once('_')?;
        let count = count.parse().ok().filter(|count| (3..=HOLES_MAX).contains(count))?;
        return Some((Layout::Ring(count), asked));
    }
    let (number, rest) = name.split_once('_')?;
    let count = NUMBERS.iter().position(|word| *word == number)? + 2;
    let asked = rest.strip_prefix("in_row_").or_else(|| rest.strip_prefix("bolts_"))?;
    Some((Layout::Row(count), asked))
}

fn joint(layout: Layout, inputs: &Inputs<'_>) -> Result<Elastic, Trouble> {
    let own = match inputs.value("c11")? {
        Some(own) => own,
        None => inputs.need("c")?,
    };
    let stiffness = vec![inputs.need("kb")?; layout.count()];
    let made = if let Some(rho) = inputs.value("rho")? {
        Elastic::by_distance(&stiffness, own, rho, |i, j| layout.apart(i, j))
    } else {
        let other = inputs.need("c12")?;
        let cell = |i, j| if i == j { own } else { other };
        Elastic::new(&stiffness, Matrix::from_cells(layout.count(), cell))
    };
    made.map_err(|why| model_trouble(&why))
}

/// The inputs of a row and of the one before it.
struct Inputs<'a> {
    parts: Vec<(&'a str, &'a str)>,
    words: Vec<&'a str>,
}

impl<'a> Inputs<'a> {
    fn read(text: &'a str, before: Option<&'a str>) -> Result<Self, Trouble> {
        let is_same = text.trim_start().to_lowercase().starts_with("same");
        if is_same && before.is_none() {
            return Err(trouble(
                TroubleKind::Missing,
                "inputs",
                "\"same\" points at an earlier row, and there is none of its kind.".into(),
                "Give kb, c, rho, T, or put the row with them before this one.",
            ));
        }
        let (mut parts, mut words) = (Vec::new(), Vec::new());
        // What the row says itself comes first and so wins.
        for text in [Some(text), before.filter(|_| is_same)].into_iter().flatten() {
            for part in text.split([';']).flat_map(|part| part.split(", ")).map(str::trim) {
                match part.split_once('=') {
                    Some((key, value)) => parts.push((key.trim(), value.trim())),
                    None => words.push(part),
                }
            }
        }
        Ok(Self { parts, words })
    }

    fn need(&self, key: &str) -> Result<f64, Trouble> {
        self.value(key)?.ok_or_else(|| {
            let message = format!("The row does not say {key}.");
            trouble(TroubleKind::Missing, key, message, "Add it: kb=150;c=1/450;rho=0.5;T=40.")
        })
    }

    /// A number, a fraction ("1/450"), or so many times another input ("0.4*c11").
    fn value(&self, key: &str) -> Result<Option<f64>, Trouble> {
        let find = |key: &str| self.parts.iter().find(|(k, _)| *k == key).map(|(_, value)| *value);
        let Some(text) = find(key) else { return Ok(None) };
        let number = |text: &str| text.trim().replace(',', ".").parse::<f64>().ok();
        let plain = |text: &str| match text.split_once('/') {
            Some((above, below)) => Some(number(above)? / number(below)?),
            None => number(text),
        };
        let read = match text.split_once('*') {
            Some((times, other)) => number(times).zip(find(other.trim()).and_then(plain)),
            None => plain(text).map(|value| (1.0, value)),
        };
        let value = read.map(|(times, value)| times * value).filter(|value| value.is_finite());
        match value {
            Some(value) if value >= 0.0 => Ok(Some(value)),
            Some(_) => {
                let message = format!("{key} is \"{text}\", which is below 0.");
                Err(trouble(TroubleKind::Negative, key, message, "Give a number above 0."))
            }
            None => {
                let message = format!("{key} is \"{text}\", which is no number.");
                let help = "Give a number, a fraction (1/450) or a share of another (0.4*c11).";
                Err(trouble(TroubleKind::NotUnderstood, key, message, help))
            }
        }
    }

    /// The order, from 0, if the row gives one: "order 1-5-3", "order 2,1,3", "order 1..8".
    fn order(&self, count: usize) -> Result<Option<Vec<usize>>, Trouble> {
        let named = self.parts.iter().find(|(key, _)| *key == "order").map(|(_, value)| *value);
        let said = self.words.iter().find_map(|word| word.strip_prefix("order "));
        let Some(text) = named.or(said) else { return Ok(None) };
        let numbers: Option<Vec<usize>> = match text.split_once("..") {
            Some((from, to)) => match (from.trim().parse(), to.trim().parse()) {
                (Ok(from), Ok(to)) if to <= HOLES_MAX => Some((from..=to).collect()),
                _ => None,
            },
            None => text.split(['-', ',']).map(|number| number.trim().parse().ok()).collect(),
        };
        let numbers = numbers.ok_or_else(|| {
            let message = format!("The order \"{text}\" is not understood.");
            trouble(TroubleKind::NotUnderstood, "order", message, "Write it 1-5-3-7 or 1..8.")
        })?;
        order_of(numbers, count).map(Some)
    }
}

/// An order counted from 1, looked over and counted from 0.
fn order_of(numbers: Vec<usize>, count: usize) -> Result<Vec<usize>, Trouble> {
    let mut sorted = numbers.clone();
    sorted.sort_unstable();
    if sorted.into_iter().ne(1..=count) {
        let message = format!("The order does not name each of {count} screws once.");
        return Err(trouble(
            TroubleKind::Contradiction,
            "order",
            message,
            "Name each screw once, from 1.",
        ));
    }
    Ok(numbers.into_iter().map(|number| number - 1).collect())
}

fn model_trouble(why: &super::ModelError) -> Trouble {
    trouble(TroubleKind::OutOfRange, "inputs", format!("This is no joint: {why}."), "Look at it.")
}

fn trouble(kind: TroubleKind, field: &str, message: String, help: &str) -> Trouble {
    Trouble { kind, field: field.to_owned(), message, help: help.to_owned() }
}
