//! Where the numbers of a drawing go: beside their heads, over nothing else.

use std::f64::consts::TAU;

use crate::point::{Point, middle};

/// A number's width for each digit, in its height: wide enough for bold digits.
pub(crate) const DIGIT_WIDTH: f64 = 0.62;
/// Directions that are tried for a number.
const DIRECTIONS: usize = 16;

/// The middle of each number: outwards of its head where that is free, else where it hides least.
pub(crate) fn place_labels(
    heads: &[Point],
    radius: f64,
    numbers: &[usize],
    text: f64,
    size: (f64, f64),
) -> Vec<Point> {
    let centre = middle(heads);
    let mut placed: Vec<(Point, Point)> = Vec::with_capacity(heads.len());
    for (head, number) in heads.iter().zip(numbers) {
        let half = half_size(*number, text);
        let out = head.sub(centre);
        let out = if out.length() < 1e-9 { Point::new(0.0, -1.0) } else { out };
        let choices = (0..DIRECTIONS).map(|i| {
            // Outwards first, then ever farther to both sides.
            let turn = i.div_ceil(2) as f64 * if i % 2 == 0 { -1.0 } else { 1.0 };
            let angle = out.angle() + turn * TAU / DIRECTIONS as f64;
            beside(*head, angle, radius, half)
        });
        let judged = choices.map(|at| (hidden(at, half, heads, radius, &placed, size), at));
        let best = judged.min_by(|a, b| a.0.total_cmp(&b.0));
        placed.push((best.map_or(*head, |(_, at)| at), half));
    }
    placed.into_iter().map(|(at, _)| at).collect()
}

/// Half the width and height of a number.
pub(crate) fn half_size(number: usize, text: f64) -> Point {
    let digits = number.to_string().len() as f64;
    Point::new(0.5 * DIGIT_WIDTH * text * digits, 0.4 * text)
}

/// So far from the head that the number's box clears it, with a hair between.
fn beside(head: Point, angle: f64, radius: f64, half: Point) -> Point {
    let along = Point::new(angle.cos(), angle.sin());
    let mut far = radius + 2.0;
    while far < radius + 60.0 {
        let at = head.add(along.scale(far));
        if to_box(head, at, half) > radius + 1.0 {
            return at;
        }
        far += 1.0;
    }
    head.add(along.scale(far))
}

/// How far a point is from a box.
pub(crate) fn to_box(point: Point, at: Point, half: Point) -> f64 {
    let dx = ((point.x - at.x).abs() - half.x).max(0.0);
    let dy = ((point.y - at.y).abs() - half.y).max(0.0);
    dx.hypot(dy)
}

/// How much a number here would hide or be hidden, in pixels.
fn hidden(
    at: Point,
    half: Point,
    heads: &[Point],
    radius: f64,
    placed: &[(Point, Point)],
    size: (f64, f64),
) -> f64 {
    let over_heads = heads.iter().map(|head| (radius + 0.5 - to_box(*head, at, half)).max(0.0));
    let over_numbers = placed.iter().map(|(other, other_half)| {
        let x = half.x + other_half.x + 1.0 - (at.x - other.x).abs();
        let y = half.y + other_half.y + 1.0 - (at.y - other.y).abs();
        x.min(y).max(0.0)
    });
    let out_x = (half.x - at.x).max(at.x + half.x - size.0).max(0.0);
    let out_y = (half.y - at.y).max(at.y + half.y - size.1).max(0.0);
    over_heads.sum::<f64>() + over_numbers.sum::<f64>() + 4.0 * (out_x + out_y)
}
