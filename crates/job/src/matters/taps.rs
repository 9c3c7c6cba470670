//! What can be recorded about a thing besides on, off and the states that need no more words.

use lastbolt_ledger::{More, TookPart, Verb};
use lastbolt_machine::{End, Kind, ThingNo};

use crate::case::Book;
use crate::matters::{Matters, counted, inside};
use crate::tell::Tell;
use crate::view::{Said, StepVerb, Tap};
use crate::walk::Todo;
use crate::words;

/// Beside the buttons of a step: the part that it joins hung aside instead.
pub(crate) fn of_step(tell: Tell<'_>, matters: &Matters, todo: &Todo) -> Vec<Tap> {
    let kernel = &tell.case.kernel;
    let it = kernel.thing(todo.thing);
    let mut all = Vec::new();
    if todo.verb == StepVerb::Undo && stays_connected(Book::of(tell.case).kind(todo.thing)) {
        let parts = it.joins.iter().filter_map(|end| match *end {
            End::Part(part) => Some(part),
            End::Fixed(_) => None,
        });
        all.extend(parts.filter(|&part| can_hang(tell, part)).take(1).map(|p| aside(tell, p)));
    }
    all.extend(inside::out_taps(matters, &it.name).into_iter().filter(|_| todo.verb.opens()));
    all
}

/// Everything that the sheet of a thing has besides its buttons.
pub(crate) fn of_thing(tell: Tell<'_>, matters: &Matters, thing: ThingNo) -> Vec<Tap> {
    let kernel = &tell.case.kernel;
    let it = kernel.thing(thing);
    let mut all = inside::out_taps(matters, &it.name);
    if it.kind == Kind::Prep {
        return all;
    }
    if can_hang(tell, thing) {
        all.push(aside(tell, thing));
    }
    let kind = Book::of(tell.case).kind(thing);
    if tell.live.open.has(thing) && (it.kind == Kind::Part || inside::leaves_an_opening(kind)) {
        all.extend(inside::put_taps(&it.name));
    }
    if !tell.live.open.has(thing) && counted::leave_alone(matters, &it.name).is_none() {
        let said = Said { thing: Some(it.name.clone()), ..Said::new(Verb::LeaveAlone) };
        all.push(tap("Leave it alone", said));
    }
    // What a machine file has cannot be struck out on a job.
    if it.at.line == 0 && tell.live.mark(kernel, thing).is_some() {
        let said = Said { thing: Some(it.name.clone()), ..Said::new(Verb::StruckOut) };
        all.push(tap("It never was", said));
    }
    all
}

/// Whether a part is on its seat and something still made would hold it when it is hung aside.
fn can_hang(tell: Tell<'_>, part: ThingNo) -> bool {
    let kernel = &tell.case.kernel;
    kernel.thing(part).kind == Kind::Part
        && !tell.live.open.has(part)
        && kernel.thing(part).ties.iter().any(|&tie| !tell.live.open.has(tie))
}

/// Connections by which a part may stay connected while it is hung aside.
fn stays_connected(kind: &str) -> bool {
    inside::leaves_an_opening(kind) || matches!(kind, "plug" | "cable" | "earth" | "connection")
}

fn aside(tell: Tell<'_>, part: ThingNo) -> Tap {
    let name = tell.name(part).to_owned();
    let text = format!("{} hung aside", words::large(&name));
    let part = TookPart { name: Some(name), aside: true, is_it: false };
    let more = More { part: Some(part), ..More::default() };
    tap(&text, Said { more: Some(more), ..Said::new(Verb::Took) })
}

fn tap(text: &str, said: Said) -> Tap {
    Tap { text: text.to_owned(), said, asks: None, main: false }
}
