//! Every limit of the server in one place.

use std::time::Duration;

/// The largest body of a request \[bytes\].
pub(crate) const BODY_BYTES_MAX: usize = 256 * 1024;
/// The largest list from a spreadsheet \[bytes\].
pub(crate) const LIST_BYTES_MAX: usize = 2 * 1024 * 1024;
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
/// The most jobs under one heading of the page of today.
pub(crate) const TODAY_LINES_MAX: usize = 2_000;
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
/// How often a stream says that it is still there; scripts wait a little more than two beats.
pub(crate) const STREAM_BEAT: Duration = Duration::from_secs(4);
/// How many states the planner may look at when the rest of a list has to be mended.
pub(crate) const NODES: u64 = 5_000;
/// How long a list may take to be mended before one is shown that was made at once.
pub(crate) const MEND_TIME: Duration = Duration::from_millis(600);
/// How many states the planner may look at for the page of the plan.
pub(crate) const PLAN_NODES: u64 = 8_000;
/// How many states the planner may look at for each of the other ways in.
pub(crate) const WAYS_NODES: u64 = 2_000;
/// How long the other ways in are looked for.
pub(crate) const WAYS_TIME: Duration = Duration::from_secs(3);
/// The most wishes that a plan is looked at under.
pub(crate) const WISHES_MAX: usize = 8;
/// How many plans under wishes are kept in memory for each job.
pub(crate) const SIZED_MAX: usize = 16;
/// How long a code for phones is good.
pub(crate) const CODE_TIME: Duration = Duration::from_secs(10 * 60);
/// The most codes that are good at once: one a job.
pub(crate) const CODES_MAX: usize = 32;
/// The time in which wrong codes are counted.
pub(crate) const TRIES_TIME: Duration = Duration::from_secs(60);
/// The most wrong codes in that time from one address.
pub(crate) const TRIES_FROM_ONE_MAX: usize = 5;
/// The most wrong codes in that time in all.
pub(crate) const TRIES_MAX: usize = 30;
/// The most jobs that one phone is let in to.
pub(crate) const PHONE_JOBS_MAX: usize = 16;
/// How long a phone that is not heard stays in \[ms\]: half a year.
pub(crate) const PHONE_TIME_MS: i64 = 180 * 24 * 60 * 60 * 1000;
/// The most requests at once of phones that are not let in.
pub(crate) const STRANGERS_MAX: usize = 16;
/// The largest body of a phone that is not let in \[bytes\].
pub(crate) const STRANGER_BYTES_MAX: usize = 1024;
/// The most cookies of one request that are looked at.
pub(crate) const COOKIES_MAX: usize = 8;

/// Joints that are drawn for the estimate on a joint's card.
pub(crate) const STUDY_JOINTS: usize = 1_000;
/// With more screws than this a tenth of them are drawn, so that the page comes at once.
pub(crate) const STUDY_SCREWS: u32 = 40;
/// From this seed.
pub(crate) const STUDY_SEED: u64 = 1;
