//! Two halves of one question worked on at the same time, where the machine can. What comes of it
//! never depends on which is done first.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

/// How much comes off where both directions are worked on at the same time.
pub(crate) const LARGE: usize = 48;

/// How often it is asked whether to stop while only the one that may not ask is still at work.
const ASKED_EVERY: Duration = Duration::from_millis(5);

/// Works on both, the second one here and the first one beside it if it is `worth` a thread.
pub(crate) fn both<A: Send, B>(
    worth: bool,
    first: impl FnOnce() -> A + Send,
    second: impl FnOnce() -> B,
) -> (A, B) {
    both_until(worth, &|| false, |_| first(), |_| second())
}

/// The same; each is given what tells it whether to stop.
pub(crate) fn both_until<A: Send, B>(
    worth: bool,
    stop: &dyn Fn() -> bool,
    first: impl FnOnce(&dyn Fn() -> bool) -> A + Send,
    second: impl FnOnce(&dyn Fn() -> bool) -> B,
) -> (A, B) {
    static CORES: OnceLock<usize> = OnceLock::new();
    let cores = || *CORES.get_or_init(|| thread::available_parallelism().map_or(1, usize::from));
    if !worth || cores() < 2 {
        return (first(stop), second(stop));
    }
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
            // Only the one here may ask; the other one is told.
            let found = first(&|| is_told.load(Ordering::Relaxed));
            is_done.store(true, Ordering::Release);
            here.unpark();
            found
        });
        let found = second(&ask);
        while !is_done.load(Ordering::Acquire) && !beside.is_finished() {
            ask();
            thread::park_timeout(ASKED_EVERY);
        }
        (beside.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)), found)
    })
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    /// Both are done, whether beside each other or not, and the one that may not ask is told to
    /// stop though the other one is done already.
    #[test]
    fn both_are_done_and_told() {
        for worth in [true, false] {
            assert_eq!(both(worth, || 1, || 2), (1, 2));
            let asked = Cell::new(0);
            let stop = || {
                asked.set(asked.get() + 1);
                asked.get() > 3
            };
            let until_told = |stops: &dyn Fn() -> bool| while !stops() {};
            both_until(worth, &stop, until_told, |_| ());
            assert!(asked.get() > 3);
        }
    }
}
