//! What a joint does while it is tightened, for whoever asks how many rounds: an estimate.

use lastbolt_tighten::{
    Action, Draws, Elastic, Hole, LOSS_PUBLISHED, LOSS_STIFF_ASSUMED, ModelError,
    PASSED_ON_ASSUMED, Pattern, Plan, Scatter, Spread, TorqueUnit, by_loss, figure, forces,
    one_round, said_order, scatter, spread_percent,
};

use crate::joint::drawing::{Ordered, order_of};
use crate::joint::{Joint, kind, wrenches};
use crate::picture::Picture;
use crate::view::{JointStudy, StudyRow};

/// So many rounds once more at the full value are shown.
const AGAIN: usize = 2;
/// The case of the table of scatter that is taken.
const BY_TORQUE: &str = "torque only, several steps (head bolts)";
/// The most pulls of one study: they are all in memory.
const PULLS_MAX: usize = 20_000_000;
/// What a wrench may be off where its class is not known, in percent.
const WRENCH_PERCENT: f64 = 6.0;

/// Gives what a joint does while it is tightened in the maker's rounds, from `joints` such joints
/// drawn by `seed`; none where the machine has no such joint.
///
/// # Errors
/// Says why there is nothing to compute: the holes are not known, or the value is none of torque.
pub fn joint_study(
    picture: &Picture,
    thing: &str,
    joints: usize,
    seed: u64,
) -> Option<Result<JointStudy, String>> {
    let no = picture.case.kernel.find(thing)?;
    let joint = Joint::of(picture, no)?;
    Some(study(&joint, joints, seed))
}

fn study(joint: &Joint<'_>, joints: usize, seed: u64) -> Result<JointStudy, String> {
    let levels = levels(joint)?;
    let found = order_of(joint).ok_or(
        "Where its holes are is not known: mark its screws on one photo, or write `at` in the \
         machine file.",
    )?;
    if found.holes.len() < 2 {
        return Err("It is one screw: there is no other that it could relieve.".to_owned());
    }
    let again = if kind::repeats(joint) { AGAIN } else { 0 };
    let texts = levels.iter().map(|(text, _)| (text.clone(), false));
    let texts: Vec<(String, bool)> =
        texts.chain((0..again).map(|at| (AGAIN_TEXT[at.min(1)].to_owned(), true))).collect();
    let shares: Vec<f64> = levels
        .iter()
        .map(|(_, share)| *share)
        .chain([1.0; AGAIN].into_iter().take(again))
        .collect();
    let most = PULLS_MAX / (found.holes.len() * shares.len()).max(1);
    if joints > most {
        return Err(format!("At most {most} such joints can be drawn at a time."));
    }
    let pull = pull_percent(joint);
    let friction = friction_percent()?;
    let asked = Asked { found: &found, shares: &shares, joints, seed, pull, friction: friction.0 };
    let rows = asked.rows(&texts).map_err(|error| error.to_string())?;
    Ok(JointStudy {
        said: said(&rows, levels.len()),
        assumed: assumed(&friction, pull),
        rows,
        joints,
        seed,
    })
}

const AGAIN_TEXT: [&str; 2] = ["once more at the full value", "and once more"];

/// The rounds with a value, after the last slackening, each as a share of the last value.
fn levels(joint: &Joint<'_>) -> Result<Vec<(String, f64)>, String> {
    let by_angle = joint.rounds.iter().any(|round| round.stage.is_beyond_torque());
    if by_angle {
        return Err(
            "Its screws are turned by an angle or to yield: the angle makes the force, and \
                    no round is made again."
                .to_owned(),
        );
    }
    let slackens = |action: &Action| matches!(action, Action::Slacken(_));
    let last_slack =
        joint.rounds.iter().rposition(|round| round.stage.actions.iter().any(slackens));
    let rounds = joint.rounds.iter().enumerate().skip(last_slack.map_or(0, |at| at + 1));
    let value = |(at, round): (usize, &crate::joint::MakersRound)| {
        let torque = round.stage.torques().last()?;
        let aim = torque.aim_in(TorqueUnit::NewtonMetre)?.to_f64();
        Some((format!("Round {}: {}", at + 1, round.stage.text), aim))
    };
    let values: Vec<(String, f64)> = rounds.filter_map(value).collect();
    let last = values.last().map(|(_, aim)| *aim).filter(|aim| *aim > 0.0);
    let last = last.ok_or("No value of torque is given that could be computed with.")?;
    Ok(values.into_iter().map(|(text, aim)| (text, aim / last)).collect())
}

/// What is asked of the models.
struct Asked<'a> {
    found: &'a Ordered,
    shares: &'a [f64],
    joints: usize,
    seed: u64,
    pull: f64,
    friction: f64,
}

impl Asked<'_> {
    fn rows(&self, texts: &[(String, bool)]) -> Result<Vec<StudyRow>, ModelError> {
        let Ordered { holes, order, .. } = self.found;
        let around = said_order(order, holes, Pattern::Around);
        let (stiff, soft) = (elastic(holes, LOSS_STIFF_ASSUMED)?, elastic(holes, LOSS_PUBLISHED)?);
        let springs = (self.spreads(&stiff, &order.holes)?, self.spreads(&soft, &order.holes)?);
        let about = (self.spreads(&stiff, &around.holes)?, self.spreads(&soft, &around.holes)?);
        let softer = soft.compliance().at(0, 0) / stiff.compliance().at(0, 0);
        let drawn = self.drawn(&stiff, softer);
        let row = |(at, (text, again)): (usize, &(String, bool))| {
            let drawn = drawn.get(at)?;
            Some(StudyRow {
                text: text.clone(),
                again: *again,
                springs: (springs.0[at], springs.1[at]),
                around: (about.0[at], about.1[at]),
                with_friction: (drawn.median_percent, drawn.most_percent),
                least_share: drawn.least_share.max(0.0),
                loose: drawn.slack,
            })
        };
        Ok(texts.iter().enumerate().filter_map(row).collect())
    }

    fn spreads(&self, joint: &Elastic, order: &[usize]) -> Result<Vec<f64>, ModelError> {
        let rounds: Vec<_> = self.shares.iter().map(|share| one_round(order, *share)).collect();
        let after = forces(joint, &rounds)?;
        Ok(after.iter().map(|forces| spread_percent(forces)).collect())
    }

    fn drawn(&self, stiff: &Elastic, softer: f64) -> Vec<Spread> {
        let rounds = self.shares.len();
        let order = &self.found.order.holes;
        let plan = Plan { orders: vec![order.clone(); rounds], levels: self.shares.to_vec() };
        let how = Scatter {
            friction_percent: self.friction,
            pull_percent: self.pull,
            softness: (1.0, softer.max(1.0)),
        };
        let draws = Draws::new(self.seed, self.joints, order.len(), rounds);
        scatter(stiff, &plan, &how, &draws).unwrap_or_default()
    }
}

/// The joint of this kind in which a neighbour takes this share of a screw's force.
fn elastic(holes: &[Hole], loss: f64) -> Result<Elastic, ModelError> {
    let apart = |a: usize, b: usize| (holes[a].x - holes[b].x).hypot(holes[a].y - holes[b].y);
    let pairs = (0..holes.len()).flat_map(|a| (0..a).map(move |b| (a, b)));
    let space = pairs.map(|(a, b)| apart(a, b)).fold(f64::INFINITY, f64::min);
    by_loss(holes.len(), loss, PASSED_ON_ASSUMED, |a, b| apart(a, b) / space)
}

/// How far off the wrench that is taken for the last round may be.
fn pull_percent(joint: &Joint<'_>) -> f64 {
    let owned = crate::joint::owned(joint.picture.garage(), None, 0);
    let last = joint.rounds.iter().rev().find(|round| round.stage.torques().next().is_some());
    let taken = last.and_then(|round| {
        let fitting = wrenches::for_stage(&round.stage, &owned, joint.chosen());
        let name = fitting.wrenches.into_iter().next()?.name;
        owned.wrenches.iter().find(|wrench| wrench.name == name)
    });
    let class = taken.and_then(|wrench| Some((wrench.class.as_ref()?, wrench.high_nm())));
    class.map_or(WRENCH_PERCENT, |(class, high)| class.tolerance(high).percent.to_f64())
}

/// How far friction scatters from screw to screw, in percent of the force, and where that is from.
fn friction_percent() -> Result<(f64, String), String> {
    let found = figure("preload_scatter", "method", &[BY_TORQUE]);
    let found = found.map_err(|trouble| trouble.message)?;
    let percent = found.figure.parse().map_err(|_| "The figure of scatter is none.".to_owned())?;
    let memory = if found.from_memory { ", from memory" } else { "" };
    Ok((percent, format!("{}{memory}", found.source)))
}

fn said(rows: &[StudyRow], makers: usize) -> Vec<String> {
    let mut said = Vec::new();
    let (Some(last), Some(end)) = (makers.checked_sub(1).and_then(|at| rows.get(at)), rows.last())
    else {
        return said;
    };
    if end.again {
        said.push(format!(
            "After the maker's rounds the springs leave {} between the strongest and the weakest \
             screw, once more at the full value takes that to {}.",
            percent_band(last.springs),
            percent_band(rows[makers].springs)
        ));
    } else {
        said.push(format!(
            "After the maker's rounds the springs leave {} between the strongest and the weakest \
             screw; no further round is made here.",
            percent_band(last.springs)
        ));
    }
    said.push(format!(
        "One after the other around, instead of in the order of the numbers, leaves {} then: the \
         order brings the parts together evenly, the round more is what evens the forces out.",
        percent_band(last.around)
    ));
    if rows.iter().any(|row| row.loose > 0) {
        said.push(
            "In some of these joints a screw would be loose again after a round: of that round \
             springs say too little."
                .to_owned(),
        );
    }
    said.push(format!(
        "Friction differs from screw to screw, and no round takes that away: with it half of such \
         joints stay within {:.0} %, 19 of 20 within {:.0} %.",
        end.with_friction.0, end.with_friction.1
    ));
    said
}

/// "4 to 21 %".
pub fn percent_band((least, most): (f64, f64)) -> String {
    let (least, most) = (least.min(most), least.max(most));
    if format!("{least:.0}") == format!("{most:.0}") {
        return format!("{most:.0} %");
    }
    format!("{least:.0} to {most:.0} %")
}

fn assumed(friction: &(f64, String), pull: f64) -> Vec<String> {
    vec![
        format!(
            "Springs: a screw loses {:.0} to {:.0} % of its force when its neighbour is \
             tightened. The larger figure is that of one published test, the smaller one and how \
             it fades with distance are assumed.",
            LOSS_STIFF_ASSUMED * 100.0,
            LOSS_PUBLISHED * 100.0
        ),
        format!(
            "Friction: ±{:.0} % of the force from screw to screw ({}).",
            friction.0, friction.1
        ),
        format!("Wrench and hand: ±{pull:.0} % at each pull."),
        "An estimate that no measurement of this joint stands behind, and never a specification. \
         The maker's value and rounds win; more than the maker's value is never put on a screw."
            .to_owned(),
    ]
}
