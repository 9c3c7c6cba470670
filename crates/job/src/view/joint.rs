//! The card of a joint: what its rounds are, with which wrench, in which order, and what is done.

use lastbolt_tighten::Drawing;

use crate::view::{Point, Said};

/// What a joint's card shows.
#[derive(Clone, Debug, PartialEq)]
pub struct JointCard {
    /// The fixing.
    pub thing: String,
    /// "Joint: bell housing screws".
    pub title: String,
    /// How many screws.
    pub pieces: u32,
    /// "5 nuts".
    pub counted: String,
    /// "M12, class 8.8", as far as the file says.
    pub screws: Option<String>,
    /// How it stands: "off", "in by hand", "home".
    pub stands: String,
    /// What is asked before it can be tightened; the joint stays closed until it is answered.
    pub asks: Vec<Point>,
    /// The rounds, in order.
    pub rounds: Vec<RoundLine>,
    /// The first round that is not done, by its place; none: all are done, or there are none.
    pub next: Option<usize>,
    /// Where to go on, if a round was broken off.
    pub resume: Option<GoOn>,
    /// "I stopped here": a tap for each screw that may be the last one done, the number its text.
    pub stops: Vec<JointTap>,
    /// Threads that were repaired, in words.
    pub repaired: Vec<String>,
    /// What records a repaired thread.
    pub repairs: Vec<JointTap>,
    /// The drawing, where the places of the holes are known.
    pub drawing: Option<JointDrawing>,
    /// In which order, and where that is from: a line each.
    pub order: Vec<String>,
    /// What this kind of joint wants before its rounds: started by hand, small steps.
    pub kind_lines: Vec<String>,
    /// What it wants after them: once more at the full value, or why not.
    pub after_lines: Vec<String>,
    /// How many rounds even the screws out: an estimate.
    pub estimate: Option<String>,
    /// What of the files cannot be used for it: a wrench that is not understood, holes that do not
    /// add up.
    pub troubles: Vec<String>,
    /// Looks at the values that do not add up: questions, never a specification.
    pub doubts: Vec<String>,
    /// Slackening: common practice, where it is undone.
    pub slackening: Vec<String>,
    /// What else the file says of it: "once", "again after 50 km".
    pub notes: Vec<String>,
    /// What can be tapped, the main one first.
    pub taps: Vec<JointTap>,
}

/// A tap on a joint's card: one or more entries at once.
#[derive(Clone, Debug, PartialEq)]
pub struct JointTap {
    /// "Round done".
    pub text: String,
    /// What is recorded, in order.
    pub records: Vec<Said>,
    /// The main one.
    pub main: bool,
}

/// Where a joint goes on whose round was broken off; screws by their number in the order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GoOn {
    /// The round.
    pub round: u32,
    /// Those that have it.
    pub done: Vec<u32>,
    /// Those that wait for it, the next one first.
    pub left: Vec<u32>,
    /// What is not sure about it.
    pub care: Option<String>,
}

impl GoOn {
    /// "1 to 3 are done. Go on with 4; then 5, 6."
    pub fn text(&self) -> String {
        let Some((next, rest)) = self.left.split_first() else { return String::new() };
        let done = match self.done.as_slice() {
            [] => "No screw is done.".to_owned(),
            [one] => format!("Screw {one} is done."),
            [first, .., last] => format!("Screws {first} to {last} are done."),
        };
        let then = match rest {
            [] => "it is the last".to_owned(),
            [one] => format!("then {one}"),
            [first, .., last] => format!("then {first} to {last}"),
        };
        format!("{done} Go on with screw {next}; {then}.")
    }
}

/// One round of tightening.
#[derive(Clone, Debug, PartialEq)]
pub struct RoundLine {
    /// From 1.
    pub number: u32,
    /// In the maker's words: "20 N·m crosswise".
    pub text: String,
    /// What comes before it, in the maker's words: "weight on it".
    pub before: Vec<String>,
    /// The wrenches that can do it, the one to take first first.
    pub wrenches: Vec<WrenchLine>,
    /// Why the others cannot: "small: 40 N·m lies above its largest mark, 25 N·m."
    pub refused: Vec<String>,
    /// The wrench that was chosen for this joint cannot do it, and why.
    pub not_chosen: Option<String>,
    /// No wrench of the garage can do it: what to do.
    pub no_wrench: Option<String>,
    /// It asks for a torque, so a wrench is wanted.
    pub is_measured: bool,
    /// What was done of it.
    pub done: Option<RoundDone>,
}

/// What was done of a round.
#[derive(Clone, Debug, PartialEq)]
pub struct RoundDone {
    /// As far as this many screws, in the round's order; none: all of them.
    pub pieces: Option<u32>,
    /// By hand, not measured.
    pub by_hand: bool,
    /// "long wrench, 40 N·m, Robin".
    pub text: String,
    /// When \[ms since 1970, UTC\].
    pub said_at_ms: i64,
}

impl RoundDone {
    /// Tells whether all screws got it.
    pub fn is_whole(&self) -> bool {
        self.pieces.is_none()
    }
}

/// One wrench for one round.
#[derive(Clone, Debug, PartialEq)]
pub struct WrenchLine {
    /// Its name.
    pub name: String,
    /// "38 N·m": what its scale is set to.
    pub setting: String,
    /// It is the one that "done" records.
    pub used: bool,
    /// Takes this one from now on; none where it is taken already.
    pub takes: Option<JointTap>,
    /// "36,5 to 39,5 N·m": what the screw gets by its tolerance.
    pub band: Option<String>,
    /// "±4 % (ISO 6789:2003)".
    pub tolerance: Option<String>,
    /// That tolerance stands from memory: the wrench's paper wins.
    pub from_memory: bool,
    /// When it was calibrated, as written.
    pub calibrated: Option<String>,
    /// Its calibration in a sentence.
    pub calibration: String,
    /// The calibration is due, or nothing is known of it.
    pub look_at_calibration: bool,
    /// What to look at.
    pub warnings: Vec<String>,
}

/// The drawing of a joint.
#[derive(Clone, Debug, PartialEq)]
pub struct JointDrawing {
    /// Heads, numbers and strokes.
    pub drawing: Drawing,
    /// The screw of each number, where they differ: "M12x80 threaded head".
    pub screws: Vec<(u32, String)>,
}

/// What a joint does while it is tightened: an estimate, never a specification.
#[derive(Clone, Debug, PartialEq)]
pub struct JointStudy {
    /// After each round with a value, and after rounds once more at the full value.
    pub rows: Vec<StudyRow>,
    /// What it says, in sentences.
    pub said: Vec<String>,
    /// What was taken, with sources.
    pub assumed: Vec<String>,
    /// How many joints were drawn.
    pub joints: usize,
    /// From this seed.
    pub seed: u64,
}

/// How far the strongest and the weakest screw are apart after a round, in % of their mean.
#[derive(Clone, Debug, PartialEq)]
pub struct StudyRow {
    /// "Round 2: 12 N·m", "once more at the full value".
    pub text: String,
    /// It is one more round at the full value, common practice.
    pub again: bool,
    /// By the springs alone: a stiff and a soft joint.
    pub springs: (f64, f64),
    /// The same, tightened one after the other around.
    pub around: (f64, f64),
    /// With friction and wrench: half of the joints have at most the first, 19 of 20 the second.
    pub with_friction: (f64, f64),
    /// 19 of 20 joints keep at least this share of the full force in every screw.
    pub least_share: f64,
    /// Joints of those drawn in which a screw would be loose after it.
    pub loose: usize,
}
