//! Every limit of the ledger in one place.

/// The most characters of an event's id.
pub const ID_CHARS_MAX: usize = 64;
/// The most characters of a name: thing, spot, tool, person, sender, gate.
pub const NAME_CHARS_MAX: usize = 200;
/// The most characters of a note.
pub const TEXT_CHARS_MAX: usize = 2000;
/// The most kinds of fixings in one handful.
pub const KINDS_MAX: usize = 40;
/// The most things that one question is about, on each side.
pub const NAMED_MAX: usize = 600;
/// The most rounds of one joint.
pub const ROUNDS_MAX: u32 = 100;
/// The most minutes that an entry can name: a year.
pub const MINUTES_MAX: u32 = 525_600;
/// The largest pieces number.
pub const PIECES_MAX: u32 = 10_000;
/// The largest sender's count and sequence number: what every JSON reader holds exactly.
pub const COUNT_MAX: u64 = (1 << 53) - 1;
/// The earliest time said \[ms since 1970, UTC\]: the year 1.
pub const SAID_AT_MS_MIN: i64 = -62_135_596_800_000;
/// The latest time said \[ms since 1970, UTC\]: the end of the year 9999.
pub const SAID_AT_MS_MAX: i64 = 253_402_300_799_999;
/// The most events of one job.
pub const EVENTS_MAX: usize = 200_000;
/// The most take-backs that may stand on one another (undo, redo, undo, ...).
pub const TAKE_BACK_DEPTH_MAX: u32 = 200;
