//! The time that a process had a core for, so that a busy machine does not count; by the clock
//! where the system does not tell.

use std::fs;
use std::sync::LazyLock;
use std::time::Instant;

static BEGAN: LazyLock<Instant> = LazyLock::new(Instant::now);

/// Seconds of this process's own time so far.
pub(crate) fn seconds() -> f64 {
    let began = *BEGAN;
    let text = fs::read_to_string("/proc/self/schedstat").unwrap_or_default();
    let nanoseconds = text.split_whitespace().next().and_then(|word| word.parse::<f64>().ok());
    nanoseconds.map_or_else(|| began.elapsed().as_secs_f64(), |spent| spent / 1e9)
}
