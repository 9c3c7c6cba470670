//! Joints for the tests: shapes by name, moved, turned, mirrored, renumbered, seen at a slant.

#![allow(dead_code, reason = "each test file uses some of it")]

use std::f64::consts::TAU;

use lastbolt_tighten::Hole;

pub(crate) type Places = Vec<(f64, f64)>;

pub(crate) fn ring(count: usize, radius: f64) -> Places {
    let angle = |i: usize| TAU * i as f64 / count as f64;
    (0..count).map(|i| (radius * angle(i).cos(), radius * angle(i).sin())).collect()
}

/// Two rows of `columns` each.
pub(crate) fn two_rows(columns: usize, pitch: f64, apart: f64) -> Places {
    (0..2 * columns).map(|i| ((i / 2) as f64 * pitch, (i % 2) as f64 * apart)).collect()
}

/// Holes along the edges of a rectangle: `across` by `down` of them.
pub(crate) fn frame(across: usize, down: usize, pitch: f64) -> Places {
    let all = (0..across).flat_map(|x| (0..down).map(move |y| (x, y)));
    let is_edge = |(x, y): &(usize, usize)| *x == 0 || *y == 0 || x + 1 == across || y + 1 == down;
    all.filter(is_edge).map(|(x, y)| (x as f64 * pitch, y as f64 * pitch)).collect()
}

pub(crate) fn grid(across: usize, down: usize, pitch: f64) -> Places {
    let all = (0..across).flat_map(|x| (0..down).map(move |y| (x, y)));
    all.map(|(x, y)| (x as f64 * pitch, y as f64 * pitch * 0.83)).collect()
}

pub(crate) fn line(count: usize, pitch: f64) -> Places {
    (0..count).map(|i| (i as f64 * pitch, 3.0)).collect()
}

pub(crate) fn rings(inner: usize, outer: usize) -> Places {
    ring(inner, 40.0).into_iter().chain(ring(outer, 75.0)).collect()
}

pub(crate) fn holes(places: &Places) -> Vec<Hole> {
    places.iter().map(|(x, y)| Hole::at(*x, *y)).collect()
}

/// Turned, perhaps mirrored, made larger and moved.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Move {
    pub(crate) turn: f64,
    pub(crate) mirror: bool,
    pub(crate) scale: f64,
    pub(crate) by: (f64, f64),
}

impl Move {
    pub(crate) fn put(&self, places: &Places) -> Places {
        let (sin, cos) = self.turn.sin_cos();
        let put = |(x, y): &(f64, f64)| {
            let y = if self.mirror { -y } else { *y };
            let (x, y) = (x * cos - y * sin, x * sin + y * cos);
            (x * self.scale + self.by.0, y * self.scale + self.by.1)
        };
        places.iter().map(put).collect()
    }
}

/// A photo from the side: `tilt` in radians, from `far` reaches away, in thousandths.
pub(crate) fn photo(places: &Places, tilt: f64, far: f64) -> Places {
    let (cx, cy) = middle(places);
    let reach = places.iter().map(|(x, y)| (x - cx).hypot(y - cy)).fold(0.0, f64::max);
    let (sin, cos) = tilt.sin_cos();
    let see = |(x, y): &(f64, f64)| {
        let (x, y) = ((x - cx) / reach, (y - cy) / reach);
        let depth = (far + y * sin) / far;
        (500.0 + 350.0 * x / depth, 500.0 + 350.0 * y * cos / depth)
    };
    places.iter().map(see).collect()
}

pub(crate) fn middle(places: &Places) -> (f64, f64) {
    let count = places.len() as f64;
    (
        places.iter().map(|p| p.0).sum::<f64>() / count,
        places.iter().map(|p| p.1).sum::<f64>() / count,
    )
}

/// Distances from each hole to each other in the order of tightening, in the largest of them: two
/// orders with the same are the same but for turning and mirroring.
pub(crate) fn pattern(places: &Places, order: &[usize]) -> Vec<f64> {
    let to = |a: usize, b: usize| (places[a].0 - places[b].0).hypot(places[a].1 - places[b].1);
    let pairs =
        order.iter().enumerate().flat_map(|(i, a)| order[..i].iter().map(move |b| (*a, *b)));
    let all: Vec<f64> = pairs.map(|(a, b)| to(a, b)).collect();
    let most = all.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
    all.iter().map(|d| d / most).collect()
}

pub(crate) fn same_pattern(one: &[f64], other: &[f64], near: f64) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(a, b)| (a - b).abs() < near)
}
