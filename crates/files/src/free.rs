//! Free tables and amounts: checked for their sort, kept in the digits they were written in.

use lastbolt_machine::Value;

use crate::fields::Fields;
use crate::tree::{Data, Node};

impl Fields<'_> {
    /// A table of free keys, such as `tighten`.
    pub(crate) fn table(&mut self, key: &str) -> Option<Value> {
        let node = self.node(key)?;
        if !matches!(node.data, Data::Table(_)) {
            let help = format!("Write {key} = {{ ... }}.");
            self.found.wrong_type(node, key, "a table in curly brackets", help);
            return None;
        }
        self.finite(node, key);
        Some(node.value())
    }

    /// A number that is not below zero, such as litres or days.
    pub(crate) fn amount(&mut self, key: &str) -> Option<Value> {
        let node = self.node(key)?;
        let help = format!("Write {key} = and a number, without quotes and without a unit.");
        let Data::Number { digits, number } = &node.data else {
            self.found.wrong_type(node, key, "a number", help);
            return None;
        };
        if number.is_finite() && *number >= 0.0 {
            return Some(node.value());
        }
        if !node.reported {
            let message = format!("`{key}` is {digits}; it must be a number from 0.");
            self.found.error(node.at, "bad-number", message, help);
        }
        None
    }

    /// A price: a number from 0, or free text or a table.
    pub(crate) fn price(&mut self, key: &str) -> Option<Value> {
        match &self.node(key)?.data {
            Data::Number { .. } => self.amount(key),
            Data::Text(_) => self.text(key).map(|text| Value::Text(text.value)),
            _ => self.table(key),
        }
    }

    /// Anything at all, as long as its numbers are numbers.
    pub(crate) fn anything(&mut self, key: &str) -> Option<Value> {
        let node = self.node(key)?;
        self.finite(node, key);
        Some(node.value())
    }

    fn finite(&mut self, node: &Node, key: &str) {
        match &node.data {
            Data::Number { digits, number } if !number.is_finite() && !node.reported => {
                let message = format!("{digits} in `{key}` is no number to work with.");
                self.found.error(node.at, "bad-number", message, "Write a number.");
            }
            Data::List(nodes) => nodes.iter().for_each(|n| self.finite(n, key)),
            Data::Table(entries) => entries.iter().for_each(|e| self.finite(&e.node, key)),
            _ => {}
        }
    }
}
