//! Things of a machine as text: tables to be appended to a machine file, whose own lines stay as
//! they are.

use lastbolt_machine::model::{Back, Facts};
use lastbolt_machine::{Minutes, Part, Ref, Sited, Spot, Tie, Way};

/// Gives places, parts and fixings as tables of a machine file, in this order.
///
/// Written are the keys that a record can fill; what they leave out is left out of the text.
pub fn tables(spots: &[Spot], parts: &[Part], ties: &[Tie]) -> String {
    let mut text = String::new();
    for spot in spots {
        text.push_str(&head("spot", &spot.id));
        text.push('\n');
    }
    for part in parts {
        text.push_str(&head("part", &part.id));
        text.push_str(&write_ways("ways", part.ways.as_deref()));
        text.push_str(&write_back(&part.back));
        text.push_str(&name("rides", part.rides.as_ref()));
        text.push_str(&names("stays", &part.stays));
        text.push_str(&names("hazards", &part.hazards));
        text.push_str(&write_facts(&part.facts));
        text.push('\n');
    }
    for tie in ties {
        text.push_str(&head("tie", &tie.id));
        text.push_str(&name("kind", tie.kind.as_ref()));
        if let Some(count) = tie.count.as_ref().filter(|count| count.value != 1) {
            text.push_str(&format!("count = {}\n", count.value));
        }
        text.push_str(&names("joins", &tie.joins));
        text.push_str(&write_ways("ways", tie.ways.as_deref()));
        text.push_str(&write_back(&tie.back));
        text.push_str(&names("hidden_by", &tie.hidden_by));
        text.push_str(&names("hazards", &tie.hazards));
        text.push_str(&write_facts(&tie.facts));
        text.push('\n');
    }
    text
}

/// Gives a text in quotes, as TOML reads it.
pub fn quoted(text: &str) -> String {
    let mut quoted = String::from('"');
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                quoted.push('\\');
                quoted.push(c);
            }
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            c if c.is_control() => quoted.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

fn head(table: &str, id: &Ref) -> String {
    format!("[{table}.{}]\n", quoted(id.name()))
}

fn name(key: &str, value: Option<&Ref>) -> String {
    value.map_or(String::new(), |value| format!("{key} = {}\n", quoted(&value.value)))
}

fn list(names: &[Ref]) -> String {
    let all: Vec<String> = names.iter().map(|name| quoted(name.name())).collect();
    format!("[{}]", all.join(", "))
}

fn names(key: &str, all: &[Ref]) -> String {
    if all.is_empty() { String::new() } else { format!("{key} = {}\n", list(all)) }
}

fn write_facts(facts: &Facts) -> String {
    let all = [
        ("sits", &facts.sits),
        ("wetted", &facts.wetted),
        ("mark", &facts.mark),
        ("support", &facts.support),
        ("note", &facts.note),
        ("photo", &facts.photo),
        ("label", &facts.label),
    ];
    all.into_iter().map(|(key, fact)| name(key, fact.as_ref())).collect()
}

fn write_back(back: &Back) -> String {
    match back {
        Back::Unstated => String::new(),
        Back::ByItself(_) => "back = \"by itself\"\n".to_owned(),
        Back::Ways(ways) => write_ways("back", Some(ways)),
    }
}

fn write_ways(key: &str, ways: Option<&[Way]>) -> String {
    let Some(ways) = ways else { return String::new() };
    let all: Vec<String> = ways.iter().map(write_way).collect();
    // One way that says nothing is what a thing without ways has.
    if key == "ways" && all == ["{}"] {
        return String::new();
    }
    format!("{key} = [{}]\n", all.join(", "))
}

fn write_way(way: &Way) -> String {
    let mut keys: Vec<String> = Vec::new();
    let text = |key: &str, value: &Option<Ref>| {
        value.as_ref().map(|value| format!("{key} = {}", quoted(value.name())))
    };
    keys.extend(text("from", &way.from));
    keys.extend(text("tool", &way.tool));
    keys.extend(way.minutes.as_ref().map(|m: &Sited<Minutes>| format!("minutes = {}", m.value)));
    for (key, all) in [("clear", &way.clear), ("needs", &way.needs)] {
        if !all.is_empty() {
            keys.push(format!("{key} = {}", list(all)));
        }
    }
    if way.feel {
        keys.push("feel = true".to_owned());
    }
    if keys.is_empty() { "{}".to_owned() } else { format!("{{ {} }}", keys.join(", ")) }
}
