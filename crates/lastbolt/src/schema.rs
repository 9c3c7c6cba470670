//! JSON Schema (draft 2020-12) of the files, made from the reader's own table of keys.

use std::collections::BTreeSet;

use lastbolt_files::shapes::{self, Shape};
use lastbolt_machine::HAZARDS;
use serde_json::{Map, Value, json};

/// Gives the schema of a file by the name of its top table.
pub(crate) fn schema(top: &str, title: &str) -> Value {
    let mut parts: BTreeSet<&str> = BTreeSet::new();
    let mut todo = vec![top];
    while let Some(table) = todo.pop() {
        for (_, _, shape, _) in lines(table) {
            let more = match shape {
                Shape::Table(of) | Shape::Tables(of) | Shape::List(of) => Some(*of),
                Shape::Ways | Shape::WaysOrByItself => Some("way"),
                _ => None,
            };
            todo.extend(more.filter(|of| parts.insert(of)));
        }
    }
    let mut whole = table(top);
    whole.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    whole.insert("title".into(), json!(title));
    let parts = parts.into_iter().map(|of| (of.to_owned(), Value::Object(table(of))));
    whole.insert("$defs".into(), Value::Object(parts.collect()));
    Value::Object(whole)
}

fn lines(table: &str) -> impl Iterator<Item = &'static shapes::Line> {
    shapes::LINES.iter().filter(move |(of, ..)| *of == table)
}

/// One table: its keys, those of one's own (`x-`), and nothing else.
fn table(name: &str) -> Map<String, Value> {
    let mut keys = Map::new();
    for (_, key, shape, what) in lines(name) {
        let mut value = value(*shape);
        if let Value::Object(inside) = &mut value {
            inside.insert("description".into(), json!(what));
        }
        keys.insert((*key).to_owned(), value);
    }
    let required: Vec<&str> =
        shapes::REQUIRED.iter().filter(|(of, _)| *of == name).map(|(_, key)| *key).collect();
    let mut table = Map::new();
    table.insert("type".into(), json!("object"));
    table.insert("properties".into(), Value::Object(keys));
    if !required.is_empty() {
        table.insert("required".into(), json!(required));
    }
    table.insert("patternProperties".into(), json!({ "^x-": {} }));
    table.insert("additionalProperties".into(), json!(shapes::OPEN.contains(&name)));
    table
}

fn reference(of: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{of}") })
}

fn text(most: u32) -> Value {
    json!({ "type": "string", "pattern": "\\S", "maxLength": most })
}

fn list(of: &Value, most: u32) -> Value {
    json!({ "type": "array", "items": of, "maxItems": most })
}

/// Whatever is named, in tables of one sort; names that begin with x- are one's own.
fn named(of: &Value) -> Value {
    json!({ "type": "object", "patternProperties": { "^x-": {} }, "additionalProperties": of })
}

/// Two names with one / between.
const PAIR: &str = "^[^/]*[^/\\s][^/]*/[^/]*[^/\\s][^/]*$";

fn value(shape: Shape) -> Value {
    let name = || text(200);
    let free = || text(10_000);
    let number = |most: Option<u32>| match most {
        Some(most) => json!({ "type": "number", "minimum": 0, "maximum": most }),
        None => json!({ "type": "number", "minimum": 0 }),
    };
    let minutes =
        || json!({ "type": "number", "minimum": 0, "maximum": 10_000, "multipleOf": 0.001 });
    match shape {
        Shape::Name => name(),
        Shape::Text => free(),
        Shape::Names => list(&name(), 5000),
        Shape::Texts => list(&free(), 5000),
        Shape::TextOrTexts => json!({ "anyOf": [free(), list(&free(), 5000)] }),
        Shape::Minutes => minutes(),
        Shape::Count => json!({ "type": "integer", "minimum": 1, "maximum": 1000 }),
        Shape::Kilograms => number(Some(100_000)),
        Shape::Amount => number(None),
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Ways => list(&reference("way"), 200),
        Shape::WaysOrByItself => {
            json!({ "anyOf": [{ "const": "by itself" }, list(&reference("way"), 200)] })
        }
        Shape::Chance => {
            let words = ["likely", "possible", "unlikely"];
            json!({ "anyOf": [{ "enum": words }, number(Some(1))] })
        }
        Shape::Hazards => list(&json!({ "enum": HAZARDS }), 5000),
        Shape::AfterLook => json!({ "const": "leak look" }),
        Shape::Price => json!({ "anyOf": [number(None), free(), { "type": "object" }] }),
        Shape::Anything => json!({}),
        Shape::FreeTable => json!({ "type": "object" }),
        Shape::Groups => list(&list(&name(), 5000), 5000),
        Shape::Pairs => json!({
            "type": "object",
            "properties": { "default": minutes() },
            "patternProperties": { "^x-": {}, PAIR: minutes() },
            "additionalProperties": false,
        }),
        Shape::MinutesByKind => named(&minutes()),
        Shape::Range => {
            let two = json!({ "type": "array", "items": number(None), "minItems": 2,
                "maxItems": 2 });
            json!({ "anyOf": [free(), two] })
        }
        Shape::Measure => json!({ "anyOf": [number(None), free()] }),
        // Other words are read and mean nothing: an editor offers the known ones.
        Shape::OneOf(words) => json!({ "anyOf": [{ "enum": words }, free()] }),
        Shape::Table(of) => reference(of),
        Shape::Tables(of) => named(&reference(of)),
        Shape::List(of) => list(&reference(of), 5000),
    }
}
