//! The bench: new against old, what moves over, what is cleaned, what is still on the old part.

use lastbolt_machine::Kind;

use crate::day::{Ask, group};
use crate::view::{Point, PointGroup};
use crate::words;

/// What is compared between a new part and the old one: id, question.
const COMPARED: [(&str, &str); 4] = [
    ("bench.ports", "Same ports and holes?"),
    ("bench.plug", "Same plug or connection?"),
    ("bench.length", "Same length and size?"),
    ("bench.direction", "Same direction of turning and fitting?"),
];

/// The groups of the stage.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let kernel = &ask.picture.case.kernel;
    let renewed = ask.picture.case.model.job.renew.iter().filter_map(|name| {
        let thing = kernel.find(name.name())?;
        let is_off = kernel.thing(thing).kind == Kind::Part && ask.tell().live.open.has(thing);
        is_off.then(|| kernel.name(thing))
    });
    renewed.map(|name| group(&new_against_old(name), compared(ask, name))).collect()
}

fn new_against_old(name: &str) -> String {
    format!("{}: new against old", words::large(name))
}

fn compared(ask: &Ask<'_>, name: &str) -> Vec<Point> {
    let point = |&(id, text): &(&str, &str)| {
        ask.point(id, Some(name), text)
            .answer("The same", "the same")
            .asks("It differs", "What differs, and what is done about it?")
            .done()
    };
    COMPARED.iter().map(point).collect()
}
