//! Whether holes stand round one middle: one ring, or several inside each other.

use std::f64::consts::{PI, TAU};

use crate::point::Point;
use crate::shape::Tolerance;
use crate::straighten::rounded_out;

/// Holes round one middle.
pub(crate) struct RingFit {
    pub(crate) exact: Vec<Point>,
    pub(crate) rings: Vec<Vec<usize>>,
    pub(crate) is_even: bool,
}

/// One ring, if it is one: as it stands, or rid of the slant of a photo.
pub(crate) fn ring_fit(points: &[Point], tolerance: &Tolerance) -> Option<RingFit> {
    let even = |points: &[Point]| one_ring(points, tolerance).filter(|fit| fit.is_even);
    even(points)
        .or_else(|| even(&rounded_out(points, tolerance.slant)?))
        // Four corners of any rectangle stand on a circle: they are a frame.
        .or_else(|| one_ring(points, tolerance).filter(|_| points.len() != 4))
}

/// Rings inside each other, as they stand or rid of the slant of a photo.
pub(crate) fn rings_fit(points: &[Point], tolerance: &Tolerance) -> Option<RingFit> {
    rings(points, tolerance).or_else(|| rings(&rounded_out(points, tolerance.slant)?, tolerance))
}

fn one_ring(points: &[Point], tolerance: &Tolerance) -> Option<RingFit> {
    let (centre, radius) = circle(points)?;
    let off = |p: &Point| (p.to(centre) - radius).abs() / radius;
    let worst = points.iter().map(off).fold(0.0, f64::max);
    let squares = points.iter().map(|p| off(p) * off(p)).sum::<f64>();
    let mean = (squares / points.len() as f64).sqrt();
    let ring = round_about(points, centre, &(0..points.len()).collect::<Vec<_>>());
    let spaces = spaces(points, centre, &ring);
    let goes_round = spaces.iter().all(|space| *space < PI * 1.02);
    if mean > tolerance.radius || worst > 2.5 * tolerance.radius || !goes_round {
        return None;
    }
    let is_even = is_even(&spaces, tolerance);
    let places = points.iter().map(|p| p.sub(centre));
    let exact = places.map(|p| p.scale(1.0 / p.length())).collect();
    Some(RingFit { exact, rings: vec![ring], is_even })
}

/// Rings inside each other: each even, at least three holes in each, or one hole in the middle.
fn rings(points: &[Point], tolerance: &Tolerance) -> Option<RingFit> {
    let mut by_radius: Vec<usize> = (0..points.len()).collect();
    by_radius.sort_by(|a, b| points[*a].length().total_cmp(&points[*b].length()));
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for hole in by_radius {
        let radius = points[hole].length();
        match groups.last_mut() {
            Some(group) if radius - points[group[0]].length() <= 1.6 * tolerance.radius => {
                group.push(hole);
            }
            _ => groups.push(vec![hole]),
        }
    }
    let origin = Point::new(0.0, 0.0);
    let mut exact = points.to_vec();
    let mut rings = Vec::new();
    for group in &groups {
        let ring = round_about(points, origin, group);
        let radius = group.iter().map(|i| points[*i].length()).sum::<f64>() / group.len() as f64;
        let in_the_middle = ring.len() == 1 && rings.is_empty() && radius <= 2.0 * tolerance.radius;
        let is_ring = ring.len() >= 3 && is_even(&spaces(points, origin, &ring), tolerance);
        if !is_ring && !in_the_middle {
            return None;
        }
        for hole in &ring {
            let (p, by) = (points[*hole], if in_the_middle { 0.0 } else { radius });
            exact[*hole] = p.scale(by / p.length().max(f64::MIN_POSITIVE));
        }
        rings.push(ring);
    }
    (rings.len() > 1).then_some(RingFit { exact, rings, is_even: true })
}

/// The circle that fits best by the squares of distances (Kasa 1976): its middle and radius.
fn circle(points: &[Point]) -> Option<(Point, f64)> {
    let count = points.len() as f64;
    let centre = crate::point::middle(points);
    let (mut xx, mut xy, mut yy, mut xr, mut yr, mut rr) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for p in points.iter().map(|p| p.sub(centre)) {
        let square = p.dot(p);
        xx += p.x * p.x;
        xy += p.x * p.y;
        yy += p.y * p.y;
        xr += p.x * square;
        yr += p.y * square;
        rr += square;
    }
    let determinant = xx * yy - xy * xy;
    if determinant <= 1e-6 * (xx + yy) * (xx + yy) {
        return None;
    }
    let a = (xr * yy - yr * xy) / (2.0 * determinant);
    let b = (yr * xx - xr * xy) / (2.0 * determinant);
    let radius = (rr / count + a * a + b * b).sqrt();
    Some((centre.add(Point::new(a, b)), radius))
}

/// These holes in order round the centre, beginning with the first of them.
fn round_about(points: &[Point], centre: Point, holes: &[usize]) -> Vec<usize> {
    let first = holes.iter().copied().min().unwrap_or(0);
    let from = points[first].sub(centre).angle();
    let turn = |hole: &usize| {
        let turn = (points[*hole].sub(centre).angle() - from).rem_euclid(TAU);
        // The first hole itself may come out as a whole turn.
        if *hole == first { 0.0 } else { turn }
    };
    let mut ring = holes.to_vec();
    ring.sort_by(|a, b| turn(a).total_cmp(&turn(b)));
    ring
}

/// The angles between neighbours round the centre.
fn spaces(points: &[Point], centre: Point, ring: &[usize]) -> Vec<f64> {
    let angle = |i: usize| points[ring[i % ring.len()]].sub(centre).angle();
    (0..ring.len()).map(|i| (angle(i + 1) - angle(i)).rem_euclid(TAU)).collect()
}

fn is_even(spaces: &[f64], tolerance: &Tolerance) -> bool {
    let mean = TAU / spaces.len() as f64;
    let (least, most) = tolerance.spaces;
    spaces.iter().all(|space| (least..=most).contains(&(space / mean)))
}
