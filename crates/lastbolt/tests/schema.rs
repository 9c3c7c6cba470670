//! The schemas of the three files have the reader's keys, all of them and no other.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use common::run;
use lastbolt_files::keys;
use serde_json::Value;

fn schema(which: &str) -> Value {
    let ran = run(&["schema", which]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    ran.json()
}

fn keys_of(table: &Value) -> Vec<&str> {
    let mut keys: Vec<&str> =
        table["properties"].as_object().unwrap().keys().map(String::as_str).collect();
    keys.sort_unstable();
    keys
}

fn same(table: &Value, known: &[&str], name: &str) {
    let mut known = known.to_vec();
    known.sort_unstable();
    assert_eq!(keys_of(table), known, "{name}");
}

/// Every table of the reader stands in the schema of some file with exactly its keys; a table that
/// is named is there. Files of strangers are judged in `peers/schema_check.py`.
#[test]
fn the_schemas_have_the_readers_keys() {
    let files = [("machine", "machine file"), ("job", "job file"), ("garage", "garage file")];
    let all: Vec<(Value, &str)> = files.map(|(which, top)| (schema(which), top)).into();
    for (table, known) in keys::ALL {
        let mut found = 0;
        for (schema, top) in &all {
            if top == table {
                same(schema, known, table);
                found += 1;
            } else if let Some(part) = schema["$defs"].get(table) {
                same(part, known, table);
                found += 1;
            }
        }
        assert!(found > 0, "{table} is in no schema");
    }
    for (schema, _) in &all {
        let text = schema.to_string();
        for piece in text.split("\"#/$defs/").skip(1) {
            let of = piece.split('"').next().unwrap();
            assert!(schema["$defs"].get(of).is_some(), "{of} is named and not there");
        }
        let described = text.matches("\"description\":").count();
        assert!(described >= schema["properties"].as_object().unwrap().len());
    }
    assert_eq!(run(&["schema", "engine"]).code, 2);
}
