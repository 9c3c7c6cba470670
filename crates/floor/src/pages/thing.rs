//! The sheet of one thing: what it is, everything that can be recorded about it, and its facts.

use lastbolt_job::Photo;
use lastbolt_job::view::{Button, Screen, ThingLine, ThingSort};
use lastbolt_ledger::Verb;
use lastbolt_machine::Ref;
use lastbolt_machine::model::{Facts, Value};
use maud::{Markup, html};

use crate::own::{number, twins};
use crate::pages::sheet::Sheet;
use crate::pages::take::entry_address;
use crate::pages::{bits, matters};
use crate::pages::{day, photos};
use crate::room::Room;

/// With more pieces than this only all of them can be recorded by a tap.
const PIECE_BUTTONS_MAX: u32 = 12;

/// Draws the sheet of a thing as a page of its own.
pub(crate) fn page(room: &Room, screen: &Screen, line: &ThingLine) -> Markup {
    let tag = bits::tag(line.tag.as_ref());
    Sheet { tag, ..Sheet::new("thing", &line.thing) }.draw(room, screen, &inner(room, line))
}

fn inner(room: &Room, line: &ThingLine) -> Markup {
    html! {
        p.from { (line.text) ": " strong { (line.stands) } }
        @if let Some(place) = &line.place { p.where { (place) } }
        @if line.sort != ThingSort::MakeReady {
            a.ask href=(entry_address(room, &line.thing)) data-sheet {
                "Name it, count it anew, correct it"
            }
        }
        a.ask href=(bits::holds_address(room, &line.thing)) data-sheet { (question(line)) }
        @let asked = lastbolt_job::asked_first(&room.latest(), &line.thing);
        @if let Some(point) = &asked { (day::asked_first(point)) }
        div.buttons.still {
            @for button in &line.buttons {
                @if asked.is_some() { (bits::button(&day::happened(button))) }
                @else { (bits::button(button)) }
            }
        }
        (pieces(line))
        (matters::of_thing(room, line))
        (facts(room, line))
        (photos_of(room, line))
        form.say data-say=(line.thing) {
            label {
                span { "Say something about it" }
                input type="text" name="note" maxlength="2000" autocomplete="off";
            }
            button.did type="submit" { "Keep it" }
        }
    }
}

/// The photos that show it.
fn photos_of(room: &Room, line: &ThingLine) -> Markup {
    let all = lastbolt_job::photos(&room.latest());
    let shows = |photo: &&Photo| photos::shows(photo, &line.thing);
    html! {
        ul.rows { @for photo in all.iter().filter(shows) { (photos::row(room, photo, true)) } }
    }
}

fn question(line: &ThingLine) -> &'static str {
    let away = matches!(line.stands.as_str(), "off" | "in force" | "in by hand" | "started");
    match (line.sort, away) {
        (ThingSort::MakeReady, false) => "What must come first?",
        (_, true) => "What must come first?",
        (ThingSort::Part | ThingSort::Fixing, false) => "What still holds it?",
    }
}

/// Some of the pieces only: "1 of 4", "2 of 4".
fn pieces(line: &ThingLine) -> Markup {
    let counts = |button: &&Button| {
        let verb = &button.draft.verb;
        matches!(verb, Verb::Undo | Verb::Make | Verb::Tighten | Verb::ByHand)
    };
    let main = line.buttons.iter().find(counts);
    let few = (2..=PIECE_BUTTONS_MAX).contains(&line.pieces);
    html! {
        @if let Some(button) = main.filter(|_| few) {
            div.pieces {
                p { "Some of them only (" (outcome(&button.draft.verb)) "):" }
                @for pieces in 1..line.pieces {
                    @let text = format!("{pieces} of {}", line.pieces);
                    (bits::piece_button(&text, button, pieces))
                }
            }
        }
    }
}

fn outcome(verb: &Verb) -> &'static str {
    match verb {
        Verb::Undo => "undone so far",
        Verb::ByHand => "in by hand so far",
        Verb::Tighten => "tight so far",
        _ => "home so far",
    }
}

/// What the machine file says of it, one line each.
fn facts(room: &Room, line: &ThingLine) -> Markup {
    let lines = facts_of(room, &line.thing);
    html! {
        @for (name, text) in lines.iter().filter(|(name, _)| *name == "Caution") {
            @let _ = name;
            (bits::caution(text))
        }
        @if lines.iter().any(|(name, _)| *name != "Caution") {
            dl.facts {
                @for (name, text) in lines.iter().filter(|(name, _)| *name != "Caution") {
                    div { dt { (name) } dd { (text) } }
                }
            }
        }
    }
}

type Lines = Vec<(&'static str, String)>;

fn facts_of(room: &Room, thing: &str) -> Lines {
    let case = room.latest().case.clone();
    let machine = &case.model.machine;
    let mut lines = Lines::new();
    if let Some(part) = machine.parts.iter().find(|part| part.id.value == thing) {
        texts(&mut lines, "Caution", &part.cautions);
        if let Some(kg) = &part.kg {
            lines.push(("Weight", format!("{} kg", number(&kg.value.to_string()))));
        }
        shared(&mut lines, &part.facts, part.who.as_ref());
        texts(&mut lines, "New each time", &part.renew);
    } else if let Some(tie) = machine.ties.iter().find(|tie| tie.id.value == thing) {
        texts(&mut lines, "Caution", &tie.cautions);
        shared(&mut lines, &tie.facts, tie.who.as_ref());
        if let Some(Value::Table(table)) = &tie.tighten {
            for (key, value) in table {
                let name = if key == "stages" { "Rounds" } else { "Tighten" };
                let text = written(value);
                let text = if key == "stages" { rounds(value) } else { format!("{key} {text}") };
                lines.push((name, text));
            }
        }
        texts(&mut lines, "New each time", &tie.renew);
        for missed in &tie.missed {
            lines.push(("If forgotten", missed.symptom.clone()));
        }
    } else if let Some(prep) = machine.preps.iter().find(|prep| prep.id.value == thing) {
        texts(&mut lines, "Caution", &prep.cautions);
        lines.extend(prep.who.iter().map(|who| ("Who", who.value.clone())));
        if let Some(fluid) = &prep.fluid {
            let litres = &fluid.litres;
            let amount =
                if litres.is_empty() { String::new() } else { format!(", {} l", number(litres)) };
            lines.push(("Fluid", format!("{}{amount}", fluid.name)));
        }
        lines.extend(prep.note.iter().map(|note| ("Note", note.value.clone())));
    }
    lines
}

/// The rounds as the file has them, each with its twin.
fn rounds(stages: &Value) -> String {
    match stages {
        Value::List(all) => {
            all.iter().map(|one| twins(&written(one))).collect::<Vec<_>>().join(", ")
        }
        one => twins(&written(one)),
    }
}

fn texts(lines: &mut Lines, name: &'static str, all: &[Ref]) {
    lines.extend(all.iter().map(|text| (name, text.value.clone())));
}

fn shared(lines: &mut Lines, facts: &Facts, who: Option<&Ref>) {
    let named = [
        ("Mark first", facts.mark.as_ref()),
        ("Sits", facts.sits.as_ref()),
        ("On it", facts.wetted.as_ref()),
        ("Support", facts.support.as_ref()),
        ("Who", who),
        ("Label", facts.label.as_ref()),
        ("Note", facts.note.as_ref()),
    ];
    for (name, fact) in named {
        lines.extend(fact.iter().map(|fact| (name, fact.value.clone())));
    }
}

/// A value in the digits in which it was written.
fn written(value: &Value) -> String {
    match value {
        Value::Text(text) | Value::Number(text) => text.clone(),
        Value::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Value::List(items) => items.iter().map(written).collect::<Vec<_>>().join(" · "),
        Value::Table(items) => {
            let one = |(key, value): &(String, Value)| format!("{key} {}", written(value));
            items.iter().map(one).collect::<Vec<_>>().join(", ")
        }
    }
}
