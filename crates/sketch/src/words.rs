//! Questions in the words of the floor.

use crate::bits::Bits;
use crate::catalogue::{Notes, Sort, Thing};
use crate::known::{Asked, Known};
use crate::names::of_kind;

/// How many names stand in a question in few words before the rest is counted.
const NAMES_MAX: usize = 4;

/// A question in words.
pub(crate) struct Words {
    /// All of it, with every name.
    pub(crate) text: String,
    /// The same where a long list of names ends in a count.
    pub(crate) short: String,
    /// What it asks about, where `short` only counts some of it.
    pub(crate) asked_about: Vec<String>,
    /// What would be home, where `short` only counts some of it.
    pub(crate) home: Vec<String>,
    /// What is asked of an order, without the order.
    pub(crate) lead: String,
    /// The order, one turn after the other.
    pub(crate) turns: Vec<String>,
}

/// Gives a question in words.
pub(crate) fn question(
    asked: &Asked,
    these: &[usize],
    those: &Bits,
    notes: &Notes,
    known: &Known,
) -> Words {
    let thing = |at: usize| &notes.things[known.items[at].thing];
    let said = |at: usize| said(notes, thing(at));
    let is_part = |at: &usize| known.is_part(*at);
    let parts: Vec<usize> = those.iter().filter(is_part).collect();
    let all_else = those.len() + these.len() >= known.len();
    // Fixings are home with their parts; naming them all helps nobody.
    let is_by_part = !parts.is_empty();
    let home: Vec<String> = match (all_else, is_by_part) {
        (true, _) => vec!["everything else".to_owned()],
        (false, true) => parts.iter().map(|&at| said(at)).collect(),
        (false, false) => those.iter().map(said).collect(),
    };
    let with_fixings = is_by_part && parts.len() < those.len() && !all_else;
    if *asked == Asked::InTurn {
        let turns = in_turn(these, notes, known);
        let all = turns.join(", then ");
        let lead = |most| sentence(asked, &[], &home, with_fixings, most);
        return Words {
            text: format!("{}: {all}?", lead(usize::MAX)),
            short: format!("{}: {all}?", lead(NAMES_MAX)),
            lead: format!("{}?", lead(NAMES_MAX)),
            asked_about: Vec::new(),
            home: cut(home),
            turns,
        };
    }
    let these: Vec<String> = these.iter().map(|&at| said(at)).collect();
    Words {
        text: sentence(asked, &these, &home, with_fixings, usize::MAX),
        short: sentence(asked, &these, &home, with_fixings, NAMES_MAX),
        asked_about: cut(these),
        home: cut(home),
        lead: String::new(),
        turns: Vec::new(),
    }
}

/// The names where not all of them stand in few words; else none.
fn cut(names: Vec<String>) -> Vec<String> {
    if names.len() > NAMES_MAX { names } else { Vec::new() }
}

/// `these` with `home` on, each list with so many names at most; `with_fixings` says that parts are
/// home with what holds them.
fn sentence(
    asked: &Asked,
    these: &[String],
    home: &[String],
    with_fixings: bool,
    most: usize,
) -> String {
    let (what, on) = (list(these, most), list(home, most));
    match asked {
        Asked::Reach => {
            let fixings = if with_fixings { " and what holds them" } else { "" };
            format!("With {on}{fixings} back on: can {what} still be got at, and seen?")
        }
        Asked::Seen => format!("With {on} back on: can {what} still be seen?"),
        Asked::InTurn => {
            let on = if home.is_empty() { String::new() } else { format!("With {on} back on: ") };
            let does = if on.is_empty() { "Does" } else { "does" };
            format!("{on}{does} each of these still go on, and can it be seen, in this order")
        }
        Asked::Place => format!("Can {what} be got at from where {on} goes on, too?"),
        Asked::With => {
            let where_it_goes = if home.len() == 1 { "it goes" } else { "that goes" };
            format!(
                "Does any of this hold {on}, and can it be got at from where {where_it_goes} on: \
                 {what}?"
            )
        }
        Asked::Holds => format!("Does any of this also hold {on}: {what}?"),
    }
}

/// "the tray", "part 4", "the 3 nuts of part 4", "the earth of the tray", "nuts 2".
fn said(notes: &Notes, thing: &Thing) -> String {
    if thing.sort == Sort::Part {
        // "part 4" is a name of its own; "the tray" is a thing.
        return if thing.is_named { format!("the {}", thing.name) } else { thing.name.clone() };
    }
    if thing.is_named {
        return format!("the {}", thing.name);
    }
    let part = notes.entries[thing.entry].part.map(|part| &notes.things[part]);
    let Some(part) = part.filter(|part| !part.is_gone) else { return thing.name.clone() };
    let kind = of_kind(&thing.kind, thing.count);
    let number = if thing.count > 1 { format!("{} ", thing.count) } else { String::new() };
    format!("the {number}{kind} of {}", said(notes, part))
}

/// "the pump", "the tray with its 3 nuts and its clip", "the guard": all of them, since their
/// order is asked about.
fn in_turn(these: &[usize], notes: &Notes, known: &Known) -> Vec<String> {
    let thing = |at: usize| &notes.things[known.items[at].thing];
    let of_part = |at: usize| {
        let of = thing(at);
        let part = notes.entries[of.entry].part?;
        (of.sort == Sort::Tie && !of.is_named && !notes.things[part].is_gone).then_some(part)
    };
    let mut turns: Vec<String> = Vec::new();
    let mut open: Option<(usize, Vec<String>)> = None;
    for &at in these {
        if let (Some((part, its)), Some(of)) = (&mut open, of_part(at))
            && *part == of
        {
            let thing = thing(at);
            let kind = of_kind(&thing.kind, thing.count);
            let number = if thing.count > 1 { format!("{} ", thing.count) } else { String::new() };
            its.push(format!("its {number}{kind}"));
            continue;
        }
        close(&mut turns, open.take());
        turns.push(said(notes, thing(at)));
        open = (thing(at).sort == Sort::Part).then(|| (known.items[at].thing, Vec::new()));
    }
    close(&mut turns, open);
    turns
}

/// Adds its fixings to the part that was named last.
fn close(turns: &mut [String], open: Option<(usize, Vec<String>)>) {
    if let (Some((_, its)), Some(last)) = (open, turns.last_mut())
        && !its.is_empty()
    {
        *last = format!("{last} with {}", list(&its, NAMES_MAX));
    }
}

/// "the tray, the pump and 3 more".
fn list(names: &[String], most: usize) -> String {
    let shown = if names.len() <= most { names.len() } else { most };
    let mut said: Vec<String> = names[..shown].to_vec();
    if names.len() > shown {
        said.push(format!("{} more", names.len() - shown));
    }
    match said.pop() {
        None => "nothing".to_owned(),
        Some(only) if said.is_empty() => only,
        Some(last) => format!("{} and {last}", said.join(", ")),
    }
}
