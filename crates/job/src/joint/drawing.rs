//! The drawing of a joint: where its holes are, in which order, and the strokes that they got.

use lastbolt_tighten::{Hole, Pattern, Taken, Why, order};

use crate::joint::Joint;
use crate::view::{HoleMark, JointDrawing};

/// Room around the outermost holes in the drawing.
const EDGE: f64 = 40.0;

/// Gives the drawing, where the places of the holes are known, and what is said about the order.
pub(crate) fn drawing(joint: &Joint<'_>) -> (Option<JointDrawing>, Vec<String>) {
    let Some((holes, taken)) = holes(joint) else {
        return (None, said_by_the_maker(joint));
    };
    let order = match order(&holes, taken) {
        Ok(order) => order,
        Err(error) => return (None, vec![format!("The places of the holes: {error}.")]),
    };
    let places = fitted(&holes, taken);
    let numbers = numbers(&order.holes, holes.len());
    let lengths = &joint.written.lengths;
    let same = lengths.windows(2).all(|pair| pair[0] == pair[1]);
    let mark = |(at, (x, y)): (usize, (f64, f64))| HoleMark {
        x,
        y,
        number: numbers[at],
        screw: lengths.get(at).filter(|_| !same).cloned(),
        strokes: strokes(joint, numbers[at]),
    };
    let marks = places.into_iter().enumerate().map(mark).collect();
    let mut lines = said_by_the_maker(joint);
    lines.push(why(&order.why));
    if taken == Taken::Tapped {
        lines.push("Places as they were tapped on the photo.".to_owned());
    }
    (Some(JointDrawing { holes: marks }), lines)
}

/// The holes: the file's, else as they were tapped on one photo, one for each screw.
fn holes(joint: &Joint<'_>) -> Option<(Vec<Hole>, Taken)> {
    let count = usize::try_from(joint.pieces).unwrap_or(usize::MAX);
    if !joint.written.holes.is_empty() {
        return Some((joint.written.holes.clone(), Taken::Measured));
    }
    let photos = crate::photos(joint.picture);
    photos.iter().rev().find_map(|photo| {
        let own = photo.pins.iter().filter(|pin| pin.thing == joint.name);
        let own: Vec<Hole> = own.map(|p| Hole::at(f64::from(p.x), f64::from(p.y))).collect();
        (own.len() == count && count >= 2).then_some((own, Taken::Tapped))
    })
}

/// The place of each hole in the order, from 1.
fn numbers(order: &[usize], count: usize) -> Vec<u32> {
    let mut numbers = vec![0; count];
    for (place, &hole) in order.iter().enumerate() {
        numbers[hole] = u32::try_from(place + 1).unwrap_or(u32::MAX);
    }
    numbers
}

/// A stroke for each round that a hole got, by its place in the order.
fn strokes(joint: &Joint<'_>, number: u32) -> Vec<bool> {
    let reached = |at: u32| {
        let round = joint.done.iter().rev().find(|round| round.round == at)?;
        round.pieces.is_none_or(|pieces| number <= pieces).then_some(round.by_hand)
    };
    let rounds = u32::try_from(joint.rounds.len()).unwrap_or(0);
    (1..=rounds).filter_map(reached).collect()
}

/// Scales the holes into the box; a drawing's y goes up, a photo's and the box's goes down.
fn fitted(holes: &[Hole], taken: Taken) -> Vec<(f64, f64)> {
    let flip = if taken == Taken::Tapped { 1.0 } else { -1.0 };
    let points: Vec<(f64, f64)> = holes.iter().map(|hole| (hole.x, flip * hole.y)).collect();
    let span = |pick: fn(&(f64, f64)) -> f64| {
        let low = points.iter().map(pick).fold(f64::INFINITY, f64::min);
        let high = points.iter().map(pick).fold(f64::NEG_INFINITY, f64::max);
        (low, high - low)
    };
    let ((left, wide), (top, high)) = (span(|p| p.0), span(|p| p.1));
    let room = (JointDrawing::WIDE - 2.0 * EDGE, JointDrawing::HIGH - 2.0 * EDGE);
    let fits = [room.0 / wide, room.1 / high].into_iter().filter(|scale| scale.is_finite());
    let scale = fits.fold(f64::INFINITY, f64::min);
    let scale = if scale.is_finite() { scale } else { 1.0 };
    let put = |value: f64, low: f64, span: f64, whole: f64| {
        (value - low - span / 2.0) * scale + whole / 2.0
    };
    let place = |&(x, y): &(f64, f64)| {
        (put(x, left, wide, JointDrawing::WIDE), put(y, top, high, JointDrawing::HIGH))
    };
    points.iter().map(place).collect()
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
fn why(whys: &[Why]) -> String {
    let text = |why: &Why| match why {
        Why::Maker => "the maker's order",
        Why::PublishedPattern => "a published pattern for so many holes in a ring",
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
