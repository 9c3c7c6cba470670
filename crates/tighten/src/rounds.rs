//! The rounds of a joint: which screws, in which order, and why a round is made at all.
//!
//! Stages are the maker's, none is invented. What is added is marked as common practice: starting
//! the screws by hand, and one more round at full torque where that is right.

use std::fmt;

use crate::order::around;
use crate::{Action, Hole, Order, Shape, Stage};

/// The most things to be done that one joint may have from its maker.
pub const ACTIONS_MAX: usize = 24;

/// What sort of joint it is, as far as rounds go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum JointKind {
    /// A cover, a flange, a bracket: parts pressed together by screws.
    #[default]
    Plain,
    /// A cover that springs push off: clutch covers, for instance.
    SpringLoaded,
    /// A hollow screw through an eye, with sealing rings.
    Banjo,
    /// A taper that a nut draws up.
    Taper,
    /// A plug of its own.
    Plug,
}

/// What is known about a joint, besides its holes and stages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct JointFacts {
    /// Its sort.
    pub kind: JointKind,
    /// Locking compound that grips is on the threads.
    pub locking_compound: bool,
    /// Sealant that sets is between the parts.
    pub sealant_sets: bool,
    /// Whether the maker asks for a round again at full torque; nothing said is none.
    pub maker_repeats: Option<bool>,
}

/// What is done in a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// Screws are started and run in by hand.
    ByHand,
    /// Two long screws draw the cover down, in turns and small steps.
    TwoLongScrews,
    /// All others are started by hand.
    OthersByHand,
    /// Stage and action of the maker's, both counted from 0.
    Maker {
        /// Which stage.
        stage: usize,
        /// Which of its actions.
        action: usize,
    },
    /// Once more at the torque of this stage and action, until nothing turns any more.
    Repeat {
        /// Which stage.
        stage: usize,
        /// Which of its actions.
        action: usize,
    },
    /// Slackened by a small step.
    SlackenALittle,
    /// Slackened whole and taken out.
    TakeOut,
}

/// Why a round is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// The maker says so.
    Maker,
    /// All screws find their threads before one is tight.
    ThreadsFirst,
    /// Springs push: the cover must come down, or up, evenly.
    Springs,
    /// Each screw tightened has relieved its neighbours.
    NeighboursRelieved,
    /// Let go evenly, as it was tightened.
    LetGoEvenly,
}

/// Why no round again at full torque is offered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoRepeat {
    /// The maker says there is none.
    MakerSaysNo,
    /// The last thing is no torque, or none is given.
    NoTorqueLast,
    /// Screws are turned by an angle.
    Angle,
    /// Screws are tightened to yield.
    ToYield,
    /// Locking compound would be torn.
    LockingCompound,
    /// Sealant would be squeezed once more after it began to set.
    Sealant,
    /// A hollow screw: its rings are squeezed once.
    Banjo,
    /// A taper would go further on.
    Taper,
    /// A plug.
    Plug,
    /// One screw has no neighbours.
    OneScrew,
    /// The source says once only.
    Once,
}

/// One round of a joint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Round {
    /// What is done.
    pub what: What,
    /// To which screws, in this order; holes counted from 0.
    pub holes: Vec<usize>,
    /// Why.
    pub reason: Reason,
}

impl Round {
    /// Whether it is common practice and not the maker's word.
    #[must_use]
    pub fn is_common_practice(&self) -> bool {
        self.reason != Reason::Maker
    }

    /// The word for what is done, in data.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self.what {
            What::ByHand => "by-hand",
            What::TwoLongScrews => "two-long-screws",
            What::OthersByHand => "others-by-hand",
            What::Maker { .. } => "maker",
            What::Repeat { .. } => "repeat",
            What::SlackenALittle => "slacken-a-little",
            What::TakeOut => "take-out",
        }
    }
}

impl Reason {
    /// The word for it in data.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Maker => "maker",
            Self::ThreadsFirst => "threads-first",
            Self::Springs => "springs",
            Self::NeighboursRelieved => "neighbours-relieved",
            Self::LetGoEvenly => "let-go-evenly",
        }
    }
}

impl NoRepeat {
    /// The word for it in data.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::MakerSaysNo => "maker-says-no",
            Self::NoTorqueLast => "no-torque-last",
            Self::Angle => "angle",
            Self::ToYield => "to-yield",
            Self::LockingCompound => "locking-compound",
            Self::Sealant => "sealant",
            Self::Banjo => "banjo",
            Self::Taper => "taper",
            Self::Plug => "plug",
            Self::OneScrew => "one-screw",
            Self::Once => "once",
        }
    }
}

/// All rounds of a joint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rounds {
    /// In the order in which they are made.
    pub rounds: Vec<Round>,
    /// Why there is no round again at full torque, if there is none.
    pub no_repeat: Option<NoRepeat>,
}

/// Why rounds cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RoundsError {
    /// More than [`ACTIONS_MAX`] things to be done.
    TooMany(usize),
    /// The order is for another number of holes than there are.
    Holes {
        /// Holes in the order.
        order: usize,
        /// Holes of the joint.
        holes: usize,
    },
}

impl fmt::Display for RoundsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooMany(count) => {
                write!(f, "{count} stages are more than one joint may have ({ACTIONS_MAX})")
            }
            Self::Holes { order, holes } => {
                write!(f, "the order is for {order} holes and the joint has {holes}")
            }
        }
    }
}

impl std::error::Error for RoundsError {}

/// The rounds of a joint that is put together.
///
/// A stage with two actions ("40 N·m + 90 degrees") is two rounds: every screw gets the first
/// before any gets the second. A maker's first stage by hand stands for starting by hand.
///
/// # Errors
/// If there are too many stages, or the order is for another joint.
pub fn rounds(
    holes: &[Hole],
    order: &Order,
    stages: &[Stage],
    facts: &JointFacts,
) -> Result<Rounds, RoundsError> {
    if order.holes.len() != holes.len() {
        return Err(RoundsError::Holes { order: order.holes.len(), holes: holes.len() });
    }
    let actions: Vec<(What, &Action)> = stages
        .iter()
        .enumerate()
        .flat_map(|(stage, text)| {
            let numbered = text.actions.iter().enumerate();
            numbered.map(move |(action, what)| (What::Maker { stage, action }, what))
        })
        .collect();
    if actions.len() > ACTIONS_MAX {
        return Err(RoundsError::TooMany(actions.len()));
    }
    let begins_by_hand = matches!(actions.first(), Some((_, Action::ByHand)));
    let mut rounds = match (facts.kind, begins_by_hand) {
        (JointKind::SpringLoaded, _) => drawn_down(holes, order),
        (_, true) => Vec::new(),
        (_, false) => vec![round(What::ByHand, &order.holes, Reason::ThreadsFirst)],
    };
    rounds.extend(actions.iter().map(|(what, _)| round(*what, &order.holes, Reason::Maker)));
    let no_repeat = no_repeat(stages, &actions, order.holes.len(), facts);
    if let (None, Some((What::Maker { stage, action }, _))) = (no_repeat, actions.last()) {
        let what = What::Repeat { stage: *stage, action: *action };
        let reason = match facts.maker_repeats {
            Some(true) => Reason::Maker,
            _ => Reason::NeighboursRelieved,
        };
        rounds.push(round(what, &round_about(holes, order), reason));
    }
    Ok(Rounds { rounds, no_repeat })
}

/// The rounds of loosening: backwards and in stages. Common practice; the maker's word is above it.
#[must_use]
pub fn loosening_rounds(holes: &[Hole], order: &Order, facts: &JointFacts) -> Vec<Round> {
    let back: Vec<usize> = order.holes.iter().rev().copied().collect();
    let reason = match facts.kind {
        JointKind::SpringLoaded => Reason::Springs,
        _ => Reason::LetGoEvenly,
    };
    let (last, first): (Vec<usize>, Vec<usize>) = match facts.kind {
        // The two long screws hold the cover to the end.
        JointKind::SpringLoaded if holes.len() > 2 => {
            let long = two_long(holes, order);
            back.iter().copied().partition(|hole| long.contains(hole))
        }
        _ => (Vec::new(), back.clone()),
    };
    let mut rounds = Vec::new();
    if holes.len() > 1 {
        rounds.push(round(What::SlackenALittle, &back, reason));
    }
    rounds.push(round(What::TakeOut, &first, reason));
    if !last.is_empty() {
        rounds.push(round(What::TwoLongScrews, &last, reason));
    }
    rounds
}

fn round(what: What, holes: &[usize], reason: Reason) -> Round {
    Round { what, holes: holes.to_vec(), reason }
}

/// A cover that springs push off: two long screws first, then the others.
fn drawn_down(holes: &[Hole], order: &Order) -> Vec<Round> {
    if holes.len() < 3 {
        return vec![round(What::TwoLongScrews, &order.holes, Reason::Springs)];
    }
    let long = two_long(holes, order);
    let others: Vec<usize> =
        order.holes.iter().copied().filter(|hole| !long.contains(hole)).collect();
    vec![
        round(What::TwoLongScrews, &long, Reason::Springs),
        round(What::OthersByHand, &others, Reason::Springs),
    ]
}

/// Where the two long screws go: among the longest, if some are longer, the two farthest apart.
fn two_long(holes: &[Hole], order: &Order) -> Vec<usize> {
    let length = |hole: usize| holes[hole].length_mm.unwrap_or(0.0);
    let mut lengths: Vec<f64> = (0..holes.len()).map(length).collect();
    lengths.sort_by(f64::total_cmp);
    let least = lengths[lengths.len() - 2];
    let long: Vec<usize> = order.holes.iter().copied().filter(|h| length(*h) >= least).collect();
    let apart =
        |(a, b): &(usize, usize)| (holes[*a].x - holes[*b].x).hypot(holes[*a].y - holes[*b].y);
    let mut best: Option<(f64, (usize, usize))> = None;
    for (number, a) in long.iter().enumerate() {
        for b in &long[number + 1..] {
            let far = apart(&(*a, *b));
            // A hair more is no reason to leave the first in order.
            if best.is_none_or(|(most, _)| far > most * 1.000_001) {
                best = Some((far, (*a, *b)));
            }
        }
    }
    best.map_or_else(Vec::new, |(_, (a, b))| vec![a, b])
}

/// Why one more round at full torque would be wrong here, if it would.
fn no_repeat(
    stages: &[Stage],
    actions: &[(What, &Action)],
    screws: usize,
    facts: &JointFacts,
) -> Option<NoRepeat> {
    match facts.maker_repeats {
        Some(false) => return Some(NoRepeat::MakerSaysNo),
        Some(true) if matches!(actions.last(), Some((_, Action::Torque(_)))) => return None,
        _ => {}
    }
    let has = |is: fn(&Action) -> bool| actions.iter().any(|(_, action)| is(action));
    let rules = [
        (has(|action| matches!(action, Action::ToYield)), NoRepeat::ToYield),
        (has(|action| matches!(action, Action::Angle(_))), NoRepeat::Angle),
        (!matches!(actions.last(), Some((_, Action::Torque(_)))), NoRepeat::NoTorqueLast),
        (stages.iter().any(|stage| stage.once), NoRepeat::Once),
        (facts.kind == JointKind::Banjo, NoRepeat::Banjo),
        (facts.kind == JointKind::Taper, NoRepeat::Taper),
        (facts.kind == JointKind::Plug, NoRepeat::Plug),
        (facts.locking_compound, NoRepeat::LockingCompound),
        (facts.sealant_sets, NoRepeat::Sealant),
        (screws < 2, NoRepeat::OneScrew),
    ];
    rules.into_iter().find(|(holds, _)| *holds).map(|(_, why)| why)
}

/// A round again goes about a ring, hole after hole, as published guides have it; elsewhere it
/// goes as the others.
fn round_about(holes: &[Hole], order: &Order) -> Vec<usize> {
    match order.shape {
        Shape::Ring | Shape::UnevenRing => around(holes, order),
        _ => order.holes.clone(),
    }
}
