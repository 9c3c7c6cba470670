//! What has to be answered before a joint can be tightened, and what is asked of its screws.

use lastbolt_tighten::{Action, Length, Stage, Torque, read_torque};

use crate::case::Book;
use crate::day::Ask;
use crate::joint::{Joint, plausible};
use crate::view::Point;

/// The questions of a joint. The first kind keeps it closed: a value that can be read in two ways.
pub(crate) fn points(ask: &Ask<'_>, joint: &Joint<'_>) -> Vec<Point> {
    let mut all = values(ask, joint);
    all.extend(plausible::points(ask, joint));
    all.extend(screws_again(ask, joint));
    all
}

/// The id of the question about a round's value.
pub(crate) fn value_id(number: usize) -> String {
    format!("joint.value.{number}")
}

/// A value of which it is open what holds: twins that differ, a number without a unit.
fn values(ask: &Ask<'_>, joint: &Joint<'_>) -> Vec<Point> {
    let mut all = Vec::new();
    for (at, round) in crate::joint::makers_rounds(&joint.written.stages).iter().enumerate() {
        let open = round.stage.open();
        let Some(first) = open.first() else { continue };
        let text = format!("{}: {}", round.stage.text, first.message);
        let mut draft = ask.point(&value_id(at + 1), Some(joint.name), &text).detail(&first.help);
        for torque in round.stage.torques().filter(|torque| torque.question().is_some()) {
            for entry in torque.entries() {
                draft = draft.answer(&format!("{} holds", entry.text), &entry.text);
            }
        }
        draft = draft.asks("Another value holds", "Which value does the maker's book give?");
        all.push(draft.done());
    }
    all
}

/// Whether screws may be used again: the source says new; a measured length; silent and turned by
/// an angle means new.
fn screws_again(ask: &Ask<'_>, joint: &Joint<'_>) -> Option<Point> {
    if !ask.picture.now.live.disturbed.has(joint.thing) {
        return None;
    }
    let limit = joint.rounds.iter().find_map(|round| round.stage.limit.as_ref());
    let renews = !Book::of(&ask.picture.case).renew(joint.thing).is_empty();
    let says_new = joint.written.is_once
        || renews
        || joint.rounds.iter().any(|round| round.stage.new_screws || round.stage.once);
    let by_angle = joint.rounds.iter().any(|round| round.stage.is_beyond_torque());
    let (text, detail) = match limit {
        Some(limit) => (length_question(limit), "Measure each from under its head."),
        None if says_new => ("New ones in?".to_owned(), "The file says: new each time."),
        None if by_angle => (
            "New ones in?".to_owned(),
            "They are turned by an angle and nothing says that they may be used again: new ones, \
             unless the maker says otherwise.",
        ),
        None => return None,
    };
    let draft = ask.point("joint.screws", Some(joint.name), &text).detail(detail);
    let draft = match limit {
        Some(_) => draft.answer("All shorter, used again", "measured, used again"),
        None => draft.answer("New ones in", "new"),
    };
    let draft = match limit {
        Some(_) => draft.answer("New ones in", "new"),
        None => draft,
    };
    Some(draft.asks("Old ones, because", "Why may they be used again?").done())
}

fn length_question(limit: &Length) -> String {
    format!("Longest screw not longer than {}?", limit.text)
}

/// Tells whether something that keeps the joint closed is not answered.
pub(crate) fn is_shut(points: &[Point]) -> bool {
    points.iter().any(|point| point.id.starts_with("joint.value.") && !point.settled)
}

/// A stage with the answer to its question: one of the values that stand there, or another that
/// can be read. Any other answer leaves the maker's words, with nothing to set a wrench to.
pub(crate) fn settled(stage: &Stage, answer: &str) -> Stage {
    let holding = |torque: &Torque| {
        let at = torque.entries().iter().position(|entry| entry.text == answer)?;
        torque.holding(at)
    };
    let mut settled = Stage { questions: Vec::new(), ..stage.clone() };
    let mut is_used = false;
    for action in &mut settled.actions {
        let Action::Torque(torque) = action else { continue };
        if torque.question().is_none() {
            continue;
        }
        if let Some(held) = holding(torque).or_else(|| read_torque(answer).ok()) {
            *torque = held;
            is_used = true;
        }
    }
    // What cannot be a value is no torque any more; the answer stands beside the maker's words.
    settled.actions.retain(|a| !matches!(a, Action::Torque(t) if t.question().is_some()));
    if !is_used && !stage.open().is_empty() {
        settled.actions.extend(read_torque(answer).ok().map(Action::Torque));
    }
    settled.text = format!("{} ({answer})", stage.text);
    settled
}
