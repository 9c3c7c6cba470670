//! What follows for the order from the last answer, in one quiet line.

use lastbolt_ledger::{Event, Verb};

use crate::picture::Picture;
use crate::words;

/// How many names stand in the line before the rest is counted.
const NAMES_MAX: usize = 3;

/// Gives what follows from the last entry, if that is an answer.
pub fn follows(picture: &Picture) -> Option<String> {
    let withdrawn = &picture.now.live.state.withdrawn;
    let stands = picture.records.iter().rev().find(|r| !withdrawn.contains(&r.seq))?;
    of_answer(&stands.event)
}

fn of_answer(event: &Event) -> Option<String> {
    if event.verb != Verb::Answered {
        return None;
    }
    let more = event.more.as_ref()?;
    let (these, those) = (named(&more.these), named(&more.those));
    let some = if more.these.len() + more.those.len() > 2 { "something of " } else { "" };
    let text = match (more.kind.as_deref()?, event.note.as_deref()?) {
        (_, "unknown") => "Then the order there stays the reverse of how it came off.".to_owned(),
        ("reach", "yes") => format!("Then it may go home after that: {these}."),
        ("reach", _) => format!("Then {some}{these} goes home earlier: before {those}."),
        ("seen", "yes") => format!("Then no last look is lost there: {these}."),
        ("seen", _) => format!("Then {some}{these} wants its last look before {those} covers it."),
        ("holds", "yes") => format!("Then {those} goes home before {these}."),
        ("holds", _) => format!("Then {those} can go home without {these}."),
        ("place", "yes") => format!("Then {these} goes home from where {those} does."),
        ("place", _) => format!("Then {these} goes home from where it came off."),
        ("in_turn", "yes") => format!("Then that order goes: {these}."),
        ("in_turn", _) => format!("Then something goes home earlier than in that order: {these}."),
        ("with", "yes") => format!("Then {some}{these} goes home from where {those} does."),
        ("with", _) => format!("Then {these} goes home from where it came off."),
        _ => return None,
    };
    Some(text)
}

fn named(names: &[String]) -> String {
    let mut shown: Vec<String> = names.iter().take(NAMES_MAX).cloned().collect();
    if names.len() > NAMES_MAX {
        shown.push(format!("{} more", names.len() - NAMES_MAX));
    }
    words::and(&shown)
}
