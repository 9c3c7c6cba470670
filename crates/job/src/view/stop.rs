//! What stops a job or changes it: left standing, an interruption, something broke, another helper.

use crate::view::{Paper, Point, PointSaid, StepLine, Tap};

/// Something that broke or does not move.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Broke {
    /// The number of the entry.
    pub seq: u64,
    /// Its id.
    pub event: String,
    /// The thing.
    pub thing: Option<String>,
    /// "Leg screws: stud broke".
    pub text: String,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// Who said it.
    pub person: Option<String>,
    /// How it was settled, once it is.
    pub settled: Option<PointSaid>,
}

/// What follows from something that broke, until it is settled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Branch {
    /// What broke.
    pub broke: Broke,
    /// Steps of the list that wait for it.
    pub stops: Vec<StepLine>,
    /// Steps of the list that do not, in their order.
    pub goes_on: Vec<StepLine>,
    /// How long it will take, as somebody said: "1 to 3 h".
    pub minutes: Option<String>,
    /// What is asked about it.
    pub points: Vec<Point>,
    /// What was said to buy, to borrow and to ask for it.
    pub said: Vec<String>,
    /// Buttons: to buy, to borrow, to ask the owner.
    pub taps: Vec<Tap>,
}

/// What was done last before a break.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DoneLast {
    /// The sentence.
    pub text: String,
    /// When \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// Who.
    pub person: Option<String>,
}

/// What stands across the working screen: how it was left, a break, what broke.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stops {
    /// "Left standing: sling off", while it stands.
    pub left: Option<DoneLast>,
    /// It was interrupted, and nothing has been recorded since: the minutes of the break.
    pub away_minutes: Option<i64>,
    /// What was done last before the break, the last one last.
    pub last: Vec<DoneLast>,
    /// Steps after a break that want a second look.
    pub looks: Vec<Point>,
    /// What broke and is not settled.
    pub broken: Vec<Broke>,
}

impl Stops {
    /// Tells whether there is nothing.
    pub fn is_empty(&self) -> bool {
        *self == Stops::default()
    }
}

/// What one helper tells the next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandOver {
    /// The sheet.
    pub paper: Paper,
    /// Since when it is in these hands \[ms since 1970, UTC\].
    pub since_ms: Option<i64>,
    /// In whose hands it is, if said.
    pub person: Option<String>,
    /// Everybody known to the job, for "taken over by".
    pub names: Vec<String>,
}

/// How a joint was tightened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JointHow {
    /// With a wrench that measures, as was said.
    Measured,
    /// By hand, or said not to be measured.
    NotMeasured,
    /// Nobody said.
    NotSaid,
}

impl JointHow {
    /// Gives the words: "measured", "not measured", "not said".
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::NotMeasured => "not measured",
            Self::NotSaid => "not said",
        }
    }
}

/// A joint that was undone and is home again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JointLine {
    /// Its id.
    pub thing: String,
    /// "Leg screws (4 screws)".
    pub text: String,
    /// How it was tightened.
    pub how: JointHow,
    /// Repairs of its threads, in words.
    pub repaired: Vec<String>,
    /// Its rounds, in order, in words.
    pub rounds: Vec<String>,
    /// Who closed it last.
    pub person: Option<String>,
    /// Its tag number.
    pub tag: Option<u32>,
}
