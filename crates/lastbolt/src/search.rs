//! The planner's limits as a person sets them: time, states, Ctrl-C; and what is said meanwhile.

use std::cell::Cell;
use std::io::{self, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use crate::context::is_watched;

/// After how long a silent search says that it still runs, and how often again.
const SAY_EVERY: Duration = Duration::from_secs(1);

/// A time that runs from now.
pub(crate) struct Limit {
    began: Instant,
    time: Duration,
}

impl Limit {
    pub(crate) fn new(time: Duration) -> Self {
        Self { began: Instant::now(), time }
    }

    pub(crate) fn is_over(&self) -> bool {
        self.began.elapsed() >= self.time
    }
}

/// Why a search ended before the planner was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ended {
    /// The planner ended by itself: proved, or at its number of states.
    ByItself,
    /// The time was over.
    Time,
    /// Somebody pressed Ctrl-C.
    Stopped,
}

/// Watches over one search.
pub(crate) struct Watch {
    limit: Limit,
    interrupted: Arc<AtomicBool>,
    said: Cell<Duration>,
    ended: Cell<Ended>,
    is_watched: bool,
}

impl Watch {
    pub(crate) fn new(time: Duration, interrupted: Arc<AtomicBool>) -> Self {
        Self {
            limit: Limit::new(time),
            interrupted,
            said: Cell::new(Duration::ZERO),
            ended: Cell::new(Ended::ByItself),
            is_watched: is_watched(),
        }
    }

    /// Says whether to end after a share of the time (2: half of it); the planner asks this now and
    /// then.
    pub(crate) fn stop_after(&self, share: u32) -> bool {
        if self.interrupted.load(Ordering::Relaxed) {
            self.ended.set(Ended::Stopped);
            return true;
        }
        if self.limit.began.elapsed() >= self.limit.time / share {
            self.ended.set(Ended::Time);
            return true;
        }
        self.say();
        false
    }

    /// The same for the whole time, for searches beside each other: says nothing meanwhile.
    pub(crate) fn quiet(&self) -> impl Fn() -> bool + Send + Sync + use<> {
        let interrupted = Arc::clone(&self.interrupted);
        let (began, time) = (self.limit.began, self.limit.time);
        move || interrupted.load(Ordering::Relaxed) || began.elapsed() >= time
    }

    /// Clears what was said meanwhile and tells why it ended.
    pub(crate) fn end(&self) -> Ended {
        if self.said.get() > Duration::ZERO {
            write_over("");
        }
        self.ended.get()
    }

    fn say(&self) {
        let past = self.limit.began.elapsed();
        if self.is_watched && past >= self.said.get() + SAY_EVERY {
            self.said.set(past);
            let (now, all) = (past.as_secs(), self.limit.time.as_secs());
            write_over(&format!(
                "Looking for a better order: {now} of {all} s (Ctrl-C gives the best so far)"
            ));
        }
    }
}

/// Writes over the last line of standard error.
fn write_over(text: &str) {
    let mut err = io::stderr();
    let _ = write!(err, "\r\x1b[K{text}");
    let _ = err.flush();
}

/// Makes Ctrl-C raise a flag; a second one ends the process.
pub(crate) fn on_interrupt() -> Arc<AtomicBool> {
    let flag = Arc::new(AtomicBool::new(false));
    let raised = Arc::clone(&flag);
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    // Without it Ctrl-C simply ends the process, as everywhere.
    if let Ok(runtime) = runtime {
        thread::spawn(move || {
            runtime.block_on(async {
                if tokio::signal::ctrl_c().await.is_ok() {
                    raised.store(true, Ordering::Relaxed);
                    let _ = tokio::signal::ctrl_c().await;
                    std::process::exit(130);
                }
            });
        });
    }
    flag
}
