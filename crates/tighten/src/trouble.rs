//! What cannot be used as it was given, and what to do about it.

/// Something that cannot be used as it was given: always a sentence and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trouble {
    /// What kind of trouble.
    pub kind: TroubleKind,
    /// The field it is about, in the words of the one who gave it: "length", "unit", "mu_total".
    pub field: String,
    /// What is wrong, one sentence.
    pub message: String,
    /// What to do, one sentence.
    pub help: String,
}

/// Kinds of trouble.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum TroubleKind {
    /// Nothing is there to be read.
    Missing,
    /// Signs that are not understood.
    NotUnderstood,
    /// A number that can be read in two ways.
    TwoReadings,
    /// No unit, or one that is none of torque.
    NoUnit,
    /// A number below nothing.
    Negative,
    /// Nothing where something is needed.
    Zero,
    /// More than the limit, or less.
    OutOfRange,
    /// Values of one twin that do not agree.
    TwinDisagrees,
    /// A word that is not among the known ones.
    Unknown,
    /// The adapter takes all of the wrench's length away.
    Cancels,
    /// Below or above what a wrench can do.
    WrenchRange,
    /// Nothing in the garage can do it.
    NoWrench,
    /// What is given contradicts itself.
    Contradiction,
}

impl Trouble {
    pub(crate) fn new(
        kind: TroubleKind,
        field: &str,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Trouble {
        Trouble { kind, field: field.to_owned(), message: message.into(), help: help.into() }
    }
}

impl std::fmt::Display for Trouble {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.message, self.help)
    }
}

impl std::error::Error for Trouble {}

/// At most this many characters of a user's text are shown in a sentence.
const SHOWN_CHARS: usize = 60;

/// Gives the beginning of a text for a sentence, without control characters.
pub(crate) fn shown(text: &str) -> String {
    let text = text.trim();
    let mut short: String = text.chars().filter(|c| !c.is_control()).take(SHOWN_CHARS).collect();
    if text.chars().count() > SHOWN_CHARS {
        short.push('…');
    }
    short
}
