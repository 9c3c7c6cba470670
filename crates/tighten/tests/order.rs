//! Orders of tightening, hole by hole, against published patterns and by hand.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

mod joints;

use joints::{Places, frame, grid, holes, line, photo, ring, rings, two_rows};
use lastbolt_tighten::{
    HOLES_MAX, Hole, HolesError, OrderError, Pattern, Shape, Taken, Why, loosening, makers_order,
    order, said_order,
};

/// Published patterns: holes, order, source, how far it can be trusted.
const PATTERNS: &str = include_str!("data/cross_patterns.csv");

fn check(places: &Places, shape: Shape, expect: &[usize]) {
    let order = order(&holes(places), Taken::Measured).unwrap();
    let counted: Vec<usize> = order.holes.iter().map(|hole| hole + 1).collect();
    assert_eq!((order.shape, counted.as_slice()), (shape, expect));
}

#[test]
fn published_patterns_row_by_row() {
    let mut rows = 0;
    for row in PATTERNS.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let count: usize = cells[0].parse().unwrap();
        let expect: Vec<usize> = cells[1].split('-').map(|n| n.parse().unwrap()).collect();
        check(&ring(count, 70.0), Shape::Ring, &expect);
        let order = order(&holes(&ring(count, 70.0)), Taken::Measured).unwrap();
        assert_eq!(order.why, [Why::PublishedPattern]);
        rows += 1;
    }
    assert_eq!(rows, 6);
}

#[test]
fn shapes_by_hand() {
    check(&vec![(3.0, 4.0)], Shape::One, &[1]);
    check(&vec![(3.0, 4.0), (9.0, 9.0)], Shape::Two, &[1, 2]);
    check(&ring(3, 9.0), Shape::Ring, &[1, 2, 3]);
    check(&ring(5, 57.0), Shape::Ring, &[1, 3, 5, 2, 4]);
    check(&ring(6, 57.0), Shape::Ring, &[1, 4, 2, 5, 3, 6]);
    check(&line(5, 30.0), Shape::Line, &[3, 2, 4, 1, 5]);
    // Rows are 1 3 5 7 9 and 2 4 6 8 10: the middle pair, then crosswise and outwards.
    check(&two_rows(5, 90.0, 110.0), Shape::TwoRows, &[5, 6, 3, 8, 7, 4, 9, 2, 1, 10]);
    let corners = vec![(0.0, 0.0), (90.0, 0.0), (90.0, 50.0), (0.0, 50.0)];
    check(&corners, Shape::Frame, &[1, 3, 4, 2]);
}

#[test]
fn shapes_are_seen() {
    let seen = |places: &Places, taken| order(&holes(places), taken).unwrap().shape;
    let cases: [(Places, Shape); 7] = [
        (rings(8, 12), Shape::Rings),
        (rings(3, 32), Shape::Rings),
        (frame(5, 4, 30.0), Shape::Frame),
        (grid(5, 4, 30.0), Shape::Other),
        (two_rows(4, 80.0, 100.0), Shape::TwoRows),
        (two_rows(3, 80.0, 100.0), Shape::TwoRows),
        (line(7, 12.0), Shape::Line),
    ];
    for (places, shape) in cases {
        assert_eq!(seen(&places, Taken::Measured), shape, "{places:?}");
    }
    let mut with_gap = ring(8, 60.0);
    with_gap.remove(3);
    assert_eq!(seen(&with_gap, Taken::Measured), Shape::UnevenRing);
}

#[test]
fn seen_on_a_photo_from_the_side() {
    for tilt in [0.0, 0.3, 0.6, 0.8] {
        for count in [3, 4, 5, 8, 13, 20, 32] {
            let tapped = photo(&ring(count, 90.0), tilt, 4.0);
            let found = order(&holes(&tapped), Taken::Tapped).unwrap();
            assert_eq!(found.shape, Shape::Ring, "{count} {tilt}");
        }
        for columns in [4, 5, 7] {
            let exact = order(&holes(&two_rows(columns, 90.0, 110.0)), Taken::Measured).unwrap();
            let tapped = photo(&two_rows(columns, 90.0, 110.0), tilt, 4.0);
            let found = order(&holes(&tapped), Taken::Tapped).unwrap();
            assert_eq!(found.shape, Shape::TwoRows, "{columns} {tilt}");
            assert_eq!(found.holes, exact.holes, "{columns} {tilt}");
        }
    }
}

#[test]
fn what_is_no_joint_gets_a_sentence() {
    let of = |places: &Places| order(&holes(places), Taken::Tapped).unwrap_err();
    assert_eq!(of(&vec![]), HolesError::None);
    assert_eq!(of(&ring(500, 900.0)), HolesError::TooMany(500));
    assert_eq!(of(&vec![(1.0, 1.0), (f64::NAN, 2.0)]), HolesError::NoNumber(2));
    assert_eq!(of(&vec![(1.0, 1.0), (f64::INFINITY, 2.0)]), HolesError::NoNumber(2));
    assert_eq!(of(&vec![(1.0, 1.0), (5.0, 2.0), (1.0, 1.0)]), HolesError::SamePlace(1, 3));
    assert_eq!(of(&vec![(1.0, 1.0), (1.0, 1.0)]), HolesError::SamePlace(1, 2));
    let long = [Hole { length_mm: Some(-4.0), ..Hole::at(0.0, 0.0) }];
    assert_eq!(order(&long, Taken::Measured).unwrap_err(), HolesError::Length(1, -4.0));
    for error in [HolesError::None, HolesError::TooMany(500), HolesError::SamePlace(1, 3)] {
        assert!(error.to_string().contains(' '), "{error}");
    }
}

#[test]
fn the_makers_order_wins_and_is_looked_over() {
    let found = order(&holes(&ring(4, 9.0)), Taken::Measured).unwrap();
    let theirs = makers_order(&[0, 1, 2, 3], &found).unwrap();
    assert_eq!(
        (theirs.holes.as_slice(), theirs.why.as_slice()),
        (&[0, 1, 2, 3][..], &[Why::Maker][..])
    );
    let wrong = |holes: &[usize]| makers_order(holes, &found).unwrap_err();
    assert_eq!(wrong(&[0, 1]), OrderError::Count { given: 2, holes: 4 });
    assert_eq!(wrong(&[0, 1, 2, 4]), OrderError::NoHole(5));
    assert_eq!(wrong(&[0, 1, 1, 3]), OrderError::Twice(2));
    let back = loosening(&found);
    assert_eq!(back.holes, [3, 1, 2, 0]);
    assert!(back.why.iter().all(|why| why.is_common_practice()));
}

#[test]
fn what_the_maker_says_about_the_order_wins() {
    let said = |places: &Places, pattern| {
        let holes = holes(places);
        said_order(&order(&holes, Taken::Measured).unwrap(), &holes, pattern)
    };
    let around = said(&ring(8, 50.0), Pattern::Around);
    assert_eq!(around.holes, [0, 1, 2, 3, 4, 5, 6, 7]);
    assert_eq!(around.why, [Why::Maker]);
    assert_eq!(said(&line(5, 30.0), Pattern::Around).holes, [4, 3, 2, 1, 0]);
    // Two rows 0 2 4 and 1 3 5: about the middle, beginning at the first of the order.
    let mut rows = said(&two_rows(3, 80.0, 100.0), Pattern::Around).holes;
    let first = rows.iter().position(|hole| *hole == 0).unwrap();
    rows.rotate_left(first);
    assert!(rows == [0, 2, 4, 5, 3, 1] || rows == [0, 1, 3, 5, 4, 2], "{rows:?}");
    let cross = said(&ring(8, 50.0), Pattern::Crosswise);
    assert_eq!(cross.holes, [0, 4, 2, 6, 1, 5, 3, 7]);
    assert_eq!(cross.why, [Why::Maker, Why::PublishedPattern]);
}

/// The most holes, unevenly round a ring and anyhow: an answer comes at once, not after minutes.
#[test]
fn the_most_holes_that_are_taken() {
    let mut places = ring(HOLES_MAX + 2, 90.0);
    places.truncate(HOLES_MAX);
    let found = order(&holes(&places), Taken::Measured).unwrap();
    assert_eq!(found.shape, Shape::UnevenRing);
    for places in [grid(12, 10, 9.0), frame(31, 31, 9.0), rings(50, 70), line(HOLES_MAX, 5.0)] {
        assert_eq!(places.len(), HOLES_MAX);
        for taken in [Taken::Measured, Taken::Tapped] {
            assert_eq!(order(&holes(&places), taken).unwrap().holes.len(), HOLES_MAX);
        }
    }
}
