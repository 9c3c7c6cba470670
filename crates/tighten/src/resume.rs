//! Where a joint goes on that was left in the middle.

use std::fmt;

use crate::{Action, Round, Stage, What};

/// Where to go on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Resume {
    /// The round, from 0.
    pub round: usize,
    /// Its screws that are still to be done, in order; the first is the next.
    pub left: Vec<usize>,
    /// What to look at first, if anything.
    pub care: Option<Care>,
}

/// What is not known about a joint that was left in the middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Care {
    /// Left in a round of angles: whether the next screw was turned already cannot be measured
    /// afterwards; a paint mark shows it. If nobody knows, the maker's word on new screws counts.
    AngleUnsure,
    /// Screws of a later round are done while some of this one are open.
    LaterRoundBegun,
}

impl Care {
    /// The word for it in data.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::AngleUnsure => "angle-unsure",
            Self::LaterRoundBegun => "later-round-begun",
        }
    }
}

/// Why it cannot be said where to go on. Rounds and holes are counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ResumeError {
    /// More rounds done than there are.
    NoRound(usize),
    /// A screw done in a round in which it has no part.
    NoScrew {
        /// The round.
        round: usize,
        /// The hole.
        hole: usize,
    },
}

impl fmt::Display for ResumeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoRound(round) => write!(f, "the joint has no round {round}"),
            Self::NoScrew { round, hole } => {
                write!(f, "round {round} has no screw at hole {hole}")
            }
        }
    }
}

impl std::error::Error for ResumeError {}

/// Where to go on after `done`: for each round the holes that are done in it, in any order; rounds
/// that are not begun may be left out. `None` if everything is done.
///
/// # Errors
/// If a round or a screw is named that the joint does not have.
pub fn resume(
    rounds: &[Round],
    stages: &[Stage],
    done: &[Vec<usize>],
) -> Result<Option<Resume>, ResumeError> {
    if done.len() > rounds.len() {
        return Err(ResumeError::NoRound(rounds.len() + 1));
    }
    for (number, (round, done)) in rounds.iter().zip(done).enumerate() {
        if let Some(hole) = done.iter().find(|hole| !round.holes.contains(hole)) {
            return Err(ResumeError::NoScrew { round: number + 1, hole: hole + 1 });
        }
    }
    let of = |round: usize| done.get(round).map_or(&[][..], Vec::as_slice);
    let left = |round: usize| -> Vec<usize> {
        let holes = rounds[round].holes.iter();
        holes.filter(|hole| !of(round).contains(hole)).copied().collect()
    };
    let Some(round) = (0..rounds.len()).find(|round| !left(*round).is_empty()) else {
        return Ok(None);
    };
    let later = (round + 1..rounds.len()).any(|later| !of(later).is_empty());
    let care = if later {
        Some(Care::LaterRoundBegun)
    } else if !of(round).is_empty() && is_angle(&rounds[round], stages) {
        Some(Care::AngleUnsure)
    } else {
        None
    };
    Ok(Some(Resume { round, left: left(round), care }))
}

fn is_angle(round: &Round, stages: &[Stage]) -> bool {
    let What::Maker { stage, action } = round.what else { return false };
    let action = stages.get(stage).and_then(|stage| stage.actions.get(action));
    matches!(action, Some(Action::Angle(_) | Action::ToYield))
}
