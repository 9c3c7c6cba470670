//! Orders for holes that stand evenly round a ring, by their place round it (from 0).

use std::f64::consts::TAU;

/// Published cross patterns (holes counted from 1 round the ring).
///
/// 12: read, in several flange guides. 4, 16, 20, 24: the legacy cross pattern of ASME PCC-1, from
/// memory. 8: the same rule.
const PUBLISHED: [&[u8]; 6] = [
    &[1, 3, 2, 4],
    &[1, 5, 3, 7, 2, 6, 4, 8],
    &[1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12],
    &[1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16],
    &[1, 11, 6, 16, 3, 13, 8, 18, 5, 15, 10, 20, 2, 12, 7, 17, 4, 14, 9, 19],
    &[1, 13, 7, 19, 4, 16, 10, 22, 2, 14, 8, 20, 5, 17, 11, 23, 3, 15, 9, 21, 6, 18, 12, 24],
];

/// Only the pattern for so many holes was read in a source; the other published ones stand from
/// memory, and are shown as such.
pub const PATTERN_READ: usize = 12;

/// The published order for a ring of so many holes, if there is one.
#[must_use]
pub fn published(count: usize) -> Option<Vec<usize>> {
    let table = PUBLISHED.iter().find(|table| table.len() == count)?;
    Some(table.iter().map(|place| usize::from(*place) - 1).collect())
}

/// An order for a ring of evenly spaced holes: published, or by opposite pairs.
///
/// Holes are named by their place round the ring, from 0. In an even ring each pair is opposite,
/// so the middle of the tightened holes is the centre after every pair; in an odd ring the second
/// of a pair is half a step beside, so that middle is at most sin(pi/2n) of the radius away.
#[must_use]
pub fn ring_order(count: usize) -> Vec<usize> {
    published(count).unwrap_or_else(|| by_pairs(count))
}

/// Pairs as nearly opposite as can be; the pair that stays alone in an odd ring comes last.
fn pairs(count: usize) -> Vec<(usize, usize)> {
    if count < 3 {
        return Vec::new();
    }
    if count.is_multiple_of(2) {
        return (0..count / 2).map(|i| (i, i + count / 2)).collect();
    }
    // Steps of (n - 1) / 2 go through all holes of an odd ring: a star.
    let step = (count - 1) / 2;
    (0..count / 2).map(|k| (2 * k * step % count, (2 * k + 1) * step % count)).collect()
}

/// How many first pairs are tried: in some odd rings the hole that stays alone is beside the last
/// one, if the wrong pair comes first.
const FIRST_PAIRS: usize = 4;

/// Of a few first pairs the one that keeps followers farthest apart, up to a sixth of the ring.
fn by_pairs(count: usize) -> Vec<usize> {
    let pairs = pairs(count);
    let firsts = pairs.iter().take(FIRST_PAIRS).flat_map(|(a, b)| [(*a, *b), (*b, *a)]);
    let orders = firsts.map(|first| from_pair(count, &pairs, first));
    let key = |order: &Vec<usize>| {
        let steps = order.windows(2).map(|w| steps_between(count, w[0], w[1]));
        usize::MAX - steps.min().unwrap_or(0).min(far_enough(count))
    };
    let order = orders.min_by_key(key).unwrap_or_else(|| (0..count).collect());
    let first = order.first().copied().unwrap_or(0);
    order.iter().map(|hole| (hole + count - first) % count).collect()
}

/// A sixth of the ring between followers is enough; more counts only where nothing is lost by it.
fn far_enough(count: usize) -> usize {
    count.div_ceil(6)
}

fn steps_between(count: usize, a: usize, b: usize) -> usize {
    a.abs_diff(b).min(count - a.abs_diff(b))
}

/// The next pair is as far as can be from those done, and begins far from the last hole.
fn from_pair(count: usize, pairs: &[(usize, usize)], first: (usize, usize)) -> Vec<usize> {
    let is_first = |pair: &(usize, usize)| *pair == first || (pair.1, pair.0) == first;
    let mut left: Vec<_> = pairs.iter().copied().filter(|pair| !is_first(pair)).collect();
    let mut order = vec![first.0, first.1];
    while !left.is_empty() {
        // A pair is judged by the hole that would come first of it, from either end.
        let choices = left.iter().enumerate().flat_map(|(i, (a, b))| [(i, *a, *b), (i, *b, *a)]);
        let key = |(_, one, other): &(usize, usize, usize)| {
            let step = order.last().map_or(0, |last| steps_between(count, *last, *one));
            let free = |hole: usize| order.iter().map(|d| steps_between(count, *d, hole)).min();
            let free = free(*one).min(free(*other));
            (step.min(far_enough(count)), free, step, usize::MAX - *one)
        };
        let Some((index, one, other)) = choices.max_by_key(key) else { break };
        left.remove(index);
        order.extend([one, other]);
    }
    let alone: Vec<usize> = (0..count).filter(|hole| !order.contains(hole)).collect();
    order.extend(alone);
    order
}

/// An order for holes round a ring at uneven angles (radians): each next hole brings the middle of
/// the tightened ones nearest to the centre; of equals the one farthest from those done.
pub(crate) fn uneven_order(angles: &[f64]) -> Vec<usize> {
    let orders = (0..angles.len()).map(|start| balanced(angles, start));
    let worst = |order: &[usize]| {
        let fours = (2..=order.len() / 2).map(|k| off_centre(angles, &order[..2 * k]));
        fours.fold(0.0, f64::max)
    };
    let key = |order: &Vec<usize>| {
        let steps = order.windows(2).map(|w| -rounded(between(angles[w[0]], angles[w[1]])));
        let mut key = vec![rounded(worst(order))];
        key.extend(steps);
        key
    };
    orders.min_by_key(key).unwrap_or_default()
}

fn balanced(angles: &[f64], start: usize) -> Vec<usize> {
    let mut order = vec![start];
    let mut left: Vec<usize> = (0..angles.len()).filter(|i| *i != start).collect();
    let (mut y, mut x) = angles[start].sin_cos();
    // How far each hole is from the nearest one done.
    let mut free: Vec<f64> = angles.iter().map(|a| between(angles[start], *a)).collect();
    while !left.is_empty() {
        let last = order[order.len() - 1];
        let key = |hole: &usize| {
            let (sin, cos) = angles[*hole].sin_cos();
            let off = f64::hypot(x + cos, y + sin);
            let step = between(angles[last], angles[*hole]);
            // Balance within a quarter of a radius is as good as exact.
            (rounded(off) / 250_000, -rounded(free[*hole]), -rounded(step))
        };
        let Some(next) = left.iter().copied().min_by_key(key) else { break };
        left.retain(|hole| *hole != next);
        order.push(next);
        let (sin, cos) = angles[next].sin_cos();
        (x, y) = (x + cos, y + sin);
        for (free, angle) in free.iter_mut().zip(angles) {
            *free = free.min(between(angles[next], *angle));
        }
    }
    order
}

/// How far the middle of these holes is from the centre, in radii.
fn off_centre(angles: &[f64], order: &[usize]) -> f64 {
    let (x, y) = order
        .iter()
        .fold((0.0, 0.0), |(x, y), hole| (x + angles[*hole].cos(), y + angles[*hole].sin()));
    f64::hypot(x, y) / order.len() as f64
}

/// The angle between two directions, 0 to pi.
fn between(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(TAU);
    turn.min(TAU - turn)
}

/// Millionths: what differs by less is equal.
fn rounded(value: f64) -> i64 {
    (value * 1e6).round() as i64
}
