//! The tree of a file: tables, lists and values in the order they were written, each with its
//! place. Made from the TOML tree, so that the readers know nothing of TOML.

use lastbolt_machine::{At, Value};
use toml::de::{DeTable, DeValue};

/// `key = value`, or a table under its name.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Entry {
    pub(crate) key: String,
    pub(crate) at: At,
    pub(crate) node: Node,
}

/// A value with its place.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Node {
    pub(crate) at: At,
    /// A mistake in it has been reported already: nothing more is said about it.
    pub(crate) reported: bool,
    pub(crate) data: Data,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Data {
    Text(String),
    /// A number: the digits as written, and what they come to.
    Number {
        digits: String,
        number: f64,
    },
    Flag(bool),
    /// A date or a time of day, which no key of ours takes.
    Date(String),
    List(Vec<Node>),
    Table(Vec<Entry>),
}

/// What is needed to turn byte spans of the TOML tree into places.
pub(crate) trait Places {
    /// The place of a byte.
    fn at(&self, offset: usize) -> At;
    /// What was written there.
    fn written(&self, span: std::ops::Range<usize>) -> &str;
    /// Whether a mistake has been reported in this span.
    fn is_reported(&self, span: std::ops::Range<usize>) -> bool;
}

/// Turns a TOML table into entries in the order of the file.
pub(crate) fn entries(table: &DeTable<'_>, places: &dyn Places) -> Vec<Entry> {
    let mut all: Vec<_> = table.iter().collect();
    all.sort_by_key(|(key, value)| (key.span().start, value.span().start));
    let entry =
        |(key, value): (&toml::Spanned<std::borrow::Cow<'_, str>>, &toml::Spanned<DeValue<'_>>)| {
            let span = value.span();
            // A value that could not be read at all stands nowhere.
            let lost = span == (0..0);
            let mut node = node(value.get_ref(), span, places);
            if lost {
                node.reported = true;
            }
            Entry { key: key.get_ref().to_string(), at: places.at(key.span().start), node }
        };
    all.into_iter().map(entry).collect()
}

fn node(value: &DeValue<'_>, span: std::ops::Range<usize>, places: &dyn Places) -> Node {
    let at = places.at(span.start);
    let data = match value {
        DeValue::String(text) => Data::Text(text.to_string()),
        DeValue::Integer(integer) => {
            let number = i64::from_str_radix(integer.as_str(), integer.radix());
            let number = number.map_or_else(|_| far_off(integer.as_str()), |n| n as f64);
            Data::Number { digits: places.written(span.clone()).to_owned(), number }
        }
        DeValue::Float(float) => {
            let number = float.as_str().parse().unwrap_or(f64::NAN);
            Data::Number { digits: places.written(span.clone()).to_owned(), number }
        }
        DeValue::Boolean(flag) => Data::Flag(*flag),
        DeValue::Datetime(_) => Data::Date(places.written(span.clone()).to_owned()),
        DeValue::Array(array) => {
            Data::List(array.iter().map(|v| node(v.get_ref(), v.span(), places)).collect())
        }
        DeValue::Table(table) => Data::Table(entries(table, places)),
    };
    let is_leaf = !matches!(data, Data::List(_) | Data::Table(_));
    let reported = is_leaf && places.is_reported(span);
    Node { at, reported, data }
}

/// A whole number too large for the machine: its sign and "very many".
fn far_off(digits: &str) -> f64 {
    if digits.starts_with('-') { f64::NEG_INFINITY } else { f64::INFINITY }
}

impl Node {
    /// The value of a free table, digits as written; keys beginning with `x-` are kept.
    pub(crate) fn value(&self) -> Value {
        match &self.data {
            Data::Text(text) => Value::Text(text.clone()),
            Data::Number { digits, .. } => Value::Number(digits.clone()),
            Data::Flag(flag) => Value::Flag(*flag),
            Data::Date(text) => Value::Text(text.clone()),
            Data::List(nodes) => Value::List(nodes.iter().map(Node::value).collect()),
            Data::Table(entries) => {
                Value::Table(entries.iter().map(|e| (e.key.clone(), e.node.value())).collect())
            }
        }
    }
}
