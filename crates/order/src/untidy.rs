//! How hard an order is to keep in mind: points for what a mechanic would not do.
//!
//! No term here has a source: each is common practice, and the points are ours. They only choose
//! between orders of nearly equal minutes. Putting back is judged as its own reversal, so one text
//! serves both directions.

use lastbolt_machine::{End, Kernel, Kind, Set, ThingNo};

use crate::answer::{Plan, Step};

/// For each time one comes back to a spot that was left: a corner is finished before the next is
/// begun, tools and lamp move with the person.
const RETURN_TO_SPOT: u64 = 30;
/// For each time one comes back to a part or joint: its fixings come together and right before
/// it, so that they lie together in one bag and none is forgotten.
const RETURN_TO_PART: u64 = 20;
/// For each step that comes before a make-ready step (and after its end, putting back): battery,
/// draining and raising are done before the hands are dirty, and the battery comes on last.
const BEFORE_READY: u64 = 1;
/// For each step that an opened hose, line or union stays open longer than it must before the
/// turn and after it: less runs out, less dirt falls in.
const STEP_OPEN: u64 = 1;
/// For each other fixing of a part that comes after one that bears it: what carries the weight
/// comes last, with the support in place, and goes home first.
const AFTER_BEARING: u64 = 15;
/// For each further time that a second pair of hands is called: what needs two is done while two
/// are there.
const SECOND_CALL: u64 = 10;
/// What a minute is worth in the same points: a return to a part may cost four minutes.
pub(crate) const A_MINUTE: u64 = 5;

/// Stands for no spot.
const NOWHERE: u32 = u32::MAX;

/// What the points ask about one thing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Trait {
    /// The part or joint that it belongs to.
    pub joint: u32,
    is_ready_step: bool,
    leaves_open: bool,
    bears: bool,
    is_fixing: bool,
    asks_for_two: bool,
}

impl Trait {
    /// Whether points ask where it stands among the steps of its own joint.
    pub(crate) fn wants_its_own_place(self) -> bool {
        self.leaves_open || self.bears
    }
}

/// One step as the points see it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seen {
    pub what: Trait,
    /// Number of the spot, [`NOWHERE`] where it is done wherever one stands.
    pub spot: u32,
}

/// The number of a spot as the points see it.
pub(crate) fn spot_of(step: &Step) -> u32 {
    step.spot.map_or(NOWHERE, |spot| spot.0 as u32)
}

/// The traits of all things, by number, where `off` is what comes off.
pub(crate) fn traits(kernel: &Kernel, off: &Set) -> Vec<Trait> {
    let of = |no: ThingNo| {
        let it = kernel.thing(no);
        Trait {
            joint: joint_of(kernel, no, off),
            is_ready_step: it.kind == Kind::Prep,
            leaves_open: it.leaves_open,
            bears: it.bears,
            is_fixing: it.kind == Kind::Tie,
            asks_for_two: it.asks_for_two,
        }
    };
    kernel.all().map(of).collect()
}

/// A fixing belongs to the part that it holds and that comes off, of several to the one with
/// fewest fixings; else to all that joins the same.
fn joint_of(kernel: &Kernel, no: ThingNo, off: &Set) -> u32 {
    let it = kernel.thing(no);
    if it.kind != Kind::Tie {
        return no.0 as u32;
    }
    let parts = it.joins.iter().filter_map(|end| match end {
        End::Part(part) if off.has(*part) => Some(*part),
        _ => None,
    });
    let owner = parts.min_by_key(|part| (kernel.thing(*part).ties.len(), *part));
    let owner = owner.or_else(|| kernel.all().find(|other| kernel.thing(*other).joins == it.joins));
    owner.unwrap_or(no).0 as u32
}

/// The points of one direction, its steps given as for taking apart.
pub(crate) fn points(steps: impl Iterator<Item = Seen>, size: usize, memo: &mut Memo) -> u64 {
    memo.begin(size);
    let mut points = 0;
    let (mut spot, mut joint) = (NOWHERE, u32::MAX);
    let (mut other_steps, mut calls, mut was_two) = (0_u64, 0_u64, false);
    let (mut opened, mut open_steps) = (0_u64, 0_u64);
    for Seen { what, spot: here } in steps {
        open_steps += opened;
        if here != NOWHERE && here != spot {
            points += RETURN_TO_SPOT * u64::from(memo.was_at(here));
            spot = here;
        }
        if what.joint != joint {
            points += RETURN_TO_PART * u64::from(memo.was_on(what.joint));
            joint = what.joint;
        }
        if what.is_ready_step {
            points += BEFORE_READY * other_steps;
        } else {
            other_steps += 1;
        }
        opened += u64::from(what.leaves_open);
        if what.bears {
            memo.bears(what.joint);
        } else if what.is_fixing && memo.is_borne(what.joint) {
            points += AFTER_BEARING;
        }
        calls += u64::from(what.asks_for_two && !was_two);
        was_two = what.asks_for_two;
    }
    points + STEP_OPEN * open_steps + SECOND_CALL * calls.saturating_sub(1)
}

/// What was met so far, kept from one judgement to the next so that nothing is allocated.
#[derive(Debug, Default)]
pub(crate) struct Memo {
    round: u32,
    spots: Vec<u32>,
    joints: Vec<u32>,
    borne: Vec<u32>,
}

impl Memo {
    fn begin(&mut self, size: usize) {
        self.round += 1;
        for list in [&mut self.spots, &mut self.joints, &mut self.borne] {
            list.resize(size.max(list.len()), 0);
        }
    }

    fn was_at(&mut self, spot: u32) -> bool {
        std::mem::replace(&mut self.spots[spot as usize], self.round) == self.round
    }

    fn was_on(&mut self, joint: u32) -> bool {
        std::mem::replace(&mut self.joints[joint as usize], self.round) == self.round
    }

    fn bears(&mut self, joint: u32) {
        self.borne[joint as usize] = self.round;
    }

    fn is_borne(&self, joint: u32) -> bool {
        self.borne[joint as usize] == self.round
    }
}

/// Gives the points of a whole order: 0 is one that nobody could keep in mind more easily.
pub fn untidiness(kernel: &Kernel, plan: &Plan) -> u64 {
    let traits = traits(kernel, &plan.off);
    let seen = |step: &Step| Seen { what: traits[step.thing.0], spot: spot_of(step) };
    let size = room(kernel);
    let mut memo = Memo::default();
    points(plan.strip.iter().map(seen), size, &mut memo)
        + points(plan.build.iter().rev().map(seen), size, &mut memo)
}

/// Room for every thing and every spot.
pub(crate) fn room(kernel: &Kernel) -> usize {
    kernel.things.len().max(kernel.spots.len())
}
