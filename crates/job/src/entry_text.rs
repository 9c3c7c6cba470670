//! What an entry says that no machine file has a word for, in a sentence.

use lastbolt_ledger::{Event, More, Stands, TookTie, Verb};

use crate::words;

/// Gives the sentence of an entry: "Tray off: 3 nuts, 1 clip, 1 earth".
pub(crate) fn entry_text(event: &Event) -> String {
    let thing = event.thing.as_deref().unwrap_or("it");
    let name = words::large(thing);
    let note = event.note.as_deref().unwrap_or("no reason given");
    let empty = More::default();
    let more = event.more.as_ref().unwrap_or(&empty);
    let kind = more.kind.as_deref();
    let pieces = event.pieces.unwrap_or(1);
    let spot = event.spot.as_deref();
    match &event.verb {
        Verb::Took => took(more),
        Verb::Home => format!("{name} home with everything that holds it"),
        Verb::AllOff => "All off; from here it goes back together".to_owned(),
        Verb::Renamed => format!("{name} is called {note}"),
        Verb::Split => match &event.note {
            Some(new) => format!("{name}: {pieces} of them apart, called {new}"),
            None => format!("{name}: {pieces} of them apart"),
        },
        Verb::Merged => {
            format!("{name} is the same as {}", more.into.as_deref().unwrap_or("another"))
        }
        Verb::Corrected => corrected(&name, event, kind),
        Verb::StruckOut => format!("{name} never was: struck out"),
        Verb::Fact => format!("{name}: {}", fact(more.fact.as_deref(), note)),
        Verb::Answered => answered(more, note),
        Verb::Expected => {
            let what = words::pieces(pieces, kind.unwrap_or("fixing"));
            at(format!("Counted before: {what}"), spot)
        }
        Verb::LeaveAlone => match (&event.thing, &event.note) {
            (Some(_), Some(note)) => format!("{name} is left alone: {note}"),
            (Some(_), None) => format!("{name} is left alone"),
            (None, _) => format!("Left alone: {note}"),
        },
        Verb::Dropped => {
            let what = event.note.as_deref().or(kind).unwrap_or("something");
            at(format!("Fell: {what}"), spot)
        }
        Verb::Found => "Found again".to_owned(),
        Verb::NotFound => format!("Stays unfound: {note}"),
        Verb::PutIn if event.thing.is_some() => {
            format!("{} in where the {thing} was", words::large(note))
        }
        Verb::PutIn => at(format!("{} in", words::large(note)), spot),
        Verb::TakenOut => "Out again".to_owned(),
        Verb::Photo if event.thing.is_some() => format!("{name}: picture"),
        Verb::Photo => "Picture".to_owned(),
        Verb::Pin => format!("{name}: marked on a picture"),
        Verb::Private => "A picture is not exported".to_owned(),
        Verb::Noted => noted(event, more, note),
        Verb::Ticked => {
            let asked = more.asked.as_deref().or(more.point.as_deref()).unwrap_or("asked");
            match &event.thing {
                // Many questions begin with what they are about.
                Some(_) if asked.starts_with(name.as_str()) => {
                    format!("{asked} {}", words::large(note))
                }
                Some(_) => format!("{name}: {asked} {}", words::large(note)),
                None => format!("{} {}", words::large(asked), words::large(note)),
            }
        }
        Verb::LeftStanding => match &event.note {
            Some(note) => format!("Left standing: {note}"),
            None => "Left standing".to_owned(),
        },
        Verb::Resumed => "Taken up again".to_owned(),
        Verb::Round => round(&name, event, more),
        other => format!("\"{other}\", which this version does not know"),
    }
}

/// "Symptom: slips uphill", "Buy, rear seal: ring 3, about 40".
fn noted(event: &Event, more: &More, note: &str) -> String {
    let kind = words::large(more.kind.as_deref().unwrap_or("noted"));
    let head = match &event.thing {
        Some(thing) => format!("{kind}, {thing}: {note}"),
        None => format!("{kind}: {note}"),
    };
    let minutes = match (more.minutes, more.minutes_most) {
        (Some(least), Some(most)) => Some(format!("{least} to {most} min")),
        (Some(about), None) | (None, Some(about)) => Some(format!("about {about} min")),
        (None, None) => None,
    };
    let rest = [more.price.clone(), minutes, more.due.clone(), more.means.clone()];
    [Some(head)].into_iter().chain(rest).flatten().collect::<Vec<_>>().join(", ")
}

/// "Starter screws: round 2, 40 N·m, long wrench"; "as far as screw 3" where it was interrupted.
fn round(name: &str, event: &Event, more: &More) -> String {
    let number = more.round.unwrap_or(1);
    let by_hand = more.by_hand.then(|| "by hand, not measured".to_owned());
    let pieces = event.pieces.map(|pieces| format!("as far as {pieces} of them"));
    let calibrated = more.calibrated.as_ref().map(|when| format!("calibrated {when}"));
    let with = [more.setting.clone(), more.wrench.clone(), calibrated, by_hand, pieces];
    let head = Some(format!("{name}: round {number}"));
    [head].into_iter().chain(with).flatten().collect::<Vec<_>>().join(", ")
}

/// "Answered no: can the tray nuts still be got at, and seen, with the tray back on?"
fn answered(more: &More, note: &str) -> String {
    let (these, those) = (some(&more.these), some(&more.those));
    let asked = match kind_of_question(more) {
        Some("reach") => format!("can {these} still be got at, and seen, with {those} back on?"),
        Some("seen") => format!("can {these} still be seen with {those} back on?"),
        Some("holds") => format!("does {these} hold {those} as well?"),
        Some("place") => format!("can {these} be got at from where {those} goes on?"),
        Some("with") => {
            format!("does any of {these} hold {those}, and go on from where that does?")
        }
        Some("in_turn") if more.those.is_empty() => {
            format!("does each still go on, and can it be seen, in this order: {these}?")
        }
        Some("in_turn") => {
            format!("with {those} back on, does each still go on in this order: {these}?")
        }
        _ => return format!("Answered: {note}"),
    };
    format!("Answered {note}: {asked}")
}

fn kind_of_question(more: &More) -> Option<&str> {
    let alone = more.kind.as_deref() == Some("in_turn");
    let says_all = !more.these.is_empty() && (alone || !more.those.is_empty());
    more.kind.as_deref().filter(|_| says_all)
}

/// "the tray nuts, the tray and 3 more".
fn some(names: &[String]) -> String {
    const NAMED_MAX: usize = 3;
    let named: Vec<String> =
        names.iter().take(NAMED_MAX).map(|name| format!("the {name}")).collect();
    match (named.split_last(), names.len().saturating_sub(NAMED_MAX)) {
        (Some((last, [])), 0) => last.clone(),
        (Some((last, first)), 0) => format!("{} and {last}", first.join(", ")),
        (_, more) => format!("{} and {more} more", named.join(", ")),
    }
}

fn at(text: String, spot: Option<&str>) -> String {
    match spot {
        Some(spot) => format!("{text}, {spot}"),
        None => text,
    }
}

fn took(more: &More) -> String {
    let kinds: Vec<String> = more.ties.iter().map(kind_text).collect();
    let kinds = kinds.join(", ");
    let Some(part) = &more.part else { return format!("{} undone", words::large(&kinds)) };
    let name = words::large(part.name.as_deref().unwrap_or("part"));
    let how = if part.aside { "hung aside" } else { "off" };
    if kinds.is_empty() { format!("{name} {how}") } else { format!("{name} {how}: {kinds}") }
}

fn kind_text(tie: &TookTie) -> String {
    let pieces = words::pieces(tie.count.unwrap_or(1), &tie.kind);
    let name = tie.name.as_ref().map_or(String::new(), |name| format!(" ({name})"));
    let stands = match tie.stands {
        Stands::Off => "",
        Stands::Slack => " slack",
        Stands::ByHand => " in by hand",
    };
    format!("{pieces}{stands}{name}")
}

fn corrected(name: &str, event: &Event, kind: Option<&str>) -> String {
    let count = event.pieces.map(|pieces| format!("{pieces} of them"));
    let kind = kind.map(|kind| format!("kind: {kind}"));
    let spot = event.spot.as_ref().map(|spot| format!("place: {spot}"));
    let all: Vec<String> = [count, kind, spot].into_iter().flatten().collect();
    format!("{name} corrected: {}", all.join(", "))
}

fn fact(fact: Option<&str>, note: &str) -> String {
    match fact {
        Some("new_or_old") | Some("sits") | None => note.to_owned(),
        Some(word) => format!("{word}: {note}"),
    }
}
