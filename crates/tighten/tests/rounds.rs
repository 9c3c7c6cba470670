//! Rounds: what is added to the maker's stages and what never is; going on in the middle.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

mod joints;

use joints::{holes, ring, two_rows};
use lastbolt_tighten::{
    Care, Hole, JointFacts, JointKind, NoRepeat, Order, Reason, ResumeError, Round, Rounds,
    RoundsError, Stage, Taken, What, loosening_rounds, order, read_stage, resume, rounds,
};
use proptest::prelude::*;

fn stages(texts: &[&str]) -> Vec<Stage> {
    texts.iter().map(|text| read_stage(text)).collect()
}

fn joint(count: usize) -> (Vec<Hole>, Order) {
    let holes = holes(&ring(count, 60.0));
    let order = order(&holes, Taken::Measured).unwrap();
    (holes, order)
}

fn made(texts: &[&str], count: usize, facts: JointFacts) -> Rounds {
    let (holes, order) = joint(count);
    rounds(&holes, &order, &stages(texts), &facts).unwrap()
}

fn keys(rounds: &Rounds) -> Vec<&'static str> {
    rounds.rounds.iter().map(Round::key).collect()
}

const PLAIN: JointFacts = JointFacts {
    kind: JointKind::Plain,
    locking_compound: false,
    sealant_sets: false,
    maker_repeats: None,
};

#[test]
fn a_plain_flange_is_started_by_hand_and_repeated_round_about() {
    let found = made(&["20 N·m", "40 N·m"], 8, PLAIN);
    assert_eq!(keys(&found), ["by-hand", "maker", "maker", "repeat"]);
    assert_eq!(found.no_repeat, None);
    assert_eq!(found.rounds[1].holes, [0, 4, 2, 6, 1, 5, 3, 7]);
    assert_eq!(found.rounds[3].holes, [0, 1, 2, 3, 4, 5, 6, 7]);
    assert_eq!(found.rounds[3].what, What::Repeat { stage: 1, action: 0 });
    let practice: Vec<bool> = found.rounds.iter().map(Round::is_common_practice).collect();
    assert_eq!(practice, [true, false, false, true]);
}

#[test]
fn no_stage_is_invented() {
    let found = made(&[], 8, PLAIN);
    assert_eq!(keys(&found), ["by-hand"]);
    assert_eq!(found.no_repeat, Some(NoRepeat::NoTorqueLast));
    let found = made(&["by hand", "40 N·m"], 8, PLAIN);
    assert_eq!(keys(&found), ["maker", "maker", "repeat"]);
}

/// Wrong for torque plus angle, to yield, locking compound that grips, set sealant, banjo,
/// taper, plugs; and senseless for one screw.
#[test]
fn where_a_round_again_is_wrong_there_is_none() {
    let kind = |kind| JointFacts { kind, ..PLAIN };
    let torque = ["40 N·m"];
    let cases: [(&[&str], usize, JointFacts, NoRepeat); 11] = [
        (&["40 N·m + 90°"], 8, PLAIN, NoRepeat::Angle),
        (&["40 N·m", "90°", "90°"], 8, PLAIN, NoRepeat::Angle),
        (&["40 N·m, to yield"], 8, PLAIN, NoRepeat::ToYield),
        (&torque, 8, JointFacts { locking_compound: true, ..PLAIN }, NoRepeat::LockingCompound),
        (&torque, 8, JointFacts { sealant_sets: true, ..PLAIN }, NoRepeat::Sealant),
        (&torque, 8, kind(JointKind::Banjo), NoRepeat::Banjo),
        (&torque, 8, kind(JointKind::Taper), NoRepeat::Taper),
        (&torque, 1, kind(JointKind::Plug), NoRepeat::Plug),
        (&torque, 1, PLAIN, NoRepeat::OneScrew),
        (&torque, 8, JointFacts { maker_repeats: Some(false), ..PLAIN }, NoRepeat::MakerSaysNo),
        (&["40 N·m", "slacken again"], 8, PLAIN, NoRepeat::NoTorqueLast),
    ];
    for (texts, count, facts, why) in cases {
        let found = made(texts, count, facts);
        assert_eq!(found.no_repeat, Some(why), "{texts:?}");
        assert!(!keys(&found).contains(&"repeat"), "{texts:?}");
    }
    // The maker's word is above the rules.
    let facts = JointFacts { locking_compound: true, maker_repeats: Some(true), ..PLAIN };
    let found = made(&torque, 8, facts);
    assert_eq!(found.rounds.last().unwrap().reason, Reason::Maker);
}

#[test]
fn a_cover_that_springs_push_comes_down_on_two_long_screws() {
    let (mut holes, _) = joint(6);
    holes[1].length_mm = Some(45.0);
    holes[4].length_mm = Some(45.0);
    let order = order(&holes, Taken::Measured).unwrap();
    let facts = JointFacts { kind: JointKind::SpringLoaded, ..PLAIN };
    let found = rounds(&holes, &order, &stages(&["22 N·m"]), &facts).unwrap();
    assert_eq!(keys(&found), ["two-long-screws", "others-by-hand", "maker", "repeat"]);
    let mut long = found.rounds[0].holes.clone();
    long.sort_unstable();
    assert_eq!(long, [1, 4]);
    assert_eq!(found.rounds[1].holes.len(), 4);
    let back = loosening_rounds(&holes, &order, &facts);
    let keys: Vec<_> = back.iter().map(Round::key).collect();
    assert_eq!(keys, ["slacken-a-little", "take-out", "two-long-screws"]);
    assert!(back.iter().all(Round::is_common_practice));
    assert_eq!(back[2].holes.len(), 2);
    // All of one length: any two that are farthest apart.
    let (holes, order) = joint(6);
    let found = rounds(&holes, &order, &stages(&["22 N·m"]), &facts).unwrap();
    assert_eq!(found.rounds[0].holes, [0, 3]);
}

#[test]
fn loosening_is_backwards_in_stages() {
    let holes = holes(&two_rows(5, 90.0, 110.0));
    let order = order(&holes, Taken::Measured).unwrap();
    let back = loosening_rounds(&holes, &order, &PLAIN);
    let mut expect = order.holes.clone();
    expect.reverse();
    assert_eq!((back[0].what, &back[0].holes), (What::SlackenALittle, &expect));
    assert_eq!((back[1].what, &back[1].holes), (What::TakeOut, &expect));
}

#[test]
fn a_joint_left_in_the_middle_goes_on_at_the_right_screw() {
    let texts = stages(&["20 N·m", "40 N·m + 90°"]);
    let (holes, order) = joint(4);
    let found = rounds(&holes, &order, &texts, &PLAIN).unwrap().rounds;
    let on = |done: &[Vec<usize>]| resume(&found, &texts, done).unwrap();
    let all = vec![0, 1, 2, 3];
    let next = on(&[]).unwrap();
    assert_eq!((next.round, next.left[0], next.care), (0, 0, None));
    let next = on(&[all.clone(), vec![0, 2]]).unwrap();
    assert_eq!((next.round, next.left.as_slice(), next.care), (1, &[1, 3][..], None));
    let next = on(&[all.clone(), all.clone(), all.clone(), vec![0]]).unwrap();
    assert_eq!((next.round, next.left[0], next.care), (3, 2, Some(Care::AngleUnsure)));
    let next = on(&[all.clone(), vec![0, 1, 3], all.clone()]).unwrap();
    assert_eq!((next.round, next.left[0], next.care), (1, 2, Some(Care::LaterRoundBegun)));
    assert_eq!(on(&vec![all.clone(); 4]), None);
    let wrong = |done: &[Vec<usize>]| resume(&found, &texts, done).unwrap_err();
    assert_eq!(wrong(&vec![all.clone(); 5]), ResumeError::NoRound(5));
    assert_eq!(wrong(&[vec![7]]), ResumeError::NoScrew { round: 1, hole: 8 });
}

#[test]
fn too_much_is_refused_with_a_sentence() {
    let (holes, order) = joint(4);
    let many = stages(&["40 N·m"; 30]);
    let error = rounds(&holes, &order, &many, &PLAIN).unwrap_err();
    assert_eq!(error, RoundsError::TooMany(30));
    assert!(error.to_string().contains("30"));
    let error = rounds(&holes[..3], &order, &many, &PLAIN).unwrap_err();
    assert_eq!(error, RoundsError::Holes { order: 4, holes: 3 });
}

proptest! {
    /// Wherever a joint is left, going on screw by screw does each once in each round, in order.
    #[test]
    fn going_on_from_anywhere_ends(count in 1..33_usize, cut in 0..200_usize, seed in 0..u32::MAX) {
        let texts = stages(&["20 N·m", "40 N·m"]);
        let (holes, order) = joint(count);
        let found = rounds(&holes, &order, &texts, &PLAIN).unwrap().rounds;
        let mut done: Vec<Vec<usize>> = vec![Vec::new(); found.len()];
        let mut state = seed;
        for _ in 0..cut {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let round = (state >> 16) as usize % found.len();
            let hole = (state >> 24) as usize % count;
            if !done[round].contains(&hole) {
                done[round].push(hole);
            }
        }
        let mut steps = 0;
        while let Some(next) = resume(&found, &texts, &done).unwrap() {
            prop_assert!(!done[next.round].contains(&next.left[0]));
            prop_assert!((0..next.round).all(|round| done[round].len() == count));
            done[next.round].push(next.left[0]);
            steps += 1;
            prop_assert!(steps <= count * found.len());
        }
        prop_assert!(done.iter().all(|round| round.len() == count));
    }
}
