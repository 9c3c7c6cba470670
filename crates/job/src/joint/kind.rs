//! What kind of joint it is, and what that means for its rounds: common practice, marked so.

use lastbolt_tighten::{
    Action, Hole, JointFacts, JointKind, NoRepeat, Taken, loosening_rounds, order, rounds,
};

use crate::case::Book;
use crate::joint::Joint;
use crate::joint::drawing::holes;

/// What is done besides the maker's rounds, a line each.
pub(crate) fn lines(joint: &Joint<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    let facts = facts(joint);
    let by_hand = joint.rounds.first().is_some_and(|round| {
        round.stage.actions.iter().any(|action| matches!(action, Action::ByHand))
    });
    if facts.kind == JointKind::SpringLoaded {
        lines.push(
            "Springs push it off: two long screws first, then all in small steps (common practice)."
                .to_owned(),
        );
    } else if joint.pieces > 1 && !by_hand {
        lines.push("All in by hand first, so that none sits crooked (common practice).".to_owned());
    }
    lines.extend(last_round(joint, &facts));
    lines
}

/// One more round at full torque: right, or why not.
fn last_round(joint: &Joint<'_>, facts: &JointFacts) -> Option<String> {
    let stages: Vec<_> = joint.rounds.iter().map(|round| round.stage.clone()).collect();
    let (holes, taken) = holes(joint).unwrap_or_else(|| (in_a_line(joint.pieces), Taken::Measured));
    let order = order(&holes, taken).ok()?;
    let all = rounds(&holes, &order, &stages, facts).ok()?;
    let text = match all.no_repeat {
        None => {
            return Some(
                "Then once more round at the full value, until none turns any more: each screw \
                 that was tightened has relieved its neighbours (common practice)."
                    .to_owned(),
            );
        }
        Some(NoRepeat::NoTorqueLast | NoRepeat::OneScrew) => return None,
        Some(NoRepeat::MakerSaysNo) => "the file says so",
        Some(NoRepeat::Angle | NoRepeat::ToYield) => {
            "screws that are turned by an angle or to yield are not tightened again"
        }
        Some(NoRepeat::LockingCompound) => "locking compound that grips must not be torn loose",
        Some(NoRepeat::Sealant) => "sealant that begins to set must not be moved",
        Some(NoRepeat::Banjo) => "its sealing rings are squeezed once",
        Some(NoRepeat::Taper) => "a taper would be drawn further up",
        Some(NoRepeat::Plug) => "a plug is tightened once",
        Some(NoRepeat::Once) => "the maker says once",
    };
    Some(format!("No further round at the full value: {text}."))
}

/// Where nobody knows the holes, only their number counts.
fn in_a_line(pieces: u32) -> Vec<Hole> {
    (0..pieces.min(60)).map(|at| Hole::at(f64::from(at), 0.0)).collect()
}

/// How it is slackened, where there is something to say; common practice.
pub(crate) fn slackening(joint: &Joint<'_>) -> Vec<String> {
    let holes = holes(joint).map_or_else(|| in_a_line(joint.pieces), |(holes, _)| holes);
    let Ok(order) = order(&holes, Taken::Measured) else { return Vec::new() };
    if joint.pieces < 3 || loosening_rounds(&holes, &order, &facts(joint)).len() < 2 {
        return Vec::new();
    }
    vec![
        "Slackened backwards: each a little, all round, then out (common practice; the maker's \
         order wins)."
            .to_owned(),
    ]
}

/// What the machine's file tells about the kind of joint, by the words in it.
fn facts(joint: &Joint<'_>) -> JointFacts {
    let book = Book::of(&joint.picture.case);
    let lower = |text: &str| text.to_lowercase();
    let kind = lower(book.kind(joint.thing));
    let wetted = book.facts(joint.thing).and_then(|facts| facts.wetted.as_ref());
    let wetted = wetted.map(|wetted| lower(&wetted.value)).unwrap_or_default();
    let said: Vec<String> = book.cautions(joint.thing).iter().map(|c| lower(c.name())).collect();
    let says = |word: &str| said.iter().any(|text| text.contains(word));
    let sort = if kind.contains("banjo") {
        JointKind::Banjo
    } else if kind.contains("taper") || kind.contains("ball joint") {
        JointKind::Taper
    } else if lower(joint.name).contains("plug") && joint.pieces == 1 {
        JointKind::Plug
    } else if says("spring") {
        JointKind::SpringLoaded
    } else {
        JointKind::Plain
    };
    JointFacts {
        kind: sort,
        locking_compound: wetted.contains("lock") || wetted.contains("threadlock"),
        sealant_sets: wetted.contains("sealant") || kind.contains("sealant"),
        maker_repeats: joint.written.last_round,
    }
}
