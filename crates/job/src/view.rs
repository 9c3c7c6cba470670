//! What the screens and the command line show: plain values, every text in the words of the trade.
//!
//! Nothing here knows a page or a format; the web server turns these into pages and JSON, the
//! command line into lines. Names of things are the user's own ids. Minutes are exact thousandths
//! ([`lastbolt_machine::Minutes`]); times of day are milliseconds since 1970, UTC, and are put
//! into local time by whoever shows them.

mod card;
mod day;
mod gate;
mod holds;
mod joint;
mod matters;
mod paper;
mod plan;
mod record;
mod screen;
mod step;
mod stop;
mod tag;

pub use card::{ActionCard, Prompt, PromptKind};
pub use day::{
    Day, DayGate, DayStage, DisturbedLine, DisturbedView, Point, PointGroup, PointSaid, StageView,
    together,
};
pub use gate::{Gate, GateLine, GatePassed, GateReason};
pub use holds::{HoldLine, WhatHolds, WhyLine};
pub use joint::{
    GoOn, JointCard, JointDrawing, JointStudy, JointTap, RoundDone, RoundLine, StudyRow, WrenchLine,
};
pub use matters::{LeftoverLine, Leftovers, MatterKind, MatterLine, MattersView, Said, Tap};
pub use paper::{Paper, PaperLine, PaperSection, Sheet};
pub use plan::{LastLook, PlanStep, PlanView};
pub use record::{Buy, RecordKind, RecordLine, RecordView, Stage, StageMinutes};
pub use screen::{
    KindCount, LastRecord, NotRecorded, OpenLine, PassedLook, Phase, Quiet, QuietKind, Screen,
    StillOff, ThingLine, WaitLine,
};
pub use step::{Button, Caution, CautionFrom, Draft, StepLine, StepVerb, ThingRef, ThingSort};
pub use stop::{Branch, Broke, DoneLast, HandOver, JointHow, JointLine, Stops};
pub use tag::{Tag, TagFill, TagShape};
