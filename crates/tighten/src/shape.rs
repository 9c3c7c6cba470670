//! What shape the holes of a joint stand in, and where they would stand exactly.

use crate::Taken;
use crate::point::{Point, least_gap, middle, normal};
use crate::ring_fit::{RingFit, ring_fit, rings_fit};
use crate::straighten::{straightened, turned_to_axes};
use crate::symmetry::symmetric;

/// The shape of a joint, as far as the order asks for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// One hole.
    One,
    /// Two holes.
    Two,
    /// A ring with holes at even spaces.
    Ring,
    /// A ring with holes at uneven spaces.
    UnevenRing,
    /// Rings of holes about one middle; a hole in the middle counts as one.
    Rings,
    /// All holes in a line.
    Line,
    /// Two rows beside each other.
    TwoRows,
    /// Holes along the edges of a rectangle.
    Frame,
    /// Anything else.
    Other,
}

impl Shape {
    /// The word for it in data.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::One => "one",
            Self::Two => "two",
            Self::Ring => "ring",
            Self::UnevenRing => "uneven-ring",
            Self::Rings => "rings",
            Self::Line => "line",
            Self::TwoRows => "two-rows",
            Self::Frame => "frame",
            Self::Other => "other",
        }
    }
}

/// A shape with the points made exact, about their middle, the joint's reach being about 1.
#[derive(Debug)]
pub(crate) struct Seen {
    pub(crate) shape: Shape,
    /// Where the holes would stand exactly; for a tapped photo without slant and trembling.
    pub(crate) exact: Vec<Point>,
    /// Groups round the middle from the inside, each in order round it; for rings.
    pub(crate) rings: Vec<Vec<usize>>,
    /// The row of each hole, for two rows.
    pub(crate) rows: Vec<usize>,
}

/// How much beside its place a point may stand, by how the points were come by.
pub(crate) struct Tolerance {
    /// Share of the radius by which holes may be off their ring, as the root of mean squares.
    pub(crate) radius: f64,
    /// Least and largest space between neighbours of an even ring, in the mean space.
    pub(crate) spaces: (f64, f64),
    /// How many times as long as wide a ring may look.
    pub(crate) slant: f64,
    /// Share of the length by which a hole may be off a line.
    pub(crate) line: f64,
    /// Share of the shorter side by which a hole may be off a frame's edge.
    pub(crate) edge: f64,
    /// How uneven a row may be, in the distance of the rows.
    pub(crate) row: f64,
    /// Share of the least space by which a hole may be off its mirror place.
    pub(crate) mirror: f64,
}

/// Holes at whole millimetres may be off by just what is allowed: so much more keeps them within,
/// however they are turned and rounded.
const HAIR: f64 = 1e-9;

impl Tolerance {
    pub(crate) fn of(taken: Taken) -> Self {
        let exact = match taken {
            Taken::Measured => Self {
                radius: 0.005,
                spaces: (0.9, 1.1),
                slant: 1.0,
                line: 0.01,
                edge: 0.01,
                row: 0.1,
                mirror: 0.02,
            },
            Taken::Tapped => Self {
                radius: 0.1,
                spaces: (0.3, 1.8),
                slant: 2.2,
                line: 0.05,
                edge: 0.09,
                row: 0.35,
                mirror: 0.35,
            },
        };
        Self {
            radius: exact.radius + HAIR,
            spaces: (exact.spaces.0 - HAIR, exact.spaces.1 + HAIR),
            slant: exact.slant,
            line: exact.line + HAIR,
            edge: exact.edge + HAIR,
            row: exact.row + HAIR,
            mirror: exact.mirror + HAIR,
        }
    }
}

/// Finds the shape. The points are looked over already: finite, apart, at least one.
pub(crate) fn see(points: &[Point], taken: Taken) -> Seen {
    let tolerance = Tolerance::of(taken);
    let flat = normal(points);
    let plain = |shape, exact| Seen { shape, exact, rings: Vec::new(), rows: Vec::new() };
    match flat.len() {
        0 | 1 => return plain(Shape::One, flat),
        2 => return plain(Shape::Two, flat),
        _ => {}
    }
    if let Some(RingFit { exact, rings, is_even }) = ring_fit(&flat, &tolerance) {
        let shape = if is_even { Shape::Ring } else { Shape::UnevenRing };
        return Seen { shape, exact, rings, rows: Vec::new() };
    }
    if let Some(exact) = line(&flat, &tolerance) {
        return plain(Shape::Line, exact);
    }
    let raw = flat;
    let flat = match taken {
        Taken::Measured => raw.clone(),
        Taken::Tapped => straightened(&raw),
    };
    if let Some((turned, rows)) = two_rows(&flat, &tolerance) {
        let exact = symmetric(&turned, &tolerance);
        return Seen { shape: Shape::TwoRows, exact, rings: Vec::new(), rows };
    }
    if let Some(turned) = frame(&flat, &tolerance) {
        return plain(Shape::Frame, symmetric(&turned, &tolerance));
    }
    if let Some(RingFit { exact, rings, .. }) = rings_fit(&raw, &tolerance) {
        return Seen { shape: Shape::Rings, exact, rings, rows: Vec::new() };
    }
    plain(Shape::Other, symmetric(&flat, &tolerance))
}

/// The points on the line through them, if they stand in one.
fn line(points: &[Point], tolerance: &Tolerance) -> Option<Vec<Point>> {
    let (from, to) = farthest(points);
    let along = to.sub(from).scale(1.0 / from.to(to));
    let off = points.iter().map(|p| p.sub(from).cross(along).abs()).fold(0.0, f64::max);
    if off > tolerance.line * from.to(to) {
        return None;
    }
    let centre = middle(points);
    let on_line = |p: &Point| Point::new(p.sub(centre).dot(along), 0.0);
    let exact: Vec<Point> = points.iter().map(on_line).collect();
    Some(symmetric(&exact, tolerance))
}

fn farthest(points: &[Point]) -> (Point, Point) {
    let pairs = points.iter().flat_map(|a| points.iter().map(move |b| (*a, *b)));
    pairs.max_by(|a, b| a.0.to(a.1).total_cmp(&b.0.to(b.1))).unwrap_or((points[0], points[0]))
}

/// Directions in which rows or edges may lie: from each hole to each other.
fn directions(points: &[Point]) -> impl Iterator<Item = Point> {
    let pairs =
        points.iter().enumerate().flat_map(|(i, a)| points[i + 1..].iter().map(|b| (*a, *b)));
    pairs.map(|(a, b)| b.sub(a).scale(1.0 / a.to(b)))
}

/// Two rows: turned so that they lie along x, and the row of each.
fn two_rows(points: &[Point], tolerance: &Tolerance) -> Option<(Vec<Point>, Vec<usize>)> {
    if points.len() < 5 {
        return None;
    }
    let judged = directions(points).filter_map(|along| {
        let across = |p: &Point| along.cross(*p);
        let mut places: Vec<f64> = points.iter().map(across).collect();
        places.sort_by(f64::total_cmp);
        let (cut, gap) = widest_gap(&places)?;
        let depth = (places[cut] - places[0]).max(places[places.len() - 1] - places[cut + 1]);
        let counts = (cut + 1).abs_diff(places.len() - cut - 1);
        let between = f64::midpoint(places[cut], places[cut + 1]);
        let rows = points.iter().map(|p| usize::from(across(p) > between)).collect();
        (counts <= 1).then_some((depth / gap, along, rows))
    });
    let (depth, along, rows) = judged.min_by(|a, b| a.0.total_cmp(&b.0))?;
    (depth <= tolerance.row).then(|| (turned_to_axes(points, along), rows))
}

/// The widest gap of sorted places: the index before it, and its width.
fn widest_gap(places: &[f64]) -> Option<(usize, f64)> {
    let gaps = places.windows(2).map(|w| w[1] - w[0]).enumerate();
    gaps.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, gap)| *gap > 0.0)
}

/// A frame: turned so that its edges lie along the axes.
fn frame(points: &[Point], tolerance: &Tolerance) -> Option<Vec<Point>> {
    if points.len() < 4 {
        return None;
    }
    let judged = directions(points).map(|along| {
        let turned = turned_to_axes(points, along);
        (off_edges(&turned), turned)
    });
    let (off, turned) = judged.min_by(|a, b| a.0.total_cmp(&b.0))?;
    // Every frame has room inside: holes that are off an edge by less than their spaces.
    (off <= tolerance.edge && off < least_gap(points)).then_some(turned)
}

/// How far the worst hole is off the edges of the rectangle round all, in its shorter side.
fn off_edges(points: &[Point]) -> f64 {
    let bound = |of: fn(&Point) -> f64, pick: fn(f64, f64) -> f64, from: f64| {
        points.iter().map(of).fold(from, pick)
    };
    let (left, right) =
        (bound(|p| p.x, f64::min, f64::INFINITY), bound(|p| p.x, f64::max, f64::NEG_INFINITY));
    let (low, high) =
        (bound(|p| p.y, f64::min, f64::INFINITY), bound(|p| p.y, f64::max, f64::NEG_INFINITY));
    let off = |p: &Point| (p.x - left).min(right - p.x).min(p.y - low).min(high - p.y);
    let side = (right - left).min(high - low);
    if side <= 0.0 { f64::INFINITY } else { points.iter().map(off).fold(0.0, f64::max) / side }
}
