//! The other ways in: the order again without working from each of the places it uses.

use std::collections::BTreeSet;

use lastbolt_job::JobModel;
use lastbolt_machine::{At, Back, Extra, Kernel, Minutes, Ref, Way, compile};
use lastbolt_order::{Action, Answer, Ask, Plan};

/// The most places that are left out one after the other.
const PLACES_MAX: usize = 12;

/// One way in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct WayIn {
    /// The places it works from, in the order of use.
    pub(crate) from: Vec<String>,
    pub(crate) minutes: Minutes,
    pub(crate) proved: bool,
    /// What may break, with the words of the file: "tray clips (likely)".
    pub(crate) breaks: Vec<String>,
}

/// Lists the way in that was found and the others, shortest first, each set of places once.
pub(crate) fn ways_in(
    model: &JobModel,
    extra: &Extra,
    (kernel, plan): (&Kernel, &Plan),
    ask: &Ask<'_>,
) -> Vec<WayIn> {
    let first = way_in(model, kernel, plan);
    let mut all = vec![first.clone()];
    for place in first.from.iter().take(PLACES_MAX) {
        let mut without = model.clone();
        without.job.not_from.push(Ref::bare(place.clone()));
        let Ok(kernel) = compile(&without.machine, &without.job, extra) else { continue };
        if let Answer::Possible(plan) = lastbolt_order::plan(&kernel, ask) {
            all.push(way_in(&without, &kernel, &plan));
        }
    }
    all.sort_by(|a, b| (a.minutes, &a.from).cmp(&(b.minutes, &b.from)));
    let mut seen = BTreeSet::new();
    all.retain(|way| seen.insert(way.from.iter().cloned().collect::<BTreeSet<_>>()));
    all
}

fn way_in(model: &JobModel, kernel: &Kernel, plan: &Plan) -> WayIn {
    let mut from: Vec<String> = Vec::new();
    let mut breaks: Vec<String> = Vec::new();
    for step in plan.strip.iter().chain(&plan.build) {
        if let Some(spot) = step.spot {
            let place = &kernel.spots[spot.0];
            if !from.contains(place) {
                from.push(place.clone());
            }
        }
        let thing = kernel.thing(step.thing);
        let list = if matches!(step.action, Action::Off | Action::Undo | Action::Prep) {
            &thing.ways
        } else {
            &thing.back
        };
        let chance = list.get(step.way).and_then(|way| breaks_of(model, way.at));
        if let Some(chance) = chance {
            let text = format!("{} ({chance})", thing.name);
            if !breaks.contains(&text) {
                breaks.push(text);
            }
        }
    }
    WayIn { from, minutes: plan.minutes, proved: plan.proved, breaks }
}

/// What the file says of breaking at the place where a manner of working is written.
fn breaks_of(model: &JobModel, at: At) -> Option<&str> {
    let machine = &model.machine;
    let parts = machine.parts.iter().flat_map(|part| written(&part.ways, &part.back));
    let ties = machine.ties.iter().flat_map(|tie| written(&tie.ways, &tie.back));
    parts.chain(ties).find(|way| way.at == at && at.line > 0)?.breaks.as_ref().map(Ref::name)
}

fn written<'a>(ways: &'a Option<Vec<Way>>, back: &'a Back) -> impl Iterator<Item = &'a Way> {
    let back = match back {
        Back::Ways(back) => back.as_slice(),
        _ => &[],
    };
    ways.iter().flatten().chain(back)
}
