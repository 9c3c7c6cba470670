//! Against a slow obvious planner, and against planners that are wrong on purpose.

use super::climb::Random;
use super::*;

/// Jobs with costs of several shapes and few to many pairs of what comes before what.
pub(super) fn random_jobs(seed: u64, count: usize) -> Jobs {
    let (rows, befores) = random_parts(seed, count);
    Jobs::new(&rows, &befores).unwrap()
}

fn random_parts(seed: u64, count: usize) -> (Vec<Vec<i64>>, Vec<(usize, usize)>) {
    let mut random = Random::new(seed);
    let largest = [2, 10, 100, 100_000][random.below(4)];
    let density = [0, 5, 15, 30, 60][random.below(5)];
    let mut name: Vec<usize> = (0..count).collect();
    for at in (1..count).rev() {
        name.swap(at, random.below(at + 1));
    }
    let mut befores = Vec::new();
    for a in 0..count {
        for b in a + 1..count {
            if random.below(100) < density {
                befores.push((name[a], name[b]));
            }
        }
    }
    let mut row = || (0..count).map(|_| random.below(largest) as i64).collect();
    ((0..count).map(|_| row()).collect(), befores)
}

/// The least cost by trying every order.
fn slow_least(jobs: &Jobs) -> i64 {
    fn go(jobs: &Jobs, order: &mut Vec<usize>, cost: i64, least: &mut i64) {
        if order.len() == jobs.count() {
            *least = cost.min(*least);
        }
        for item in 0..jobs.count() {
            let waits = (0..jobs.count()).any(|e| jobs.is_before(e, item) && !order.contains(&e));
            if !waits && !order.contains(&item) {
                let change = order.last().map_or(0, |&last| jobs.change(last, item));
                order.push(item);
                go(jobs, order, cost + change, least);
                order.pop();
            }
        }
    }
    let mut least = i64::MAX;
    go(jobs, &mut Vec::new(), 0, &mut least);
    least
}

/// What every answer has to satisfy; the reason if it does not.
fn fault(jobs: &Jobs, found: &Found, least: i64) -> Option<&'static str> {
    match jobs.cost(&found.order) {
        None => Some("no order"),
        Some(cost) if cost != found.cost => Some("cost"),
        _ if found.bound > least => Some("bound"),
        _ if found.proved() && found.cost != least => Some("proof"),
        _ => None,
    }
}

/// Every order of up to eight items, against the search: equal and proved.
#[test]
fn equals_trying_every_order() {
    for seed in 0..600 {
        let jobs = random_jobs(seed, 1 + seed as usize % 8);
        let least = slow_least(&jobs);
        let found = order(&jobs, &Limits { seed, ..Limits::default() });
        assert_eq!(fault(&jobs, &found, least), None, "seed {seed}: {found:?}");
        assert_eq!((found.cost, found.proved()), (least, true), "seed {seed}");
    }
}

/// However little may be looked at, there is an order, and the bound is no higher than the least.
#[test]
fn bounds_are_honest_within_few_nodes() {
    let (mut unproved, mut dearer) = (0, 0);
    for seed in 0..300 {
        let jobs = random_jobs(seed + 1000, 7 + seed as usize % 2);
        let least = slow_least(&jobs);
        let found = order(&jobs, &Limits { nodes: 1 + seed % 60, ..Limits::default() });
        assert_eq!(fault(&jobs, &found, least), None, "seed {seed}: {found:?}");
        unproved += usize::from(!found.proved());
        dearer += usize::from(found.cost > least);
    }
    assert!(unproved > 50, "only {unproved} were cut short");
    assert!(dearer > 5, "only {dearer} were not the best");
}

/// Where the states do not fit, what was left away is in the bound.
#[test]
fn bounds_are_honest_with_few_states() {
    let mut lost = 0;
    for seed in 0..300 {
        let jobs = random_jobs(seed + 2000, 8);
        let least = slow_least(&jobs);
        let limits = Limits::default();
        let mut patience = Patience { left: 1_000_000, stopped: false, limits: &limits };
        let table = Table::<1>::new(&jobs);
        let layers = Layers::new(&table).walked();
        let outcome = states::run(&table, &layers, FAR, 1 + seed as usize % 5, &mut patience);
        assert!(outcome.bound <= least, "seed {seed}: {} above {least}", outcome.bound);
        let found = outcome.order.map(|order| jobs.cost(&order).unwrap());
        assert!(found.is_none_or(|cost| cost >= least), "seed {seed}");
        lost += usize::from(outcome.bound < least);
    }
    assert!(lost > 30, "only {lost} lost anything");
}

/// Above every order of the small jobs here.
const FAR: i64 = 10_000_000;

/// A search that forgets one pair of what comes before what, or reckons a run that is turned round
/// as if costs were the same both ways, or calls its best the least, does not pass.
#[test]
fn wrong_twins_are_rejected() {
    let (mut forgot, mut turned, mut boasted) = (0, 0, 0);
    for seed in 0..200 {
        let (rows, befores) = random_parts(seed + 3000, 8);
        let jobs = Jobs::new(&rows, &befores).unwrap();
        let least = slow_least(&jobs);
        if let Some((_, fewer)) = befores.split_last() {
            let found = order(&Jobs::new(&rows, fewer).unwrap(), &Limits::default());
            forgot += usize::from(fault(&jobs, &found, least).is_some());
        }
        let found = order(&jobs, &Limits::default());
        let mut other = found.clone();
        other.order[2..6].reverse();
        let at = |place: usize| found.order[place];
        other.cost += jobs.change(at(1), at(5)) + jobs.change(at(2), at(6))
            - jobs.change(at(1), at(2))
            - jobs.change(at(5), at(6));
        other.bound = 0;
        turned += usize::from(fault(&jobs, &other, least).is_some());
        let quick = order(&jobs, &Limits { nodes: 1, ..Limits::default() });
        let boast = Found { bound: quick.cost, ..quick };
        boasted += usize::from(fault(&jobs, &boast, least).is_some());
    }
    assert!(forgot > 20, "forgetting a pair was rejected only {forgot} times");
    assert!(turned > 150, "turning without a recount was rejected only {turned} times");
    assert!(boasted > 20, "boasting was rejected only {boasted} times");
}

/// The same jobs, seed and limit give the same answer; another seed may not.
#[test]
fn same_answer_every_time() {
    let mut differ = 0;
    for seed in 0..10 {
        let jobs = random_jobs(seed + 4000, 60);
        let ask = |seed| order(&jobs, &Limits { nodes: 3_000, seed, ..Limits::default() });
        assert_eq!(ask(1), ask(1), "seed {seed}");
        differ += usize::from(ask(1) != ask(2));
    }
    assert!(differ > 0, "the seed does nothing");
}

/// `stop` ends the search, and every better order is told, each cheaper than the one before.
#[test]
fn stops_and_tells() {
    use std::cell::{Cell, RefCell};
    let jobs = random_jobs(5001, 90);
    let asked = Cell::new(0);
    let stop = || {
        asked.set(asked.get() + 1);
        asked.get() > 300
    };
    let told = RefCell::new(Vec::new());
    let better = |order: &[usize], cost: i64| {
        assert_eq!(jobs.cost(order), Some(cost));
        told.borrow_mut().push(cost);
    };
    let found = order(&jobs, &Limits { nodes: u64::MAX, seed: 1, stop: &stop, better: &better });
    let told = told.into_inner();
    assert!(told.windows(2).all(|pair| pair[1] < pair[0]), "{told:?}");
    assert_eq!(told.last(), Some(&found.cost));
    assert!(asked.get() < 320, "asked {} times", asked.get());
}

/// Turning everything round, naming items anew and scaling costs change nothing but the scale.
#[test]
fn same_least_turned_renamed_and_scaled() {
    for seed in 0..60 {
        let count = 9;
        let (rows, befores) = random_parts(seed + 6000, count);
        let least = |rows: &[Vec<i64>], befores: &[(usize, usize)]| {
            let found = order(&Jobs::new(rows, befores).unwrap(), &Limits::default());
            assert!(found.proved(), "seed {seed}");
            found.cost
        };
        let first = least(&rows, &befores);
        let across: Vec<Vec<i64>> =
            (0..count).map(|a| (0..count).map(|b| rows[b][a]).collect()).collect();
        let back: Vec<_> = befores.iter().map(|&(a, b)| (b, a)).collect();
        assert_eq!(least(&across, &back), first, "seed {seed}: turned");
        let new = |item: usize| (item * 4 + 3) % count;
        let mut renamed = rows.clone();
        for (a, row) in rows.iter().enumerate() {
            for (b, &cost) in row.iter().enumerate() {
                renamed[new(a)][new(b)] = cost;
            }
        }
        let pairs: Vec<_> = befores.iter().map(|&(a, b)| (new(a), new(b))).collect();
        assert_eq!(least(&renamed, &pairs), first, "seed {seed}: renamed");
        let scaled: Vec<Vec<i64>> =
            rows.iter().map(|row| row.iter().map(|c| c * 7).collect()).collect();
        assert_eq!(least(&scaled, &befores), first * 7, "seed {seed}: scaled");
    }
}

/// Bad input gets its own refusal, in a sentence.
#[test]
fn bad_jobs_are_refused() {
    let square = |n: usize| vec![vec![1; n]; n];
    let check = |rows: &[Vec<i64>], befores: &[(usize, usize)], refused: Refused| {
        assert!(refused.to_string().ends_with('.'), "{refused}");
        assert_eq!(Jobs::new(rows, befores), Err(refused));
    };
    check(&[vec![0, 1], vec![0]], &[], Refused::NotSquare { row: 1, costs: 1 });
    check(&[vec![0, -1], vec![0, 0]], &[], Refused::Cost { from: 0, to: 1, cost: -1 });
    let huge = i64::MAX;
    check(&[vec![0, 0], vec![huge, 0]], &[], Refused::Cost { from: 1, to: 0, cost: huge });
    check(&square(3), &[(0, 3)], Refused::NoSuchItem { item: 3 });
    check(&square(4), &[(3, 0), (0, 1), (1, 2), (2, 0)], Refused::Circle(vec![1, 2, 0]));
    check(&square(2), &[(1, 1)], Refused::Circle(vec![1]));
    check(&square(1001), &[], Refused::TooMany { count: 1001 });
}

/// Nothing to do, one thing to do, and nothing to choose.
#[test]
fn the_smallest_jobs() {
    let found = |jobs: &Jobs| order(jobs, &Limits::default());
    let none = found(&Jobs::new(&[], &[]).unwrap());
    assert_eq!((none.order.len(), none.cost, none.proved()), (0, 0, true));
    let one = found(&Jobs::new(&[vec![7]], &[]).unwrap());
    assert_eq!((one.order, one.cost, one.bound), (vec![0], 0, 0));
    let chain = Jobs::new(&vec![vec![2; 4]; 4], &[(3, 1), (1, 0), (0, 2)]).unwrap();
    let chain = found(&chain);
    assert_eq!((chain.order, chain.cost, chain.bound), (vec![3, 1, 0, 2], 6, 6));
}
