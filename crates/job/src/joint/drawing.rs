//! The drawing of a joint: where its holes are, in which order, and the strokes that they got.

use lastbolt_tighten::{
    Hole, HolesError, Mark, Order, PATTERN_READ, Pattern, Progress, Sheet, Taken, Why, draw, order,
    said_order,
};

use crate::joint::{Joint, resume};
use crate::view::JointDrawing;

/// The sheet that it is drawn on: a phone's width.
const WIDE: f64 = 358.0;
const HIGH: f64 = 380.0;

/// The holes of a joint with the order of its screws.
pub(crate) struct Ordered {
    pub(crate) holes: Vec<Hole>,
    pub(crate) taken: Taken,
    pub(crate) order: Order,
}

/// Gives the order of the screws, where the places of the holes are known and are those of a joint.
pub(crate) fn order_of(joint: &Joint<'_>) -> Option<Ordered> {
    ordered(joint)?.ok()
}

fn ordered(joint: &Joint<'_>) -> Option<Result<Ordered, HolesError>> {
    let (holes, taken) = holes(joint)?;
    Some(order(&holes, taken).map(|order| {
        let said = joint.rounds.iter().find_map(|round| round.stage.patterns.first());
        let order = said.map_or_else(|| order.clone(), |said| said_order(&order, &holes, *said));
        Ordered { holes, taken, order }
    }))
}

/// Gives the drawing, where the places of the holes are known, and what is said about the order.
pub(crate) fn drawing(joint: &Joint<'_>) -> (Option<JointDrawing>, Vec<String>) {
    let Some(found) = ordered(joint) else {
        return (None, said_by_the_maker(joint));
    };
    let drawn = found.and_then(|found| {
        let Ordered { holes, taken, order } = &found;
        let marks: Vec<Vec<Mark>> = marks(joint, order, holes.len());
        let rounds = joint.rounds.len();
        let progress = Progress { marks: &marks, rounds, next: next(joint, order) };
        let sheet = Sheet { width: WIDE, height_max: HIGH, y_up: *taken == Taken::Measured };
        Ok((draw(holes, order, &progress, &sheet)?, found))
    });
    let (drawing, found) = match drawn {
        Ok(drawn) => drawn,
        Err(error) => return (None, vec![format!("The places of the holes: {error}.")]),
    };
    let mut lines = said_by_the_maker(joint);
    lines.push(why(&found.order.why, found.holes.len()));
    if found.taken == Taken::Tapped {
        lines.push("Places as they were tapped on the photo.".to_owned());
    }
    (Some(JointDrawing { drawing, screws: screws(joint, &found.order) }), lines)
}

/// The screw of each number in the order, where they differ.
fn screws(joint: &Joint<'_>, order: &Order) -> Vec<(u32, String)> {
    let lengths = &joint.written.lengths;
    if lengths.windows(2).all(|pair| pair[0] == pair[1]) {
        return Vec::new();
    }
    let screw = |(at, &hole): (usize, &usize)| {
        let number = u32::try_from(at + 1).unwrap_or(u32::MAX);
        Some((number, lengths.get(hole)?.clone()))
    };
    order.holes.iter().enumerate().filter_map(screw).collect()
}

/// A mark for each round that a hole got.
fn marks(joint: &Joint<'_>, order: &Order, count: usize) -> Vec<Vec<Mark>> {
    let mut marks = vec![Vec::new(); count];
    for number in 1..=u32::try_from(joint.rounds.len()).unwrap_or(0) {
        let Some(round) = joint.done.iter().rev().find(|done| done.round == number) else {
            continue;
        };
        let mark = if round.by_hand { Mark::ByHand } else { Mark::Measured };
        let reached = round.pieces.map_or(count, |pieces| pieces as usize);
        for &hole in order.holes.iter().take(reached) {
            marks[hole].push(mark);
        }
    }
    marks
}

/// The hole that is next, where a round was broken off.
fn next(joint: &Joint<'_>, order: &Order) -> Option<usize> {
    let next = resume::go_on(joint)?.left.first().copied()?;
    order.holes.get(usize::try_from(next).ok()?.checked_sub(1)?).copied()
}

/// The holes: the file's, else as they were tapped on one photo, one for each screw.
pub(crate) fn holes(joint: &Joint<'_>) -> Option<(Vec<Hole>, Taken)> {
    let count = usize::try_from(joint.pieces).unwrap_or(usize::MAX);
    if !joint.written.holes.is_empty() {
        return Some((with_lengths(joint), Taken::Measured));
    }
    let photos = crate::photos(joint.picture);
    photos.iter().rev().find_map(|photo| {
        let own = photo.pins.iter().filter(|pin| pin.thing == joint.name);
        let own: Vec<Hole> = own.map(|p| Hole::at(f64::from(p.x), f64::from(p.y))).collect();
        (own.len() == count && count >= 2).then_some((own, Taken::Tapped))
    })
}

/// The file's holes, each with the length of its screw where screws differ: drawn in its head.
fn with_lengths(joint: &Joint<'_>) -> Vec<Hole> {
    let (holes, lengths) = (&joint.written.holes, &joint.written.lengths);
    let lengths: Vec<Option<f64>> = lengths.iter().map(|text| length_mm(text)).collect();
    let differ = lengths.windows(2).any(|pair| pair[0] != pair[1]);
    if lengths.len() != holes.len() || !differ {
        return holes.clone();
    }
    holes.iter().zip(lengths).map(|(hole, length_mm)| Hole { length_mm, ..*hole }).collect()
}

/// The length of a screw as it is written: "M12x80 threaded head", "M8x1.25x40", "65 mm".
fn length_mm(text: &str) -> Option<f64> {
    let first = text.replace('×', "x").replace(" x ", "x").replace(',', ".");
    let word = first.split_whitespace().next()?;
    let last = word.rsplit(['x', 'X']).next()?.trim_end_matches("mm");
    let is_thread_alone = word == last && word.starts_with(['M', 'm']);
    let length: f64 = last.parse().ok().filter(|_| !is_thread_alone)?;
    (length.is_finite() && length > 0.0).then_some(length)
}

/// What the maker says about the order of the screws, in words.
fn said_by_the_maker(joint: &Joint<'_>) -> Vec<String> {
    let mut said: Vec<&str> = Vec::new();
    for pattern in joint.rounds.iter().flat_map(|round| &round.stage.patterns) {
        let text = match pattern {
            Pattern::Crosswise => "The maker says: crosswise.",
            Pattern::OppositePairs => "The maker says: in opposite pairs.",
            Pattern::FromTheMiddle => "The maker says: from the middle outwards.",
            Pattern::Around => "The maker says: one after the other, around.",
        };
        if !said.contains(&text) {
            said.push(text);
        }
    }
    said.into_iter().map(str::to_owned).collect()
}

/// Where the order of the drawing is from.
fn why(whys: &[Why], holes: usize) -> String {
    let text = |why: &Why| match why {
        Why::Maker => "the maker's order",
        Why::PublishedPattern if holes == PATTERN_READ => {
            "a published pattern for so many holes in a ring"
        }
        Why::PublishedPattern => {
            "a published pattern for so many holes in a ring, which stands here from memory"
        }
        Why::OppositePairs => "opposite pairs, the next pair far from the last",
        Why::Balanced => "round the ring so that what is tight stays balanced",
        Why::MiddleOutwards => "from the middle outwards",
        Why::RowsTakeTurns => "the two rows take turns",
        Why::InnerRingFirst => "the inner ring first",
        Why::NothingToChoose => "nothing to choose",
        Why::Backwards => "backwards",
    };
    let practice = if whys.iter().any(|why| why.is_common_practice()) {
        " (common practice; the maker's order wins)"
    } else {
        ""
    };
    let all: Vec<&str> = whys.iter().map(text).collect();
    format!("The numbers: {}{practice}.", all.join(", "))
}

#[cfg(test)]
mod tests {
    use super::length_mm;

    #[test]
    fn lengths_are_read() {
        for (text, wanted) in [
            ("M12x80 threaded head", Some(80.0)),
            ("M8x1.25x40", Some(40.0)),
            ("M8 × 40", Some(40.0)),
            ("65 mm", Some(65.0)),
            ("65mm", Some(65.0)),
            ("37,5", Some(37.5)),
            ("M12", None),
            ("long one", None),
            ("M12x0", None),
        ] {
            assert_eq!(length_mm(text), wanted, "{text}");
        }
    }
}
