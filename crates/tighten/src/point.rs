//! Points of the plane, for the rules about holes.

use crate::Hole;

/// A point, or the step from one to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

impl Point {
    pub(crate) fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    pub(crate) fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }

    pub(crate) fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }

    pub(crate) fn scale(self, by: f64) -> Self {
        Self::new(self.x * by, self.y * by)
    }

    pub(crate) fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    pub(crate) fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    pub(crate) fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    pub(crate) fn to(self, other: Self) -> f64 {
        self.sub(other).length()
    }

    pub(crate) fn angle(self) -> f64 {
        self.y.atan2(self.x)
    }
}

pub(crate) fn points(holes: &[Hole]) -> Vec<Point> {
    holes.iter().map(|hole| Point::new(hole.x, hole.y)).collect()
}

/// The middle of the points; the origin where there are none.
pub(crate) fn middle(points: &[Point]) -> Point {
    let sum = points.iter().fold(Point::new(0.0, 0.0), |sum, p| sum.add(*p));
    sum.scale(1.0 / points.len().max(1) as f64)
}

/// The largest distance from the middle.
pub(crate) fn reach(points: &[Point]) -> f64 {
    let centre = middle(points);
    points.iter().map(|p| p.to(centre)).fold(0.0, f64::max)
}

/// The least distance between two of the points.
pub(crate) fn least_gap(points: &[Point]) -> f64 {
    let others = |i: usize| points[i + 1..].iter().map(move |p| p.to(points[i]));
    (0..points.len()).flat_map(others).fold(f64::INFINITY, f64::min)
}

/// The points about their middle, with the joint's reach as unit: no order depends on scale.
pub(crate) fn normal(points: &[Point]) -> Vec<Point> {
    let centre = middle(points);
    let unit = reach(points);
    let unit = if unit > 0.0 { unit } else { 1.0 };
    points.iter().map(|p| p.sub(centre).scale(1.0 / unit)).collect()
}
