//! From the middle outwards: what is nearer comes first, opposite holes follow each other.

use crate::point::Point;
use crate::shape::{Seen, Shape};
use crate::symmetry::twins;

/// Distances that differ by less, in the joint's reach, are equal.
const SAME: f64 = 1e-6;

/// What speaks for a hole as the next one, the weightiest first; less is better.
type Key = Vec<i64>;

/// The order from the middle outwards. Distance from the middle never falls, but that a hole's twin
/// (opposite through the middle) follows it at once.
pub(crate) fn outward(seen: &Seen) -> Vec<usize> {
    let points = &seen.exact;
    let twins = twins(points);
    let marks: Vec<Key> = (0..points.len()).map(|i| mark(points, i)).collect();
    let mut left: Vec<usize> = (0..points.len()).collect();
    let mut order: Vec<usize> = Vec::with_capacity(points.len());
    while !left.is_empty() {
        let twin = order.last().and_then(|last| twins[*last]).filter(|twin| left.contains(twin));
        let next = twin.unwrap_or_else(|| {
            let key = |hole: &&usize| (key(seen, &order, **hole), &marks[**hole]);
            left.iter().min_by_key(key).copied().unwrap_or(left[0])
        });
        left.retain(|hole| *hole != next);
        order.push(next);
    }
    order
}

fn rounded(length: f64) -> i64 {
    (length / SAME).round() as i64
}

/// The nearest first; of those in the other row, if there are two; of those the farthest from the
/// hole before, and from the one before that.
fn key(seen: &Seen, order: &[usize], hole: usize) -> Key {
    let points = &seen.exact;
    let mut key = vec![rounded(points[hole].length())];
    if seen.shape == Shape::TwoRows {
        let same_row = order.last().is_some_and(|last| seen.rows[*last] == seen.rows[hole]);
        key.push(i64::from(same_row));
    }
    key.extend(order.iter().rev().map(|done| -rounded(points[*done].to(points[hole]))));
    key
}

/// What tells a hole from others whatever their numbers are: its distances to all others.
fn mark(points: &[Point], hole: usize) -> Key {
    let mut distances: Key = points.iter().map(|p| rounded(p.to(points[hole]))).collect();
    distances.sort_unstable();
    distances
}
