//! Questions in the words of the floor.

use crate::bits::Bits;
use crate::catalogue::{Notes, Sort, Thing};
use crate::known::{Asked, Known};
use crate::names::of_kind;

/// How many names stand in a question before the rest is counted.
const NAMES_MAX: usize = 4;

/// A question in words.
pub(crate) struct Words {
    /// All of it.
    pub(crate) text: String,
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
    let text = sentence(asked, these, those, notes, known);
    if *asked != Asked::InTurn {
        return Words { text, lead: String::new(), turns: Vec::new() };
    }
    let turns = in_turn(these, notes, known);
    let all = turns.join(", then ");
    Words { text: format!("{text}: {all}?"), lead: format!("{text}?"), turns }
}

fn sentence(asked: &Asked, these: &[usize], those: &Bits, notes: &Notes, known: &Known) -> String {
    let thing = |at: usize| &notes.things[known.items[at].thing];
    let what = list(these.iter().map(|&at| said(notes, thing(at))).collect());
    let parts: Vec<usize> = those.iter().filter(|&at| known.is_part(at)).collect();
    let all_else = those.len() + these.len() >= known.len();
    let on = if all_else {
        "everything else".to_owned()
    } else if parts.is_empty() {
        list(those.iter().map(|at| said(notes, thing(at))).collect())
    } else {
        // Fixings are home with their parts; naming them all helps nobody.
        list(parts.iter().map(|&at| said(notes, thing(at))).collect())
    };
    match asked {
        Asked::Reach => {
            let fixings = if parts.len() < those.len() && !parts.is_empty() && !all_else {
                " and what holds them"
            } else {
                ""
            };
            format!("With {on}{fixings} back on: can {what} still be got at, and seen?")
        }
        Asked::Seen => format!("With {on} back on: can {what} still be seen?"),
        Asked::InTurn => {
            let on = if those.is_empty() { String::new() } else { format!("With {on} back on: ") };
            let does = if on.is_empty() { "Does" } else { "does" };
            format!("{on}{does} each of these still go on, and can it be seen, in this order")
        }
        Asked::Place => format!("Can {what} be got at from where {on} goes on, too?"),
        Asked::With => {
            let where_it_goes = if parts.len() == 1 { "it goes" } else { "that goes" };
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
        *last = format!("{last} with {}", list(its));
    }
}

fn list(names: Vec<String>) -> String {
    let more = names.len().saturating_sub(NAMES_MAX);
    let mut shown: Vec<String> = names.into_iter().take(NAMES_MAX).collect();
    if more > 0 {
        shown.push(format!("{more} more"));
    }
    match shown.pop() {
        None => "nothing".to_owned(),
        Some(only) if shown.is_empty() => only,
        Some(last) => format!("{} and {last}", shown.join(", ")),
    }
}
