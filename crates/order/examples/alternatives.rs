//! On how many fixings of seeded layered machines an alternative matters: those where it changes
//! the least minutes or what comes off, when the way that the best order takes is ruled out.
//! `alternatives SIZE FIRST LAST`; docs/performance.md has the table.
use lastbolt_machine::{Extra, Kernel, ThingNo, compile};
use lastbolt_order::{Ask, Plan, plan};
use lastbolt_testkit::layered_machine;

const NODES: u64 = 20_000;

/// The ways that an order takes to open and to close a thing.
fn taken(kernel: &Kernel, best: &Plan, thing: ThingNo) -> [Option<usize>; 2] {
    let of = |steps: &[lastbolt_order::Step], ways: usize| {
        let step = steps.iter().find(|step| step.thing == thing && step.minutes.0 > 0);
        step.map(|step| step.way).filter(|_| ways > 1)
    };
    let it = kernel.thing(thing);
    [of(&best.strip, it.ways.len()), of(&best.build, it.back.len())]
}

#[allow(clippy::print_stdout, reason = "it is run by hand")]
fn main() {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>().expect("a number"));
    let size = args.next().unwrap_or(110);
    let (first, last) = (args.next().unwrap_or(0), args.next().unwrap_or(10));
    let ask = Ask { nodes: NODES, ..Ask::default() };
    let (mut tried, mut matter, mut open) = (0, 0, 0);
    for seed in first..last {
        let (machine, job) = layered_machine(seed, size as usize);
        let kernel = compile(&machine, &job, &Extra::default()).expect("it is legal");
        let answer = plan(&kernel, &ask);
        let Some(best) = answer.plan().filter(|best| best.proved) else {
            println!("{size} {seed}: not proved, left out");
            continue;
        };
        let mut here = [0, 0];
        for thing in kernel.all() {
            let [way, back] = taken(&kernel, best, thing);
            if way.is_none() && back.is_none() {
                continue;
            }
            let mut without = kernel.clone();
            if let Some(way) = way {
                without.things[thing.0].ways.remove(way);
            }
            if let Some(back) = back {
                without.things[thing.0].back.remove(back);
            }
            here[0] += 1;
            let other = plan(&without, &ask);
            match other.plan().filter(|other| other.proved) {
                Some(other) => {
                    let differs = other.minutes != best.minutes || other.off != best.off;
                    here[1] += u32::from(differs);
                }
                None => open += 1,
            }
        }
        println!(
            "{size} {seed}: {} fixings and parts with alternatives, {} matter",
            here[0], here[1]
        );
        tried += here[0];
        matter += here[1];
    }
    println!("{size}: {tried} tried, {matter} matter, {open} not proved");
}
