//! What the screens and the command line show: plain values, every text in the words of the trade.
//!
//! Nothing here knows a page or a format; the web server turns these into pages and JSON, the
//! command line into lines. Names of things are the user's own ids. Minutes are exact thousandths
//! ([`Minutes`]); times of day are milliseconds since 1970, UTC, and are put into local time by
//! whoever shows them.

use lastbolt_ledger::Verb;
use lastbolt_machine::{At, Kind, Minutes};

mod day;
mod joint;
mod matters;
mod paper;
mod stop;

pub use day::{
    Day, DayGate, DayStage, DisturbedLine, DisturbedView, Point, PointGroup, PointSaid, StageView,
    together,
};
pub use joint::{
    GoOn, JointCard, JointDrawing, JointStudy, JointTap, RoundDone, RoundLine, StudyRow, WrenchLine,
};
pub use matters::{LeftoverLine, Leftovers, MatterKind, MatterLine, MattersView, Said, Tap};
pub use paper::{Paper, PaperLine, PaperSection, Sheet};
pub use stop::{Branch, Broke, DoneLast, HandOver, JointHow, JointLine, Stops};

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

/// What a step asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StepVerb {
    /// A part comes off.
    Off,
    /// A part goes on.
    On,
    /// A fixing or connection is undone.
    Undo,
    /// A fixing or connection is made.
    Make,
    /// A fixing of a group is started by hand.
    Start,
    /// A started or slackened fixing is tightened.
    Tighten,
    /// The machine is made ready: a condition is brought into force.
    Prep,
    /// A condition ends.
    End,
    /// A last look before a cover goes on: look, push, tug.
    Look,
}

impl StepVerb {
    /// Gives what opens or closes a thing of this kind.
    pub(crate) fn of(kind: Kind, opens: bool) -> Self {
        match (kind, opens) {
            (Kind::Part, true) => Self::Off,
            (Kind::Part, false) => Self::On,
            (Kind::Tie, true) => Self::Undo,
            (Kind::Tie, false) => Self::Make,
            (Kind::Prep, true) => Self::Prep,
            (Kind::Prep, false) => Self::End,
        }
    }

    /// Gives the word of the contract: `off`, `on`, `undo`, `make`, `start`, `tighten`, `prep`,
    /// `end`, `look`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::On => "on",
            Self::Undo => "undo",
            Self::Make => "make",
            Self::Start => "start",
            Self::Tighten => "tighten",
            Self::Prep => "prep",
            Self::End => "end",
            Self::Look => "look",
        }
    }

    /// Reads the word of the contract.
    pub fn read(word: &str) -> Option<Self> {
        let all = [
            Self::Off,
            Self::On,
            Self::Undo,
            Self::Make,
            Self::Start,
            Self::Tighten,
            Self::Prep,
            Self::End,
            Self::Look,
        ];
        all.into_iter().find(|verb| verb.word() == word)
    }

    /// Tells whether the step opens something (taking apart, making ready).
    pub fn opens(self) -> bool {
        matches!(self, Self::Off | Self::Undo | Self::Prep)
    }
}

/// The shape of a paper tag, by kind of thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TagShape {
    /// Screws, nuts, studs.
    Square,
    /// Hoses, lines and what holds them.
    Circle,
    /// Plugs, earths, cables.
    Triangle,
    /// Clips, pegs, pins and the like.
    Bar,
    /// Parts, and kinds that have no shape of their own.
    Plain,
}

impl TagShape {
    /// Gives the word for data: `square`, `circle`, `triangle`, `bar`, `plain`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Square => "square",
            Self::Circle => "circle",
            Self::Triangle => "triangle",
            Self::Bar => "bar",
            Self::Plain => "plain",
        }
    }
}

/// How far a tag is filled in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TagFill {
    /// Still off, slack, in by hand or started.
    Hollow,
    /// Home and not looked at.
    Half,
    /// Home and looked at, or never off, or nothing to look at.
    Filled,
}

impl TagFill {
    /// Gives the word for data: `hollow`, `half`, `filled`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hollow => "hollow",
            Self::Half => "half",
            Self::Filled => "filled",
        }
    }
}

/// A paper tag: never renumbered within a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tag {
    /// Its number, from 1.
    pub number: u32,
    /// Its shape.
    pub shape: TagShape,
    /// How far it is filled in.
    pub fill: TagFill,
}

/// What a thing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ThingSort {
    /// A part.
    Part,
    /// A fixing or connection.
    Fixing,
    /// A condition of the machine ("battery isolated").
    MakeReady,
}

/// What a button records: the event but for its id, sender, counts and time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// What was done.
    pub verb: Verb,
    /// The thing that it is about.
    pub thing: String,
    /// From which spot, where one is known.
    pub spot: Option<String>,
    /// With which tool, where one is known.
    pub tool: Option<String>,
}

/// A button: it says what has happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Button {
    /// Its words: "Plug off", "2 screws out", "In by hand".
    pub text: String,
    /// What it records.
    pub draft: Draft,
    /// The one that the step asks for; others are states between and other outcomes.
    pub main: bool,
}

/// Where a caution comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CautionFrom {
    /// The spot where the work is done.
    Spot,
    /// The thing itself.
    Thing,
    /// A condition that must be in force.
    MakeReady,
}

/// A caution shown at the step where it counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// The words of the file.
    pub text: String,
    /// What it belongs to: the name of the spot, thing or condition.
    pub of: String,
    /// Where it comes from.
    pub from: CautionFrom,
}

/// A thing named in a sentence, with its tag, so that it can be tapped.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ThingRef {
    /// Its id.
    pub thing: String,
    /// What is said of it: "cowl", "2 cowl latches".
    pub text: String,
    /// Its tag number, where it has one.
    pub tag: Option<u32>,
}

/// One line of a list of steps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepLine {
    /// What is done.
    pub verb: StepVerb,
    /// To what.
    pub thing: String,
    /// The sentence: "Starter screws: 2 screws out".
    pub text: String,
    /// From which spot; none = wherever one stands.
    pub from: Option<String>,
    /// With which tool; none = by hand.
    pub tool: Option<String>,
    /// Minutes of the step itself, without changes.
    pub minutes: Minutes,
    /// The minutes are a guess of the table.
    pub guessed: bool,
    /// Its tag.
    pub tag: Option<Tag>,
    /// It is done at the bench.
    pub bench: bool,
    /// For a look: the part that covers it.
    pub before: Option<String>,
    /// The question that comes before it and is not answered.
    pub asks_first: Option<String>,
}

/// What to do with eyes and fingers at a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PromptKind {
    /// Last look: look, push, tug, before a cover goes on.
    LastLook,
    /// It cannot be seen afterwards: pull on it, listen for the click, now.
    MadeUnseen,
    /// Something is tested before this part covers it.
    TestFirst,
    /// The machine runs for this look: is it dry, or does it weep.
    LeakLook,
}

/// A prompt that stands on the action until it is answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prompt {
    /// Which one.
    pub kind: PromptKind,
    /// The sentence: "Look, push, tug: the cowl covers it next."
    pub text: String,
    /// The part that covers it, where one is known; for a leak look the gate that comes first.
    pub before: Option<String>,
}

/// The next action, with everything that a person needs to do it.
#[derive(Clone, Debug, PartialEq)]
pub struct ActionCard {
    /// The same as in a list.
    pub line: StepLine,
    /// What sort of thing it is about.
    pub sort: ThingSort,
    /// The kind in the trade's word: "screw", "plug"; "part" for parts.
    pub kind: String,
    /// How many pieces.
    pub pieces: u32,
    /// Pieces that are done already, where only some were recorded.
    pub pieces_done: Option<u32>,
    /// The buttons; the first is the main one.
    pub buttons: Vec<Button>,
    /// What must be off or undone and is not yet.
    pub off_first: Vec<ThingRef>,
    /// Any other reason why it will not go yet, in sentences.
    pub not_yet: Vec<String>,
    /// Extra things to have ready.
    pub also: Vec<String>,
    /// Cautions of the spot, of the thing and of conditions.
    pub cautions: Vec<Caution>,
    /// Who may do it.
    pub who: Option<String>,
    /// The mark to be made before it is undone (taking apart only).
    pub mark: Option<String>,
    /// How it sits.
    pub sits: Option<String>,
    /// Dry, or wetted with what.
    pub wetted: Option<String>,
    /// What carries it meanwhile.
    pub support: Option<String>,
    /// Rounds of tightening as the file states them (putting back only).
    pub rounds: Vec<String>,
    /// What is new each time (putting back) or to be bought (taking apart).
    pub renew: Vec<String>,
    /// The file's own notes on the way and on the thing.
    pub notes: Vec<String>,
    /// A question to answer in words: "how was it done".
    pub ask: Option<String>,
    /// What its own label says.
    pub label: Option<String>,
    /// Done by feel.
    pub by_feel: bool,
    /// It carries weight.
    pub bears: bool,
    /// How many people it takes.
    pub people: u32,
    /// "11 kg", "24 kg: helper or hoist".
    pub lift: Option<String>,
    /// Minutes to change place and tool before it.
    pub change: Minutes,
    /// The maker's minutes to wait unattended afterwards; 0 for none, or where nobody knows them.
    pub wait: Minutes,
    /// The wait that begins with it, in words; minutes only where they are the maker's.
    pub then_wait: Option<String>,
    /// The question that stands in place of its main button until it is answered.
    pub asks_first: Option<Point>,
    /// Look, push, tug; or pull and click.
    pub prompt: Option<Prompt>,
    /// Rags, caps, plugs and tools that this step would close in: they come out first.
    pub first_out: Vec<MatterLine>,
    /// How it goes back, in one line: "arm up · dry · lip inwards · new" (putting back only).
    pub put_back: Option<String>,
    /// It is to be left alone, and why.
    pub leave_alone: Option<String>,
    /// A mark has to be made first, and there is no picture of it yet.
    pub wants_picture: bool,
    /// States between and other outcomes that say more than a button does.
    pub taps: Vec<Tap>,
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
}

impl QuietKind {
    /// Gives the word for data: `out_of_order`, `disagreement`, `unknown_thing`, `no_order`,
    /// `taken_as_undone`.
    pub fn word(self) -> &'static str {
        match self {
            Self::OutOfOrder => "out_of_order",
            Self::Disagreement => "disagreement",
            Self::UnknownThing => "unknown_thing",
            Self::NoOrder => "no_order",
            Self::TakenAsUndone => "taken_as_undone",
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

/// The answer to "What still holds it?" or "What must come first?".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WhatHolds {
    /// The thing asked about.
    pub thing: String,
    /// "What still holds the gearcase: 3 things" or "Nothing holds it: it can come off now."
    pub heading: String,
    /// What it is done from, with which tool, in how many minutes: the best way.
    pub by: Option<String>,
    /// Everything that stands against it.
    pub lines: Vec<HoldLine>,
}

/// One thing that stands against an action.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HoldLine {
    /// The sentence, with place and tool.
    pub text: String,
    /// The thing to tap through to, where it is one.
    pub thing: Option<String>,
    /// Its tag number.
    pub tag: Option<u32>,
    /// From which spot that is dealt with.
    pub from: Option<String>,
    /// With which tool.
    pub tool: Option<String>,
    /// In how many minutes.
    pub minutes: Option<Minutes>,
    /// What stands against that in turn, one level down.
    pub inner: Vec<HoldLine>,
}

/// One link of the chain that makes something come off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WhyLine {
    /// The sentence.
    pub text: String,
    /// The thing that this link is about.
    pub thing: Option<String>,
    /// Where the file says so.
    pub at: Option<At>,
}

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
    /// "Not yet: 2 open", "All home" or "All home but what may wait".
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
    /// What was counted otherwise, or does not look right in the record; it keeps nothing shut.
    pub remarks: Vec<MatterLine>,
    /// How it was passed, if it was since anything changed.
    pub passed: Option<GatePassed>,
}

impl Gate {
    /// Tells whether nothing keeps it shut.
    pub fn is_clear(&self) -> bool {
        self.is_home() && self.points.is_empty()
    }

    /// Gives the heading with what is to be checked: "All home, 3 to check".
    pub fn title(&self) -> String {
        match self.points.len() {
            0 => self.heading.clone(),
            points => format!("{}, {points} to check", self.heading),
        }
    }

    /// Tells whether nothing is open; questions may be.
    pub fn is_home(&self) -> bool {
        self.lines.is_empty() && self.matters.is_empty()
    }
}

/// What a line of the record tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RecordKind {
    /// Something came off, was undone or made ready.
    Opened,
    /// Something went home.
    Closed,
    /// A state between: slack, in by hand, started, some of the pieces.
    Between,
    /// A look.
    Look,
    /// A look passed by.
    PassedBy,
    /// A gate passed.
    Gate,
    /// A first start.
    FirstStart,
    /// A note, or what somebody said of a thing never recorded.
    Note,
    /// A photo, or something about one.
    Photo,
    /// Somebody moved or took another tool.
    Moved,
    /// Something was taken back.
    TakenBack,
    /// The job was finished or goes on.
    Job,
}

impl RecordKind {
    /// Gives the word for data.
    pub fn word(self) -> &'static str {
        match self {
            Self::Opened => "opened",
            Self::Closed => "closed",
            Self::Between => "between",
            Self::Look => "look",
            Self::PassedBy => "passed_by",
            Self::Gate => "gate",
            Self::FirstStart => "first_start",
            Self::Note => "note",
            Self::Photo => "photo",
            Self::Moved => "moved",
            Self::TakenBack => "taken_back",
            Self::Job => "job",
        }
    }
}

/// One line of the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordLine {
    /// Its number.
    pub seq: u64,
    /// The id of the event.
    pub event: String,
    /// When it was said, in milliseconds since 1970, UTC.
    pub said_at_ms: i64,
    /// What it tells.
    pub kind: RecordKind,
    /// The sentence: "starter screws: 2 screws out".
    pub text: String,
    /// The thing.
    pub thing: Option<String>,
    /// Its tag number.
    pub tag: Option<u32>,
    /// Who.
    pub person: Option<String>,
    /// From which spot.
    pub from: Option<String>,
    /// With which tool.
    pub tool: Option<String>,
    /// The note given with it.
    pub note: Option<String>,
    /// It was taken back, by the record with this number.
    pub taken_back_by: Option<u64>,
}

/// Stages of a job, for minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Conditions brought into force and ended again.
    MakeReady,
    /// Taking apart.
    TakeApart,
    /// At the bench.
    Bench,
    /// Putting back.
    PutBack,
}

impl Stage {
    /// All four, in order.
    pub const ALL: [Self; 4] = [Self::MakeReady, Self::TakeApart, Self::Bench, Self::PutBack];

    /// Gives the trade's words: "make ready", "take apart", "bench", "put back".
    pub fn word(self) -> &'static str {
        match self {
            Self::MakeReady => "make ready",
            Self::TakeApart => "take apart",
            Self::Bench => "bench",
            Self::PutBack => "put back",
        }
    }
}

/// Minutes of a stage, planned and worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StageMinutes {
    /// Which stage.
    pub stage: Stage,
    /// Planned minutes, changes included.
    pub planned: Minutes,
    /// Minutes between records, long pauses left out; none before anything was recorded.
    pub worked: Option<Minutes>,
}

/// The record of a job: a page that prints.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordView {
    /// The machine in a few words.
    pub machine: String,
    /// What it was for.
    pub purpose: String,
    /// What the owner said.
    pub complaint: Vec<String>,
    /// What was decided.
    pub decided: Vec<String>,
    /// What proves the repair.
    pub proof: Vec<String>,
    /// Distance or hours, as written.
    pub odometer: Option<String>,
    /// Everybody who recorded something.
    pub people: Vec<String>,
    /// Every record in order, those taken back too.
    pub lines: Vec<RecordLine>,
    /// What was done but not measured.
    pub not_measured: Vec<OpenLine>,
    /// What was recorded off and not on again.
    pub leftovers: Vec<OpenLine>,
    /// Looks passed by that nobody made up for.
    pub looks_passed_by: Vec<OpenLine>,
    /// Things never recorded, and what was said of them.
    pub not_recorded: Vec<OpenLine>,
    /// Rags, caps, plugs and tools still in, and what fell and was not found.
    pub matters: Vec<MatterLine>,
    /// What was counted otherwise, or does not look right in the record.
    pub remarks: Vec<MatterLine>,
    /// Gates that were passed, with reasons.
    pub gates: Vec<RecordLine>,
    /// First starts and how they went.
    pub first_starts: Vec<RecordLine>,
    /// Notes.
    pub notes: Vec<RecordLine>,
    /// What was new.
    pub renewed: Vec<Buy>,
    /// Joints that were undone and are home again: measured, not measured, not said.
    pub joints: Vec<JointLine>,
    /// What broke, and how it was settled.
    pub broken: Vec<String>,
    /// Minutes by stage.
    pub stages: Vec<StageMinutes>,
    /// The job was said to be finished.
    pub finished: bool,
    /// It was given up, and why; blank where nobody said why.
    pub given_up: Option<String>,
}

/// Something to buy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Buy {
    /// What, in the words of the file.
    pub what: String,
    /// How many (of a fluid: 1, the amount stands in `what`).
    pub count: u32,
    /// The thing that asks for it.
    pub because: String,
}

/// The last look of a fixing or connection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LastLook {
    /// What is looked at.
    pub of: String,
    /// Before which part goes on.
    pub before: String,
}

/// A step of a plan as it is shown and printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanStep {
    /// The line.
    pub line: StepLine,
    /// Minutes of the changes of place and tool before it.
    pub change: Minutes,
    /// Cautions of the spot, of the thing and of conditions.
    pub cautions: Vec<Caution>,
    /// Extra things to have ready.
    pub also: Vec<String>,
    /// Who may do it.
    pub who: Option<String>,
    /// The mark to be made before it is undone.
    pub mark: Option<String>,
    /// "11 kg", "24 kg: helper or hoist".
    pub lift: Option<String>,
    /// How many people it takes.
    pub people: u32,
    /// Done by feel.
    pub by_feel: bool,
    /// The wait that begins with it, in words; minutes only where they are the maker's.
    pub wait: Option<String>,
}

/// A plan as the command line prints it and the pages show it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanView {
    /// The machine in a few words.
    pub machine: String,
    /// What it is for: "impeller to renew".
    pub purpose: String,
    /// Whether `least` is proved to be the least.
    pub proved: bool,
    /// Minutes of work of this order, which may be a little more than the least.
    pub minutes: Minutes,
    /// The least minutes known.
    pub least: Minutes,
    /// Nothing can take fewer minutes than this.
    pub bound: Minutes,
    /// Elapsed minutes of this order, waits included.
    pub elapsed: Minutes,
    /// Everything open at the turn.
    pub off: Vec<String>,
    /// Taking apart.
    pub strip: Vec<PlanStep>,
    /// Putting back, with a look before each cover.
    pub build: Vec<PlanStep>,
    /// Numbers of the steps done at the bench: `strip` then `build`, counted through from 1.
    pub bench: Vec<usize>,
    /// Made while a cover is in its place: no last look.
    pub made_blind: Vec<String>,
    /// The last looks.
    pub last_looks: Vec<LastLook>,
    /// What to buy.
    pub to_buy: Vec<Buy>,
    /// Tools, each once, in the order of use.
    pub tools: Vec<String>,
    /// Extra things to have ready, each once, in the order of use.
    pub also: Vec<String>,
    /// Things whose minutes are guesses.
    pub guessed: Vec<String>,
    /// Minutes by stage, changes included.
    pub stages: Vec<StageMinutes>,
    /// Things that R17 and R18 added, in sentences.
    pub notes: Vec<String>,
}
