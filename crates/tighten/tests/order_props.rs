//! What must hold of an order of tightening for any joint; orders that are wrong on purpose (round
//! the ring, to the nearest next) must be found out by the same rules.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

mod joints;

use std::f64::consts::TAU;

use joints::{
    Move, Places, frame, grid, holes, line, middle, pattern, photo, ring, rings, same_pattern,
    two_rows,
};
use lastbolt_tighten::{Shape, Taken, order, published, ring_order};
use proptest::prelude::*;

/// Followers of our own ring orders stand at least this far apart, seen from the middle.
const FOLLOWERS_APART: f64 = TAU / 6.0;
/// How far the middle of the tightened holes may be from the centre after every four, in radii.
const OFF_CENTRE_MAX: f64 = 0.25;

fn permutation(count: usize, order: &[usize]) -> Result<(), String> {
    let mut sorted = order.to_vec();
    sorted.sort_unstable();
    if sorted == (0..count).collect::<Vec<_>>() {
        Ok(())
    } else {
        Err(format!("{order:?} is not {count} holes, each once"))
    }
}

/// Rules for rings: the middle near the centre after every four, followers far apart.
fn ring_rules(places: &Places, order: &[usize], apart: f64) -> Result<(), String> {
    permutation(places.len(), order)?;
    let (cx, cy) = middle(places);
    let radius = (places[0].0 - cx).hypot(places[0].1 - cy);
    for four in (4..=order.len()).step_by(4) {
        let done: Places = order[..four].iter().map(|hole| places[*hole]).collect();
        let (x, y) = middle(&done);
        let off = (x - cx).hypot(y - cy) / radius;
        if off > OFF_CENTRE_MAX + 1e-9 {
            return Err(format!("after {four} the middle is off by {off}"));
        }
    }
    for pair in order.windows(2) {
        let angle = |hole: usize| (places[hole].1 - cy).atan2(places[hole].0 - cx);
        let turn = (angle(pair[0]) - angle(pair[1])).rem_euclid(TAU);
        if turn.min(TAU - turn) < apart - 1e-9 {
            return Err(format!("{} and {} follow each other", pair[0] + 1, pair[1] + 1));
        }
    }
    Ok(())
}

/// About the middle of the circle: off by at most 0.35 of the radius after every four.
fn balance(places: &Places, order: &[usize]) -> Result<(), String> {
    permutation(places.len(), order)?;
    for four in (4..=order.len()).step_by(4) {
        let done: Places = order[..four].iter().map(|hole| places[*hole]).collect();
        let (x, y) = middle(&done);
        let off = x.hypot(y) / places[0].0.hypot(places[0].1);
        if off > 0.35 {
            return Err(format!("after {four} of {} the middle is off by {off}", order.len()));
        }
    }
    Ok(())
}

/// The distance from the middle never falls but between twins: holes opposite through the middle.
fn outward_rules(places: &Places, order: &[usize]) -> Result<(), String> {
    outward_within(places, order, 1e-6)
}

/// The same with some slack, in the largest distance: a photo from the side is shorter one way.
fn outward_within(places: &Places, order: &[usize], slack: f64) -> Result<(), String> {
    permutation(places.len(), order)?;
    let (cx, cy) = middle(places);
    let out = |hole: usize| (places[hole].0 - cx).hypot(places[hole].1 - cy);
    let reach = (0..places.len()).map(out).fold(0.0, f64::max);
    let twins = |a: usize, b: usize| {
        let off =
            (places[a].0 + places[b].0 - 2.0 * cx).hypot(places[a].1 + places[b].1 - 2.0 * cy);
        off < 1e-6 * reach
    };
    for pair in order.windows(2) {
        if out(pair[1]) < out(pair[0]) - slack * reach && !twins(pair[0], pair[1]) {
            return Err(format!("{} is nearer than {}", pair[1] + 1, pair[0] + 1));
        }
    }
    Ok(())
}

/// In two rows of as many the followers are in different rows.
fn row_rules(order: &[usize]) -> Result<(), String> {
    let same = order.windows(2).find(|pair| pair[0] % 2 == pair[1] % 2);
    same.map_or(Ok(()), |pair| Err(format!("{} and {} in one row", pair[0] + 1, pair[1] + 1)))
}

fn found(places: &Places) -> Vec<usize> {
    order(&holes(places), Taken::Measured).unwrap().holes
}

/// The wrong order that goes to the nearest next hole.
fn nearest_next(places: &Places) -> Vec<usize> {
    let mut order = vec![0];
    while order.len() < places.len() {
        let (x, y) = places[order[order.len() - 1]];
        let left = (0..places.len()).filter(|hole| !order.contains(hole));
        let to = |hole: &usize| (places[*hole].0 - x).hypot(places[*hole].1 - y);
        order.push(left.min_by(|a, b| to(a).total_cmp(&to(b))).unwrap());
    }
    order
}

#[test]
fn every_ring_of_3_to_32_keeps_the_rules_and_wrong_orders_do_not() {
    for count in 3..=32 {
        let places = ring(count, 80.0);
        // A published pattern is taken as it is; the one for 20 has followers 36 degrees apart.
        let apart = if published(count).is_some() { TAU / 10.0 } else { FOLLOWERS_APART };
        let apart = if count > 4 { apart.max(1.5 * TAU / count as f64) } else { apart };
        ring_rules(&places, &found(&places), apart).unwrap();
        assert_eq!(ring_order(count)[0], 0);
        let round: Vec<usize> = (0..count).collect();
        if count > 4 {
            ring_rules(&places, &round, apart).unwrap_err();
            ring_rules(&places, &nearest_next(&places), apart).unwrap_err();
        }
    }
}

#[test]
fn wrong_orders_of_other_shapes_are_found_out() {
    for places in [two_rows(5, 90.0, 110.0), frame(5, 4, 30.0), line(9, 20.0), grid(5, 4, 30.0)] {
        outward_rules(&places, &found(&places)).unwrap();
        outward_rules(&places, &nearest_next(&places)).unwrap_err();
        let listed: Vec<usize> = (0..places.len()).collect();
        outward_rules(&places, &listed).unwrap_err();
    }
    row_rules(&found(&two_rows(6, 90.0, 110.0))).unwrap();
    row_rules(&nearest_next(&two_rows(6, 90.0, 110.0))).unwrap_err();
}

/// A joint of a known shape, and whether it is a ring.
fn known() -> impl Strategy<Value = (Places, Shape)> {
    prop_oneof![
        (3..33_usize).prop_map(|n| (ring(n, 60.0), Shape::Ring)),
        (3..12_usize, 20.0..90.0, 20.0..90.0)
            .prop_map(|(n, pitch, apart)| (two_rows(n, pitch, apart), Shape::TwoRows)),
        (3..30_usize).prop_map(|n| (line(n, 25.0), Shape::Line)),
        (4..9_usize, 3..8_usize).prop_map(|(a, d)| (frame(a, d, 25.0), Shape::Frame)),
        (5..8_usize, 4..7_usize).prop_map(|(a, d)| (grid(a, d, 25.0), Shape::Other)),
        (3..10_usize, 5..20_usize).prop_map(|(i, o)| (rings(i, o), Shape::Rings)),
    ]
}

/// Any holes, apart from each other.
fn any() -> impl Strategy<Value = Places> {
    prop::collection::vec((0..60_i32, 0..60_i32), 1..40).prop_map(|mut places| {
        places.sort_unstable();
        places.dedup();
        places.iter().map(|(x, y)| (f64::from(*x), f64::from(*y))).collect()
    })
}

fn moved() -> impl Strategy<Value = Move> {
    let by = (-1000.0..1000.0, -1000.0..1000.0);
    (0.0..TAU, any_bool(), 0.01..100.0, by).prop_map(|(turn, mirror, scale, by)| Move {
        turn,
        mirror,
        scale,
        by,
    })
}

fn any_bool() -> impl Strategy<Value = bool> {
    prop::bool::ANY
}

fn renumbered(places: &Places, seed: u64) -> Places {
    let mut mixed = places.clone();
    let mut state = seed | 1;
    for i in (1..mixed.len()).rev() {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        mixed.swap(i, (state >> 33) as usize % (i + 1));
    }
    mixed
}

/// Any holes, moved and numbered anew, are seen as the same shape and tightened the same way.
fn goes_outwards(places: &Places, by: &Move, seed: u64) -> Result<(), TestCaseError> {
    let found = order(&holes(places), Taken::Measured).unwrap();
    prop_assert_eq!(permutation(places.len(), &found.holes), Ok(()));
    if !matches!(found.shape, Shape::Ring | Shape::UnevenRing) {
        prop_assert_eq!(outward_rules(places, &found.holes), Ok(()));
    }
    let after_places = renumbered(&by.put(places), seed);
    let after = order(&holes(&after_places), Taken::Measured).unwrap();
    prop_assert_eq!(after.shape, found.shape);
    let before = pattern(places, &found.holes);
    // A ring that is even within a tenth may be begun anywhere.
    let near = if found.shape == Shape::Ring { 0.15 } else { 1e-4 };
    prop_assert!(same_pattern(&before, &pattern(&after_places, &after.holes), near));
    Ok(())
}

/// A hole that is off its frame's edge by just what is allowed, a hundredth of the shorter side.
#[test]
fn holes_off_by_just_what_is_allowed_go_outwards() {
    let places = vec![(10.0, 47.0), (25.0, 55.0), (29.0, 0.0), (34.0, 59.0), (49.0, 40.0)];
    for step in 0..500_u32 {
        let turn = TAU * f64::from(step) / 500.0;
        let by = Move { turn, mirror: step % 2 == 1, scale: 76.85, by: (0.0, 0.0) };
        goes_outwards(&places, &by, step.into()).unwrap();
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn known_shapes_turned_mirrored_scaled_renumbered((places, shape) in known(), by in moved(),
        seed in any_seed()) {
        let before = pattern(&places, &found(&places));
        let after_places = renumbered(&by.put(&places), seed);
        let after = order(&holes(&after_places), Taken::Measured).unwrap();
        prop_assert_eq!(permutation(places.len(), &after.holes), Ok(()));
        let is_the_same = after.shape == shape || places.len() == 4;
        prop_assert!(is_the_same, "{:?} taken for {:?}", shape, after.shape);
        prop_assert!(same_pattern(&before, &pattern(&after_places, &after.holes), 1e-4));
        if !matches!(after.shape, Shape::Ring) {
            prop_assert_eq!(outward_rules(&after_places, &after.holes), Ok(()));
        }
    }

    #[test]
    fn any_holes_go_outwards(places in any(), by in moved(), seed in any_seed()) {
        goes_outwards(&places, &by, seed)?;
    }

    #[test]
    fn tapped_rings_with_a_trembling_hand(count in 3..33_usize, tilt in 0.0..0.7_f64,
        turn in 0.0..TAU, tremble in trembling(33)) {
        let by = Move { turn, mirror: false, scale: 1.0, by: (0.0, 0.0) };
        let turned = by.put(&ring(count, 50.0));
        let mut tapped = photo(&turned, tilt, 5.0);
        // A fifth of the space between neighbours, at most 2 % of the picture's width.
        let size = (350.0 * TAU / count as f64 / 5.0).min(20.0);
        shake(&mut tapped, &tremble, size);
        let found = order(&holes(&tapped), Taken::Tapped).unwrap();
        prop_assert_eq!(found.shape, Shape::Ring);
        // By their true places the holes are tightened as in an exact ring.
        let exact = pattern(&turned, &ring_order(count));
        prop_assert!(same_pattern(&exact, &pattern(&turned, &found.holes), 1e-4));
    }

    #[test]
    fn tapped_rows_with_a_trembling_hand(columns in 4..9_usize, tilt in 0.0..0.6_f64,
        tremble in trembling(18)) {
        let places = two_rows(columns, 90.0, 130.0);
        let mut tapped = photo(&places, tilt, 5.0);
        shake(&mut tapped, &tremble, 6.0);
        let found = order(&holes(&tapped), Taken::Tapped).unwrap();
        prop_assert_eq!(found.shape, Shape::TwoRows);
        prop_assert_eq!(outward_rules(&places, &found.holes), Ok(()));
        prop_assert_eq!(row_rules(&found.holes), Ok(()));
    }

    #[test]
    fn tapped_frames_and_rings_inside_rings(across in 5..9_usize, down in 4..7_usize,
        outer in 8..17_usize, tilt in 0.0..0.5_f64, tremble in trembling(40)) {
        let places = frame(across, down, 40.0);
        let mut tapped = photo(&places, tilt, 6.0);
        shake(&mut tapped, &tremble, 5.0);
        let found = order(&holes(&tapped), Taken::Tapped).unwrap();
        prop_assert_eq!(found.shape, Shape::Frame);
        prop_assert_eq!(outward_within(&places, &found.holes, 0.15), Ok(()));
        prop_assert!(outward_within(&places, &nearest_next(&places), 0.15).is_err());
        let places = rings(6, outer);
        let mut tapped = photo(&places, 0.7 * tilt, 6.0);
        shake(&mut tapped, &tremble, 5.0);
        let found = order(&holes(&tapped), Taken::Tapped).unwrap();
        prop_assert_eq!(found.shape, Shape::Rings);
        prop_assert_eq!(outward_rules(&places, &found.holes), Ok(()));
    }

    /// A ring in which some holes are left out: what is tight stays balanced about the middle.
    #[test]
    fn rings_with_gaps_stay_balanced(count in 9..33_usize, out in 0..1000_usize,
        more in 1..3_usize) {
        let mut places = ring(count, 70.0);
        for i in 0..more {
            places.remove((out * (i + 1)) % places.len());
        }
        let found = order(&holes(&places), Taken::Measured).unwrap();
        prop_assert_eq!(found.shape, Shape::UnevenRing);
        prop_assert_eq!(balance(&places, &found.holes), Ok(()));
        let listed: Vec<usize> = (0..places.len()).collect();
        prop_assert!(count < 12 || balance(&places, &listed).is_err());
    }

    #[test]
    fn noise_is_an_order_or_a_sentence(
        raw in prop::collection::vec((any_number(), any_number()), 0..140)) {
        let holes = holes(&raw);
        for taken in [Taken::Measured, Taken::Tapped] {
            match order(&holes, taken) {
                Ok(found) => prop_assert_eq!(permutation(raw.len(), &found.holes), Ok(())),
                Err(error) => prop_assert!(error.to_string().len() > 20),
            }
        }
    }
}

/// How far beside each hole a finger lands, in the most that it may.
fn trembling(count: usize) -> impl Strategy<Value = Places> {
    prop::collection::vec((-1.0..1.0_f64, -1.0..1.0_f64), count)
}

fn shake(tapped: &mut Places, tremble: &Places, size: f64) {
    tapped.iter_mut().zip(tremble).for_each(|(p, t)| *p = (p.0 + size * t.0, p.1 + size * t.1));
}

fn any_seed() -> impl Strategy<Value = u64> {
    prop::num::u64::ANY
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        20 => -1000.0..1000.0_f64,
        1 => Just(0.0),
        1 => prop::num::f64::NORMAL,
    ]
}

/// Failures are shown, not kept in files.
fn config() -> ProptestConfig {
    // More are tried with PROPTEST_CASES.
    let cases = ProptestConfig::default().cases.max(1_000);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}
