//! Sheets of paper: what is printed and pinned up, taken along or handed over.

/// A sheet of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sheet {
    /// What still comes off, in order.
    WayIn,
    /// What is bought, borrowed and to have ready.
    ToBuy,
    /// What is done at the bench.
    Bench,
    /// What goes home, in order.
    WayBack,
    /// For the steering wheel: do not start, because ...
    Standing,
    /// From one helper to the next.
    HandOver,
    /// What the owner takes home.
    Owner,
}

impl Sheet {
    /// All of them.
    pub const ALL: [Sheet; 7] = [
        Sheet::WayIn,
        Sheet::ToBuy,
        Sheet::Bench,
        Sheet::WayBack,
        Sheet::Standing,
        Sheet::HandOver,
        Sheet::Owner,
    ];

    /// Gives the word for addresses and commands: `way-in`, `to-buy`, `bench`, `way-back`,
    /// `standing`, `handover`, `owner`.
    pub fn word(self) -> &'static str {
        match self {
            Self::WayIn => "way-in",
            Self::ToBuy => "to-buy",
            Self::Bench => "bench",
            Self::WayBack => "way-back",
            Self::Standing => "standing",
            Self::HandOver => "handover",
            Self::Owner => "owner",
        }
    }

    /// Gives its title, as it stands on the paper.
    pub fn title(self) -> &'static str {
        match self {
            Self::WayIn => "Way in",
            Self::ToBuy => "To buy and borrow",
            Self::Bench => "At the bench",
            Self::WayBack => "Way back",
            Self::Standing => "Standing: do not start",
            Self::HandOver => "Hand over: how it stands",
            Self::Owner => "For the owner",
        }
    }

    /// Reads the word.
    pub fn read(word: &str) -> Option<Sheet> {
        Self::ALL.into_iter().find(|sheet| sheet.word() == word)
    }
}

/// What stands on a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Paper {
    /// Which sheet.
    pub sheet: Sheet,
    /// The machine in a few words.
    pub machine: String,
    /// What the job is for.
    pub purpose: String,
    /// Sentences in very large letters.
    pub big: Vec<String>,
    /// What stands below.
    pub sections: Vec<PaperSection>,
}

/// Lines under a heading.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PaperSection {
    /// The heading.
    pub heading: String,
    /// The lines.
    pub lines: Vec<PaperLine>,
    /// Each line has a box to tick with a pen.
    pub boxes: bool,
}

impl PaperSection {
    /// Makes a section of plain lines.
    pub fn of(heading: &str, lines: Vec<PaperLine>) -> Self {
        Self { heading: heading.to_owned(), lines, boxes: false }
    }
}

/// One line on paper.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PaperLine {
    /// The number of the paper tag, where there is one.
    pub tag: Option<u32>,
    /// The sentence.
    pub text: String,
    /// Beside it, smaller: place and tool, who.
    pub detail: String,
    /// When \[ms since 1970, UTC\]; the sentence ends with it.
    pub at_ms: Option<i64>,
    /// It is a caution.
    pub caution: bool,
    /// A picture that belongs to it: the name of its content.
    pub photo: Option<String>,
}

impl PaperLine {
    /// Makes a line of a sentence.
    pub fn of(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    /// Makes a line with something smaller beside it.
    pub fn with(text: impl Into<String>, detail: impl Into<String>) -> Self {
        Self { text: text.into(), detail: detail.into(), ..Self::default() }
    }
}
