//! Facts for putting back, in one line: "arm up · dry · lip inwards · new · mark: paint".

use lastbolt_machine::ThingNo;
use lastbolt_machine::model::Value;

use crate::case::{Book, Written};
use crate::line::value_text;
use crate::matters::Matters;
use crate::words;

/// What the job and the machine file say of how a thing goes back, the job's own words first.
pub(crate) fn put_back(book: Book<'_>, matters: &Matters, thing: ThingNo) -> Option<String> {
    let mut all = said(book, matters, thing);
    for text in written(book, matters, thing) {
        let bare = text.trim_start_matches("mark: ").to_owned();
        let known = all.iter().any(|old| *old == text || *old == bare);
        if !known {
            all.push(text);
        }
    }
    (!all.is_empty()).then(|| all.join(" · "))
}

/// What was said on the job.
fn said(book: Book<'_>, matters: &Matters, thing: ThingNo) -> Vec<String> {
    let Some(facts) = matters.facts.get(book.kernel.name(thing)) else { return Vec::new() };
    let order = ["sits", "wetted", "direction", "new_or_old", "length", "mark", "size", "bag"];
    let more = ["label", "tool"];
    let fact = |word: &&str| facts.get(*word).map(|text| with_word(word, text));
    order.iter().chain(&more).filter_map(fact).collect()
}

fn with_word(word: &str, text: &str) -> String {
    match word {
        "mark" | "label" | "tool" => format!("{word}: {text}"),
        "bag" => bag(text),
        _ => text.to_owned(),
    }
}

/// "bag 7", whether it was said with the word or not.
pub(crate) fn bag(text: &str) -> String {
    if text.to_lowercase().contains("bag") { text.to_owned() } else { format!("bag {text}") }
}

/// What the machine file says.
fn written(book: Book<'_>, matters: &Matters, thing: ThingNo) -> Vec<String> {
    let mut all = Vec::new();
    let said = matters.facts.get(book.kernel.name(thing));
    if let Some(facts) = book.facts(thing) {
        // A machine drawn from the record has the record's own words in it: they were said above.
        let is_drawn = said.is_some() && book.kernel.thing(thing).at.line == 0;
        let sits = facts.sits.as_ref().filter(|_| !is_drawn);
        all.extend(sits.map(|it| it.value.clone()));
        all.extend(facts.wetted.as_ref().map(|it| it.value.clone()));
        if !book.renew(thing).is_empty() {
            all.push("new".to_owned());
        }
        all.extend(lengths(book, thing));
        all.extend(facts.mark.as_ref().map(|it| format!("mark: {}", it.value)));
        let label = facts.label.as_ref().filter(|_| !is_drawn);
        all.extend(label.map(|it| format!("label: {}", it.value)));
    }
    all
}

/// "20 mm in the upper hole, 35 mm in the lower".
fn lengths(book: Book<'_>, thing: ThingNo) -> Option<String> {
    let Written::Tie(tie) = book.written(thing) else { return None };
    let Some(Value::Table(table)) = &tie.tighten else { return None };
    let (_, value) = table.iter().find(|(key, _)| key == "lengths")?;
    Some(match value {
        Value::Table(holes) => {
            let hole = |(hole, length): &(String, Value)| {
                format!("{} in the {hole}", millimetres(&value_text(length)))
            };
            words::and(&holes.iter().map(hole).collect::<Vec<_>>())
        }
        other => millimetres(&value_text(other)),
    })
}

fn millimetres(text: &str) -> String {
    let is_number = text.chars().all(|c| c.is_ascii_digit() || c == '.');
    if is_number { format!("{text} mm") } else { text.to_owned() }
}
