//! Whether a joint's values can be right for its screws: questions and a band, never a
//! specification.

use lastbolt_tighten::{
    MAKER_WINS, Preload, Screw, Thread, TorqueUnit, doubtful, friction_explained, preload_band,
};

use crate::case::Book;
use crate::day::Ask;
use crate::joint::Joint;
use crate::view::Point;

/// A value that cannot be right for its screw is asked about: it keeps nothing shut, and whoever
/// says that the maker's value holds is right.
pub(crate) fn points(ask: &Ask<'_>, joint: &Joint<'_>) -> Vec<Point> {
    let Some(screw) = screw(joint) else { return Vec::new() };
    let mut all = Vec::new();
    for (at, round) in joint.rounds.iter().enumerate() {
        let mut torques = round.stage.torques();
        let doubt = torques.find_map(|torque| doubtful(torque, &screw).ok().flatten());
        let Some(doubt) = doubt else { continue };
        let id = format!("joint.doubt.{}", at + 1);
        let draft =
            ask.point(&id, Some(joint.name), &format!("Round {}: {}", at + 1, doubt.message));
        all.push(
            draft
                .answer("The maker's value holds", "the maker's value holds")
                .asks("Another value holds", "Which value does the maker's book give?")
                .detail(doubt.help)
                .detail(MAKER_WINS)
                .done(),
        );
    }
    all
}

/// What the last torque does to the screw, as a band by friction, and what friction means for it.
pub(crate) fn lines(joint: &Joint<'_>) -> Vec<String> {
    let last = joint.rounds.iter().rev().find_map(|round| round.stage.torques().last());
    let (Some(screw), Some(torque)) = (screw(joint), last) else { return Vec::new() };
    let Some(aim) = torque.aim_in(TorqueUnit::NewtonMetre) else { return Vec::new() };
    let Ok(band) = preload_band(aim.to_f64(), &screw) else { return Vec::new() };
    let mut lines = vec![band_text(&band)];
    // What friction does is said where the file wets the joint; it is never applied by itself.
    let book = Book::of(&joint.picture.case);
    if book.facts(joint.thing).is_some_and(|facts| facts.wetted.is_some()) {
        lines.extend(friction_explained(&screw, band.friction.1, band.friction.0).ok());
    }
    lines
}

/// "12.1 to 20.3 kN by friction, 55 to 92 % of the proof load".
fn band_text(band: &Preload) -> String {
    let (least, most) = band.preload_n;
    let kilonewtons = format!("{:.1} to {:.1} kN by friction", least / 1000.0, most / 1000.0);
    let proof = band.of_proof.map_or_else(String::new, |(least, most)| {
        format!(", {:.0} to {:.0} % of the proof load", least * 100.0, most * 100.0)
    });
    let memory = if band.from_memory { " Partly from memory." } else { "" };
    let taken = band.assumed.join("; ");
    format!("Clamps with {kilonewtons}{proof}. Taken: {taken}.{memory} {MAKER_WINS}")
}

/// The screw, where the file names its thread.
fn screw<'a>(joint: &'a Joint<'_>) -> Option<Screw<'a>> {
    let thread = Thread::read(joint.written.thread.as_deref()?).ok()?;
    Some(Screw { thread, class: joint.written.class.as_deref(), friction: None, dkm_mm: None })
}
