//! What happened: events, and their fold into the job's state. Pure: ids only, it does not know
//! the machine; no I/O, no clock.
//!
//! * [`Event`]: one thing that somebody recorded, with an id made by the sender;
//! * [`Log`]: the append-only list; it accepts each event once and gives it a sequence number;
//! * [`State`]: the fold of that list. Undo is an event that names what it undoes
//!   ([`Verb::TakeBack`]), nothing is ever removed;
//! * [`steps`]: the same fold one record at a time;
//! * [`history`]: every record with what became of it.
//!
//! How to add a verb: 1. a variant and its text in [`Verb`], at the end; 2. what it must carry in
//! `event.rs`; 3. what it does in `apply.rs`; 4. a row in the tests of `tests/fold.rs`.

mod apply;
mod disagree;
mod event;
mod limits;
mod log;
mod more;
mod state;
mod steps;
mod verb;
mod withdraw;

pub use disagree::Disagreement;
pub use event::{Event, EventError, EventId};
pub use limits::{
    COUNT_MAX, EVENTS_MAX, ID_CHARS_MAX, KINDS_MAX, MINUTES_MAX, NAME_CHARS_MAX, NAMED_MAX,
    PIECES_MAX, ROUNDS_MAX, SAID_AT_MS_MAX, SAID_AT_MS_MIN, TAKE_BACK_DEPTH_MAX, TEXT_CHARS_MAX,
};
pub use log::{Accepted, Log, LogError, Recorded, Refusal};
pub use more::{FACTS, GIVEN_UP, More, Stands, TookPart, TookTie};
pub use state::{
    GatePass, Kept, Left, Look, Mark, Noted, Resumed, Round, Settled, Standing, State, Stated, Tick,
};
pub use steps::{Entry, Steps, history, steps};
pub use verb::Verb;
