//! Many joints at once: the fast study against the plain rule, joint by joint, on the same draws.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

use lastbolt_tighten::{
    Draws, Elastic, Plan, Pull, Random, Scatter, ScatterError, Spread, forces, ring_order, scatter,
    spread_percent,
};

fn ring(count: usize) -> Elastic {
    let steps = move |i: usize, j: usize| i.abs_diff(j).min(count - i.abs_diff(j)) as f64;
    let stiffness: Vec<f64> = (0..count).map(|i| 100.0 + 7.0 * (i % 3) as f64).collect();
    Elastic::by_distance(&stiffness, 1.0 / 300.0, 0.5, steps).unwrap()
}

/// The plan of a ring: 30, 60, 100 % in its order, then round about.
fn plan(count: usize) -> Plan {
    let (star, about) = (ring_order(count), (0..count).collect::<Vec<_>>());
    Plan { orders: vec![star.clone(), star.clone(), star, about], levels: vec![0.3, 0.6, 1.0, 1.0] }
}

/// Slow and obvious: each joint by itself through the plain rule.
fn plainly(joint: &Elastic, plan: &Plan, how: &Scatter, draws: &Draws) -> Vec<Spread> {
    let (screws, rounds, joints) = (joint.screws(), plan.levels.len(), draws.softness.len());
    let mut spreads = vec![Vec::new(); rounds];
    let mut leasts = vec![Vec::new(); rounds];
    for number in 0..joints {
        let (low, high) = how.softness;
        let times = low * (high / low).powf(draws.softness[number]);
        let pulls = |round: usize| -> Vec<Pull> {
            let force = |screw: usize| {
                let friction = draws.friction[number * screws + screw];
                let pull = draws.pull[(number * rounds + round) * screws + screw];
                plan.levels[round]
                    * (1.0 + 0.005 * how.friction_percent * friction)
                    * (1.0 + 0.005 * how.pull_percent * pull)
            };
            let pull = |screw: &usize| Pull { screw: *screw, force: force(*screw) };
            plan.orders[round].iter().map(pull).collect()
        };
        let pulls: Vec<Vec<Pull>> = (0..rounds).map(pulls).collect();
        let found = forces(&joint.softer(times).unwrap(), &pulls).unwrap();
        for (round, forces) in found.iter().enumerate() {
            spreads[round].push(spread_percent(forces));
            leasts[round].push(forces.iter().copied().fold(f64::INFINITY, f64::min));
        }
    }
    let quantile = |values: &mut Vec<f64>, share: f64| {
        values.sort_by(f64::total_cmp);
        let place = share * (values.len() - 1) as f64;
        let (low, high) = (values[place.floor() as usize], values[place.ceil() as usize]);
        low + (place - place.floor()) * (high - low)
    };
    let round = |round: usize| Spread {
        median_percent: quantile(&mut spreads[round], 0.5),
        most_percent: quantile(&mut spreads[round], 0.95),
        least_share: quantile(&mut leasts[round], 0.05),
        slack: leasts[round].iter().filter(|least| **least <= 0.0).count(),
    };
    (0..rounds).map(round).collect()
}

fn differ(one: &[Spread], other: &[Spread]) -> f64 {
    assert_eq!(one.len(), other.len());
    let differ = |(a, b): (&Spread, &Spread)| {
        let percent = (a.median_percent - b.median_percent)
            .abs()
            .max((a.most_percent - b.most_percent).abs());
        percent.max(100.0 * (a.least_share - b.least_share).abs())
            + a.slack.abs_diff(b.slack) as f64
    };
    one.iter().zip(other).map(differ).fold(0.0, f64::max)
}

#[test]
fn the_fast_study_is_the_plain_rule() {
    for (count, softness) in [(1, (0.5, 2.0)), (3, (1.0, 1.0)), (8, (1.0, 1.0)), (13, (0.3, 3.0))] {
        // 101 joints do not fill the last batch.
        let (joint, plan) = (ring(count), plan(count));
        let draws = Draws::new(7, 101, count, plan.levels.len());
        let how = Scatter { friction_percent: 30.0, pull_percent: 6.0, softness };
        let fast = scatter(&joint, &plan, &how, &draws).unwrap();
        let plain = plainly(&joint, &plan, &how, &draws);
        assert!(differ(&fast, &plain) < 1e-6, "{count}: {fast:?} {plain:?}");
        // Other draws, another softness are other joints: the comparison can fail.
        let other = scatter(&joint, &plan, &how, &Draws::new(8, 101, count, 4)).unwrap();
        if count > 1 {
            assert!(differ(&other, &plain) > 1e-3);
        }
    }
}

#[test]
fn without_scatter_it_is_one_joint_and_friction_stays() {
    let (joint, plan) = (ring(8), plan(8));
    let draws = Draws::new(1, 50, 8, 4);
    let none = Scatter { friction_percent: 0.0, pull_percent: 0.0, softness: (1.0, 1.0) };
    let found = scatter(&joint, &plan, &none, &draws).unwrap();
    assert!(found.iter().all(|round| (round.median_percent - round.most_percent).abs() < 1e-9));
    assert!(found[3].median_percent < found[0].median_percent / 3.0);
    let rubbing = Scatter { friction_percent: 30.0, ..none };
    let found = scatter(&joint, &plan, &rubbing, &draws).unwrap();
    assert!(found[3].median_percent > 20.0, "no round takes the scatter of friction away");
}

#[test]
fn the_same_seed_gives_the_same_on_every_machine() {
    let random = Random::new(42);
    assert_eq!(random.bits(0), 13_679_457_532_755_275_413);
    assert_eq!(Draws::new(3, 4, 5, 6), Draws::new(3, 4, 5, 6));
    let count = 40_000;
    let bells: Vec<f64> = (0..count).map(|i| random.bell(i)).collect();
    let mean = bells.iter().sum::<f64>() / count as f64;
    let square = bells.iter().map(|bell| bell * bell).sum::<f64>() / count as f64;
    assert!(mean.abs() < 0.02 && (square - 1.0).abs() < 0.03, "{mean} {square}");
    assert!(bells.iter().all(|bell| bell.abs() < 3.47));
}

#[test]
fn what_does_not_fit_gets_a_sentence() {
    let (joint, good) = (ring(4), plan(4));
    let draws = Draws::new(1, 10, 4, 4);
    let how = Scatter { friction_percent: 30.0, pull_percent: 6.0, softness: (1.0, 1.0) };
    let of = |plan: &Plan, how: Scatter| scatter(&joint, plan, &how, &draws).unwrap_err();
    let twice = Plan { orders: vec![vec![0, 1, 2, 2]; 4], ..good.clone() };
    let short = Plan { levels: vec![1.0], ..good.clone() };
    let zero = Plan { levels: vec![0.0, 0.6, 1.0, 1.0], ..good.clone() };
    let cases = [
        (of(&twice, how), ScatterError::Order(1)),
        (of(&short, how), ScatterError::Rounds { orders: 4, levels: 1 }),
        (of(&zero, how), ScatterError::Level(0.0)),
        (of(&good, Scatter { friction_percent: -1.0, ..how }), ScatterError::Band(-1.0)),
        (of(&good, Scatter { softness: (2.0, 1.0), ..how }), ScatterError::Softness(2.0, 1.0)),
        (
            scatter(&joint, &good, &how, &Draws::new(1, 10, 5, 4)).unwrap_err(),
            ScatterError::Joints(10),
        ),
    ];
    for (found, expect) in cases {
        assert_eq!(found, expect);
        assert!(found.to_string().len() > 15, "{found}");
    }
}
