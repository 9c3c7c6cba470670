//! What kind of joint it is, and what that means for its rounds: common practice, marked so.

use lastbolt_tighten::{
    Action, Hole, JointFacts, JointKind, NoRepeat, Taken, What, how_many_here, loosening_rounds,
    order, rounds,
};

use crate::case::Book;
use crate::joint::Joint;
use crate::joint::drawing::{holes, order_of};

/// What is done before the maker's rounds, a line each; trade knowledge, common practice.
pub(crate) fn lines(joint: &Joint<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    let facts = facts(joint);
    let by_hand = joint.rounds.first().is_some_and(|round| {
        round.stage.actions.iter().any(|action| matches!(action, Action::ByHand))
    });
    if facts.kind == JointKind::SpringLoaded {
        let long = two_long(joint).map_or_else(String::new, |(a, b)| format!(", {a} and {b},"));
        lines.push(format!(
            "Springs push it off: two long screws{long} first, then all in small steps (common \
             practice)."
        ));
    } else if joint.pieces > 1 && !by_hand {
        lines.push("All in by hand first, so that none sits crooked (common practice).".to_owned());
    }
    lines
}

/// What is done after the maker's rounds, or why nothing is.
pub(crate) fn after(joint: &Joint<'_>) -> Vec<String> {
    let line = match no_repeat(joint, &facts(joint)) {
        Some(None) => Some(
            "Then once more round at the full value, until none turns any more: each screw that \
             was tightened has relieved its neighbours (common practice)."
                .to_owned(),
        ),
        Some(Some(why)) => no_further_round(why),
        None => None,
    };
    line.into_iter().collect()
}

/// The forces of the screws are near each other if they differ by no more, in percent.
const NEAR_PERCENT: f64 = 10.0;

/// How many rounds at the full value even the screws out: where the holes are known, from springs.
pub(crate) fn how_many_rounds(joint: &Joint<'_>) -> Option<String> {
    if !repeats(joint) {
        return None;
    }
    let (holes, taken) = holes(joint)?;
    let order = order(&holes, taken).ok()?;
    let found = how_many_here(&holes, &order.holes, &[1.0], NEAR_PERCENT).ok()?;
    let (few, many) = (found.stiff.at_full?, found.soft.at_full?);
    let count = match (few, many) {
        (1, 1) => return None,
        (few, many) if few == many => format!("{few}"),
        (few, many) => format!("{few} to {many}"),
    };
    Some(format!(
        "About {count} rounds in all at the full value until these screws pull alike within a \
         tenth (an estimate from springs; how soft the joint is is assumed). Friction differs \
         from screw to screw, and no round takes that away."
    ))
}

/// Tells whether one more round at the full value is right for this joint.
pub(crate) fn repeats(joint: &Joint<'_>) -> bool {
    matches!(no_repeat(joint, &facts(joint)), Some(None))
}

/// Why one more round at full torque is wrong, if it is; `None` where there are no rounds.
fn no_repeat(joint: &Joint<'_>, facts: &JointFacts) -> Option<Option<NoRepeat>> {
    let stages: Vec<_> = joint.rounds.iter().map(|round| round.stage.clone()).collect();
    let (holes, taken) = holes(joint).unwrap_or_else(|| (in_a_line(joint.pieces), Taken::Measured));
    let order = order(&holes, taken).ok()?;
    Some(rounds(&holes, &order, &stages, facts).ok()?.no_repeat)
}

/// Why there is no further round, where there is something to say.
fn no_further_round(why: NoRepeat) -> Option<String> {
    let text = match why {
        NoRepeat::NoTorqueLast | NoRepeat::OneScrew => return None,
        NoRepeat::MakerSaysNo => "the file says so",
        NoRepeat::Angle | NoRepeat::ToYield => {
            "screws that are turned by an angle or to yield are not tightened again"
        }
        NoRepeat::LockingCompound => "locking compound that grips must not be torn loose",
        NoRepeat::Sealant => "sealant that begins to set must not be moved",
        NoRepeat::Banjo => "its sealing rings are squeezed once",
        NoRepeat::Taper => "a taper would be drawn further up",
        NoRepeat::Plug => "a plug is tightened once",
        NoRepeat::Once => "the maker says once",
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
    let springs = match facts(joint).kind {
        JointKind::SpringLoaded => ", the two long screws last and in turns: springs push",
        _ => "",
    };
    vec![format!(
        "Slackened backwards: each a little, all round, then out{springs} (common practice; the \
         maker's order wins)."
    )]
}

/// The numbers of the two long screws of a cover that springs push off, where the holes are known.
fn two_long(joint: &Joint<'_>) -> Option<(usize, usize)> {
    let found = order_of(joint)?;
    let stages: Vec<_> = joint.rounds.iter().map(|round| round.stage.clone()).collect();
    let made = rounds(&found.holes, &found.order, &stages, &facts(joint)).ok()?;
    let first = made.rounds.iter().find(|round| round.what == What::TwoLongScrews)?;
    let number = |hole: &usize| found.order.holes.iter().position(|own| own == hole);
    let mut numbers: Vec<usize> = first.holes.iter().filter_map(number).collect();
    numbers.sort_unstable();
    match numbers.as_slice() {
        [a, b] => Some((a + 1, b + 1)),
        _ => None,
    }
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
