//! What the preference for orders that read well costs: minutes and points before and after, for
//! machine files with their job files (pairs on the command line, after `--`) and for 50 layered
//! machines. `cargo bench -p lastbolt-order --bench habit` prints the table of
//! `docs/performance.md`.

use std::time::Instant;

use lastbolt_files::{Source, read_job, read_machine};
use lastbolt_machine::{Extra, FileNo, JobSpec, Kernel, Machine, compile};
use lastbolt_order::{Ask, Habit, plan, tidy, untidiness};
use lastbolt_testkit::layered_machine;

const DEMOS: [&str; 3] = ["kelp", "tussock", "tarn"];

fn demo(name: &str) -> (Machine, JobSpec) {
    let folder = format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"));
    let read = |file: &str| {
        let path = format!("{folder}/{file}");
        Source::new(file, std::fs::read(path).expect("the demo can be read"))
    };
    let sources = [read("machine.toml"), read("job.toml")];
    (read_machine(&sources, FileNo(0)).0, read_job(&sources, FileNo(1)).0.job)
}

#[derive(Default)]
struct Sum {
    machines: u32,
    minutes: (f64, f64),
    points: (u64, u64),
    most: f64,
    seconds: f64,
}

impl Sum {
    fn take(&mut self, kernel: &Kernel) {
        let answer = plan(kernel, &Ask { nodes: 20_000, ..Ask::default() });
        let Some(before) = answer.plan() else { return };
        let start = Instant::now();
        let after = tidy(kernel, before.clone(), &Habit::default());
        self.seconds = self.seconds.max(start.elapsed().as_secs_f64());
        let more = after.minutes.as_number() / before.minutes.as_number() - 1.0;
        self.machines += 1;
        self.minutes.0 += before.minutes.as_number();
        self.minutes.1 += after.minutes.as_number();
        self.points.0 += untidiness(kernel, before);
        self.points.1 += untidiness(kernel, &after);
        self.most = self.most.max(more * 100.0);
    }

    #[allow(clippy::print_stdout, reason = "a bench prints its table")]
    fn print(&self, name: &str) {
        let Self { machines, minutes, points, most, seconds } = self;
        println!(
            "{name} | {machines} | {:.1} | {:.1} | {most:.2} | {} | {} | {:.0}",
            minutes.0,
            minutes.1,
            points.0,
            points.1,
            seconds * 1000.0
        );
    }
}

#[allow(clippy::print_stdout, reason = "a bench prints its table")]
fn main() {
    println!("what | machines | minutes | after | most % | points | after | most ms");
    for name in DEMOS {
        let (machine, job) = demo(name);
        let mut sum = Sum::default();
        sum.take(&compile(&machine, &job, &Extra::default()).expect("the demo is legal"));
        sum.print(name);
    }
    for actions in [40, 110] {
        let mut sum = Sum::default();
        for seed in 0..25 {
            let (machine, job) = layered_machine(seed, actions);
            sum.take(&compile(&machine, &job, &Extra::default()).expect("it is legal"));
        }
        sum.print(&format!("layered {actions}"));
    }
}
