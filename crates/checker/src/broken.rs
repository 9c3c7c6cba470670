//! What stands against a step, and how to say it.

use lastbolt_machine::{At, Minutes};

use crate::book::Book;
use crate::open::No;

/// One rule that a step breaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Broken {
    AlreadyOpen { x: No },
    LeftAlone { x: No },
    NotOpen { x: No },
    LeftOff { x: No },
    LiesApart { tie: No },
    NotAtTheBench { x: No, at: At },
    OnlyAtTheBench { x: No, carrier: No, at: At },
    Hangs { x: No, part: No },
    NotClear { x: No, in_the_way: No, at: At },
    NotInForce { x: No, prep: No, at: At },
    Held { part: No, tie: No },
    WouldHide { part: No, hider: No, tie: No },
    EndsByItself { prep: No },
    StillNeeded { prep: No, by: No },
    InNoGroup { x: No },
    AlreadyStarted { x: No },
    NotStarted { tie: No },
    GroupNotStarted { tie: No, member: No },
    ComesOffFirst { part: No, x: No },
    BearsFirst { part: No, tie: No, x: No },
    BeforeTheLook { x: No, open: No },
    NotLookedForLeaks { x: No },
    BeadSets { bead: No, x: No, minutes: Minutes, allowed: Minutes },
}

impl Broken {
    /// The rule of the contract.
    pub(crate) fn rule(self) -> &'static str {
        match self {
            Self::AlreadyOpen { .. } | Self::NotOpen { .. } => "R1",
            Self::LeftAlone { .. } => "wish",
            Self::LeftOff { .. } => "R17",
            Self::LiesApart { .. }
            | Self::NotAtTheBench { .. }
            | Self::OnlyAtTheBench { .. }
            | Self::Hangs { .. } => "R5",
            Self::NotClear { .. } => "R6",
            Self::NotInForce { .. } => "R9",
            Self::Held { .. } => "R3",
            Self::WouldHide { .. } => "R12",
            Self::EndsByItself { .. } => "R10",
            Self::StillNeeded { .. } => "R11",
            Self::InNoGroup { .. }
            | Self::AlreadyStarted { .. }
            | Self::NotStarted { .. }
            | Self::GroupNotStarted { .. } => "R13",
            Self::ComesOffFirst { .. } | Self::BearsFirst { .. } => "R23",
            Self::BeadSets { .. } => "R24",
            Self::BeforeTheLook { .. } | Self::NotLookedForLeaks { .. } => "R28",
        }
    }

    /// The statement of the file that says so.
    pub(crate) fn at(self, book: &Book) -> At {
        match self {
            Self::AlreadyOpen { x }
            | Self::LeftAlone { x }
            | Self::NotOpen { x }
            | Self::LeftOff { x }
            | Self::InNoGroup { x }
            | Self::AlreadyStarted { x } => book.things[x].at,
            Self::NotAtTheBench { at, .. }
            | Self::OnlyAtTheBench { at, .. }
            | Self::NotClear { at, .. }
            | Self::NotInForce { at, .. } => at,
            Self::Hangs { part, .. } => book.things[part].at,
            Self::LiesApart { tie }
            | Self::Held { tie, .. }
            | Self::WouldHide { tie, .. }
            | Self::NotStarted { tie } => book.things[tie].at,
            Self::EndsByItself { prep } => book.things[prep].at,
            Self::StillNeeded { by, .. } => book.things[by].at,
            Self::GroupNotStarted { member, .. } => book.things[member].at,
            Self::ComesOffFirst { part, .. } => book.things[part].at,
            Self::BearsFirst { tie, .. } => book.things[tie].at,
            Self::BeforeTheLook { open, .. } => book.things[open].at,
            Self::NotLookedForLeaks { x } => book.things[x].at,
            Self::BeadSets { bead, .. } => book.things[bead].at,
        }
    }

    /// What is wrong, in one sentence.
    pub(crate) fn sentence(self, book: &Book) -> String {
        let id = |x: No| format!("\"{}\"", book.id(x));
        match self {
            Self::AlreadyOpen { x } => format!("{} is off or undone already.", id(x)),
            Self::LeftAlone { x } => format!("{} is to be left alone.", id(x)),
            Self::NotOpen { x } => format!("{} is neither off nor undone.", id(x)),
            Self::LeftOff { x } => format!("{} is left off on purpose.", id(x)),
            Self::LiesApart { tie } => {
                format!("What {} joins does not lie in one place.", id(tie))
            }
            Self::NotAtTheBench { x, .. } => {
                format!("{} is in the machine, so it is not at the bench.", id(x))
            }
            Self::OnlyAtTheBench { x, carrier, .. } => {
                format!("{} is on {}, which is off: only the bench reaches it.", id(x), id(carrier))
            }
            Self::Hangs { x, part } => {
                let (x, part) = (id(x), id(part));
                format!("{part} still hangs in the machine, so the bench does not reach {x}.")
            }
            Self::NotClear { x, in_the_way, .. } => {
                format!("{} is in the way of {}.", id(in_the_way), id(x))
            }
            Self::NotInForce { x, prep, .. } => {
                format!("{} needs {}, which is not in force.", id(x), id(prep))
            }
            Self::Held { part, tie } => format!("{} still holds {}.", id(tie), id(part)),
            Self::WouldHide { part, hider, tie } if part == hider => {
                format!("{} is still undone and {} would hide it.", id(tie), id(part))
            }
            Self::WouldHide { part, hider, tie } => {
                let (part, hider, tie) = (id(part), id(hider), id(tie));
                format!(
                    "{tie} is still undone and {hider}, which comes with {part}, would hide it."
                )
            }
            Self::EndsByItself { prep } => format!("{} ends by itself.", id(prep)),
            Self::StillNeeded { prep, by } => {
                format!("{} is still open and needs {}.", id(by), id(prep))
            }
            Self::InNoGroup { x } => format!("{} is not started first: it is just made.", id(x)),
            Self::AlreadyStarted { x } => format!("{} is started already.", id(x)),
            Self::NotStarted { tie } => format!("{} is to be started first.", id(tie)),
            Self::GroupNotStarted { tie, member } => {
                format!("{} is to be started before {} is tightened.", id(member), id(tie))
            }
            Self::ComesOffFirst { part, x } => {
                format!("Nothing bears {} any more: it comes off before {}.", id(part), id(x))
            }
            Self::BearsFirst { part, tie, x } => {
                let (part, tie, x) = (id(part), id(tie), id(x));
                format!("Nothing bears {part} yet: {tie} comes before {x}.")
            }
            Self::BeforeTheLook { x, open } => {
                format!("{} is still open, and {} waits for the leak look.", id(open), id(x))
            }
            Self::NotLookedForLeaks { x } => format!("The leak look comes before {}.", id(x)),
            Self::BeadSets { bead, x, minutes, allowed } => {
                let (bead, x) = (id(bead), id(x));
                format!("{x} ends {minutes} minutes after the bead of {bead}; {allowed} is most.")
            }
        }
    }
}
