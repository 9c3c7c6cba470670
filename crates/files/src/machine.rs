//! The machine file.

use lastbolt_machine::model::{Pair, PairTable};
use lastbolt_machine::{FileNo, Machine, Problem, Ref, Sited};

use crate::fields::{Fields, Found, is_extra};
use crate::job::job_table;
use crate::keys;
use crate::limits::{LIST_MAX, NAME_CHARS_MAX, THINGS_MAX};
use crate::source::Source;
use crate::text::Text;
use crate::things;
use crate::tree::{Data, Entry};

/// Reads a machine file: all that could be read, and everything that is wrong with it by itself.
///
/// Whether its names fit together is said by [`lastbolt_machine::validate()`].
pub fn read_machine(sources: &[Source], file: FileNo) -> (Machine, Vec<Problem>) {
    machine_of(Text::of(sources, file))
}

pub(crate) fn machine_of(mut text: Text) -> (Machine, Vec<Problem>) {
    text.refuse_empty();
    let mut found = Found::default();
    let mut fields = Fields::new(&mut found, "A machine file", &text.root, keys::MACHINE);
    let mut machine = Machine {
        machine: fields.text("machine"),
        fixed: fields.names("fixed"),
        together: together(&mut fields),
        currency: fields.name("currency"),
        note: fields.text("note"),
        between: pair_table(&mut fields, "between"),
        tool_change: pair_table(&mut fields, "tool_change"),
        job: job_table(&mut fields),
        ..Machine::default()
    };
    for (id, entries) in fields.named_tables("spot", THINGS_MAX) {
        machine.spots.push(things::spot(fields.found, id, entries));
    }
    for (id, entries) in fields.named_tables("prep", THINGS_MAX) {
        machine.preps.push(things::prep(fields.found, id, entries));
    }
    for (id, entries) in fields.named_tables("part", THINGS_MAX) {
        machine.parts.push(things::part(fields.found, id, entries));
    }
    for (id, entries) in fields.named_tables("tie", THINGS_MAX) {
        machine.ties.push(things::tie(fields.found, id, entries));
    }
    (machine, text.finish(found))
}

fn together(fields: &mut Fields<'_>) -> Vec<Sited<Vec<Ref>>> {
    let help = || "Write together = [[\"upper screws\", \"lower screws\"]].".to_owned();
    let Some(node) = fields.node("together") else {
        return Vec::new();
    };
    let Data::List(nodes) = &node.data else {
        fields.found.wrong_type(node, "together", "a list of lists", help());
        return Vec::new();
    };
    if !nodes.is_empty() && nodes.iter().all(|n| matches!(n.data, Data::Text(_))) {
        fields.found.wrong_type(node, "together", "a list of groups, each a list", help());
        let names = fields.found.texts(node, "together", NAME_CHARS_MAX, false);
        return vec![Sited::new(names, node.at)];
    }
    let mut groups = Vec::new();
    for one in nodes.iter().take(LIST_MAX) {
        if matches!(one.data, Data::List(_)) {
            let names = fields.found.texts(one, "together", NAME_CHARS_MAX, false);
            groups.push(Sited::new(names, one.at));
        } else {
            fields.found.wrong_type(one, "together", "groups, each a list of names", help());
        }
    }
    groups
}

fn pair_table(fields: &mut Fields<'_>, key: &str) -> PairTable {
    let mut table = PairTable::default();
    let Some(node) = fields.node(key) else {
        return table;
    };
    let Data::Table(entries) = &node.data else {
        let help = format!("Write [{key}] on a line of its own, and the pairs below it.");
        fields.found.wrong_type(node, key, "a table", help);
        return table;
    };
    table.at = node.at;
    for entry in entries.iter().filter(|entry| !is_extra(&entry.key)) {
        if entry.key == "default" {
            table.default = fields.found.minutes(&entry.node, "default");
        } else {
            table.pairs.extend(pair(fields.found, entry, key));
        }
    }
    table
}

/// `"A / B" = minutes`.
fn pair(found: &mut Found, entry: &Entry, table: &str) -> Option<Pair> {
    let minutes = found.minutes(&entry.node, &entry.key);
    let names: Vec<&str> = entry.key.split('/').map(str::trim).collect();
    let [a, b] = names.as_slice() else {
        let message = format!("\"{}\" in [{table}] is not two names with a / between.", entry.key);
        let help = "Write \"above / below\" = 3, or default = 1.";
        found.error(entry.at, "bad-pair", message, help);
        return None;
    };
    if a.is_empty() || b.is_empty() {
        let message = format!("\"{}\" in [{table}] lacks a name beside the /.", entry.key);
        found.error(entry.at, "bad-pair", message, "Write \"above / below\" = 3.");
        return None;
    }
    let minutes = minutes?.value;
    Some(Pair { a: (*a).to_owned(), b: (*b).to_owned(), minutes, at: entry.at })
}
