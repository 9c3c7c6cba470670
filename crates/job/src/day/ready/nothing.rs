//! A machine of which no file says how it is made ready: a short list of what is asked of any.

use crate::day::{Ask, group as headed};
use crate::hazards;
use crate::view::{Point, PointGroup};

/// Id, question, the hazards that it is about.
const ASKED: [(&str, &str, &[&str]); 7] = [
    ("ready.any.power", "Battery, mains or spark: isolated how, by whom?", &["battery"]),
    ("ready.any.supplies", "A second battery, solar, mains hook-up: is there any?", &["supplies"]),
    (
        "ready.any.pressure",
        "Fuel, oil or air under pressure: let off how, by whom?",
        &["high-pressure fuel", "fuel"],
    ),
    ("ready.any.gas", "Gas on board: shut how, by whom?", &["gas"]),
    ("ready.any.cool", "Hot parts and coolant: cold?", &["coolant"]),
    ("ready.any.raised", "Raised or propped: on what, by whom?", &["raised"]),
    ("ready.any.drained", "Fluids: which were drained, into what?", &[]),
];

/// The list.
pub(crate) fn group(ask: &Ask<'_>) -> PointGroup {
    headed("Asked of any machine", ASKED.iter().map(|row| point(ask, row)).collect())
}

fn point(ask: &Ask<'_>, (id, question, about): &(&str, &str, &[&str])) -> Point {
    let mut draft = ask
        .point(id, None, question)
        .asks("Keep the answer", "How was it done, and by whom?")
        .choice("Not on this one", "not on this one");
    for hazard in hazards::TABLE.iter().filter(|hazard| about.contains(&hazard.id)) {
        draft = draft.caution(hazard.sentence());
    }
    draft.done()
}
