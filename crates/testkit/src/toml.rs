//! Writes a machine and its job as a file, so that a failing case can be printed and rerun.
//!
//! Written are the keys that bear on orders and minutes, plus kind and count; facts for people
//! are left out.

use std::fmt::Write as _;

use lastbolt_machine::model::{Back, PairTable};
use lastbolt_machine::{JobSpec, Machine, Minutes, Part, Prep, Ref, Sited, Spot, Tie, Way};

/// Writes a machine with its job in one TOML text.
pub fn to_toml(machine: &Machine, job: &JobSpec) -> String {
    let mut text = String::new();
    if let Some(name) = &machine.machine {
        line(&mut text, "machine", &quoted(name.name()));
    }
    names(&mut text, "fixed", &machine.fixed);
    if !machine.together.is_empty() {
        let groups: Vec<String> = machine.together.iter().map(|group| list(&group.value)).collect();
        line(&mut text, "together", &format!("[{}]", groups.join(", ")));
    }
    machine.spots.iter().for_each(|spot| write_spot(&mut text, spot));
    write_pairs(&mut text, "between", &machine.between);
    write_pairs(&mut text, "tool_change", &machine.tool_change);
    machine.preps.iter().for_each(|prep| write_prep(&mut text, prep));
    machine.parts.iter().for_each(|part| write_part(&mut text, part));
    machine.ties.iter().for_each(|tie| write_tie(&mut text, tie));
    write_job(&mut text, job);
    text
}

fn write_spot(text: &mut String, spot: &Spot) {
    head(text, "spot", spot.id.name());
    minutes(text, "setup", spot.setup.as_ref());
    minutes(text, "pack", spot.pack.as_ref());
    minutes(text, "reach", spot.reach.as_ref());
    names(text, "needs", &spot.needs);
    names(text, "not_with", &spot.not_with);
}

fn write_pairs(text: &mut String, key: &str, table: &PairTable) {
    if table.default.is_none() && table.pairs.is_empty() {
        return;
    }
    text.push_str(&format!("[{key}]\n"));
    minutes(text, "default", table.default.as_ref());
    for pair in &table.pairs {
        let names = quoted(&format!("{} / {}", pair.a, pair.b));
        line(text, &names, &pair.minutes.to_string());
    }
}

fn write_prep(text: &mut String, prep: &Prep) {
    head(text, "prep", prep.id.name());
    write_ways(text, "ways", prep.ways.as_deref());
    write_back(text, &prep.back);
    minutes(text, "wait", prep.wait.as_ref());
    names(text, "needs", &prep.needs);
}

fn write_part(text: &mut String, part: &Part) {
    head(text, "part", part.id.name());
    write_ways(text, "ways", part.ways.as_deref());
    write_back(text, &part.back);
    name(text, "rides", part.rides.as_ref());
    names(text, "stays", &part.stays);
    names(text, "needs", &part.needs);
    names(text, "renew", &part.renew);
    name(text, "after", part.after.as_ref());
    minutes(text, "open_minutes", part.open_minutes.as_ref());
}

fn write_tie(text: &mut String, tie: &Tie) {
    head(text, "tie", tie.id.name());
    line(text, "joins", &list(&tie.joins));
    name(text, "kind", tie.kind.as_ref());
    if let Some(count) = &tie.count {
        line(text, "count", &count.value.to_string());
    }
    write_ways(text, "ways", tie.ways.as_deref());
    write_back(text, &tie.back);
    names(text, "needs", &tie.needs);
    names(text, "hidden_by", &tie.hidden_by);
    names(text, "renew", &tie.renew);
    minutes(text, "sets", tie.sets.as_ref());
    minutes(text, "open_minutes", tie.open_minutes.as_ref());
    if tie.bears {
        line(text, "bears", "true");
    }
}

fn write_job(text: &mut String, job: &JobSpec) {
    text.push_str("[job]\n");
    names(text, "renew", &job.renew);
    names(text, "off", &job.off);
    names(text, "do", &job.bring);
    names(text, "comes_fitted", &job.comes_fitted);
    names(text, "already", &job.already);
    names(text, "leave_off", &job.leave_off);
    name(text, "at", job.at.as_ref());
    name(text, "holding", job.holding.as_ref());
    names(text, "without_tools", &job.without_tools);
    names(text, "leave_alone", &job.leave_alone);
    names(text, "not_from", &job.not_from);
}

fn write_ways(text: &mut String, key: &str, ways: Option<&[Way]>) {
    if let Some(ways) = ways {
        let ways: Vec<String> = ways.iter().map(way).collect();
        line(text, key, &format!("[{}]", ways.join(", ")));
    }
}

fn write_back(text: &mut String, back: &Back) {
    match back {
        Back::Unstated => {}
        Back::ByItself(_) => line(text, "back", "\"by itself\""),
        Back::Ways(ways) => write_ways(text, "back", Some(ways)),
    }
}

fn way(way: &Way) -> String {
    let mut keys = Vec::new();
    let mut add = |key: &str, value: String| keys.push(format!("{key} = {value}"));
    if let Some(from) = &way.from {
        add("from", quoted(from.name()));
    }
    if let Some(tool) = &way.tool {
        add("tool", quoted(tool.name()));
    }
    if let Some(minutes) = &way.minutes {
        add("minutes", minutes.value.to_string());
    }
    for (key, refs) in [("clear", &way.clear), ("needs", &way.needs), ("also", &way.also)] {
        if !refs.is_empty() {
            add(key, list(refs));
        }
    }
    if way.feel {
        add("feel", "true".to_owned());
    }
    if keys.is_empty() { "{}".to_owned() } else { format!("{{ {} }}", keys.join(", ")) }
}

fn head(text: &mut String, table: &str, id: &str) {
    text.push_str(&format!("[{table}.{}]\n", quoted(id)));
}

fn line(text: &mut String, key: &str, value: &str) {
    writeln!(text, "{key} = {value}").expect("BUG: writing to a String cannot fail");
}

fn name(text: &mut String, key: &str, value: Option<&Ref>) {
    if let Some(value) = value {
        line(text, key, &quoted(value.name()));
    }
}

fn names(text: &mut String, key: &str, refs: &[Ref]) {
    if !refs.is_empty() {
        line(text, key, &list(refs));
    }
}

fn minutes(text: &mut String, key: &str, value: Option<&Sited<Minutes>>) {
    if let Some(value) = value {
        line(text, key, &value.value.to_string());
    }
}

fn list(refs: &[Ref]) -> String {
    let quoted: Vec<String> = refs.iter().map(|name| quoted(name.name())).collect();
    format!("[{}]", quoted.join(", "))
}

fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
