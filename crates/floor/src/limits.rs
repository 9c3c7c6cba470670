//! Every limit of the server in one place.

use std::time::Duration;

/// The largest body of a request \[bytes\].
pub(crate) const BODY_BYTES_MAX: usize = 256 * 1024;
/// The most events in one request.
pub(crate) const EVENTS_MAX: usize = 100;
/// The most requests that wait for the writer.
pub(crate) const QUEUE_MAX: usize = 64;
/// The most waiting requests that go into one transaction.
pub(crate) const BATCH_REQUESTS_MAX: usize = 64;
/// The most requests at once; one more is asked to come again.
pub(crate) const REQUESTS_MAX: usize = 256;
/// The most streams at once.
pub(crate) const STREAMS_MAX: usize = 64;
/// How many records a stream may lag behind before it is cut off.
pub(crate) const STREAM_LAG_MAX: usize = 256;
/// The most jobs that are open at once.
pub(crate) const ROOMS_MAX: usize = 32;
/// The most unfinished jobs that the page of today looks into.
pub(crate) const TODAY_ROOMS_MAX: usize = 12;
/// How long a request may take, streams apart.
pub(crate) const REQUEST_TIME: Duration = Duration::from_secs(20);
/// How long it may take to send one picture and to take it in.
pub(crate) const PHOTO_TIME: Duration = Duration::from_secs(120);
/// The most pictures that are received at once: each is held in memory.
pub(crate) const PHOTO_BODIES_MAX: usize = 4;
/// The most things that are offered for a mark on a photo.
pub(crate) const MARKABLE_MAX: usize = 200;
/// How long a page waits for the list to be brought up to what was just recorded.
pub(crate) const CATCH_UP_TIME: Duration = Duration::from_secs(8);
/// How long requests that run may go on after the end was asked for.
pub(crate) const LEAVE_TIME: Duration = Duration::from_secs(3);
/// How often a stream says that it is still there.
pub(crate) const STREAM_BEAT: Duration = Duration::from_secs(15);
/// How many states the planner may look at when the rest of a list has to be mended.
pub(crate) const NODES: u64 = 5_000;
/// How many states the planner may look at for the page of the plan.
pub(crate) const PLAN_NODES: u64 = 8_000;
