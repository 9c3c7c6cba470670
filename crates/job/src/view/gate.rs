//! A gate: what is open before the first start or the road.

use lastbolt_machine::Minutes;

use crate::view::{Button, MatterLine, OpenLine, Point};

/// Why something is open before the first start.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum GateReason {
    /// Off, undone, or a condition still in force.
    Off,
    /// Made but slackened.
    Slack,
    /// In by hand, or started.
    ByHand,
    /// Taken as undone, never recorded.
    NotRecorded,
    /// Home, but its last look was passed by or never answered.
    NotLookedAt,
}

impl GateReason {
    /// Gives the word for data: `off`, `slack`, `by_hand`, `not_recorded`, `not_looked_at`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::Slack => "slack",
            Self::ByHand => "by_hand",
            Self::NotRecorded => "not_recorded",
            Self::NotLookedAt => "not_looked_at",
        }
    }
}

/// One thing that the gate asks about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GateLine {
    /// Why it is listed.
    pub reason: GateReason,
    /// What, how it stands, and where.
    pub line: OpenLine,
    /// For a look: what reaching it costs.
    pub costs: Option<Minutes>,
    /// What settles it.
    pub buttons: Vec<Button>,
}

/// How a gate was passed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GatePassed {
    /// The reason that was given.
    pub reason: Option<String>,
    /// Who passed it.
    pub person: Option<String>,
    /// When it was said, in milliseconds since 1970, UTC.
    pub said_at_ms: i64,
    /// The number of the record.
    pub seq: u64,
}

/// A gate: before the first start, or before the road.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gate {
    /// The gate's name, as the event carries it: "first start", "road".
    pub name: String,
    /// "Not yet: 2 open", "All home", "All home but what may wait" or "Given up: 2 open".
    pub heading: String,
    /// Everything that is open.
    pub lines: Vec<GateLine>,
    /// What is open and may be so at this gate; the later one asks for it: covers that wait for
    /// the leak look, wheels, and what these need.
    pub waiting: Vec<OpenLine>,
    /// What is still in or was not found: it keeps the gate shut too.
    pub matters: Vec<MatterLine>,
    /// What the day asks before this gate and nobody answered; it keeps the gate shut too.
    pub points: Vec<Point>,
    /// What was to be checked before the first start, was not, and is not among the points: it is
    /// too late to keep the gate shut.
    pub lapsed: Vec<Point>,
    /// What was counted otherwise, or does not look right in the record; it keeps nothing shut.
    pub remarks: Vec<MatterLine>,
    /// The job was given up, and why: then nothing is claimed and nothing asked.
    pub given_up: Option<String>,
    /// How it was passed, if it was since anything changed.
    pub passed: Option<GatePassed>,
}

impl Gate {
    /// Tells whether nothing keeps it shut.
    pub fn is_clear(&self) -> bool {
        self.is_home() && self.points.is_empty()
    }

    /// Gives the heading with what is to be checked: "All home, 3 to check"; or with what was not:
    /// "All home, 2 not checked".
    pub fn title(&self) -> String {
        match (self.points.len(), self.lapsed.len()) {
            (0, 0) => self.heading.clone(),
            (0, lapsed) => format!("{}, {lapsed} not checked", self.heading),
            (points, _) => format!("{}, {points} to check", self.heading),
        }
    }

    /// Tells whether nothing is open; questions may be.
    pub fn is_home(&self) -> bool {
        self.lines.is_empty() && self.matters.is_empty() && self.given_up.is_none()
    }
}
