//! A gate that was passed with something open or not checked: said at once, and until it is
//! settled.

use crate::gate::gate_of;
use crate::picture::Picture;
use crate::view::{Day, DayGate, DayStage, Gate, Point, Quiet, QuietKind, StageView};
use crate::words;

/// What becomes of what was open at the end.
const STAYS: &str = "It stays so in the record until each is settled.";

/// The most things that are named; the gate's own page has them all.
const NAMED_MAX: usize = 3;

/// The gate that counts now: the one before the road once it was passed or the job is over.
fn counts(picture: &Picture) -> Option<DayGate> {
    let state = &picture.now.live.state;
    let was = |gate: DayGate| state.gates.contains_key(gate.name());
    let is_over = state.is_finished() && state.given_up.is_none();
    if is_over || was(DayGate::Road) {
        return Some(DayGate::Road);
    }
    was(DayGate::FirstStart).then_some(DayGate::FirstStart)
}

/// What was agreed to with something open, while it is.
pub(crate) fn agreed(picture: &Picture, day: &Day) -> Option<Quiet> {
    let gate = gate_of(picture, counts(picture)?, day);
    let (text, seq) = match with_open(&gate) {
        Some(text) => (text, gate.passed.as_ref().map(|passed| passed.seq)),
        None => (handed_over_open(picture, &gate)?, picture.now.live.state.finished),
    };
    Some(Quiet { kind: QuietKind::PassedOpen, text, thing: None, seq })
}

/// What it means that a job was handed over with something open, and no gate was passed with it.
fn handed_over_open(picture: &Picture, gate: &Gate) -> Option<String> {
    let state = &picture.now.live.state;
    let open = gate.lines.len() + gate.matters.len();
    let is_over = state.is_finished() && state.given_up.is_none();
    (is_over && open > 0).then(|| {
        let gate = Gate { points: Vec::new(), lapsed: Vec::new(), ..gate.clone() };
        format!("Handed over with {open} open: {}. {STAYS}", named(&gate))
    })
}

/// What is asked before cranking: by the beginning of its id.
const BEFORE_CRANKING: [&str; 2] = ["start.", "prime."];

/// What was to be checked before the first start and was not, of a job that was started, without
/// what the gate asks anyway.
pub(crate) fn lapsed(day: &Day, points: &[Point]) -> Vec<Point> {
    let of_start = day.stage(DayStage::FirstStart).into_iter().flat_map(StageView::points);
    let is_asked = |point: &&Point| {
        BEFORE_CRANKING.iter().any(|start| point.id.starts_with(start)) && !point.settled
    };
    let again =
        |point: &&Point| points.iter().any(|it| (&it.id, &it.thing) == (&point.id, &point.thing));
    of_start.filter(is_asked).filter(|point| !again(point)).cloned().collect()
}

/// Gives what it means that a gate was passed with something open or not checked: "First start
/// agreed with 1 open and 2 not checked: ..."; none where it was not, or all is settled.
pub fn with_open(gate: &Gate) -> Option<String> {
    gate.passed.as_ref()?;
    let (open, asked) =
        (gate.lines.len() + gate.matters.len(), gate.points.len() + gate.lapsed.len());
    let counts = [(open, "open"), (asked, "not checked")];
    let counts = counts.into_iter().filter(|(count, _)| *count > 0);
    let counts: Vec<String> = counts.map(|(count, word)| format!("{count} {word}")).collect();
    if counts.is_empty() {
        return None;
    }
    let (what, then) = if gate.name == DayGate::Road.name() {
        ("On the road", STAYS)
    } else {
        ("First start", "What can still be looked at is asked again before the road.")
    };
    Some(format!("{what} agreed with {}: {}. {then}", words::and(&counts), named(gate)))
}

/// The first of them by name.
fn named(gate: &Gate) -> String {
    let lines = gate.lines.iter().map(|line| line.line.text.as_str());
    let matters = gate.matters.iter().map(|line| line.text.as_str());
    let points = gate.points.iter().chain(&gate.lapsed).map(|point| point.text.as_str());
    let all: Vec<&str> = matters.chain(lines).chain(points).collect();
    let trimmed = |text: &&str| text.trim_end_matches(['.', '?']).to_owned();
    let mut names: Vec<String> = all.iter().take(NAMED_MAX).map(trimmed).collect();
    let more = all.len().saturating_sub(names.len());
    if more > 0 {
        names.push(format!("{more} more"));
    }
    names.join("; ")
}

/// What nobody checked of a job that passed a gate or is over.
pub(crate) fn not_checked(picture: &Picture, day: &Day) -> Vec<String> {
    let Some(which) = counts(picture) else { return Vec::new() };
    let gate = gate_of(picture, which, day);
    gate.points.into_iter().chain(gate.lapsed).map(|point| point.text).collect()
}
