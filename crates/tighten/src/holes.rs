//! Holes of a joint as points, and what cannot be the holes of a joint.

use std::fmt;

/// The most holes that one joint may have here.
pub const HOLES_MAX: usize = 120;
/// Two holes nearer than this share of the joint's largest distance are one hole entered twice.
const SAME_PLACE: f64 = 0.002;
/// The largest coordinate that is taken, in the caller's unit.
const COORDINATE_MAX: f64 = 1e9;

/// A hole: a point in any unit and any direction of the axes (millimetres, thousandths of a photo).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Across.
    pub x: f64,
    /// Up or down: a mirrored joint has the same order.
    pub y: f64,
    /// Length of the screw that belongs in this hole, in mm, if several lengths are used.
    pub length_mm: Option<f64>,
}

impl Hole {
    /// A hole whose screw is as long as the others.
    #[must_use]
    pub fn at(x: f64, y: f64) -> Self {
        Self { x, y, length_mm: None }
    }
}

/// How the points were come by, which decides how exactly they are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// From a drawing or by a rule: within about a third of a per cent of the joint's size.
    Measured,
    /// Tapped on a photo: some per cent beside the hole, seen at a slant.
    Tapped,
}

/// Why points are no joint. Holes are counted from 1, as on a screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HolesError {
    /// Nothing was given.
    None,
    /// More than [`HOLES_MAX`].
    TooMany(usize),
    /// A coordinate is no number, or larger than anything that is a joint.
    NoNumber(usize),
    /// Two holes stand at one place.
    SamePlace(usize, usize),
    /// The screw of this hole has a length that no screw has.
    Length(usize, f64),
}

impl fmt::Display for HolesError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::None => write!(f, "the joint has no holes yet: mark at least one"),
            Self::TooMany(count) => write!(
                f,
                "{count} holes are more than a joint may have here ({HOLES_MAX}): \
                 enter it as several joints"
            ),
            Self::NoNumber(hole) => {
                write!(f, "hole {hole} has no place that is a number: mark it again")
            }
            Self::SamePlace(first, second) => write!(
                f,
                "holes {first} and {second} are at one place: take one of them away, \
                 or mark it where it is"
            ),
            Self::Length(hole, length) => write!(
                f,
                "the screw of hole {hole} cannot be {length} mm long: \
                 give a length between 1 and 3000 mm, or leave it out"
            ),
        }
    }
}

impl std::error::Error for HolesError {}

/// Says what is wrong with these holes, if anything.
///
/// # Errors
/// The first thing that is wrong, in the order of [`HolesError`].
pub fn look_over(holes: &[Hole]) -> Result<(), HolesError> {
    if holes.is_empty() {
        return Err(HolesError::None);
    }
    if holes.len() > HOLES_MAX {
        return Err(HolesError::TooMany(holes.len()));
    }
    let is_place = |v: f64| v.is_finite() && v.abs() <= COORDINATE_MAX;
    if let Some(bad) = holes.iter().position(|h| !is_place(h.x) || !is_place(h.y)) {
        return Err(HolesError::NoNumber(bad + 1));
    }
    let pairs = || (0..holes.len()).flat_map(|i| (i + 1..holes.len()).map(move |j| (i, j)));
    let apart = |(i, j): (usize, usize)| (holes[i].x - holes[j].x).hypot(holes[i].y - holes[j].y);
    let extent = pairs().map(apart).fold(0.0, f64::max);
    if let Some((i, j)) = pairs().find(|pair| apart(*pair) <= SAME_PLACE * extent) {
        return Err(HolesError::SamePlace(i + 1, j + 1));
    }
    for (number, hole) in holes.iter().enumerate() {
        if let Some(length) = hole.length_mm
            && !(1.0..=3000.0).contains(&length)
        {
            return Err(HolesError::Length(number + 1, length));
        }
    }
    Ok(())
}
