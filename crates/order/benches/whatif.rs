//! How long it takes to say what renewing one thing more adds, on the demo Tarn: what its job file
//! considers and as many others as make thirty. `cargo bench -p lastbolt-order --bench whatif`
//! prints the lines of `docs/performance.md`.

mod own_time;

use lastbolt_files::{Source, read_job, read_machine};
use lastbolt_machine::{Extra, FileNo, JobSpec, Kernel, Kind, Machine, Ref, compile};
use lastbolt_order::{Ask, Plan, more_also, plan, plan_also};

/// How many states the search for the base may look at.
const NODES: u64 = 3_000;
const CANDIDATES: usize = 30;

fn demo(name: &str) -> (Machine, JobSpec) {
    let folder = format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"));
    let read = |file: &str| {
        let path = format!("{folder}/{file}");
        Source::new(file, std::fs::read(path).expect("the demo can be read"))
    };
    let sources = [read("machine.toml"), read("job.toml")];
    (read_machine(&sources, FileNo(0)).0, read_job(&sources, FileNo(1)).0.job)
}

/// What is considered, then every other part that the base leaves on.
fn candidates(job: &JobSpec, kernel: &Kernel, base: &Plan) -> Vec<String> {
    let mut names: Vec<String> = job.consider.iter().map(|name| name.value.clone()).collect();
    let parts = kernel.all().filter(|&t| kernel.thing(t).kind == Kind::Part && !base.off.has(t));
    names.extend(parts.map(|part| kernel.name(part).to_owned()));
    let mut seen = std::collections::BTreeSet::new();
    names.retain(|name| seen.insert(name.clone()));
    names.truncate(CANDIDATES);
    names
}

#[allow(clippy::print_stdout, reason = "a bench prints its table")]
fn main() {
    let nodes = std::env::args().skip_while(|word| word != "--nodes").nth(1);
    let nodes: u64 = nodes.and_then(|word| word.parse().ok()).unwrap_or(0);
    let (machine, job) = demo("tarn");
    let compiled = |job: &JobSpec| compile(&machine, job, &Extra::default()).expect("it is legal");
    let kernel = compiled(&job);
    let start = own_time::seconds();
    let answer = plan(&kernel, &Ask { nodes: NODES, ..Ask::default() });
    let base = answer.plan().expect("an order");
    println!(
        "base {} (bound {}), {:.2} s",
        base.minutes,
        base.bound,
        (own_time::seconds() - start)
    );
    let (mut found, mut asked) = (0, 0);
    let all = own_time::seconds();
    for name in candidates(&job, &kernel, base) {
        let mut job = job.clone();
        job.renew.push(Ref::bare(name.clone()));
        let start = own_time::seconds();
        let with = compiled(&job);
        let answer = plan_also(&with, base, &Ask { nodes, ..Ask::default() });
        let ms = (own_time::seconds() - start) * 1000.0;
        asked += 1;
        found += usize::from(answer.plan().is_some());
        match more_also(&with, &answer, base, false) {
            Some(more) => println!(
                "{name} | {} | {} | {} | {ms:.0}",
                more.minutes.map_or("-".to_owned(), |minutes| minutes.to_string()),
                more.at_least,
                more.at_most.map_or("-".to_owned(), |minutes| minutes.to_string()),
            ),
            None => println!("{name} | cannot be | | | {ms:.0}"),
        }
    }
    println!("{found} of {asked} with an order, {:.2} s together", (own_time::seconds() - all));
}
