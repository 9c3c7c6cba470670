//! Random small machines with the rules that only forbid orders: bearing fixings (R23), open time
//! of sealant (R24), covers that wait for the leak look (R28).

use lastbolt_machine::{At, JobSpec, Machine, Minutes, Ref, Sited};

use crate::random::{Size, random_machine};
use crate::rng::Rng;

/// Makes the machine of [`random_machine`] with such rules added; the same for the same seed.
pub fn ruled_machine(seed: u64, size: &Size) -> (Machine, JobSpec) {
    let (mut machine, job) = random_machine(seed, size);
    let mut rng = Rng::new(seed ^ 0x05EA_1A27);
    let open_time = |rng: &mut Rng| {
        let halves = rng.between(0, 16) as i64;
        Some(Sited::new(Minutes(500 * halves), At::default()))
    };
    let bearing = [0, 30, 60][rng.below(3)];
    let sealed = [0, 20, 50][rng.below(3)];
    let covers = [0, 20, 50][rng.below(3)];
    for tie in &mut machine.ties {
        tie.bears = rng.percent(bearing);
        if rng.percent(sealed / 2) {
            tie.open_minutes = open_time(&mut rng);
        }
    }
    for part in &mut machine.parts {
        if rng.percent(sealed) {
            part.open_minutes = open_time(&mut rng);
        }
        if rng.percent(covers) {
            part.after = Some(Ref::bare("leak look"));
        }
    }
    (machine, job)
}
