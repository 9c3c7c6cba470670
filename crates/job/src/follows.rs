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
    let is_some = more.these.len() + more.those.len() > 2;
    let some = if is_some { "something of " } else { "" };
    // What is about one thing, or about some one of several, and what is about all of them.
    let one = is_some || more.these.len() == 1;
    let go = if more.these.len() == 1 { "goes" } else { "go" };
    let it_came = if more.these.len() == 1 { "it" } else { "they" };
    let (goes, wants) =
        if one { ("goes", "wants its last look") } else { ("go", "want their last look") };
    let cover = if more.those.len() == 1 { "covers" } else { "cover" };
    let (do_those, those_go) = if more.those.len() == 1 { ("does", "goes") } else { ("do", "go") };
    let what = if one { "it" } else { "them" };
    let text = match (more.kind.as_deref()?, event.note.as_deref()?) {
        (_, "unknown") => "Then the order there stays the reverse of how it came off.".to_owned(),
        ("reach", "yes") => format!("Then this may go home after that: {these}."),
        ("reach", _) => format!("Then {some}{these} {goes} home earlier: before {those}."),
        ("seen", "yes") => format!("Then no last look is lost there: {these}."),
        ("seen", _) => format!("Then {some}{these} {wants} before {those} {cover} {what}."),
        ("holds", "yes") => format!("Then {those} {those_go} home before {these}."),
        ("holds", _) => format!("Then {those} can go home without {these}."),
        ("place", "yes") => format!("Then {these} {go} home from where {those} {do_those}."),
        ("in_turn", "yes") => format!("Then that order goes: {these}."),
        ("in_turn", _) => format!("Then something goes home earlier than in that order: {these}."),
        ("with", "yes") => format!("Then {some}{these} {goes} home from where {those} {do_those}."),
        ("place" | "with", _) => format!("Then {these} {go} home from where {it_came} came off."),
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

#[cfg(test)]
mod tests {
    use lastbolt_ledger::{EventId, More};

    use super::*;

    fn said(kind: &str, choice: &str, these: &[&str], those: &[&str]) -> String {
        let id = EventId::new("answer").expect("it is an id");
        let mut event = Event::new(id, "phone", 1, 0, 0, Verb::Answered);
        let names = |names: &[&str]| names.iter().map(|&name| name.to_owned()).collect();
        event.note = Some(choice.to_owned());
        event.more = Some(More {
            kind: Some(kind.to_owned()),
            these: names(these),
            those: names(those),
            ..More::default()
        });
        of_answer(&event).expect("it is an answer")
    }

    /// One thing goes, several go; "something of" several goes.
    #[test]
    fn one_goes_and_several_go() {
        let one = said("place", "no", &["plug 1"], &["pump"]);
        assert_eq!(one, "Then plug 1 goes home from where it came off.");
        let two = said("with", "no", &["hoses 1", "plug 1"], &["pump"]);
        assert_eq!(two, "Then hoses 1 and plug 1 go home from where they came off.");
        let some = said("seen", "no", &["hoses 1", "plug 1"], &["hood", "duct"]);
        let text = "Then something of hoses 1 and plug 1 wants its last look before hood and duct";
        assert_eq!(some, format!("{text} cover it."));
        let both = said("holds", "yes", &["clamp"], &["pump", "tray"]);
        assert_eq!(both, "Then pump and tray go home before clamp.");
    }
}
