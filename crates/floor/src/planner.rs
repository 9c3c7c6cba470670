//! One thread a job: brings the kept list up to the record and publishes it.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;
use std::time::Duration;

use lastbolt_ledger::Recorded;
use lastbolt_store::KeptPlan;

use crate::limits::{MEND_TIME, NODES};
use crate::room::{Room, Snapshot};
use crate::writer::Writer;

/// Starts the thread of a room; it ends when the sender is dropped.
///
/// # Errors
/// Fails when the system gives no thread.
pub(crate) fn start(room: Arc<Room>, writer: Writer) -> std::io::Result<Sender<Vec<Recorded>>> {
    let (sender, receiver) = channel();
    let name = "lastbolt list".to_owned();
    thread::Builder::new().name(name).spawn(move || follow(&room, &writer, &receiver))?;
    Ok(sender)
}

/// What waits is bounded by the records of one job, which are in memory anyway.
fn follow(room: &Room, writer: &Writer, receiver: &Receiver<Vec<Recorded>>) {
    while let Ok(mut new) = receiver.recv() {
        while let Ok(more) = receiver.try_recv() {
            new.extend(more);
        }
        let before = room.latest();
        let mended = |new| before.and(new, NODES);
        let Some(picture) = brought_up(room, new, MEND_TIME, mended) else { return };
        let plan = KeptPlan { made_at: picture.now.kept.seq, text: picture.now.kept.to_text() };
        room.publish(picture);
        writer.keep_plan(room.id.clone(), plan);
    }
}

/// The picture with what is new. Where mending the list takes longer than `patience`, one that was
/// made at once is shown until then; sooner than that it would only move twice under the thumb.
fn brought_up(
    room: &Room,
    new: Vec<Recorded>,
    patience: Duration,
    mended: impl FnOnce(Vec<Recorded>) -> Snapshot + Send,
) -> Option<Snapshot> {
    let at_once = room.latest().and(new.clone(), 0);
    if !at_once.now.kept.is_stopgap {
        return Some(at_once);
    }
    thread::scope(|scope| {
        let (sender, receiver) = channel();
        scope.spawn(move || sender.send(Box::new(mended(new))));
        match receiver.recv_timeout(patience) {
            Ok(picture) => Some(*picture),
            Err(_) => {
                room.publish(at_once);
                receiver.recv().ok().map(|picture| *picture)
            }
        }
    })
}

#[cfg(test)]
mod tests {
    use lastbolt_files::Source;
    use lastbolt_job::{Picture, read_case};
    use lastbolt_ledger::{Accepted, Event, EventId, Log, Verb};
    use lastbolt_store::JobId;

    use super::*;
    use crate::room::Told;
    use crate::tests::ship::MACHINE;

    /// What was told while a record that is out of order was taken in, by a planner that is slow
    /// (it waits until a list is shown) or not; and whether the list may still change after it.
    fn told(slow: bool, patience: Duration) -> (Vec<bool>, bool) {
        let source = Source::new("machine.toml", MACHINE.as_bytes().to_vec());
        let case = Arc::new(read_case(&[source]).expect("it is right").case);
        let id = JobId::new("2026-11-26-pump").expect("it is an id");
        let room = Room::new(id, String::new(), Picture::of(case, Vec::new(), None, NODES));
        let event = Event {
            thing: Some("cover".to_owned()),
            ..Event::new(EventId::new("e1").expect("it is an id"), "test", 1, 0, 1, Verb::Off)
        };
        let mut log = Log::default();
        assert_eq!(log.accept(event, 1), Accepted::New(1));
        let mut live = room.listen();
        let before = room.latest();
        let mended = |new| {
            while slow && room.latest().seen() == 0 {
                thread::yield_now();
            }
            before.and(new, NODES)
        };
        let picture = brought_up(&room, log.records().to_vec(), patience, mended);
        let picture = picture.expect("it is mended");
        let mut all = Vec::new();
        while let Ok(Told::Screen(seen, may_change)) = live.try_recv() {
            assert_eq!(seen, 1);
            all.push(may_change);
        }
        (all, picture.now.kept.is_stopgap)
    }

    /// A list made at once is shown, marked so, only where mending takes longer than the patience.
    #[test]
    fn a_list_at_once_only_where_mending_takes_long() {
        assert_eq!(told(true, Duration::ZERO), (vec![true], false));
        assert_eq!(told(false, Duration::from_secs(60)), (Vec::new(), false));
    }
}
