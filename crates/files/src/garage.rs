//! The garage file.

use lastbolt_machine::model::GarageSpec;
use lastbolt_machine::validate::nearest;
use lastbolt_machine::{FileNo, MinuteTable, Problem, Ref, Value};

use crate::display::Display;
use crate::fields::{Fields, Found, is_extra};
use crate::keys;
use crate::limits::THINGS_MAX;
use crate::source::Source;
use crate::text::Text;
use crate::tree::{Data, Entry};

/// Reads a garage file: all that could be read, and everything that is wrong with it.
pub fn read_garage(sources: &[Source], file: FileNo) -> (GarageSpec, Vec<Problem>) {
    garage_of(Text::of(sources, file))
}

pub(crate) fn garage_of(text: Text) -> (GarageSpec, Vec<Problem>) {
    let mut found = Found::default();
    let mut fields = Fields::new(&mut found, "A garage file", &text.root, keys::GARAGE);
    let garage = GarageSpec {
        people: kept(&mut fields, "person", keys::PERSON),
        wrenches: kept(&mut fields, "wrench", keys::WRENCH),
        adapters: kept(&mut fields, "adapter", keys::ADAPTER),
        tools: kept(&mut fields, "tool", keys::TOOL),
        minutes: minutes(&mut fields),
        display: display(&mut fields),
    };
    (garage, text.finish(found))
}

/// Named tables, kept as written; a key that looks like a slip gets a remark.
fn kept(fields: &mut Fields<'_>, key: &str, known: &[&str]) -> Vec<(Ref, Value)> {
    let tables = fields.named_tables(key, THINGS_MAX);
    for (_, entries) in &tables {
        remark_slips(fields.found, entries, known);
    }
    let value = |entries: &[Entry]| {
        Value::Table(entries.iter().map(|e| (e.key.clone(), e.node.value())).collect())
    };
    tables.into_iter().map(|(name, entries)| (name, value(entries))).collect()
}

fn display(fields: &mut Fields<'_>) -> Vec<(Ref, Value)> {
    let entries = flat(fields, "display");
    remark_slips(fields.found, entries, keys::DISPLAY);
    let given = entries.iter().filter(|entry| !is_extra(&entry.key));
    let all: Vec<(Ref, Value)> =
        given.map(|entry| (Ref::new(entry.key.clone(), entry.at), entry.node.value())).collect();
    for unknown in Display::read(&all).1 {
        fields.found.problems.push(unknown);
    }
    all
}

/// These tables take any key, but one that is nearly a known one is hardly meant as it stands.
fn remark_slips(found: &mut Found, entries: &[Entry], known: &[&str]) {
    for entry in entries {
        let key = entry.key.as_str();
        let near = nearest(key, known.iter().copied()).filter(|near| *near != key);
        if let Some(near) = near.filter(|_| !is_extra(key)) {
            let message = format!("`{key}` is kept and means nothing here.");
            let help = format!("Did you mean `{near}`? Keys of your own begin with x-.");
            found.problems.push(Problem::note(entry.at, "unknown-key", message, help));
        }
    }
}

fn minutes(fields: &mut Fields<'_>) -> MinuteTable {
    let mut table = MinuteTable::default();
    for entry in flat(fields, "minutes").iter().filter(|entry| !is_extra(&entry.key)) {
        if let Some(minutes) = fields.found.minutes(&entry.node, &entry.key) {
            table.by_kind.push((entry.key.trim().to_owned(), minutes.value));
        }
    }
    table
}

/// The entries of a table, none if it is missing.
fn flat<'a>(fields: &mut Fields<'a>, key: &str) -> &'a [Entry] {
    match fields.node(key) {
        None => &[],
        Some(node) => match &node.data {
            Data::Table(entries) => entries,
            _ => {
                let help = format!("Write [{key}] on a line of its own.");
                fields.found.wrong_type(node, key, "a table", help);
                &[]
            }
        },
    }
}
