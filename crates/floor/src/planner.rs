//! One thread a job: brings the kept list up to the record and publishes it.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

use lastbolt_ledger::Recorded;
use lastbolt_store::KeptPlan;

use crate::limits::NODES;
use crate::room::Room;
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
        let picture = room.latest().and(new, NODES);
        let plan = KeptPlan { made_at: picture.now.kept.seq, text: picture.now.kept.to_text() };
        room.publish(picture);
        writer.keep_plan(room.id.clone(), plan);
    }
}
