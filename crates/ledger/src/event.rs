//! One event, and what is refused in it.

use std::fmt;

use crate::limits::{
    COUNT_MAX, ID_CHARS_MAX, KINDS_MAX, NAME_CHARS_MAX, NAMED_MAX, PIECES_MAX, SAID_AT_MS_MAX,
    SAID_AT_MS_MIN, TEXT_CHARS_MAX,
};
use crate::more::{FACTS, GIVEN_UP, More};
use crate::verb::Verb;

/// Identifies an event: made by the sender, 1 to 64 of `A-Z a-z 0-9 . _ -`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct EventId(String);

impl EventId {
    /// Reads an id.
    ///
    /// # Errors
    /// Fails when it is empty, too long or has other characters.
    pub fn new(text: &str) -> Result<EventId, EventError> {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-');
        if text.is_empty() || text.chars().count() > ID_CHARS_MAX || !text.chars().all(plain) {
            return Err(EventError::BadId);
        }
        Ok(EventId(text.to_owned()))
    }

    /// Gives the text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for EventId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Says one thing that somebody did, saw or said.
///
/// The fields are free to write; [`Event::check`] says what is wrong with them, and a
/// [`Log`](crate::Log) takes only checked ones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// Its id, made by the sender and never used again.
    pub id: EventId,
    /// Who or what sent it (a phone, the command line): a name that stays the same.
    pub sender: String,
    /// The sender's own count of its events.
    pub count: u64,
    /// The sequence number of the last event that the sender had seen; 0 for none.
    pub seen: u64,
    /// When it was said \[ms since 1970, UTC\], by the sender's clock. Never orders anything.
    pub said_at_ms: i64,
    /// What was done.
    pub verb: Verb,
    /// The part, tie or prep (or the gate) that it is about.
    pub thing: Option<String>,
    /// From which spot.
    pub spot: Option<String>,
    /// With which tool.
    pub tool: Option<String>,
    /// By whom.
    pub person: Option<String>,
    /// In words.
    pub note: Option<String>,
    /// To how many of the tie's pieces the verb has been done in all; none: to the whole tie.
    pub pieces: Option<u32>,
    /// Which earlier entry it is about: what a take-back withdraws, what was found again.
    pub of: Option<EventId>,
    /// What it carries besides.
    pub more: Option<More>,
}

impl Event {
    /// Makes an event with nothing but what each must have.
    pub fn new(
        id: EventId,
        sender: &str,
        count: u64,
        seen: u64,
        said_at_ms: i64,
        verb: Verb,
    ) -> Event {
        Event {
            id,
            sender: sender.to_owned(),
            count,
            seen,
            said_at_ms,
            verb,
            thing: None,
            spot: None,
            tool: None,
            person: None,
            note: None,
            pieces: None,
            of: None,
            more: None,
        }
    }

    /// Tells whether it gives the job up.
    pub fn gives_up(&self) -> bool {
        let kind = self.more.as_ref().and_then(|more| more.kind.as_deref());
        self.verb == Verb::Finished && kind == Some(GIVEN_UP)
    }

    /// Checks everything that can be judged from the event alone.
    ///
    /// # Errors
    /// Says the first thing that is wrong.
    pub fn check(&self) -> Result<(), EventError> {
        if let Verb::Other(word) = &self.verb {
            return Err(EventError::UnknownVerb { word: word.chars().take(40).collect() });
        }
        self.check_numbers()?;
        check_name("sender", Some(&self.sender))?;
        check_name("thing", self.thing.as_deref())?;
        check_name("place", self.spot.as_deref())?;
        check_name("tool", self.tool.as_deref())?;
        check_name("person", self.person.as_deref())?;
        check_note("note", self.note.as_deref())?;
        self.check_what_the_verb_wants()
    }

    fn check_numbers(&self) -> Result<(), EventError> {
        for (field, value) in [("count", self.count), ("seen", self.seen)] {
            if value > COUNT_MAX {
                return Err(EventError::NumberTooLarge { field });
            }
        }
        if !(SAID_AT_MS_MIN..=SAID_AT_MS_MAX).contains(&self.said_at_ms) {
            return Err(EventError::TimeOutOfRange);
        }
        match self.pieces {
            Some(pieces) if pieces == 0 || pieces > PIECES_MAX => Err(EventError::BadPieces),
            _ => Ok(()),
        }
    }

    fn check_what_the_verb_wants(&self) -> Result<(), EventError> {
        let verb = || self.verb.clone();
        if (self.verb.needs_thing() || self.verb == Verb::Gate) && self.thing.is_none() {
            return Err(EventError::ThingMissing { verb: verb() });
        }
        if self.verb.needs_note() && self.note.is_none() {
            return Err(EventError::NoteMissing { verb: verb() });
        }
        if self.pieces.is_some() && !self.verb.takes_pieces() {
            return Err(EventError::PiecesNotWanted { verb: verb() });
        }
        match &self.of {
            None if self.verb.needs_of() => return Err(EventError::OfMissing),
            Some(of) if *of == self.id => return Err(EventError::TakesBackItself),
            Some(_) if !self.verb.needs_of() => {
                return Err(EventError::OfNotWanted { verb: verb() });
            }
            _ => {}
        }
        self.check_more()?;
        if self.verb == Verb::Moved {
            if self.thing.is_some() {
                return Err(EventError::ThingNotWanted { verb: verb() });
            }
            if self.spot.is_none() && self.tool.is_none() && self.person.is_none() {
                return Err(EventError::MovedNowhere);
            }
        }
        Ok(())
    }

    fn check_more(&self) -> Result<(), EventError> {
        let verb = || self.verb.clone();
        let empty = More::default();
        let more = self.more.as_ref().unwrap_or(&empty);
        more.check()?;
        if !more.is_empty() && !self.verb.takes_more() {
            return Err(EventError::MoreNotWanted { verb: verb() });
        }
        let says_all = match self.verb {
            Verb::Took => more.part.is_some() || !more.ties.is_empty(),
            Verb::Split => self.pieces.is_some(),
            Verb::Merged => more.into.is_some(),
            Verb::Corrected => self.pieces.is_some() || more.kind.is_some() || self.spot.is_some(),
            Verb::Fact => more.fact.is_some(),
            Verb::Expected => self.pieces.is_some() && more.kind.is_some(),
            Verb::Answered => more.kind.is_some() && !more.these.is_empty(),
            Verb::LeaveAlone => self.thing.is_some() || self.note.is_some(),
            Verb::Photo | Verb::Private => more.photo.is_some(),
            Verb::Noted => more.kind.is_some(),
            Verb::Ticked => more.point.is_some(),
            Verb::Round => more.round.is_some(),
            Verb::Pin => more.photo.is_some() && more.x.is_some() && more.y.is_some(),
            _ => true,
        };
        if says_all { Ok(()) } else { Err(EventError::MoreMissing { verb: verb() }) }
    }
}

pub(crate) fn check_name(field: &'static str, text: Option<&str>) -> Result<(), EventError> {
    let Some(text) = text else { return Ok(()) };
    if text.trim().is_empty() {
        return Err(EventError::Blank { field });
    }
    if text.chars().count() > NAME_CHARS_MAX {
        return Err(EventError::TooLong { field, most: NAME_CHARS_MAX });
    }
    if text.chars().any(char::is_control) {
        return Err(EventError::ControlCharacter { field });
    }
    Ok(())
}

pub(crate) fn check_note(field: &'static str, text: Option<&str>) -> Result<(), EventError> {
    let Some(text) = text else { return Ok(()) };
    if text.trim().is_empty() {
        return Err(EventError::Blank { field });
    }
    if text.chars().count() > TEXT_CHARS_MAX {
        return Err(EventError::TooLong { field, most: TEXT_CHARS_MAX });
    }
    if text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t')) {
        return Err(EventError::ControlCharacter { field });
    }
    Ok(())
}

fn what_is_wanted(verb: &Verb) -> &'static str {
    match verb {
        Verb::Took => "a part or at least one kind of fixing",
        Verb::Split => "how many pieces go apart",
        Verb::Merged => "into which thing it goes",
        Verb::Corrected => "a count, a kind or a place",
        Verb::Fact => "which fact it is",
        Verb::Expected => "the kind and how many",
        Verb::LeaveAlone => "a thing or words",
        Verb::Answered => "the question's kind and what it was about",
        Verb::Pin => "the picture and the place on it",
        Verb::Noted => "the kind of what is said",
        Verb::Ticked => "which point is answered",
        Verb::Round => "which round it is",
        _ => "the picture",
    }
}

/// Says why an event is refused for what stands in it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum EventError {
    /// The id is empty, too long or has characters it may not have.
    BadId,
    /// The verb is none that this version knows.
    UnknownVerb {
        /// The word, cut to 40 characters.
        word: String,
    },
    /// A name or the note is there but blank.
    Blank {
        /// Which field.
        field: &'static str,
    },
    /// A name or the note is too long.
    TooLong {
        /// Which field.
        field: &'static str,
        /// How many characters it may have.
        most: usize,
    },
    /// A name or the note has characters that cannot be shown.
    ControlCharacter {
        /// Which field.
        field: &'static str,
    },
    /// A number is larger than can be kept exactly.
    NumberTooLarge {
        /// Which field.
        field: &'static str,
    },
    /// The time said is not between the years 1 and 9999.
    TimeOutOfRange,
    /// The number of pieces is 0 or too large.
    BadPieces,
    /// The verb is about whole things only.
    PiecesNotWanted {
        /// The verb.
        verb: Verb,
    },
    /// The verb must name a thing.
    ThingMissing {
        /// The verb.
        verb: Verb,
    },
    /// The verb is about no thing.
    ThingNotWanted {
        /// The verb.
        verb: Verb,
    },
    /// The verb must carry a note.
    NoteMissing {
        /// The verb.
        verb: Verb,
    },
    /// A take-back does not say what it withdraws.
    OfMissing,
    /// Something else than a take-back says what it withdraws.
    OfNotWanted {
        /// The verb.
        verb: Verb,
    },
    /// A take-back names itself.
    TakesBackItself,
    /// A move says neither where nor with what nor who.
    MovedNowhere,
    /// A handful has more kinds than one entry may have.
    TooManyKinds,
    /// A question names more things than one may.
    TooManyNames,
    /// A fact of a kind that is not known.
    UnknownFact {
        /// The word, cut to 40 characters.
        word: String,
    },
    /// The name of a picture is none.
    BadPhoto,
    /// A place outside of the picture.
    BadPlace,
    /// A round or a number of minutes that cannot be.
    BadNumber {
        /// Which field.
        field: &'static str,
        /// The most it may be.
        most: u32,
    },
    /// The verb carries nothing besides the plain fields.
    MoreNotWanted {
        /// The verb.
        verb: Verb,
    },
    /// The verb must say more than it does.
    MoreMissing {
        /// The verb.
        verb: Verb,
    },
}

impl EventError {
    /// What the verb wants or does not want of the plain fields.
    fn about_the_verb(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EventError::PiecesNotWanted { verb } => {
                write!(f, "\"{verb}\" is about the whole thing; leave the pieces out.")
            }
            EventError::ThingMissing { verb } => {
                write!(f, "\"{verb}\" must say what it is about: give the thing.")
            }
            EventError::ThingNotWanted { verb } => {
                write!(f, "\"{verb}\" is about nothing in particular; leave the thing out.")
            }
            EventError::NoteMissing { verb } => {
                write!(f, "\"{verb}\" must say it in words: give a note.")
            }
            EventError::OfMissing => {
                write!(f, "It must name the earlier entry that it is about: give \"of\".")
            }
            EventError::OfNotWanted { verb } => {
                write!(f, "\"{verb}\" names no other entry; leave \"of\" out.")
            }
            EventError::TakesBackItself => write!(f, "A take-back cannot withdraw itself."),
            EventError::MovedNowhere => {
                write!(f, "\"moved\" must give a new place, tool or person.")
            }
            other => write!(f, "{other:?}"),
        }
    }
}

impl fmt::Display for EventError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EventError::BadId => write!(
                f,
                "The id must be 1 to {ID_CHARS_MAX} letters (a to z), digits, dots, underscores \
                 or dashes."
            ),
            EventError::UnknownVerb { word } => write!(
                f,
                "\"{word}\" is no verb that this version knows; send one of those in the docs."
            ),
            EventError::Blank { field } => {
                write!(f, "The {field} is blank; write it or leave it out.")
            }
            EventError::TooLong { field, most } => {
                write!(f, "The {field} is longer than {most} characters; shorten it.")
            }
            EventError::ControlCharacter { field } => {
                write!(f, "The {field} has characters that cannot be shown; remove them.")
            }
            EventError::NumberTooLarge { field } => {
                write!(f, "The number in \"{field}\" is larger than {COUNT_MAX}.")
            }
            EventError::TimeOutOfRange => write!(
                f,
                "The time said is not between the years 1 and 9999; it is counted in \
                 milliseconds since 1970."
            ),
            EventError::BadPieces => write!(
                f,
                "The number of pieces must be 1 to {PIECES_MAX}; leave it out for all of them."
            ),
            EventError::TooManyKinds => {
                write!(f, "One handful has at most {KINDS_MAX} kinds; enter it as two.")
            }
            EventError::TooManyNames => {
                write!(f, "One question is about at most {NAMED_MAX} things; ask about fewer.")
            }
            EventError::UnknownFact { word } => {
                let known = FACTS.join(", ");
                write!(f, "\"{word}\" is no fact that can be said; write one of: {known}.")
            }
            EventError::BadPhoto => write!(
                f,
                "The name of the picture is none; send the picture first and use the name given."
            ),
            EventError::BadPlace => {
                write!(f, "A place on a picture is 0 to 1000 thousandths; send it so.")
            }
            EventError::BadNumber { field, most } => {
                write!(f, "The {field} must be 1 to {most}.")
            }
            EventError::MoreNotWanted { verb } => {
                write!(f, "\"{verb}\" carries nothing under \"more\"; leave it out.")
            }
            EventError::MoreMissing { verb } => {
                let needs = what_is_wanted(verb);
                write!(f, "\"{verb}\" must say more: give {needs}.")
            }
            of_verb => of_verb.about_the_verb(f),
        }
    }
}

impl std::error::Error for EventError {}
