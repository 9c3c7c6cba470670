//! Sizing a job up: the plan under wishes, what they cost, and the ways in beside it.

use std::time::Instant;

use lastbolt_job::{Case, WayRow, Wishes, plan_view, way_row};
use lastbolt_machine::Kind;
use lastbolt_order::{
    Answer, Ask, Because, Habit, More, Plan, more, plan, plan_under, tidy, under, ways_in,
};

use crate::hands::hands;
use crate::limits::{PLAN_NODES, WAYS_NODES, WAYS_TIME, WISHES_MAX};
use crate::room::PlanOrWhy;

/// A job sized up under wishes.
#[derive(Clone, Debug)]
pub(crate) struct SizeUp {
    /// The wishes that are kept to.
    pub(crate) wishes: Wishes,
    pub(crate) plan: PlanOrWhy,
    /// What the wishes add.
    pub(crate) more: Option<More>,
    /// Ways in, shortest first.
    pub(crate) ways: Vec<WayRow>,
    /// Parts that come off and that nobody asked for.
    pub(crate) leave: Vec<String>,
    /// Places that are worked from.
    pub(crate) places: Vec<String>,
}

/// Reads wishes from what stands behind `?` in an address; names that the machine has not, and
/// more than a few, are left out.
pub(crate) fn wishes_of(case: &Case, asked: Vec<(String, String)>) -> Wishes {
    let kernel = &case.kernel;
    let mut wishes = Wishes::default();
    for (key, name) in asked.into_iter().take(WISHES_MAX) {
        match key.as_str() {
            "leave" if kernel.find(&name).is_some() => wishes.leave.push(name),
            "without" if kernel.tools.contains(&name) => wishes.without.push(name),
            "not-from" if kernel.spots.contains(&name) => wishes.not_from.push(name),
            _ => {}
        }
    }
    for list in [&mut wishes.leave, &mut wishes.without, &mut wishes.not_from] {
        list.sort();
        list.dedup();
    }
    wishes
}

/// Plans the job of a case from an untouched machine under wishes. Slow: not for a thread that
/// answers requests.
pub(crate) fn size_up(case: &Case, wishes: &Wishes) -> SizeUp {
    let ask = Ask { nodes: PLAN_NODES, hands: hands(), ..Ask::default() };
    let mut all = SizeUp {
        wishes: wishes.clone(),
        plan: Err(vec!["The plan could not be worked out.".to_owned()]),
        more: None,
        ways: Vec::new(),
        leave: Vec::new(),
        places: Vec::new(),
    };
    let Ok(free) = case.model.free().kernel() else { return all };
    let asked = case.model.wishes(&free, wishes);
    let only: Vec<_> = asked.iter().map(|(wish, _)| *wish).collect();
    let kernel = under(free.clone(), &only);
    match plan_under(&free, &asked, &ask) {
        Answer::Possible(found) => {
            all.more = (!wishes.is_empty()).then(|| added(case, &found, &ask)).flatten();
            let tidied = tidy(&kernel, Plan::clone(&found), &Habit::default());
            all.plan = Ok(plan_view(&case.model, &kernel, &tidied));
            all.ways = ways(case, &kernel, &found);
            let off = found.off.iter().filter(|&thing| {
                kernel.thing(thing).kind == Kind::Part
                    && !kernel.targets.has(thing)
                    && !kernel.open_at_start.has(thing)
            });
            all.leave = off.map(|thing| kernel.name(thing).to_owned()).collect();
            for spot in found.strip.iter().chain(&found.build).filter_map(|step| step.spot) {
                if !all.places.contains(&kernel.spots[spot.0]) {
                    all.places.push(kernel.spots[spot.0].clone());
                }
            }
        }
        Answer::Impossible(because) => all.plan = Err(because.iter().map(told).collect()),
        Answer::GaveUp { .. } => {
            all.plan = Err(vec!["No order was found within the limit of the search.".to_owned()]);
        }
    }
    all
}

fn told(because: &Because) -> String {
    match because.at.line {
        0 => because.text.clone(),
        line => format!("{} (line {line})", because.text),
    }
}

fn added(case: &Case, with: &Plan, ask: &Ask<'_>) -> Option<More> {
    let without = plan(&case.kernel, ask);
    more(&Answer::Possible(Box::new(with.clone())), without.plan()?)
}

fn ways(case: &Case, kernel: &lastbolt_machine::Kernel, best: &Plan) -> Vec<WayRow> {
    let began = Instant::now();
    let stop = || began.elapsed() >= WAYS_TIME;
    let ask = Ask { nodes: WAYS_NODES, stop: &stop, ..Ask::default() };
    ways_in(kernel, best, &ask).ways.iter().map(|way| way_row(&case.model, way)).collect()
}
