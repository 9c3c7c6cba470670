//! The page of what the garage has once and for all: people, wrenches, tools, usual minutes, and
//! how numbers and dates are shown. One tap or one word changes one thing of the garage file.

use lastbolt_files::shapes;
use lastbolt_job::large;
use lastbolt_machine::minutes::KNOWN_KINDS;
use lastbolt_machine::{Ref, Value};
use maud::{Markup, html};
use serde_json::json;

use crate::learnt::Offered;
use crate::own::Own;
use crate::pages::shell::{Page, shell};
use crate::pages::today::strip;

/// The named tables: in the file, as a heading, one of it, and an example of a name.
const TABLES: [(&str, &str, &str, &str); 4] = [
    ("person", "People", "person", "Wren"),
    ("wrench", "Torque wrenches", "wrench", "small, red"),
    ("adapter", "Adapters", "adapter", "open end 19"),
    ("tool", "Tools", "tool", "puller, three legs"),
];

/// A key, its heading, and its choices.
type Choice = (&'static str, &'static str, &'static [(&'static str, &'static str)]);

/// What is shown in words, and its choices: the word of the file, as a person reads it.
const DISPLAY: [Choice; 3] = [
    ("decimal", "Numbers", &[("point", "2.5"), ("comma", "2,5")]),
    (
        "date",
        "Dates",
        &[
            ("", "as this browser has them"),
            ("year-month-day", "2026-11-26"),
            ("day.month.year", "26.11.2026"),
            ("day/month/year", "26/11/2026"),
            ("month/day/year", "11/26/2026"),
        ],
    ),
    ("units", "Torque", &[("N·m", "N·m"), ("lbf·ft", "lbf·ft")]),
];

/// Draws the page.
pub(crate) fn page(own: &Own, offered: &[Offered]) -> Markup {
    let body = html! {
        (strip("The garage"))
        main.garage data-garage="" {
            @if let Some(trouble) = &own.trouble {
                p.caution { strong { "Left as it is" } " " (trouble) }
            }
            @for (table, heading, one, example) in TABLES {
                (named(own, table, heading, one, example))
            }
            (shown(own))
            (minutes(own, offered))
            p.quiet {
                "All of it stands in one file, garage.toml in the garage folder, which an editor "
                "changes as well. A job keeps the minutes that were usual when it began."
            }
        }
        nav.foot aria-label="Other pages" {
            a href="/" { "Today" }
            a href="/begin" { "Begin a job" }
        }
    };
    shell(&Page { title: "The garage: Lastbolt", name: "garage", job: None, body })
}

fn named(own: &Own, table: &str, heading: &str, one: &str, example: &str) -> Markup {
    let all: &[(Ref, Value)] = match table {
        "person" => &own.spec.people,
        "wrench" => &own.spec.wrenches,
        "adapter" => &own.spec.adapters,
        _ => &own.spec.tools,
    };
    html! {
        section {
            h2 { (heading) }
            @if all.is_empty() { p.none { "none yet" } }
            @for (name, value) in all { (thing(own, table, name.name(), value)) }
            form.typing data-change=(json!({ "do": "add", "path": [table] })) {
                label {
                    span { "One more " (one) ", as you call it" }
                    input type="text" name="name" maxlength="120" autocomplete="off"
                        placeholder=(example) required;
                }
                button type="submit" { "Add " (one) }
            }
        }
    }
}

fn thing(own: &Own, table: &str, name: &str, value: &Value) -> Markup {
    let entries = if let Value::Table(entries) = value { entries.as_slice() } else { &[] };
    let said = |key: &str| entries.iter().find(|(of, _)| of == key).map(|(_, value)| value);
    let text = |value: &Value| own.display.number(&plain(value));
    let keys = shapes::LINES.iter().filter(|(of, ..)| *of == table);
    let short: Vec<String> = entries.iter().map(|(_, value)| text(value)).collect();
    html! {
        details.thing {
            summary.row.bare {
                span.what { (name) }
                @if !short.is_empty() { span.where { (short.join(" · ")) } }
            }
            @for (_, key, _, what) in keys {
                form.typing data-change=(json!({ "do": "set", "path": [table, name, key] })) {
                    label {
                        span { (large(what)) }
                        input type="text" name="value" maxlength="300" autocomplete="off"
                            value=(said(key).map_or_else(String::new, text));
                    }
                    button type="submit" { "Keep" }
                }
            }
            button type="button" data-change=(json!({ "do": "remove", "path": [table, name] })) {
                "Take \u{201c}" (name) "\u{201d} off the list"
            }
        }
    }
}

fn plain(value: &Value) -> String {
    match value {
        Value::Text(text) | Value::Number(text) => text.clone(),
        Value::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Value::List(all) => all.iter().map(plain).collect::<Vec<_>>().join(", "),
        Value::Table(all) => {
            let all = all.iter().map(|(key, value)| format!("{key} {}", plain(value)));
            all.collect::<Vec<_>>().join(", ")
        }
    }
}

fn shown(own: &Own) -> Markup {
    let now = |key: &str| match key {
        "decimal" => {
            if own.display.comma {
                "comma"
            } else {
                "point"
            }
        }
        "date" => own.display.date.word(),
        _ => own.display.units.word(),
    };
    let currency = own.display.currency.as_deref().unwrap_or_default();
    html! {
        section {
            h2 { "How it is shown" }
            @for (key, heading, choices) in DISPLAY {
                div.people role="group" aria-label=(heading) {
                    p { (heading) }
                    @for (word, as_read) in choices {
                        @let change = match *word {
                            "" => json!({ "do": "remove", "path": ["display", key] }),
                            word => json!({ "do": "set", "path": ["display", key], "value": word }),
                        };
                        @let pressed = if now(key) == *word { "true" } else { "false" };
                        button type="button" aria-pressed=(pressed) data-change=(change) {
                            (as_read)
                        }
                    }
                }
            }
            form.typing data-change=(json!({ "do": "set", "path": ["display", "currency"] })) {
                label {
                    span { "The money of your prices: EUR, crowns" }
                    input type="text" name="value" maxlength="20" autocomplete="off"
                        value=(currency);
                }
                button type="submit" { "Keep" }
            }
        }
    }
}

/// The usual minutes: those of the garage, then the guesses, marked as what they are.
fn minutes(own: &Own, offered: &[Offered]) -> Markup {
    let mine = own.spec.minutes.by_kind.iter().map(|(kind, _)| kind.as_str());
    let known = std::iter::once("part").chain(KNOWN_KINDS.iter().copied());
    let mut kinds: Vec<&str> = mine.collect();
    for kind in known {
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    html! {
        section {
            h2 { "Usual minutes for one" }
            p.quiet {
                "Where a machine's file says no minutes, these are taken, and called guessed."
            }
            @for one in offered { (learnt(own, one)) }
            details.thing {
                summary.row.bare {
                    span.what { "By kind" }
                    span.where { (own.spec.minutes.by_kind.len()) " of your own" }
                }
                @for kind in kinds { (usual(own, kind)) }
            }
        }
    }
}

/// What the finished jobs say: taken by one tap, or left.
fn learnt(own: &Own, offered: &Offered) -> Markup {
    let (kind, minutes) = (&offered.learnt.kind, offered.learnt.minutes.to_string());
    let change = json!({ "do": "set", "path": ["minutes", kind], "value": minutes });
    html! {
        div.learnt data-learnt=(kind) {
            p { (offered.sentence(|text| own.display.number(text))) }
            button type="button" data-change=(change) {
                "Use " (own.display.number(&minutes)) " for one " (kind)
            }
        }
    }
}

fn usual(own: &Own, kind: &str) -> Markup {
    let (one, is_own) = own.spec.minutes.one(kind);
    let minutes = own.display.number(&one.to_string());
    html! {
        form.usual data-change=(json!({ "do": "set", "path": ["minutes", kind] })) {
            label {
                span { (kind) small { @if is_own { " yours" } @else { " not yours yet" } } }
                input type="text" inputmode="decimal" name="value" maxlength="9" required
                    autocomplete="off" value=(minutes);
            }
            button type="submit" { "Keep" }
            @if is_own {
                button type="button"
                    data-change=(json!({ "do": "remove", "path": ["minutes", kind] })) {
                    "Not mine"
                }
            }
        }
    }
}

/// Says whether the page has every key of the garage's tables, for the tests.
#[cfg(test)]
pub(crate) fn offers(table: &str, key: &str) -> bool {
    match shapes::line(table, key) {
        Some((_, _, shapes::Shape::OneOf(words), _)) => {
            let choices = DISPLAY.iter().find(|(of, ..)| *of == key).map(|(_, _, choices)| choices);
            choices.is_some_and(|all| words.iter().all(|w| all.iter().any(|(word, _)| word == w)))
        }
        Some(_) => key == "currency" || TABLES.iter().any(|(of, ..)| *of == table),
        None => false,
    }
}
