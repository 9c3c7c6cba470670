//! Published Sequential Ordering instances: what is found in a given time on one core.
//!
//! `cargo bench -p lastbolt-order --bench sop -- --data DIR [--seconds S] [--nodes N] [--seed N]
//! [--write DIR] [--most ITEMS] [--only NAME]...` prints the table of `docs/performance.md`;
//! `--data` (or `LASTBOLT_SOP_DATA`) is the folder of the instances (`*.sop`, `*.sop.gz`) with
//! their `best-known.csv`. With `--write` the orders are written as one file each, for
//! `peers/sop_check.py`.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::time::{Duration, Instant};

use lastbolt_order::changeover::{Found, Jobs, Limits, order};
use lastbolt_testkit::read_sequencing;

struct Wanted {
    data: PathBuf,
    seconds: f64,
    nodes: u64,
    seed: u64,
    most: usize,
    write: Option<PathBuf>,
    only: Vec<String>,
}

#[allow(clippy::print_stdout, clippy::print_stderr, reason = "a bench prints its table")]
fn main() -> ExitCode {
    match wanted(std::env::args().skip(1)).and_then(|wanted| run(&wanted)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(text) => {
            eprintln!("sop: {text}");
            ExitCode::FAILURE
        }
    }
}

fn wanted(words: impl Iterator<Item = String>) -> Result<Wanted, String> {
    let mut wanted = Wanted {
        data: std::env::var_os("LASTBOLT_SOP_DATA").map(PathBuf::from).unwrap_or_default(),
        seconds: 10.0,
        nodes: u64::MAX,
        seed: 1,
        most: usize::MAX,
        write: None,
        only: Vec::new(),
    };
    let mut words = words.filter(|word| word != "--bench");
    while let Some(word) = words.next() {
        let value = words.next().ok_or(format!("{word} wants a value."))?;
        let bad = |_| format!("{word} wants a number, not \"{value}\".");
        match word.as_str() {
            "--data" => wanted.data = value.into(),
            "--write" => wanted.write = Some(value.into()),
            "--only" => wanted.only.push(value),
            "--seconds" => {
                wanted.seconds =
                    value.parse().map_err(|_| "--seconds wants a number.".to_owned())?;
            }
            "--nodes" => wanted.nodes = value.parse().map_err(bad)?,
            "--seed" => wanted.seed = value.parse().map_err(bad)?,
            "--most" => wanted.most = value.parse().map_err(bad)?,
            _ => return Err(format!("{word} is not known; see the head of benches/sop.rs.")),
        }
    }
    if wanted.data.as_os_str().is_empty() {
        return Err("where are the instances? Give --data DIR or set LASTBOLT_SOP_DATA.".into());
    }
    Ok(wanted)
}

#[allow(clippy::print_stdout, reason = "a bench prints its table")]
fn run(wanted: &Wanted) -> Result<(), String> {
    let known = best_known(&wanted.data.join("best-known.csv"))?;
    println!(
        "instance | items | best known | found | gap % | bound | proved | best after s | nodes"
    );
    let mut gaps = Vec::new();
    for (name, (_, best)) in &known {
        if !wanted.only.is_empty() && !wanted.only.iter().any(|only| name.contains(only)) {
            continue;
        }
        let read = read_sequencing(&text_of(&wanted.data, name)?);
        let instance = read.map_err(|error| format!("{name}: {error}"))?;
        if instance.costs.len() > wanted.most {
            continue;
        }
        let jobs = Jobs::new(&instance.costs, &instance.befores)
            .map_err(|error| format!("{name}: {error}"))?;
        let (found, seconds) = search(&jobs, wanted);
        let gap = (found.cost - best) as f64 / *best as f64 * 100.0;
        gaps.push(gap);
        let proved = if found.proved() { "yes" } else { "" };
        println!(
            "{name} | {} | {best} | {} | {gap:.2} | {} | {proved} | {seconds:.2} | {}",
            jobs.count(),
            found.cost,
            found.bound,
            found.nodes,
        );
        if let Some(folder) = &wanted.write {
            write(folder, name, &found)?;
        }
    }
    let exact = gaps.iter().filter(|gap| **gap <= 0.0).count();
    let near = gaps.iter().filter(|gap| **gap <= 1.0).count();
    println!("{} instances: {exact} at the best known, {near} within 1 %", gaps.len());
    Ok(())
}

/// Searches, and says after how many seconds the best was found.
fn search(jobs: &Jobs, wanted: &Wanted) -> (Found, f64) {
    let start = Instant::now();
    let spent_before = on_the_core();
    let spent = || match (spent_before, on_the_core()) {
        (Some(before), Some(now)) => (now - before).as_secs_f64(),
        _ => start.elapsed().as_secs_f64(),
    };
    let (best_after, looked) = (Cell::new(0.0), Cell::new(start));
    let limits = Limits {
        nodes: wanted.nodes,
        seed: wanted.seed,
        stop: &|| {
            // Looking at the clock of the core takes a while: once in two thousandths of a second.
            if looked.get().elapsed() < Duration::from_millis(2) {
                return false;
            }
            looked.set(Instant::now());
            spent() > wanted.seconds
        },
        better: &|_, _| best_after.set(spent()),
    };
    (order(jobs, &limits), best_after.get())
}

/// How long this program has had a core, so that others on the machine do not count; `None` where
/// the system does not say (then it is the time that passed).
fn on_the_core() -> Option<Duration> {
    let text = fs::read_to_string("/proc/self/schedstat").ok()?;
    text.split_whitespace().next()?.parse().ok().map(Duration::from_nanos)
}

/// Lower bound (none: 0) and best known value of each instance.
fn best_known(path: &Path) -> Result<BTreeMap<String, (i64, i64)>, String> {
    let text = fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))?;
    let mut known = BTreeMap::new();
    for (number, line) in text.lines().enumerate().skip(1) {
        let wrong = || format!("{} line {}: no best value", path.display(), number + 1);
        let mut fields = line.split(',');
        let (name, low) = (fields.next(), fields.next());
        let best = fields.next().and_then(|best| best.parse().ok()).ok_or_else(wrong)?;
        let low = low.and_then(|low| low.parse().ok()).unwrap_or(0);
        known.insert(name.unwrap_or_default().to_owned(), (low, best));
    }
    Ok(known)
}

/// The text of an instance, unpacked where it is packed.
fn text_of(folder: &Path, name: &str) -> Result<String, String> {
    let plain = folder.join(name);
    if plain.exists() {
        return fs::read_to_string(&plain).map_err(|error| format!("{name}: {error}"));
    }
    let packed = folder.join(format!("{name}.gz"));
    let output = Command::new("gzip").arg("-dc").arg(&packed).output();
    let output = output.map_err(|error| format!("gzip is wanted to read {name}.gz: {error}"))?;
    if !output.status.success() {
        return Err(format!("{}: {}", packed.display(), String::from_utf8_lossy(&output.stderr)));
    }
    String::from_utf8(output.stdout).map_err(|_| format!("{name} is no text."))
}

/// One item a line, counted from 1 as in the instance, after a line with the claims.
fn write(folder: &Path, name: &str, found: &Found) -> Result<(), String> {
    let mut text = format!("cost {} bound {}\n", found.cost, found.bound);
    for item in &found.order {
        text += &format!("{}\n", item + 1);
    }
    let path = folder.join(format!("{name}.order"));
    let done = fs::create_dir_all(folder).and_then(|()| fs::write(&path, text));
    done.map_err(|error| format!("{}: {error}", path.display()))
}
