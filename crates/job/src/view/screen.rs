//! The one working screen: the next action, what is off, what waits, what is to settle.

use lastbolt_machine::Minutes;

use crate::view::{ActionCard, Button, MattersView, Point, StepLine, Tag, Tap, ThingSort};

/// Where the job is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Taking apart: something that was asked for is not open yet.
    TakeApart,
    /// The next step is done at the bench.
    Bench,
    /// Putting back.
    PutBack,
    /// Everything is home; the gate and the first start come next.
    FirstStart,
    /// The job was said to be finished.
    Finished,
}

impl Phase {
    /// Gives the word for data: `take_apart`, `bench`, `put_back`, `first_start`, `finished`.
    pub fn word(self) -> &'static str {
        match self {
            Self::TakeApart => "take_apart",
            Self::Bench => "bench",
            Self::PutBack => "put_back",
            Self::FirstStart => "first_start",
            Self::Finished => "finished",
        }
    }
}

/// A count by kind, in pieces: "hoses 8 of 9".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KindCount {
    /// The kind, in the plural: "hoses".
    pub kind: String,
    /// Taking apart: off so far. Putting back: home again.
    pub done: u32,
    /// Taking apart: to come off in all. Putting back: those that were off.
    pub all: u32,
    /// Pieces between: in by hand, slack, started, not measured, hung aside; each with its word.
    pub between: Vec<(String, u32)>,
    /// The words: "hoses 8 of 9", "screws 21 of 22, 1 in by hand".
    pub text: String,
}

/// Something that is not home: off, slack, in by hand, started, not recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenLine {
    /// Its id.
    pub thing: String,
    /// "starter cable: off", "wheel nuts: in by hand".
    pub text: String,
    /// How it stands in one word or two: "off", "slack", "in by hand", "started",
    /// "not recorded", "not looked at", "in force".
    pub stands: String,
    /// What it joins or where it is, in words: "right, between starter motor and loom".
    pub place: Option<String>,
    /// Pieces that are open.
    pub pieces: u32,
    /// Its tag.
    pub tag: Option<Tag>,
}

/// All that is off, by kind: "still off: 1 plug, 2 hoses".
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StillOff {
    /// "still off: 1 plug, 2 hoses", or "nothing off".
    pub text: String,
    /// The things behind it, in the order of their tags.
    pub lines: Vec<OpenLine>,
}

/// A wait that runs by itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaitLine {
    /// What was done.
    pub thing: String,
    /// "Gear oil drained: runs 15 min, the maker's"; without minutes where they are not the
    /// maker's.
    pub text: String,
    /// When it began, in milliseconds since 1970, UTC.
    pub from_ms: i64,
    /// When it is over, in milliseconds since 1970, UTC; none where nobody knows the maker's
    /// minutes: it runs until somebody says that it is over.
    pub until_ms: Option<i64>,
}

/// A connection whose two ends lie apart though nobody recorded it as undone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotRecorded {
    /// Its id.
    pub thing: String,
    /// "2 starter screws: not recorded; the starter motor is off, so they are taken as out."
    pub text: String,
    /// Buttons that settle it.
    pub buttons: Vec<Button>,
    /// Its tag.
    pub tag: Option<Tag>,
}

/// What sort of quiet remark it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum QuietKind {
    /// What an action out of order means.
    OutOfOrder,
    /// Two people recorded different things.
    Disagreement,
    /// The recorded name is not in the machine file.
    UnknownThing,
    /// No order could be found from here.
    NoOrder,
    /// Taken as undone because of what is off.
    TakenAsUndone,
    /// A gate was passed with something open or not checked.
    PassedOpen,
}

impl QuietKind {
    /// Gives the word for data: `out_of_order`, `disagreement`, `unknown_thing`, `no_order`,
    /// `taken_as_undone`, `passed_open`.
    pub fn word(self) -> &'static str {
        match self {
            Self::OutOfOrder => "out_of_order",
            Self::Disagreement => "disagreement",
            Self::UnknownThing => "unknown_thing",
            Self::NoOrder => "no_order",
            Self::TakenAsUndone => "taken_as_undone",
            Self::PassedOpen => "passed_open",
        }
    }

    /// Reads the word for data.
    pub fn read(word: &str) -> Option<Self> {
        let all = [
            Self::OutOfOrder,
            Self::Disagreement,
            Self::UnknownThing,
            Self::NoOrder,
            Self::TakenAsUndone,
            Self::PassedOpen,
        ];
        all.into_iter().find(|kind| kind.word() == word)
    }
}

/// A quiet remark: said beside the work, never in its way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quiet {
    /// What sort.
    pub kind: QuietKind,
    /// The sentence.
    pub text: String,
    /// The thing it is about.
    pub thing: Option<String>,
    /// The record that brought it about.
    pub seq: Option<u64>,
}

/// A last look that was passed by, shown until it is settled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PassedLook {
    /// The fixing or connection.
    pub thing: String,
    /// "not looked at; reaching it costs about 35 minutes".
    pub text: String,
    /// What reaching it costs from here; none where no order could be found within the limit.
    pub costs: Option<Minutes>,
    /// The button that says it was looked at after all.
    pub button: Button,
    /// Its tag.
    pub tag: Option<Tag>,
}

/// One thing in the long list, with what can be said of it in one tap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ThingLine {
    /// Its id.
    pub thing: String,
    /// What sort it is.
    pub sort: ThingSort,
    /// The kind in the trade's word: "screw", "plug"; "part" for parts.
    pub kind: String,
    /// How many pieces.
    pub pieces: u32,
    /// "4 screws", "part, 11 kg".
    pub text: String,
    /// How it stands: "home", "off", "slack", "in by hand", "started", "not measured",
    /// "not recorded", "in force", "not in force", "hung aside".
    pub stands: String,
    /// Whether it counts as open.
    pub open: bool,
    /// What it joins or where it is, in words.
    pub place: Option<String>,
    /// Its tag, where it has one.
    pub tag: Option<Tag>,
    /// It is on the list of this job (opened or to be opened).
    pub in_plan: bool,
    /// What can be recorded about it; any of them at any time.
    pub buttons: Vec<Button>,
    /// What else can be recorded about it: put in, hung aside, left alone.
    pub taps: Vec<Tap>,
    /// How it goes back, in one line.
    pub put_back: Option<String>,
}

/// The one working screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Screen {
    /// The machine in a few words.
    pub machine: String,
    /// Where the job is.
    pub phase: Phase,
    /// The heading: "Take apart", "Put back".
    pub heading: String,
    /// The job was given up, and why; blank where nobody said why.
    pub given_up: Option<String>,
    /// Nobody has said that all is off, and no file says what is to come off: more may. What is
    /// next is then what goes home first once all is off.
    pub more_may_come_off: bool,
    /// The list was made at once, without the planner; a better one may follow.
    pub list_may_change: bool,
    /// What it is for: "impeller to renew".
    pub purpose: String,
    /// Where the person stands, as last recorded.
    pub at: Option<String>,
    /// The tool in the hand, as last recorded.
    pub holding: Option<String>,
    /// The next action; none when nothing is left on the list.
    pub next: Option<ActionCard>,
    /// "Next to that": up to two steps.
    pub next_to_that: Vec<StepLine>,
    /// The rest of the list; it stands still after a tick.
    pub rest: Vec<StepLine>,
    /// Counts by kind.
    pub counts: Vec<KindCount>,
    /// What is off.
    pub still_off: StillOff,
    /// All steps still to be done at the bench.
    pub bench: Vec<StepLine>,
    /// Waits that run.
    pub waits: Vec<WaitLine>,
    /// Questions that should have come before what was opened; they stay until answered.
    pub not_answered: Vec<Point>,
    /// Things not recorded.
    pub not_recorded: Vec<NotRecorded>,
    /// Quiet remarks.
    pub quiet: Vec<Quiet>,
    /// Last looks passed by.
    pub passed_looks: Vec<PassedLook>,
    /// What matters besides on and off: rags, dropped screws, counts, remarks.
    pub matters: MattersView,
    /// Minutes of work left on the list, changes included.
    pub minutes_left: Minutes,
    /// No order from here that takes apart and then puts back takes fewer minutes.
    pub bound: Minutes,
    /// Every part, fixing, connection and condition.
    pub things: Vec<ThingLine>,
    /// The record to take back with one tap, and its words: "Take that back: plug off".
    pub last: Option<LastRecord>,
    /// The number of the last record this screen knows.
    pub seen: u64,
}

/// The last record that stands, for "Take that back".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LastRecord {
    /// The id of the event.
    pub event: String,
    /// Its number.
    pub seq: u64,
    /// What it said.
    pub text: String,
    /// The thing, where there is one.
    pub thing: Option<String>,
}
