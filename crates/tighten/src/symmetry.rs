//! Twins: holes that stand opposite each other through the middle, or in a mirror.

use crate::point::{Point, least_gap, normal};
use crate::shape::Tolerance;

/// For each hole its partner under a move of the plane, if all have one of their own within `near`.
fn partners(points: &[Point], near: f64, to: impl Fn(Point) -> Point) -> Option<Vec<usize>> {
    let mut found = Vec::with_capacity(points.len());
    for p in points {
        let place = to(*p);
        let nearest = (0..points.len())
            .min_by(|a, b| points[*a].to(place).total_cmp(&points[*b].to(place)))?;
        if points[nearest].to(place) > near || found.contains(&nearest) {
            return None;
        }
        found.push(nearest);
    }
    Some(found)
}

fn opposite(p: Point) -> Point {
    Point::new(-p.x, -p.y)
}

fn left_right(p: Point) -> Point {
    Point::new(-p.x, p.y)
}

fn up_down(p: Point) -> Point {
    Point::new(p.x, -p.y)
}

/// For each hole the one opposite through the middle (itself in the middle), if there is one.
pub(crate) fn twins(points: &[Point]) -> Vec<Option<usize>> {
    let near = 1e-6;
    let place = |p: &Point| points.iter().position(|q| q.to(opposite(*p)) <= near);
    points.iter().map(place).collect()
}

/// How far holes are from being opposite each other: the mean distance, in the least space.
pub(crate) fn off_opposite(points: &[Point]) -> f64 {
    let off = |p: &Point| points.iter().map(|q| q.to(opposite(*p))).fold(f64::INFINITY, f64::min);
    points.iter().map(off).sum::<f64>() / points.len() as f64 / least_gap(points)
}

/// The points made exactly symmetric to the middle and to the axes, as far as they nearly are.
pub(crate) fn symmetric(points: &[Point], tolerance: &Tolerance) -> Vec<Point> {
    let near = tolerance.mirror * least_gap(points);
    let mut exact = points.to_vec();
    for to in [opposite, left_right, up_down] {
        if let Some(partner) = partners(&exact, near, to) {
            // Each with its partner, once; a hole that is its own partner goes onto the mirror.
            let mean = |i: usize| exact[i].add(to(exact[partner[i]])).scale(0.5);
            exact = (0..exact.len()).map(mean).collect();
        }
    }
    normal(&exact)
}
