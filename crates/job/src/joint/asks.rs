//! What has to be answered before a joint can be tightened, and what is asked of its screws.

use lastbolt_tighten::{Action, Length, Stage, Torque, read_torque};

use crate::case::Book;
use crate::day::Ask;
use crate::joint::{Joint, plausible};
use crate::view::Point;

/// The questions of a joint. The first kind keeps it closed: a value that can be read in two ways.
pub(crate) fn points(ask: &Ask<'_>, joint: &Joint<'_>) -> Vec<Point> {
    let mut all = values(ask, joint);
    all.extend(plausible::points(ask, joint));
    all.extend(screws_again(ask, joint));
    all
}

/// The id of the question about a round's value.
pub(crate) fn value_id(number: usize) -> String {
    format!("joint.value.{number}")
}

/// A value of which it is open what holds: twins that differ, a number without a unit.
fn values(ask: &Ask<'_>, joint: &Joint<'_>) -> Vec<Point> {
    let mut all = Vec::new();
    for (at, round) in crate::joint::makers_stages(&joint.written.stages).iter().enumerate() {
        let open = round.stage.open();
        let Some(first) = open.first() else { continue };
        let text = format!("{}: {}", round.stage.text, first.message);
        let mut draft = ask.point(&value_id(at + 1), Some(joint.name), &text).detail(&first.help);
        for torque in round.stage.torques().filter(|torque| torque.question().is_some()) {
            for entry in torque.entries() {
                draft = draft.answer(&format!("{} holds", entry.text), &entry.text);
            }
        }
        draft = draft.asks("Another value holds", "Which value does the maker's book give?");
        all.push(draft.done());
    }
    all
}

/// Why screws are wanted new, as far as the file says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NewScrews<'a> {
    /// The file says new each time.
    Said,
    /// Those longer than this.
    Longer(&'a Length),
    /// They are turned by an angle, and nothing says that they may be used again.
    ByAngle,
}

impl NewScrews<'_> {
    /// Why, for whoever buys them.
    pub(crate) fn why(&self) -> String {
        match self {
            Self::Said => "The file says: new each time.".to_owned(),
            Self::Longer(limit) => {
                format!("Only where one is longer than {} when it is measured.", limit.text)
            }
            Self::ByAngle => BY_ANGLE.to_owned(),
        }
    }
}

const BY_ANGLE: &str = "They are turned by an angle and nothing says that they may be used again: \
                        new ones, unless the maker says otherwise.";

/// Whether screws of a joint are wanted new: a measured length, else the source says new, else
/// silent and turned by an angle means new.
pub(crate) fn new_screws<'a>(joint: &'a Joint<'_>) -> Option<NewScrews<'a>> {
    let mut stages = joint.rounds.iter().map(|round| &round.stage);
    if let Some(limit) = stages.clone().find_map(|stage| stage.limit.as_ref()) {
        return Some(NewScrews::Longer(limit));
    }
    let renews = !Book::of(&joint.picture.case).renew(joint.thing).is_empty();
    if joint.written.is_once || renews || stages.clone().any(|stage| stage.new_screws) {
        return Some(NewScrews::Said);
    }
    stages.any(Stage::is_beyond_torque).then_some(NewScrews::ByAngle)
}

/// Whether screws may be used again, asked before the joint is tightened.
fn screws_again(ask: &Ask<'_>, joint: &Joint<'_>) -> Option<Point> {
    if !ask.picture.now.live.disturbed.has(joint.thing) {
        return None;
    }
    let id = "joint.screws";
    let why = new_screws(joint)?;
    let draft = match &why {
        NewScrews::Longer(limit) => {
            let draft = ask.point(id, Some(joint.name), &length_question(limit));
            let over = draft.said().and_then(|said| too_long(&said.answer, limit));
            let draft = draft
                .detail("Measure each from under its head.")
                .answer("All shorter, used again", "measured, used again")
                .answer("New ones in", "new")
                .asks("Measured", "How long is the longest, in mm?");
            match over {
                Some(over) => draft.settled(false).detail(over),
                None => draft,
            }
        }
        why => ask
            .point(id, Some(joint.name), "New ones in?")
            .detail(why.why())
            .answer("New ones in", "new"),
    };
    Some(draft.asks("Old ones, because", "Why may they be used again?").done())
}

/// What is said of a measured length that is over the limit; none where it is within, or the answer
/// is no length.
fn too_long(answer: &str, limit: &Length) -> Option<String> {
    let measured = Length::read(answer).or_else(|_| Length::read(&format!("{answer} mm"))).ok()?;
    (measured.millimetres > limit.millimetres)
        .then(|| format!("{} is longer than {}: new ones in.", measured.text, limit.text))
}

fn length_question(limit: &Length) -> String {
    format!("Longest screw not longer than {}?", limit.text)
}

/// Tells whether something that keeps the joint closed is not answered.
pub(crate) fn is_shut(points: &[Point]) -> bool {
    points.iter().any(|point| point.id.starts_with("joint.value.") && !point.settled)
}

/// A stage with the answer to its question: one of the values that stand there, or another that
/// can be read. Any other answer leaves the maker's words, with nothing to set a wrench to.
pub(crate) fn settled(stage: &Stage, answer: &str) -> Stage {
    let holding = |torque: &Torque| {
        let at = torque.entries().iter().position(|entry| entry.text == answer)?;
        torque.holding(at)
    };
    let mut settled = Stage { questions: Vec::new(), ..stage.clone() };
    let mut is_used = false;
    for action in &mut settled.actions {
        let Action::Torque(torque) = action else { continue };
        if torque.question().is_none() {
            continue;
        }
        if let Some(held) = holding(torque).or_else(|| read_torque(answer).ok()) {
            *torque = held;
            is_used = true;
        }
    }
    // What cannot be a value is no torque any more; the answer stands beside the maker's words.
    settled.actions.retain(|a| !matches!(a, Action::Torque(t) if t.question().is_some()));
    if !is_used && !stage.open().is_empty() {
        settled.actions.extend(read_torque(answer).ok().map(Action::Torque));
    }
    settled.text = format!("{} ({answer})", stage.text);
    settled
}
