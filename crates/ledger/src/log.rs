//! The append-only list of events, and what is accepted into it.

use std::collections::HashMap;
use std::fmt;

use crate::event::{Event, EventError, EventId};
use crate::limits::{EVENTS_MAX, TAKE_BACK_DEPTH_MAX};
use crate::verb::Verb;

/// Holds an accepted event with its number and the time it was recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recorded {
    /// Its sequence number: 1, 2, 3, ... in the order of acceptance.
    pub seq: u64,
    /// When it was recorded \[ms since 1970, UTC\], by the recorder's clock.
    pub recorded_at_ms: i64,
    /// What was sent.
    pub event: Event,
}

/// Says what became of an event that was sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Accepted {
    /// It was recorded under this number.
    New(u64),
    /// The very same had been recorded before, under this number; nothing was added.
    Same(u64),
    /// It was not recorded; the sender keeps it.
    Refused(Refusal),
}

/// Says why an event was not recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Refusal {
    /// Something in it is wrong.
    Event(EventError),
    /// The id was recorded before with other content.
    OtherContent {
        /// The id.
        id: EventId,
        /// Under which number.
        seq: u64,
    },
    /// A take-back names an event that is not recorded.
    NothingToTakeBack {
        /// The id it names.
        of: EventId,
    },
    /// Too many take-backs stand on one another.
    TakenBackTooOften {
        /// The id it names.
        of: EventId,
    },
    /// The job has as many events as it may have.
    Full,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::Event(error) => error.fmt(f),
            Refusal::OtherContent { id, seq } => write!(
                f,
                "An entry with the id {id} is already recorded as number {seq} and says \
                 something else; the recorded one stays. Send yours again under a new id if it \
                 is meant."
            ),
            Refusal::NothingToTakeBack { of } => write!(
                f,
                "There is no entry {of} in this job; send that one first or look at the record."
            ),
            Refusal::TakenBackTooOften { of } => write!(
                f,
                "The entry that {of} stands on has been taken back and forth \
                 {TAKE_BACK_DEPTH_MAX} times; record what is true now as a new entry."
            ),
            Refusal::Full => write!(
                f,
                "This job has {EVENTS_MAX} entries and takes no more; finish it and begin a new \
                 one."
            ),
        }
    }
}

impl std::error::Error for Refusal {}

/// Says why a stored list is not a log.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum LogError {
    /// The numbers do not count 1, 2, 3, ...
    NumbersBroken {
        /// The number that should have come.
        expected: u64,
        /// The number that came.
        found: u64,
    },
    /// An id stands twice.
    IdTwice {
        /// The number of the second one.
        seq: u64,
    },
}

impl fmt::Display for LogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LogError::NumbersBroken { expected, found } => {
                write!(f, "entry number {expected} is missing; {found} comes next")
            }
            LogError::IdTwice { seq } => write!(f, "entry number {seq} has an id used before"),
        }
    }
}

impl std::error::Error for LogError {}

/// Keeps the accepted events, in order, each once.
///
/// Invariant: record `i` has the number `i + 1`; no id stands twice; a take-back names an
/// earlier one (as far as this version knows the verbs).
#[derive(Debug, Clone, Default)]
pub struct Log {
    records: Vec<Recorded>,
    by_id: HashMap<EventId, usize>,
}

impl Log {
    /// Takes over a stored list, whose events were accepted before and are not judged again:
    /// verbs of a newer version stay in it.
    ///
    /// # Errors
    /// Fails when the numbers have a gap or an id stands twice.
    pub fn from_records(records: Vec<Recorded>) -> Result<Log, LogError> {
        let mut log = Log::default();
        for recorded in records {
            log.push_stored(recorded)?;
        }
        Ok(log)
    }

    /// Adds one stored record, which was accepted before.
    ///
    /// # Errors
    /// Fails when it is not the next number or its id stands already.
    pub fn push_stored(&mut self, recorded: Recorded) -> Result<(), LogError> {
        let expected = self.last_seq() + 1;
        if recorded.seq != expected {
            return Err(LogError::NumbersBroken { expected, found: recorded.seq });
        }
        if self.by_id.contains_key(&recorded.event.id) {
            return Err(LogError::IdTwice { seq: recorded.seq });
        }
        self.by_id.insert(recorded.event.id.clone(), self.records.len());
        self.records.push(recorded);
        Ok(())
    }

    /// Accepts an event, once.
    ///
    /// The same id with the same content gives the old number; with other content it is refused.
    pub fn accept(&mut self, event: Event, recorded_at_ms: i64) -> Accepted {
        if let Some(old) = self.find(&event.id) {
            if old.event == event {
                return Accepted::Same(old.seq);
            }
            return Accepted::Refused(Refusal::OtherContent { id: event.id, seq: old.seq });
        }
        if let Err(refusal) = self.judge(&event) {
            return Accepted::Refused(refusal);
        }
        let seq = self.last_seq() + 1;
        self.by_id.insert(event.id.clone(), self.records.len());
        self.records.push(Recorded { seq, recorded_at_ms, event });
        Accepted::New(seq)
    }

    fn judge(&self, event: &Event) -> Result<(), Refusal> {
        event.check().map_err(Refusal::Event)?;
        if self.records.len() >= EVENTS_MAX {
            return Err(Refusal::Full);
        }
        match &event.of {
            Some(of) if event.verb == Verb::TakeBack => self.judge_take_back(of),
            Some(of) if self.find(of).is_none() => {
                Err(Refusal::NothingToTakeBack { of: of.clone() })
            }
            _ => Ok(()),
        }
    }

    fn judge_take_back(&self, of: &EventId) -> Result<(), Refusal> {
        let Some(mut target) = self.find(of) else {
            return Err(Refusal::NothingToTakeBack { of: of.clone() });
        };
        let mut depth = 1;
        while let (Verb::TakeBack, Some(next)) = (&target.event.verb, &target.event.of) {
            depth += 1;
            if depth > TAKE_BACK_DEPTH_MAX {
                return Err(Refusal::TakenBackTooOften { of: of.clone() });
            }
            match self.find(next) {
                Some(earlier) if earlier.seq < target.seq => target = earlier,
                _ => break,
            }
        }
        Ok(())
    }

    /// Forgets the records after a number: for a recorder whose store failed to keep them.
    pub fn forget_after(&mut self, seq: u64) {
        let keep = usize::try_from(seq).unwrap_or(usize::MAX).min(self.records.len());
        for recorded in self.records.drain(keep..) {
            self.by_id.remove(&recorded.event.id);
        }
    }

    /// Gives all records in order.
    pub fn records(&self) -> &[Recorded] {
        &self.records
    }

    /// Gives the records after a number, in order.
    pub fn since(&self, seq: u64) -> &[Recorded] {
        let from = usize::try_from(seq).unwrap_or(usize::MAX).min(self.records.len());
        &self.records[from..]
    }

    /// Finds a record by its id.
    pub fn find(&self, id: &EventId) -> Option<&Recorded> {
        self.by_id.get(id).map(|&at| &self.records[at])
    }

    /// Gives the number of the last record; 0 for none.
    pub fn last_seq(&self) -> u64 {
        self.records.len() as u64
    }

    /// Counts the records.
    pub fn len(&self) -> usize {
        self.records.len()
    }

    /// Tells whether nothing is recorded.
    pub fn is_empty(&self) -> bool {
        self.records.is_empty()
    }
}
