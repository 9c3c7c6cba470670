//! Joints a second: 10,000 joints of 24 screws and 6 rounds, on the draws of one seed.
//!
//! `cargo bench -p lastbolt-tighten` prints the times; `-- --json` prints times and results for
//! `peers/scatter_bench.py`, which runs this and numpy side by side on the same draws. Times are of
//! this thread's work where the system tells it, so that a busy machine matters less.

use std::time::Instant;

use lastbolt_tighten::{Draws, Elastic, Plan, Scatter, Spread, ring_order, scatter};

const JOINTS: usize = 10_000;
const SCREWS: usize = 24;
const LEVELS: [f64; 6] = [0.3, 0.6, 1.0, 1.0, 1.0, 1.0];
const SEED: u64 = 20_251;
/// Each is measured so many times.
const TIMES: usize = 15;

fn main() {
    let steps = |i: usize, j: usize| i.abs_diff(j).min(SCREWS - i.abs_diff(j)) as f64;
    let joint = Elastic::by_distance(&[150.0; SCREWS], 1.0 / 450.0, 0.5, steps)
        .expect("a ring of equal screws is a joint");
    let plan = Plan { orders: vec![ring_order(SCREWS); LEVELS.len()], levels: LEVELS.to_vec() };
    let start = Instant::now();
    let begun = worked(start);
    let draws = Draws::new(SEED, JOINTS, SCREWS, LEVELS.len());
    let drawn = worked(start) - begun;
    let as_json = std::env::args().any(|word| word == "--json");
    let mut lines = Vec::new();
    for (name, softness) in [("known", (1.0, 1.0)), ("unknown", (0.5, 2.0))] {
        let how = Scatter { friction_percent: 30.0, pull_percent: 8.0, softness };
        let mut seconds = Vec::new();
        let mut found = Vec::new();
        for _ in 0..TIMES {
            let begun = worked(start);
            found = scatter(&joint, &plan, &how, &draws).expect("the plan fits the joint");
            seconds.push(worked(start) - begun);
        }
        seconds.sort_by(f64::total_cmp);
        lines.push((name, seconds, found));
    }
    print(as_json, drawn, &lines);
}

/// Seconds of work of this thread; of the clock where the system does not tell.
fn worked(start: Instant) -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split_whitespace().next()?.parse::<f64>().ok());
    nanoseconds.map_or_else(|| start.elapsed().as_secs_f64(), |told| told / 1e9)
}

#[allow(clippy::print_stdout, reason = "a bench prints its table")]
fn print(as_json: bool, drawn: f64, lines: &[(&str, Vec<f64>, Vec<Spread>)]) {
    if !as_json {
        println!("draws: {:.1} ms", 1000.0 * drawn);
        for (name, seconds, found) in lines {
            let (least, middle) = (1000.0 * seconds[0], 1000.0 * seconds[TIMES / 2]);
            println!("{name} softness: least {least:.1} ms, median {middle:.1} ms");
            for round in found {
                println!(
                    "    {:.2} % median, {:.2} % most",
                    round.median_percent, round.most_percent
                );
            }
        }
        return;
    }
    let cases: Vec<String> = lines
        .iter()
        .map(|(name, seconds, found)| {
            let rounds: Vec<String> = found
                .iter()
                .map(|r| {
                    format!(
                        "[{:?},{:?},{:?},{}]",
                        r.median_percent, r.most_percent, r.least_share, r.slack
                    )
                })
                .collect();
            format!("{:?}:{{\"seconds\":{seconds:?},\"rounds\":[{}]}}", name, rounds.join(","))
        })
        .collect();
    println!("{{\"drawn\":{drawn},{}}}", cases.join(","));
}
