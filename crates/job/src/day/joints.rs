//! Size up, the joints: values that can be read in two ways, and rounds that no wrench of the
//! garage can do. It is said here, not at the joint.

use std::collections::BTreeSet;

use crate::counts::in_plan;
use crate::day::{Ask, group};
use crate::joint::{Joint, Owned, owned, points, wrenches};
use crate::shown;
use crate::view::{Point, PointGroup};
use crate::walk::Todo;

/// The groups about joints that this job opens.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let picture = ask.picture;
    let list: Vec<Todo> =
        shown::list(&picture.case, &picture.now).iter().map(|shown| shown.todo).collect();
    let kernel = &picture.case.kernel;
    let opened = kernel.all().filter(|&thing| in_plan(ask.tell(), &list, thing));
    let joints: Vec<Joint<'_>> = opened.filter_map(|thing| Joint::of(picture, thing)).collect();
    let owned = owned(picture.garage(), None, ask.now_ms);
    let values = joints.iter().flat_map(|joint| {
        let at_size_up = |point: &Point| {
            ["joint.value.", "joint.doubt."].iter().any(|id| point.id.starts_with(id))
        };
        points(ask, joint).into_iter().filter(at_size_up)
    });
    vec![group("Values to settle", values.collect()), wrenches_wanted(ask, &joints, &owned)]
}

/// Rounds that no wrench can do; where the garage lists none at all, that is said once.
fn wrenches_wanted(ask: &Ask<'_>, joints: &[Joint<'_>], owned: &Owned) -> PointGroup {
    let torques = joints.iter().flat_map(|joint| {
        joint.rounds.iter().flat_map(|round| round.stage.torques()).map(|torque| &torque.text)
    });
    let asked: BTreeSet<&String> = torques.collect();
    let mut all = group("Torque wrenches", Vec::new());
    if asked.is_empty() {
        return all;
    }
    all.lines.extend(owned.troubles.iter().cloned());
    if owned.wrenches.is_empty() {
        let values: Vec<&str> = asked.into_iter().map(String::as_str).collect();
        let asking = joints.iter().filter(|joint| asks_for_torque(joint)).count();
        all.points.push(none_listed(ask, asking, &values));
        return all;
    }
    all.lines.extend(calibrations(joints, owned));
    all.points.extend(joints.iter().filter_map(|joint| none_fits(ask, joint, owned)));
    all
}

fn none_listed(ask: &Ask<'_>, joints: usize, values: &[&str]) -> Point {
    let text = format!("{}.", wrenches::none_listed(joints));
    answers(ask.point("joint.wrench", None, &text).detail(format!("Asked: {}.", values.join(", "))))
}

fn none_fits(ask: &Ask<'_>, joint: &Joint<'_>, owned: &Owned) -> Option<Point> {
    let mut wanting = joint.rounds.iter().filter_map(|round| {
        wrenches::for_stage(&round.stage, owned, None).no_wrench.map(|why| (&round.stage.text, why))
    });
    let (stage, why) = wanting.next()?;
    let text = format!("{}, {stage}: no wrench for it.", joint.name);
    Some(answers(ask.point("joint.wrench", Some(joint.name), &text).detail(why)))
}

fn asks_for_torque(joint: &Joint<'_>) -> bool {
    joint.rounds.iter().any(|round| round.stage.torques().next().is_some())
}

/// Of the wrenches that are taken: those that are due for calibration, or of which that is not
/// known.
fn calibrations(joints: &[Joint<'_>], owned: &Owned) -> Vec<String> {
    let rounds = joints.iter().flat_map(|joint| joint.rounds.iter());
    let taken = rounds.filter_map(|round| {
        wrenches::for_stage(&round.stage, owned, None).wrenches.into_iter().next()
    });
    let look = taken.filter(|line| line.look_at_calibration);
    let lines: BTreeSet<String> =
        look.map(|line| format!("{}: {}", line.name, line.calibration)).collect();
    lines.into_iter().collect()
}

fn answers(draft: crate::day::Draft) -> Point {
    draft
        .answer("It will be there", "will be there")
        .answer("By hand, not measured", "not measured")
        .asks("Otherwise", "How will it be tightened?")
        .done()
}
