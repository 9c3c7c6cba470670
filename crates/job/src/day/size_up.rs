//! Size up: what is wrong, what was decided, what will prove it cured, what to buy and borrow, the
//! owner's yes.

use crate::day::{Ask, group};
use crate::view::PointGroup;

/// The groups of the stage.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let said = |kind: &'static str| ask.kept(kind).map(|kept| kept.text.clone());
    let job = &ask.picture.case.model.job;
    let written = job.complaint.iter().map(|text| text.value.clone());
    let complaint = PointGroup {
        lines: written.chain(said("complaint")).chain(said("symptom")).collect(),
        ..group("What is wrong", Vec::new())
    };
    vec![complaint]
}
