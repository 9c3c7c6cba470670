//! Taking the slant of a photo out of the points.

use crate::point::{Point, middle, normal};
use crate::symmetry::off_opposite;

/// The points turned about the origin so that `along` (of length 1) lies along x.
pub(crate) fn turned_to_axes(points: &[Point], along: Point) -> Vec<Point> {
    let turned: Vec<Point> =
        points.iter().map(|p| Point::new(along.dot(*p), along.cross(*p))).collect();
    // Edges' middle and holes' middle differ where holes are not symmetric; the latter counts.
    let centre = middle(&turned);
    turned.iter().map(|p| p.sub(centre)).collect()
}

/// The points stretched along their narrow direction until they are as wide as long, if that is a
/// stretch of at most `slant`: a circle seen at a slant is an ellipse.
pub(crate) fn rounded_out(points: &[Point], slant: f64) -> Option<Vec<Point>> {
    let sum = |of: fn(&Point) -> f64| points.iter().map(of).sum::<f64>();
    let (xx, xy, yy) = (sum(|p| p.x * p.x), sum(|p| p.x * p.y), sum(|p| p.y * p.y));
    let mean = f64::midpoint(xx, yy);
    let half = f64::hypot(0.5 * (xx - yy), xy);
    let (long, short) = (mean + half, mean - half);
    if slant <= 1.0 || short <= 0.0 || long > slant * slant * short {
        return None;
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    let along = Point::new(angle.cos(), angle.sin());
    let stretch = (long / short).sqrt();
    let across = |p: &Point| Point::new(along.dot(*p), along.cross(*p) * stretch);
    Some(normal(&points.iter().map(across).collect::<Vec<_>>()))
}

/// The points as seen from straight above, if four of them are the corners of a rectangle seen at
/// a slant and that makes the whole more symmetric; otherwise as they are.
pub(crate) fn straightened(points: &[Point]) -> Vec<Point> {
    if points.len() < 6 {
        return points.to_vec();
    }
    let Some(corners) = widest_four(points) else { return points.to_vec() };
    let side = |i: usize| corners[i].to(corners[(i + 1) % 4]);
    let (width, height) = (f64::midpoint(side(0), side(2)), f64::midpoint(side(1), side(3)));
    let square = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)];
    let square = square.map(|(x, y)| Point::new(x, y));
    let Some(view) = view(&corners, &square) else { return points.to_vec() };
    let moved: Option<Vec<Point>> = points.iter().map(|p| seen(&view, *p)).collect();
    let Some(moved) = moved.map(|moved| normal(&moved)) else { return points.to_vec() };
    if off_opposite(&moved) < 0.8 * off_opposite(points) { moved } else { points.to_vec() }
}

/// The four points, in order round, that enclose the most.
fn widest_four(points: &[Point]) -> Option<[Point; 4]> {
    let mut best: Option<(f64, [Point; 4])> = None;
    for (i, a) in points.iter().enumerate() {
        for c in &points[i + 1..] {
            let height = |p: &Point| c.sub(*a).cross(p.sub(*a));
            let by_height = |p: &&Point, q: &&Point| height(p).total_cmp(&height(q));
            let (Some(d), Some(b)) =
                (points.iter().max_by(by_height), points.iter().min_by(by_height))
            else {
                continue;
            };
            let (left, right) = (height(d), -height(b));
            if left > 0.0 && right > 0.0 && best.is_none_or(|(area, _)| left + right > area) {
                best = Some((left + right, [*a, *b, *c, *d]));
            }
        }
    }
    best.map(|(_, corners)| corners)
}

/// The view that takes four points to four others: eight numbers of a projection of the plane.
fn view(from: &[Point; 4], to: &[Point; 4]) -> Option<[f64; 8]> {
    let mut rows = [[0.0; 9]; 8];
    for (i, (f, t)) in from.iter().zip(to).enumerate() {
        rows[2 * i] = [f.x, f.y, 1.0, 0.0, 0.0, 0.0, -f.x * t.x, -f.y * t.x, t.x];
        rows[2 * i + 1] = [0.0, 0.0, 0.0, f.x, f.y, 1.0, -f.x * t.y, -f.y * t.y, t.y];
    }
    for column in 0..8 {
        let pivot =
            (column..8).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        if rows[pivot][column].abs() < 1e-9 {
            return None;
        }
        rows.swap(column, pivot);
        let lead = rows[column];
        for (number, row) in rows.iter_mut().enumerate() {
            if number != column {
                let by = row[column] / lead[column];
                row.iter_mut().zip(lead).for_each(|(cell, above)| *cell -= by * above);
            }
        }
    }
    Some(std::array::from_fn(|i| rows[i][8] / rows[i][i]))
}

/// A point in that view; none if it lies at or behind the horizon.
fn seen(view: &[f64; 8], p: Point) -> Option<Point> {
    let depth = view[6] * p.x + view[7] * p.y + 1.0;
    let x = view[0] * p.x + view[1] * p.y + view[2];
    let y = view[3] * p.x + view[4] * p.y + view[5];
    (depth > 0.05).then(|| Point::new(x / depth, y / depth))
}
