//! What a job opens: some deep things and all that they ask for, in both directions.

use lastbolt_machine::{Direction, Kernel, KernelWay, Kind, Machine, Set, ThingNo};

use super::sound::{comes_apart, compiled, goes_back};
use crate::rng::Rng;

/// How many of a hundred fixings a job has to open at least.
const SHARE: usize = 65;

/// Draws what a job opens, by name (set-ups of places among them); everything in about half the
/// cases.
pub(super) fn deep_set(machine: &Machine, rng: &mut Rng) -> Vec<String> {
    let Some(kernel) = compiled(machine) else { return Vec::new() };
    let all: Set = kernel.all().collect();
    let mut set = all.clone();
    if rng.percent(50) {
        let things: Vec<ThingNo> =
            kernel.all().filter(|&t| kernel.thing(t).kind != Kind::Prep).collect();
        let mut some = kernel.no_things();
        for _ in 0..200 {
            let Some(&target) = rng.pick(&things) else { break };
            some.add(target);
            close_over(&kernel, &mut some);
            if 100 * ties(&kernel, &some) >= SHARE * ties(&kernel, &all) {
                break;
            }
        }
        if comes_apart(&kernel, &some) && goes_back(&kernel, &some) {
            set = some;
        }
    }
    set.iter().map(|thing| kernel.name(thing).to_owned()).collect()
}

fn ties(kernel: &Kernel, set: &Set) -> usize {
    set.iter().filter(|&thing| kernel.thing(thing).kind == Kind::Tie).count()
}

/// Adds what the things of a set ask for: by their first ways where no way is satisfied.
fn close_over(kernel: &Kernel, set: &mut Set) {
    loop {
        let before = set.len();
        for thing in set.iter().collect::<Vec<_>>() {
            let it = kernel.thing(thing);
            if it.kind == Kind::Part {
                set.extend(it.ties.iter().copied().filter(|tie| !it.stays.contains(tie)));
            }
            for direction in [Direction::Strip, Direction::Build] {
                let ways = kernel.ways(thing, direction);
                let asked = |way: &KernelWay| {
                    let clear = way.clear.iter().chain(&way.needs).chain(&way.spot_needs);
                    clear.copied().collect::<Vec<_>>()
                };
                let done = ways.iter().any(|way| asked(way).iter().all(|&t| set.has(t)));
                if let (false, Some(first)) = (done, ways.first()) {
                    set.extend(asked(first));
                }
                let at_bench =
                    ways.iter().any(|way| way.spot == Some(lastbolt_machine::kernel::BENCH));
                if at_bench {
                    set.extend(it.rides);
                    set.extend(it.ties.iter().copied());
                    set.extend(carriers(kernel, thing));
                }
            }
        }
        if set.len() == before {
            return;
        }
    }
}

/// The parts that a bench fixing lies on.
fn carriers(kernel: &Kernel, tie: ThingNo) -> Vec<ThingNo> {
    let joined = kernel.thing(tie).joins.iter().filter_map(|end| match end {
        lastbolt_machine::End::Part(part) => Some(*part),
        lastbolt_machine::End::Fixed(_) => None,
    });
    joined.filter(|&part| kernel.thing(part).rides.is_none()).collect()
}
