//! The card of a joint: the maker's rounds, the wrench for each, the order of the screws, and what
//! is done of it. Every number on it is the file's own or computed from it; nothing is invented.

use lastbolt_ledger::{Round, State};
use lastbolt_machine::{Kind, ThingNo};
use lastbolt_tighten::{Action, Stage};

use crate::case::{Book, Written as Thing};
use crate::day::Ask;
use crate::picture::Picture;
use crate::tell::Tell;
use crate::view::{JointCard, RoundDone, RoundLine};
use crate::words;

mod asks;
mod drawing;
mod kind;
mod owned;
mod plausible;
mod resume;
mod study;
mod taps;
pub(crate) mod wrenches;
mod written;

pub(crate) use asks::{NewScrews, new_screws, points};
pub use owned::{HeldText, Owned, owned};
pub use study::{joint_study, percent_band};
pub use wrenches::no_wrench;

/// The kind of note that says that a thread was repaired.
pub(crate) const THREAD_REPAIR: &str = "thread repair";
/// The point that says which wrench is taken for a joint.
pub(crate) const USE: &str = "joint.use";

/// Gives the card of a joint; none where the machine has no such fixing, or its file says nothing
/// of tightening it. `held` is the adapter that is used, if one is; `now_ms` is the time of day
/// \[ms since 1970, UTC\].
pub fn joint(
    picture: &Picture,
    thing: &str,
    held: Option<&HeldText>,
    now_ms: i64,
) -> Option<JointCard> {
    let case = &picture.case;
    let no = case.kernel.find(thing)?;
    let joint = Joint::of(picture, no)?;
    Some(joint.card(held, now_ms))
}

/// Gives the names of all joints of which the file says how they are tightened, in its order.
pub fn joints(picture: &Picture) -> Vec<String> {
    let kernel = &picture.case.kernel;
    let all = kernel.all().filter(|&thing| Joint::of(picture, thing).is_some());
    all.map(|thing| kernel.name(thing).to_owned()).collect()
}

/// A joint with everything that its card is made from.
pub(crate) struct Joint<'a> {
    pub(crate) picture: &'a Picture,
    pub(crate) thing: ThingNo,
    pub(crate) name: &'a str,
    pub(crate) pieces: u32,
    pub(crate) written: written::Written,
    pub(crate) rounds: Vec<MakersRound>,
    pub(crate) done: &'a [Round],
}

/// One round: a stage in which something is done to every screw.
#[derive(Clone, Debug)]
pub(crate) struct MakersRound {
    /// What the maker says comes before it and is no turning of screws.
    pub(crate) before: Vec<String>,
    /// The stage.
    pub(crate) stage: Stage,
}

impl<'a> Joint<'a> {
    pub(crate) fn of(picture: &'a Picture, thing: ThingNo) -> Option<Joint<'a>> {
        let book = Book::of(&picture.case);
        if book.kernel.thing(thing).kind != Kind::Tie {
            return None;
        }
        let Thing::Tie(tie) = book.written(thing) else { return None };
        tie.tighten.as_ref()?;
        let written = written::written(tie);
        let name = book.kernel.name(thing);
        let mut rounds = makers_stages(&written.stages);
        for (at, round) in rounds.iter_mut().enumerate() {
            let key = (asks::value_id(at + 1), Some(name.to_owned()));
            if let Some(tick) = picture.now.live.state.ticks.get(&key) {
                round.stage = asks::settled(&round.stage, &tick.answer);
            }
        }
        let rounds = rounds.into_iter().flat_map(one_thing_each).collect();
        let done = picture.now.live.state.rounds.get(name).map_or(&[][..], Vec::as_slice);
        Some(Joint { picture, thing, name, pieces: book.count(thing), written, rounds, done })
    }

    fn tell(&self) -> Tell<'a> {
        let now = &self.picture.now;
        Tell { case: &self.picture.case, live: &now.live, kept: &now.kept }
    }

    fn card(&self, held: Option<&HeldText>, now_ms: i64) -> JointCard {
        let owned = owned(self.picture.garage(), held, now_ms);
        let asks = points(&Ask::of(self.picture, 0), self);
        let rounds: Vec<RoundLine> =
            (0..self.rounds.len()).map(|at| self.round(at, &owned)).collect();
        let is_whole = |line: &RoundLine| line.done.as_ref().is_some_and(RoundDone::is_whole);
        let next = rounds.iter().position(|line| !is_whole(line));
        let (drawing, order) = drawing::drawing(self);
        let stands = self.tell().stands(self.thing);
        JointCard {
            thing: self.name.to_owned(),
            title: format!("Joint: {}", self.name),
            pieces: self.pieces,
            counted: words::pieces(self.pieces, Book::of(&self.picture.case).kind(self.thing)),
            screws: self.screws(),
            stands: stands.to_owned(),
            taps: taps::taps(self, &rounds, next, &asks),
            stops: taps::stops(self, &rounds, next, &asks),
            resume: resume::go_on(self),
            repaired: repaired(&self.picture.now.live.state, self.name),
            repairs: taps::repairs(self),
            asks,
            next,
            drawing,
            order,
            kind_lines: kind::lines(self),
            after_lines: kind::after(self),
            estimate: kind::how_many_rounds(self),
            troubles: self.troubles(&owned),
            doubts: plausible::lines(self),
            slackening: kind::slackening(self),
            notes: self.notes(),
            rounds,
        }
    }

    fn round(&self, at: usize, owned: &Owned) -> RoundLine {
        let round = &self.rounds[at];
        let number = u32::try_from(at + 1).unwrap_or(u32::MAX);
        let fitting = wrenches::for_stage(&round.stage, owned, self.chosen());
        let wrenches = fitting.wrenches.into_iter().map(|line| taps::takes(self, line)).collect();
        RoundLine {
            number,
            text: round.stage.text.clone(),
            before: round.before.clone(),
            wrenches,
            refused: fitting.refused,
            not_chosen: fitting.not_chosen,
            no_wrench: fitting.no_wrench,
            is_measured: round.stage.torques().next().is_some(),
            done: self.done_of(number),
        }
    }

    /// What was recorded of a round, the last entry.
    fn done_of(&self, number: u32) -> Option<RoundDone> {
        let round = self.done.iter().rev().find(|round| round.round == number)?;
        let by_hand = round.by_hand.then(|| "by hand, not measured".to_owned());
        let parts = [round.wrench.clone(), round.setting.clone(), by_hand, round.person.clone()];
        Some(RoundDone {
            pieces: round.pieces.filter(|&pieces| pieces < self.pieces),
            by_hand: round.by_hand,
            text: parts.into_iter().flatten().collect::<Vec<_>>().join(", "),
            said_at_ms: round.said_at_ms,
        })
    }

    /// The wrench that is taken for this joint: the one that was chosen or used last.
    fn chosen(&self) -> Option<&str> {
        let key = (USE.to_owned(), Some(self.name.to_owned()));
        let chosen = self.picture.now.live.state.ticks.get(&key);
        let used = self.done.iter().rev().find_map(|done| Some((done.seq, done.wrench.as_ref()?)));
        match (chosen, used) {
            (Some(tick), Some((seq, used))) if seq > tick.seq => Some(used),
            (Some(tick), _) => Some(&tick.answer),
            (None, used) => used.map(|(_, used)| used.as_str()),
        }
    }

    fn troubles(&self, owned: &Owned) -> Vec<String> {
        let holes = self.written.holes.len();
        let other = holes > 0 && u32::try_from(holes) != Ok(self.pieces);
        let other = other.then(|| {
            format!("The file gives places for {holes} and says that there are {}.", self.pieces)
        });
        owned.troubles.iter().cloned().chain(other).collect()
    }

    fn screws(&self) -> Option<String> {
        let written = &self.written;
        let class = written.class.as_ref().map(|class| format!("class {class}"));
        let all: Vec<String> = [written.thread.clone(), class].into_iter().flatten().collect();
        (!all.is_empty()).then(|| all.join(", "))
    }

    fn notes(&self) -> Vec<String> {
        let written = &self.written;
        let again = written.again.as_ref().map(|again| format!("Again {again}."));
        let others = written.others.iter().map(|(key, value)| format!("{key}: {value}"));
        let stages = self.rounds.iter().flat_map(|round| round.stage.notes.iter().cloned());
        let all = again.into_iter().chain(others).chain(stages);
        all.map(|line| words::large(&line)).collect()
    }
}

/// Threads of a joint that were repaired in this job, in words.
pub(crate) fn repaired(state: &State, joint: &str) -> Vec<String> {
    let own = |kept: &&lastbolt_ledger::Kept| kept.thing.as_deref() == Some(joint);
    let all = state.kept.iter().filter(|kept| kept.kind == THREAD_REPAIR).filter(own);
    all.map(|kept| kept.text.clone()).collect()
}

/// The stages in which screws are turned; what else the maker says stands before the next of them,
/// after the last one it stands as a round of its own, since it has to be done as well.
fn makers_stages(stages: &[Stage]) -> Vec<MakersRound> {
    let mut rounds: Vec<MakersRound> = Vec::new();
    let mut before: Vec<String> = Vec::new();
    for stage in stages {
        if stage.actions.is_empty() && stage.open().is_empty() {
            before.push(stage.text.clone());
        } else {
            let before = std::mem::take(&mut before);
            rounds.push(MakersRound { before, stage: stage.clone() });
        }
    }
    for text in before {
        let stage = Stage { text, ..Stage::default() };
        rounds.push(MakersRound { before: Vec::new(), stage });
    }
    rounds
}

/// A stage of several things ("40 N·m + 90°") is a round for each: every screw gets the first
/// before any gets the second. The maker's words stay beside each.
fn one_thing_each(round: MakersRound) -> Vec<MakersRound> {
    let stage = &round.stage;
    if stage.actions.len() < 2 || !stage.open().is_empty() {
        return vec![round];
    }
    let one = |(at, action): (usize, &Action)| {
        let text = format!("{} (of \u{201c}{}\u{201d})", action_text(action), stage.text);
        let first = at == 0;
        let stage = Stage {
            text,
            actions: vec![action.clone()],
            words: if first { stage.words.clone() } else { Vec::new() },
            notes: if first { stage.notes.clone() } else { Vec::new() },
            ..stage.clone()
        };
        let before = if first { round.before.clone() } else { Vec::new() };
        MakersRound { before, stage }
    };
    stage.actions.iter().enumerate().map(one).collect()
}

fn action_text(action: &Action) -> String {
    match action {
        Action::ByHand => "by hand".to_owned(),
        Action::Torque(torque) => torque.text.clone(),
        Action::Angle(angle) => format!("turn by {}", angle.text),
        Action::ToYield => "to yield".to_owned(),
        Action::Slacken(None) => "slacken again".to_owned(),
        Action::Slacken(Some(by)) => format!("slacken by {}", by.text),
    }
}
