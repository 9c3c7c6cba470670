//! Where a joint goes on whose round was broken off.

use lastbolt_tighten::{Action, Care, Reason, Round, Stage, What, resume};

use crate::joint::{Joint, drawing};
use crate::view::GoOn;

/// Gives where to go on; none where no round was broken off.
pub(crate) fn go_on(joint: &Joint<'_>) -> Option<GoOn> {
    let order = drawing::order_of(joint).map(|found| found.order.holes);
    let pieces = usize::try_from(joint.pieces).ok()?;
    let holes = order.unwrap_or_else(|| (0..pieces).collect());
    let stages: Vec<Stage> = joint.rounds.iter().map(|round| round.stage.clone()).collect();
    let made = |(at, stage): (usize, &Stage)| {
        let turned = |action: &Action| matches!(action, Action::Angle(_) | Action::ToYield);
        let action = stage.actions.iter().position(turned).unwrap_or(0);
        let what = What::Maker { stage: at, action };
        Round { what, holes: holes.clone(), reason: Reason::Maker }
    };
    let rounds: Vec<Round> = stages.iter().enumerate().map(made).collect();
    let done: Vec<Vec<usize>> =
        (1..=rounds.len()).map(|number| done(joint, number, &holes)).collect();
    let found = resume(&rounds, &stages, &done).ok().flatten()?;
    let begun = done.get(found.round).is_some_and(|done| !done.is_empty());
    if !begun && found.care.is_none() {
        return None;
    }
    let number = |hole: &usize| {
        let at = holes.iter().position(|own| own == hole)?;
        u32::try_from(at + 1).ok()
    };
    let numbers = |holes: &[usize]| {
        let mut all: Vec<u32> = holes.iter().filter_map(number).collect();
        all.sort_unstable();
        all
    };
    let left = numbers(&found.left);
    let care = found.care.map(|care| care_text(care, left.first().copied().unwrap_or(1)));
    let round = u32::try_from(found.round + 1).ok()?;
    Some(GoOn { round, done: numbers(&done[found.round]), left, care })
}

/// The holes that have a round, by the last entry of it.
fn done(joint: &Joint<'_>, number: usize, holes: &[usize]) -> Vec<usize> {
    let last = joint.done.iter().rev().find(|done| usize::try_from(done.round) == Ok(number));
    let reached = last.map_or(0, |done| done.pieces.map_or(holes.len(), |pieces| pieces as usize));
    holes.iter().take(reached).copied().collect()
}

fn care_text(care: Care, next: u32) -> String {
    match care {
        Care::AngleUnsure => format!(
            "It is turned by an angle: whether screw {next} has had it cannot be measured \
             afterwards, a paint mark shows it. If nobody knows, the maker says whether that screw \
             must be new."
        ),
        Care::LaterRoundBegun => {
            "A later round is recorded already, while screws of this one are open.".to_owned()
        }
    }
}
