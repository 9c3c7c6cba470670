//! Planners with one mistake each. What they give may cost too much or be no legal order at all;
//! a test of a planner that does not reject each of them proves nothing.

use std::collections::BTreeSet;

use lastbolt_checker::{Action, Order, Step, Walker, Wishes};
use lastbolt_machine::model::Back;
use lastbolt_machine::{JobSpec, Machine, Minutes, Ref, Way};

use crate::search::{Ask, Found, search};
use crate::slow::MOST_STATES;

/// Takes apart as cheaply as possible, then does the same steps backwards by the same ways.
pub fn plain_reversal(machine: &Machine, job: &JobSpec, wishes: &Wishes) -> Option<Order> {
    let start = Walker::new(machine, job, wishes).ok()?;
    let strip = best(&start, true, Minutes::ZERO)?.order.strip;
    let grouped = |id: &str| {
        machine.together.iter().any(|group| group.value.iter().any(|tie| tie.name() == id))
    };
    let by_itself = |id: &str| {
        let prep = machine.preps.iter().find(|prep| prep.id.name() == id);
        prep.is_some_and(|prep| matches!(prep.back, Back::ByItself(_)))
    };
    let mut build = Vec::new();
    for step in strip.iter().rev().filter(|step| !by_itself(&step.id)) {
        let backwards = |action| Step { action, minutes: None, change: None, ..step.clone() };
        match step.action {
            Action::Off => build.push(backwards(Action::On)),
            Action::Prep => build.push(backwards(Action::End)),
            _ if grouped(&step.id) => {
                build.push(Step { tool: None, ..backwards(Action::Start) });
                build.push(backwards(Action::Tighten));
            }
            _ => build.push(backwards(Action::Make)),
        }
    }
    Some(Order { strip, build, strip_only: false })
}

/// Takes apart as cheaply as possible, then puts that back as cheaply as possible.
pub fn separate_directions(machine: &Machine, job: &JobSpec, wishes: &Wishes) -> Option<Order> {
    let start = Walker::new(machine, job, wishes).ok()?;
    let strip = best(&start, true, Minutes::ZERO)?;
    let mut at_the_turn = strip.end;
    at_the_turn.turn().ok()?;
    let build = best(&at_the_turn, false, Minutes::ZERO).map(|found| found.order.build);
    Some(Order { strip: strip.order.strip, build: build.unwrap_or_default(), strip_only: false })
}

/// Takes off as few things as possible, and only then looks at the minutes.
pub fn smallest_off_set(machine: &Machine, job: &JobSpec, wishes: &Wishes) -> Option<Order> {
    let start = Walker::new(machine, job, wishes).ok()?;
    best(&start, false, Minutes::whole(1_000_000)).map(|found| found.order)
}

/// Deals with everything by its way of fewest minutes, and always does what is nearest next.
pub fn greedy_ways(machine: &Machine, job: &JobSpec, wishes: &Wishes) -> Option<Order> {
    let mut walker = Walker::new(machine, job, wishes).ok()?;
    let wanted = wanted(machine, job, wishes);
    let mut order = Order::default();
    while !walker.targets_hold() {
        let fits = |step: &Step| wanted.contains(&step.id) && is_cheapest(machine, step, false);
        let Some(step) = nearest(&walker, fits) else { return Some(order) };
        walker.apply(&step).ok()?;
        order.strip.push(step);
    }
    walker.turn().ok()?;
    while !walker.finished() {
        let Some(step) = nearest(&walker, |step| is_cheapest(machine, step, true)) else {
            return Some(order);
        };
        walker.apply(&step).ok()?;
        order.build.push(step);
    }
    Some(order)
}

fn best(start: &Walker, strip_only: bool, for_each_opened: Minutes) -> Option<Found> {
    search(start, &Ask { strip_only, for_each_opened, most_states: MOST_STATES }).ok().flatten()
}

fn nearest(walker: &Walker, fits: impl Fn(&Step) -> bool) -> Option<Step> {
    let steps = walker.legal_steps().into_iter().filter(|step| fits(step));
    steps.min_by_key(|step| (step.change, step.minutes))
}

/// Whether a step goes by the way of fewest minutes that its thing has in this direction.
fn is_cheapest(machine: &Machine, step: &Step, backwards: bool) -> bool {
    if step.action == Action::Start {
        return true;
    }
    let ways = ways(machine, &step.id, backwards);
    let Some(way) = ways.iter().min_by_key(|way| stated(way)) else { return true };
    let same = |a: &Option<Ref>, b: &Option<String>| a.as_ref().map(Ref::name) == b.as_deref();
    same(&way.from, &step.from) && same(&way.tool, &step.tool)
}

fn stated(way: &Way) -> Minutes {
    way.minutes.as_ref().map_or(Minutes::whole(1), |minutes| minutes.value)
}

fn ways<'a>(machine: &'a Machine, id: &str, backwards: bool) -> &'a [Way] {
    let parts = machine.parts.iter().map(|part| (&part.id, &part.ways, &part.back));
    let ties = machine.ties.iter().map(|tie| (&tie.id, &tie.ways, &tie.back));
    let preps = machine.preps.iter().map(|prep| (&prep.id, &prep.ways, &prep.back));
    let found = parts.chain(ties).chain(preps).find(|(name, _, _)| name.name() == id);
    match found {
        Some((_, _, Back::Ways(back))) if backwards => back,
        Some((_, Some(ways), _)) => ways,
        _ => &[],
    }
}

/// What has to be opened when everything goes by its way of fewest minutes.
fn wanted(machine: &Machine, job: &JobSpec, wishes: &Wishes) -> BTreeSet<String> {
    let named = job.renew.iter().chain(&job.off).chain(&job.bring).map(|name| name.value.clone());
    let mut todo: Vec<String> = named.chain(wishes.also.iter().cloned()).collect();
    for tie in &machine.ties {
        if tie.joins.iter().any(|end| job.renew.contains(end)) {
            todo.push(tie.id.value.clone());
        }
    }
    for part in &machine.parts {
        if part.rides.as_ref().is_some_and(|carrier| job.renew.contains(carrier)) {
            todo.push(part.id.value.clone());
        }
    }
    let mut wanted = BTreeSet::new();
    while let Some(id) = todo.pop() {
        if wanted.insert(id.clone()) {
            todo.extend(asked_by(machine, &id));
        }
    }
    wanted
}

/// What one thing asks to be open before it, by its way of fewest minutes.
fn asked_by(machine: &Machine, id: &str) -> Vec<String> {
    let names = |refs: &[Ref]| refs.iter().map(|name| name.value.clone()).collect::<Vec<_>>();
    let mut asked = Vec::new();
    if let Some(way) = ways(machine, id, false).iter().min_by_key(|way| stated(way)) {
        asked.extend(names(&way.clear));
        asked.extend(names(&way.needs));
        let spot = way.from.as_ref();
        for spot in machine.spots.iter().filter(|s| spot.is_some_and(|f| f.value == s.id.value)) {
            asked.extend(names(&spot.needs));
            asked.push(format!("{} set up", spot.id.name()));
        }
    }
    let parts = machine.parts.iter().map(|part| (&part.id, &part.needs));
    let ties = machine.ties.iter().map(|tie| (&tie.id, &tie.needs));
    let preps = machine.preps.iter().map(|prep| (&prep.id, &prep.needs));
    for (_, needs) in parts.chain(ties).chain(preps).filter(|(name, _)| name.name() == id) {
        asked.extend(names(needs));
    }
    if let Some(part) = machine.parts.iter().find(|part| part.id.name() == id) {
        let holds = |end: &Ref| end.name() == id;
        let stays = |tie: &Ref| part.stays.iter().any(|stay| stay.value == tie.value);
        for tie in machine.ties.iter().filter(|tie| tie.joins.iter().any(holds)) {
            if tie.joins.len() > 1 && !stays(&tie.id) {
                asked.push(tie.id.value.clone());
            }
        }
    }
    asked
}
