//! What a machine file says of tightening, as written.

use lastbolt_machine::{Tie, Value};
use lastbolt_tighten::{Hole, Stage, read_stage};

use crate::line::value_text;

/// The most rounds that are shown; a file has more only by mistake.
const STAGES_MAX: usize = 40;

/// The table `tighten` of a fixing.
#[derive(Clone, Debug, Default)]
pub(crate) struct Written {
    /// The stages, in order, each with what of it is understood.
    pub(crate) stages: Vec<Stage>,
    /// Where the holes are \[mm\], if the file says so of each of them.
    pub(crate) holes: Vec<Hole>,
    /// The screws by hole, as written.
    pub(crate) lengths: Vec<String>,
    /// "M12".
    pub(crate) thread: Option<String>,
    /// "8.8".
    pub(crate) class: Option<String>,
    /// The screws are used once.
    pub(crate) is_once: bool,
    /// When it is to be tightened again: "after 50 km".
    pub(crate) again: Option<String>,
    /// The file says whether a last round at full torque is right.
    pub(crate) last_round: Option<bool>,
    /// Whatever else stands in the table: key and value.
    pub(crate) others: Vec<(String, String)>,
}

/// Reads the table; nothing fails, what is not understood is kept as it is.
pub(crate) fn written(tie: &Tie) -> Written {
    let mut all = Written::default();
    let Some(Value::Table(table)) = &tie.tighten else { return all };
    for (key, value) in table {
        match (key.as_str(), value) {
            ("stages", Value::List(list)) => {
                let texts = list.iter().take(STAGES_MAX).map(value_text);
                all.stages = texts.map(|text| read_stage(&text)).collect();
            }
            ("stages", one) => all.stages = vec![read_stage(&value_text(one))],
            ("at", Value::List(list)) => all.holes = holes(list),
            ("lengths", Value::List(list)) => all.lengths = list.iter().map(value_text).collect(),
            ("thread", one) => all.thread = Some(value_text(one)),
            ("class", one) => all.class = Some(value_text(one)),
            ("once", Value::Flag(once)) => all.is_once = *once,
            ("again", one) => all.again = Some(value_text(one)),
            ("last_round", Value::Flag(last)) => all.last_round = Some(*last),
            (key, other) => all.others.push((key.to_owned(), value_text(other))),
        }
    }
    all
}

/// The places of holes, if every one of them is a pair of numbers.
fn holes(list: &[Value]) -> Vec<Hole> {
    let number = |value: &Value| match value {
        Value::Number(text) | Value::Text(text) => place(text),
        _ => None,
    };
    let hole = |value: &Value| match value {
        Value::List(pair) => match pair.as_slice() {
            [x, y] => Some(Hole::at(number(x)?, number(y)?)),
            _ => None,
        },
        _ => None,
    };
    list.iter().map(hole).collect::<Option<Vec<Hole>>>().unwrap_or_default()
}

/// A coordinate as the file has it; a decimal comma is taken in a text.
fn place(text: &str) -> Option<f64> {
    let plain: String = text.trim().chars().filter(|c| *c != '_').collect();
    let plain = plain.replace(',', ".").replace('−', "-");
    plain.parse().ok().filter(|value: &f64| value.is_finite())
}
