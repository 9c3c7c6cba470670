//! One table being read: its keys checked against the known ones, its values fetched by key.

use lastbolt_machine::validate::nearest;
use lastbolt_machine::{At, Problem, Ref};

use crate::keys;
use crate::limits::{LIST_MAX, NAME_CHARS_MAX, TEXT_CHARS_MAX};
use crate::scan::TWICE;
use crate::tree::{Data, Entry, Node};

/// The problems found while a file is read.
#[derive(Debug, Default)]
pub(crate) struct Found {
    pub(crate) problems: Vec<Problem>,
}

impl Found {
    pub(crate) fn error(
        &mut self,
        at: At,
        kind: &'static str,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.problems.push(Problem::error(at, kind, message, help));
    }

    /// Says that a value is of another sort than its key takes; nothing if a mistake in its
    /// writing has been reported already.
    pub(crate) fn wrong_type(&mut self, node: &Node, key: &str, takes: &str, help: String) {
        if !node.reported {
            let message = format!("`{key}` takes {takes}, not {}.", sort_of(node));
            self.error(node.at, "wrong-type", message, help);
        }
    }

    /// A name or text: trimmed, not empty, not too long.
    pub(crate) fn text(&mut self, node: &Node, key: &str, chars_max: usize) -> Option<Ref> {
        let Data::Text(text) = &node.data else {
            let help = match &node.data {
                Data::Number { digits, .. } => format!("Put it in quotes: \"{digits}\"."),
                Data::List(nodes) if nodes.len() == 1 => {
                    format!("Leave out the square brackets: {key} = \"...\".")
                }
                _ => format!("Write {key} = \"...\"."),
            };
            self.wrong_type(node, key, "text in quotes", help);
            return None;
        };
        let trimmed = text.trim();
        if trimmed.is_empty() {
            if !node.reported {
                let message = format!("`{key}` has nothing in its quotes.");
                self.error(node.at, "empty-name", message, "Fill it in, or leave it out.");
            }
            return None;
        }
        if trimmed.chars().count() > chars_max {
            let message = format!("`{key}` is longer than {chars_max} characters.");
            let help = "Shorten it; long explanations go in `note`.";
            self.error(node.at, "too-long", message, help);
            return None;
        }
        Some(Ref::new(trimmed.to_owned(), node.at))
    }

    /// A list of texts; a text alone is an error unless `alone`, but is read all the same.
    pub(crate) fn texts(
        &mut self,
        node: &Node,
        key: &str,
        chars_max: usize,
        alone: bool,
    ) -> Vec<Ref> {
        match &node.data {
            Data::List(nodes) => {
                if nodes.len() > LIST_MAX {
                    let message = format!("`{key}` has more than {LIST_MAX} entries.");
                    self.error(node.at, "too-many", message, "Shorten the list.");
                }
                let nodes = nodes.iter().take(LIST_MAX);
                nodes.filter_map(|n| self.text(n, key, chars_max)).collect()
            }
            Data::Text(text) => {
                if !alone {
                    let help = format!("Write {key} = [\"{}\"].", text.trim());
                    self.wrong_type(node, key, "a list", help);
                }
                self.text(node, key, chars_max).into_iter().collect()
            }
            _ => {
                let help = format!("Write {key} = [\"...\", \"...\"].");
                self.wrong_type(node, key, "a list of texts in quotes", help);
                Vec::new()
            }
        }
    }
}

/// What a value is, in a mechanic's words.
pub(crate) fn sort_of(node: &Node) -> String {
    let short = |text: &str| -> String {
        let mut short: String = text.chars().take(40).collect();
        if short.len() < text.len() {
            short.push_str("...");
        }
        short
    };
    match &node.data {
        Data::Text(text) => format!("the text \"{}\"", short(text)),
        Data::Number { digits, .. } => format!("the number {}", short(digits)),
        Data::Flag(flag) => format!("{flag}"),
        Data::Date(date) => format!("the date {}", short(date)),
        Data::List(_) => "a list".to_owned(),
        Data::Table(_) => "a table".to_owned(),
    }
}

/// A table being read.
pub(crate) struct Fields<'a> {
    pub(crate) found: &'a mut Found,
    entries: &'a [Entry],
}

impl<'a> Fields<'a> {
    /// Begins with a table; every key that is not known is reported.
    pub(crate) fn new(
        found: &'a mut Found,
        whose: &str,
        entries: &'a [Entry],
        known: &'static [&'static str],
    ) -> Self {
        for entry in entries {
            if !known.contains(&entry.key.as_str()) && !is_extra(&entry.key) {
                let message = format!("{whose} has no key `{}`.", entry.key);
                found.error(entry.at, "unknown-key", message, other_key(&entry.key, known));
            }
        }
        Self { found, entries }
    }

    pub(crate) fn node(&self, key: &str) -> Option<&'a Node> {
        self.entries.iter().find(|entry| entry.key == key).map(|entry| &entry.node)
    }

    /// A short text, such as a name.
    pub(crate) fn name(&mut self, key: &str) -> Option<Ref> {
        self.node(key).and_then(|node| self.found.text(node, key, NAME_CHARS_MAX))
    }

    /// Free text of any length.
    pub(crate) fn text(&mut self, key: &str) -> Option<Ref> {
        self.node(key).and_then(|node| self.found.text(node, key, TEXT_CHARS_MAX))
    }

    /// A list of names.
    pub(crate) fn names(&mut self, key: &str) -> Vec<Ref> {
        let node = self.node(key);
        node.map_or_else(Vec::new, |node| self.found.texts(node, key, NAME_CHARS_MAX, false))
    }

    /// A list of free texts.
    pub(crate) fn texts(&mut self, key: &str) -> Vec<Ref> {
        let node = self.node(key);
        node.map_or_else(Vec::new, |node| self.found.texts(node, key, TEXT_CHARS_MAX, false))
    }

    /// One free text, or a list of them.
    pub(crate) fn text_or_texts(&mut self, key: &str) -> Vec<Ref> {
        let node = self.node(key);
        node.map_or_else(Vec::new, |node| self.found.texts(node, key, TEXT_CHARS_MAX, true))
    }

    /// Yes or no; no if it is not written.
    pub(crate) fn flag(&mut self, key: &str) -> bool {
        let Some(node) = self.node(key) else {
            return false;
        };
        match &node.data {
            Data::Flag(flag) => *flag,
            _ => {
                let help = format!("Write {key} = true, or leave it out.");
                self.found.wrong_type(node, key, "true or false", help);
                false
            }
        }
    }

    /// The tables named under a key, as in `[part."..."]`, each with its name.
    pub(crate) fn named_tables(&mut self, key: &str, max: usize) -> Vec<(Ref, &'a [Entry])> {
        let Some(node) = self.node(key) else {
            return Vec::new();
        };
        let Data::Table(entries) = &node.data else {
            let help = format!("Write [{key}.\"NAME\"] on a line of its own.");
            self.found.wrong_type(node, key, "tables with names", help);
            return Vec::new();
        };
        if let Some(one) = entries.get(max) {
            let message = format!("There are more than {max} tables under `{key}`.");
            self.found.error(one.at, "too-many", message, "Split the machine in two files.");
        }
        let mut all = Vec::new();
        for entry in entries.iter().take(max).filter(|entry| !is_extra(&entry.key)) {
            let named = Node {
                at: entry.at,
                reported: false,
                // The second of two with the same name carries a mark.
                data: Data::Text(entry.key.split(TWICE).next().unwrap_or("").to_owned()),
            };
            let name = self.found.text(&named, key, NAME_CHARS_MAX);
            let Data::Table(inner) = &entry.node.data else {
                let message = format!("`{}` under `{key}` is not a table.", entry.key);
                let help = format!("Write [{key}.\"{}\"] on a line of its own.", entry.key);
                if !entry.node.reported {
                    self.found.error(entry.at, "wrong-type", message, help);
                }
                continue;
            };
            if let Some(name) = name {
                all.push((name, inner.as_slice()));
            }
        }
        all
    }
}

/// Whether a key is the user's own: kept in the file, ignored here.
pub(crate) fn is_extra(key: &str) -> bool {
    key.starts_with("x-")
}

/// What to write instead of a key that is not known.
fn other_key(key: &str, known: &[&str]) -> String {
    let own = "Keys of your own begin with x-.";
    if let Some(near) = nearest(key, known.iter().copied()) {
        return format!("Did you mean `{near}`? {own}");
    }
    let elsewhere = keys::ALL.iter().find(|(_, keys)| keys.contains(&key));
    if let Some((table, _)) = elsewhere {
        return format!("`{key}` belongs in {}. {own}", place_of(table));
    }
    format!("Known here: {}. {own}", known.join(", "))
}

/// How a table is written, for messages.
fn place_of(table: &str) -> String {
    match table {
        "way" => "a line of `ways` or `back`: ways = [{ ... }]".to_owned(),
        "machine file" => "the top of the machine file, above the first table".to_owned(),
        "job file" => "the top of the job file".to_owned(),
        "garage file" => "the garage file".to_owned(),
        "fluid" | "missed" => format!("`{table}`"),
        "job" => "[job]".to_owned(),
        _ => format!("[{table}.\"NAME\"]"),
    }
}
