//! Two threads for the two halves of the planner's question.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use lastbolt_order::{Hands, Stop, in_turn};

/// How often it is asked whether to stop while only the other thread is still at work.
const ASKED_EVERY: Duration = Duration::from_millis(5);

/// Gives the planner as many hands as the machine has: two threads, or one where it has one core.
pub fn hands() -> &'static Hands {
    static CORES: OnceLock<usize> = OnceLock::new();
    let cores = *CORES.get_or_init(|| thread::available_parallelism().map_or(1, usize::from));
    if cores < 2 { &in_turn } else { &side_by_side }
}

/// The first half by a thread of its own, the second one here. Only here it is asked whether to
/// stop; the other one is told. A panic of either is the caller's.
fn side_by_side(
    stop: Stop<'_>,
    first: &mut (dyn FnMut(Stop<'_>) + Send),
    second: &mut dyn FnMut(Stop<'_>),
) {
    let (is_told, is_done) = (AtomicBool::new(false), AtomicBool::new(false));
    let ask = || {
        let stops = stop();
        if stops {
            is_told.store(true, Ordering::Relaxed);
        }
        stops
    };
    let here = thread::current();
    thread::scope(|scope| {
        let beside = scope.spawn(|| {
            first(&|| is_told.load(Ordering::Relaxed));
            is_done.store(true, Ordering::Release);
            here.unpark();
        });
        second(&ask);
        while !is_done.load(Ordering::Acquire) && !beside.is_finished() {
            ask();
            thread::park_timeout(ASKED_EVERY);
        }
        if let Err(panic) = beside.join() {
            std::panic::resume_unwind(panic);
        }
    });
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    /// Both halves are done, and the one that may not ask is told to stop though the other one is
    /// done already.
    #[test]
    fn both_are_done_and_told() {
        let asked = Cell::new(0);
        let stop = || {
            asked.set(asked.get() + 1);
            asked.get() > 3
        };
        let (mut first, mut second) = (false, false);
        let mut until_told = |stops: Stop<'_>| {
            while !stops() {
                thread::yield_now();
            }
            first = true;
        };
        side_by_side(&stop, &mut until_told, &mut |_| second = true);
        assert!(first && second && asked.get() > 3);
    }
}
