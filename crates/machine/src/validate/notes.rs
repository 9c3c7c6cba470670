//! Things to know about a machine that is not wrong: few, and each of use.

use super::Problems;
use super::nearest;
use super::things::both;
use crate::minutes::KNOWN_KINDS;
use crate::model::{Back, Machine, Way};
use crate::problem::Problem;

/// The most notes of one sort.
const MOST: usize = 10;

/// Looks for things to know.
pub(crate) fn look(machine: &Machine, out: &mut Problems) {
    guessed(machine, out);
    kinds(machine, out);
    let nothing = machine.parts.is_empty() && machine.ties.is_empty() && machine.preps.is_empty();
    if let Some(name) = machine.machine.as_ref().filter(|_| nothing) {
        let message = "This machine has no parts and no fixings yet.";
        let help = "Write [part.\"NAME\"] and [tie.\"NAME\"].";
        out.push(Problem::note(name.at, "empty-machine", message, help));
    }
}

/// One note for all minutes that were left out.
fn guessed(machine: &Machine, out: &mut Problems) {
    let left_out = |ways: &Option<Vec<Way>>, back: &Back| {
        ways.is_none() || both(ways, back).any(|way| way.minutes.is_none())
    };
    let parts = machine.parts.iter().filter(|p| left_out(&p.ways, &p.back)).map(|p| &p.id);
    let ties = machine.ties.iter().filter(|t| left_out(&t.ways, &t.back)).map(|t| &t.id);
    let mut all: Vec<_> = parts.chain(ties).collect();
    all.sort_by_key(|id| id.at);
    let Some(first) = all.first() else {
        return;
    };
    let message = match all.len() {
        1 => format!("\"{}\" has no minutes; they are guessed by its kind.", first.name()),
        2 => format!("\"{}\" and one more have no minutes; they are guessed.", first.name()),
        count => format!(
            "\"{}\" and {} more have no minutes; they are guessed by kind.",
            first.name(),
            count - 1
        ),
    };
    let help = "Write minutes = ... where you know better; the plan marks what is guessed.";
    out.push(Problem::note(first.at, "guessed-minutes", message, help));
}

/// Kinds that look like a slip of a known one. Other kinds are the user's own, and welcome.
fn kinds(machine: &Machine, out: &mut Problems) {
    let kinds = machine.ties.iter().filter_map(|tie| tie.kind.as_ref());
    let unknown = kinds.filter(|kind| !KNOWN_KINDS.contains(&kind.name()));
    let slips = unknown.filter_map(|k| Some((k, nearest(k.name(), KNOWN_KINDS.iter().copied())?)));
    for (kind, near) in slips.take(MOST) {
        let message = format!("\"{}\" is a kind of its own here.", kind.name());
        let help = format!("Did you mean \"{near}\"? Known kinds are counted and timed.");
        out.push(Problem::note(kind.at, "unknown-kind", message, help));
    }
}
