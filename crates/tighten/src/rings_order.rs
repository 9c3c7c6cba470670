//! Rings inside each other: the inner one first, each turned so that followers are far apart.

use crate::point::Point;
use crate::ring::ring_order;

/// Lengths that differ by less, in the joint's reach, are equal.
const SAME: f64 = 1e-6;

/// The order for rings given from the inside, each as its holes in order round the middle.
///
/// Where a ring begins and which direction it goes in does not matter to itself; it is chosen by
/// where the holes of the rings before it stand, so no order depends on how holes are numbered.
pub(crate) fn rings_order(points: &[Point], rings: &[Vec<usize>]) -> Vec<usize> {
    let Some((inner, outer)) = rings.split_first() else { return Vec::new() };
    let wholes = choices(inner).into_iter().map(|first| {
        let mut marks = marks(&first);
        let mut order = first;
        let mut key = Vec::new();
        for ring in outer {
            let judged = choices(ring).into_iter().map(|c| (nearness(points, &marks, &c), c));
            let Some((near, next)) = judged.min_by(|a, b| a.0.cmp(&b.0)) else { continue };
            marks.extend(self::marks(&next));
            key.extend(near);
            order.extend(next);
        }
        (key, order)
    });
    wholes.min_by(|a, b| a.0.cmp(&b.0)).map(|(_, order)| order).unwrap_or_default()
}

/// The ring's order begun at each hole, in both directions.
fn choices(ring: &[usize]) -> Vec<Vec<usize>> {
    let order = ring_order(ring.len());
    let count = ring.len();
    let begun = |start: usize| {
        let there = order.iter().map(|place| ring[(start + place) % count]).collect();
        let back = order.iter().map(|place| ring[(start + count - place) % count]).collect();
        [there, back]
    };
    (0..count).flat_map(begun).collect()
}

/// Three holes of a ring that are in no line: where others stand from them says where they are.
fn marks(order: &[usize]) -> Vec<usize> {
    let last = order.len().saturating_sub(1);
    let mut marks = vec![order[last], order[0], order[last.saturating_sub(1)]];
    marks.dedup();
    marks
}

/// How near the holes come to those marks, the last mark first; less is farther.
fn nearness(points: &[Point], marks: &[usize], order: &[usize]) -> Vec<i64> {
    let to = |hole: usize, mark: usize| (points[hole].to(points[mark]) / SAME).round() as i64;
    order.iter().flat_map(|hole| marks.iter().map(move |mark| -to(*hole, *mark))).collect()
}
