//! In which order the screws of a joint are tightened.

use std::fmt;

use crate::outward::outward;
use crate::point::{middle, points};
use crate::ring::{published, ring_order, uneven_order};
use crate::rings_order::rings_order;
use crate::shape::{Seen, Shape, see};
use crate::{Hole, HolesError, Pattern, Taken, look_over};

/// Where an order comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// The maker gives it: nothing is above that.
    Maker,
    /// A published cross pattern for a ring with so many holes.
    PublishedPattern,
    /// Opposite pairs round a ring, the next pair far from those done.
    OppositePairs,
    /// Round an uneven ring: what is tightened stays balanced about the middle.
    Balanced,
    /// From the middle outwards, opposite holes together.
    MiddleOutwards,
    /// The two rows take turns.
    RowsTakeTurns,
    /// The inner ring first.
    InnerRingFirst,
    /// One screw or two: there is nothing to choose.
    NothingToChoose,
    /// Backwards, for loosening: common practice.
    Backwards,
}

impl Why {
    /// The word for it in data.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Maker => "maker",
            Self::PublishedPattern => "published-pattern",
            Self::OppositePairs => "opposite-pairs",
            Self::Balanced => "balanced",
            Self::MiddleOutwards => "middle-outwards",
            Self::RowsTakeTurns => "rows-take-turns",
            Self::InnerRingFirst => "inner-ring-first",
            Self::NothingToChoose => "nothing-to-choose",
            Self::Backwards => "backwards",
        }
    }

    /// Whether it is common practice only: neither the maker's word nor published.
    #[must_use]
    pub fn is_common_practice(self) -> bool {
        !matches!(self, Self::Maker | Self::PublishedPattern | Self::NothingToChoose)
    }
}

/// An order of holes, each once.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Holes by their place in the caller's list (from 0), in the order of tightening.
    pub holes: Vec<usize>,
    /// What the holes stand in.
    pub shape: Shape,
    /// Where the order comes from, the weightiest first.
    pub why: Vec<Why>,
    /// The middle that "outwards" is meant from, in the caller's unit.
    pub middle: (f64, f64),
}

/// Why an order of the maker's cannot be taken. Holes are counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OrderError {
    /// It has another number of holes than the joint.
    Count {
        /// In the order.
        given: usize,
        /// In the joint.
        holes: usize,
    },
    /// The joint has no such hole.
    NoHole(usize),
    /// A hole comes twice.
    Twice(usize),
}

impl fmt::Display for OrderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Count { given, holes } => {
                write!(f, "the order names {given} holes and the joint has {holes}: name each once")
            }
            Self::NoHole(hole) => write!(f, "the order names hole {hole}; the joint has none"),
            Self::Twice(hole) => write!(f, "the order names hole {hole} twice: name each once"),
        }
    }
}

impl std::error::Error for OrderError {}

/// The order in which to tighten holes that stand so.
///
/// ```
/// use lastbolt_tighten::{Hole, Taken, order};
/// let corners = [(0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0)];
/// let holes = corners.map(|(x, y)| Hole::at(x, y));
/// assert_eq!(order(&holes, Taken::Measured).unwrap().holes, [0, 2, 1, 3]);
/// ```
///
/// # Errors
/// If these points cannot be holes of one joint: [`HolesError`].
pub fn order(holes: &[Hole], taken: Taken) -> Result<Order, HolesError> {
    look_over(holes)?;
    let places = points(holes);
    let centre = middle(&places);
    let seen = see(&places, taken);
    let (holes, why) = match seen.shape {
        Shape::One | Shape::Two => ((0..places.len()).collect(), vec![Why::NothingToChoose]),
        Shape::Ring => even_ring(&seen.rings[0]),
        Shape::UnevenRing => (uneven_ring(&seen), vec![Why::Balanced]),
        Shape::Rings => rings(&seen),
        Shape::TwoRows => (outward(&seen), vec![Why::MiddleOutwards, Why::RowsTakeTurns]),
        Shape::Line | Shape::Frame | Shape::Other => (outward(&seen), vec![Why::MiddleOutwards]),
    };
    Ok(Order { holes, shape: seen.shape, why, middle: (centre.x, centre.y) })
}

/// The maker's own order, looked over; holes counted from 0.
///
/// # Errors
/// If it does not name each of the joint's holes once.
pub fn makers_order(holes: &[usize], joint: &Order) -> Result<Order, OrderError> {
    let count = joint.holes.len();
    if holes.len() != count {
        return Err(OrderError::Count { given: holes.len(), holes: count });
    }
    for (number, hole) in holes.iter().enumerate() {
        if *hole >= count {
            return Err(OrderError::NoHole(hole + 1));
        }
        if holes[..number].contains(hole) {
            return Err(OrderError::Twice(hole + 1));
        }
    }
    Ok(Order { holes: holes.to_vec(), why: vec![Why::Maker], ..joint.clone() })
}

/// The order in the maker's words: what he says about it stands above what the holes suggest.
///
/// "Around" goes from the first hole of `found` about the middle, along a line from one end;
/// the other patterns are what `found` is already, as far as the shape allows.
#[must_use]
pub fn said_order(found: &Order, holes: &[Hole], said: Pattern) -> Order {
    let mut order = found.clone();
    if said == Pattern::Around {
        order.holes = around(holes, found);
        order.why.clear();
    }
    order.why.insert(0, Why::Maker);
    order
}

/// Hole after hole: about the middle from the first one on, or along the line.
pub(crate) fn around(holes: &[Hole], order: &Order) -> Vec<usize> {
    let places = points(holes);
    let (Some(first), true) = (order.holes.first(), places.len() == order.holes.len()) else {
        return order.holes.clone();
    };
    let centre = middle(&places);
    let mut about = order.holes.clone();
    if matches!(order.shape, Shape::Line | Shape::Two) {
        // The last holes of an order from the middle outwards are the ends.
        let end = places[order.holes[order.holes.len() - 1]];
        about.sort_by(|a, b| places[*a].to(end).total_cmp(&places[*b].to(end)));
        return about;
    }
    let from = places[*first].sub(centre).angle();
    let turn = |hole: &usize| {
        let turn = (places[*hole].sub(centre).angle() - from).rem_euclid(std::f64::consts::TAU);
        if hole == first { 0.0 } else { turn }
    };
    about.sort_by(|a, b| turn(a).total_cmp(&turn(b)));
    about
}

/// The order for loosening: backwards. Common practice, unless the maker says another.
#[must_use]
pub fn loosening(order: &Order) -> Order {
    let holes = order.holes.iter().rev().copied().collect();
    Order { holes, why: vec![Why::Backwards], ..order.clone() }
}

fn even_ring(ring: &[usize]) -> (Vec<usize>, Vec<Why>) {
    let why = match published(ring.len()) {
        Some(_) => Why::PublishedPattern,
        None => Why::OppositePairs,
    };
    (ring_order(ring.len()).iter().map(|place| ring[*place]).collect(), vec![why])
}

fn uneven_ring(seen: &Seen) -> Vec<usize> {
    let angles: Vec<f64> = seen.exact.iter().map(|p| p.angle()).collect();
    uneven_order(&angles)
}

fn rings(seen: &Seen) -> (Vec<usize>, Vec<Why>) {
    (rings_order(&seen.exact, &seen.rings), vec![Why::InnerRingFirst, Why::OppositePairs])
}
