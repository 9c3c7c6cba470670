//! One open job as requests see it: what is recorded, and the list from there.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, RwLock};

use lastbolt_job::view::{PlanView, Screen};
use lastbolt_job::{Case, Picture, Wishes};
use lastbolt_ledger::Recorded;
use lastbolt_store::JobId;
use tokio::sync::{broadcast, watch};

use crate::clock::now_ms;
use crate::limits::{CATCH_UP_TIME, SIZED_MAX, STREAM_LAG_MAX};
use crate::own::Own;
use crate::size_up::{SizeUp, size_up};

/// A job as of one record: never changed, replaced by the next.
pub(crate) type Snapshot = Picture;

/// What a stream tells.
#[derive(Clone, Debug)]
pub(crate) enum Told {
    /// Something was recorded; it is on the disk.
    Record(Arc<Recorded>),
    /// The list was brought up to the record with this number, and whether a better one may
    /// follow.
    Screen(u64, bool),
}

impl Told {
    /// Of the list of a snapshot.
    pub(crate) fn screen(snapshot: &Snapshot) -> Self {
        Self::Screen(snapshot.seen(), snapshot.now.kept.is_stopgap)
    }
}

/// The plan of a job that was not begun, or why there is none.
pub(crate) type PlanOrWhy = Result<PlanView, Vec<String>>;

/// Plans by the wishes they were made under, the oldest first.
type Plans = Vec<(Wishes, Arc<SizeUp>)>;

/// One open job.
#[derive(Debug)]
pub(crate) struct Room {
    pub(crate) id: JobId,
    pub(crate) title: String,
    /// Everything on the disk, for streams that catch up.
    records: RwLock<Vec<Arc<Recorded>>>,
    committed: AtomicU64,
    snapshot: watch::Sender<Arc<Snapshot>>,
    told: broadcast::Sender<Told>,
    /// The machine as it was known, and plans of it.
    sized: Mutex<(Arc<Case>, Plans)>,
}

impl Room {
    pub(crate) fn new(id: JobId, title: String, snapshot: Snapshot) -> Self {
        let records = snapshot.records.iter().cloned().map(Arc::new).collect();
        Self {
            id,
            title,
            committed: AtomicU64::new(snapshot.seen()),
            records: RwLock::new(records),
            sized: Mutex::new((snapshot.case.clone(), Vec::new())),
            snapshot: watch::Sender::new(Arc::new(snapshot)),
            told: broadcast::Sender::new(STREAM_LAG_MAX),
        }
    }

    /// Takes in what the writer has just put on the disk, and tells the streams.
    pub(crate) fn commit(&self, records: &[Recorded]) {
        let Some(last) = records.last() else { return };
        let records: Vec<Arc<Recorded>> = records.iter().cloned().map(Arc::new).collect();
        let mut all = self.records.write().unwrap_or_else(std::sync::PoisonError::into_inner);
        all.extend(records.iter().cloned());
        self.committed.store(last.seq, Ordering::Release);
        drop(all);
        for record in records {
            // Nobody listening is no failure.
            let _ = self.told.send(Told::Record(record));
        }
    }

    /// Puts a newer list in place of the one before.
    pub(crate) fn publish(&self, snapshot: Snapshot) {
        let told = Told::screen(&snapshot);
        self.snapshot.send_replace(Arc::new(snapshot));
        let _ = self.told.send(told);
    }

    /// Gives the list as of everything recorded when this is called, or the last one where that
    /// takes too long.
    pub(crate) async fn current(&self) -> Arc<Snapshot> {
        let wanted = self.committed.load(Ordering::Acquire);
        let mut watched = self.snapshot.subscribe();
        let caught_up = watched.wait_for(|snapshot| snapshot.seen() >= wanted);
        let waited = tokio::time::timeout(CATCH_UP_TIME, caught_up).await;
        drop(waited);
        self.latest()
    }

    /// Gives the list as it was published last.
    pub(crate) fn latest(&self) -> Arc<Snapshot> {
        self.snapshot.borrow().clone()
    }

    /// Gives the list as it was published last, in a garage that has this now: wrenches may be
    /// added while the job is open.
    pub(crate) fn in_garage(&self, own: &Own) -> Arc<Snapshot> {
        let now = own.text.is_some().then_some(&own.spec);
        self.snapshot.send_if_modified(|snapshot| {
            if snapshot.garage.as_deref() == now {
                return false;
            }
            let garage = now.cloned().map(Arc::new);
            *snapshot = Arc::new(Snapshot::clone(snapshot).in_garage(garage));
            true
        });
        self.latest()
    }

    /// Listens to what happens from now on.
    pub(crate) fn listen(&self) -> broadcast::Receiver<Told> {
        self.told.subscribe()
    }

    /// Gives the records on the disk after a number.
    pub(crate) fn since(&self, seq: u64) -> Vec<Arc<Recorded>> {
        let all = self.records.read().unwrap_or_else(std::sync::PoisonError::into_inner);
        let from = usize::try_from(seq).unwrap_or(usize::MAX).min(all.len());
        all[from..].to_vec()
    }

    /// Gives the working screen of a snapshot.
    pub(crate) fn screen(&self, snapshot: &Snapshot) -> Screen {
        snapshot.screen(now_ms())
    }

    /// Gives the plan from an untouched machine, as files and record know it, under wishes; each
    /// worked out once, one at a time. Slow: not for a thread that answers requests.
    pub(crate) fn sized(&self, case: &Arc<Case>, wishes: &Wishes) -> Arc<SizeUp> {
        let mut sized = self.sized.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let (of, known) = &mut *sized;
        if !is_same(of, case) {
            known.clear();
            of.clone_from(case);
        }
        if let Some((_, sized)) = known.iter().find(|(of, _)| of == wishes) {
            return Arc::clone(sized);
        }
        let sized = Arc::new(size_up(case, wishes));
        if known.len() >= SIZED_MAX {
            known.remove(0);
        }
        known.push((wishes.clone(), Arc::clone(&sized)));
        sized
    }
}

/// Whether two cases are about the same machine and ask the same of it.
fn is_same(one: &Arc<Case>, other: &Arc<Case>) -> bool {
    let (a, b) = (&one.model, &other.model);
    Arc::ptr_eq(one, other) || (a.machine == b.machine && a.job == b.job)
}
