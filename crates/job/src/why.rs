//! Why a thing comes off in a plan: the chain from what was asked for to the thing.

use std::collections::{BTreeMap, VecDeque};

use lastbolt_machine::kernel::Blocker;
use lastbolt_machine::{Kernel, KernelWay, Kind, ThingNo};
use lastbolt_order::Plan;

use crate::repair::thing_of;
use crate::view::{StepVerb, WhyLine};
use crate::walk::{Stand, Todo, steps_of};

/// Tells why a plan opens a thing: each line is one link, from what was asked for down to the
/// thing, with the statement of the file that makes the link.
pub fn why(kernel: &Kernel, plan: &Plan, thing: ThingNo) -> Vec<WhyLine> {
    let name = kernel.name(thing);
    let single = |text: String| {
        vec![WhyLine { text, thing: Some(name.to_owned()), at: Some(kernel.thing(thing).at) }]
    };
    if kernel.open_at_start.has(thing) {
        return single(format!("The {name} is open already at the start."));
    }
    if !plan.off.has(thing) {
        return single(format!("The {name} is left as it is in this plan."));
    }
    let links = links(kernel, plan);
    match chain(kernel, &links, thing) {
        Some(lines) => lines,
        None => single(format!(
            "Nothing has to have the {name} open; opening it makes the whole order shorter."
        )),
    }
}

/// One thing needs another to be open, because of a statement.
pub(crate) struct Link {
    pub(crate) needed: ThingNo,
    pub(crate) line: WhyLine,
}

/// For each opened thing, what it needs open: to be opened, or to be closed again.
pub(crate) fn links(kernel: &Kernel, plan: &Plan) -> BTreeMap<ThingNo, Vec<Link>> {
    let mut stand = Stand {
        open: kernel.open_at_start.clone(),
        started: kernel.no_things(),
        spot: None,
        tool: None,
        pending: Vec::new(),
        forbids: None,
    };
    let mut all: BTreeMap<ThingNo, Vec<Link>> = BTreeMap::new();
    for todo in steps_of(plan) {
        let found = needs(kernel, &stand, &todo);
        all.entry(todo.thing).or_default().extend(found);
        stand.apply(kernel, &todo);
    }
    all
}

/// What a step of the plan needs open: everything whose closing would stand against all ways of
/// the step.
fn needs(kernel: &Kernel, stand: &Stand, todo: &Todo) -> Vec<Link> {
    let Some(way) = todo.kernel_way(kernel) else { return Vec::new() };
    if todo.verb == StepVerb::Start {
        return Vec::new();
    }
    let seen = stand.seen();
    let mut found = Vec::new();
    for other in seen.iter().filter(|&other| other != todo.thing) {
        let closed = seen.without(other);
        let blockers = kernel.blockers(todo.thing, way, &closed);
        let blocker = blockers.into_iter().find(|b| thing_of(b) == Some(other));
        if let Some(blocker) = blocker {
            let line = link_line(kernel, todo, way, other, blocker);
            found.push(Link { needed: other, line });
        }
    }
    found
}

fn link_line(
    kernel: &Kernel,
    todo: &Todo,
    way: &KernelWay,
    other: ThingNo,
    blocker: Blocker,
) -> WhyLine {
    let (it, needed) = (kernel.name(todo.thing), kernel.name(other));
    let goes = match (todo.verb.opens(), kernel.thing(todo.thing).kind) {
        (true, Kind::Part) => "comes off",
        (true, Kind::Tie) => "is undone",
        (true, Kind::Prep) => "is brought about",
        (false, Kind::Prep) => "ends",
        (false, _) => "goes back",
    };
    let (text, at) = match blocker {
        Blocker::HeldBy(tie) => {
            (format!("{needed} holds the {it}, which {goes}."), kernel.thing(tie).at)
        }
        Blocker::Needs(_) => {
            let own = way.needs.contains(&other);
            let at = if own { way.at } else { kernel.thing(todo.thing).at };
            (format!("\"{needed}\" must be in force while the {it} {goes}."), at)
        }
        _ => (format!("The {needed} is in the way while the {it} {goes}."), way.at),
    };
    WhyLine { text, thing: Some(needed.to_owned()), at: Some(at) }
}

/// The shortest chain of links from something asked for.
fn chain(
    kernel: &Kernel,
    links: &BTreeMap<ThingNo, Vec<Link>>,
    thing: ThingNo,
) -> Option<Vec<WhyLine>> {
    let mut from: BTreeMap<ThingNo, Option<(ThingNo, &WhyLine)>> = BTreeMap::new();
    let mut queue: VecDeque<ThingNo> = kernel.targets.iter().collect();
    from.extend(queue.iter().map(|&target| (target, None)));
    while let Some(at) = queue.pop_front() {
        for link in links.get(&at).map_or(&[][..], Vec::as_slice) {
            if let std::collections::btree_map::Entry::Vacant(place) = from.entry(link.needed) {
                place.insert(Some((at, &link.line)));
                queue.push_back(link.needed);
            }
        }
    }
    let mut lines = Vec::new();
    let mut at = thing;
    loop {
        match from.get(&at)? {
            Some((before, line)) => {
                lines.push((*line).clone());
                at = *before;
            }
            None => {
                lines.push(asked_for(kernel, at));
                lines.reverse();
                return Some(lines);
            }
        }
    }
}

/// A thing of the targets: named itself, or taken along by a part that is renewed (R2).
fn asked_for(kernel: &Kernel, thing: ThingNo) -> WhyLine {
    let it = kernel.thing(thing);
    let joined = it.joins.iter().find_map(|end| match *end {
        lastbolt_machine::End::Part(part) if kernel.targets.has(part) => Some(part),
        _ => None,
    });
    let carrier = it.rides.filter(|&part| kernel.targets.has(part));
    let text = match joined.or(carrier) {
        Some(part) if it.kind == Kind::Tie => {
            format!("{} joins the {}, which was asked for.", it.name, kernel.name(part))
        }
        Some(part) => {
            format!("The {} sits on the {}, which was asked for.", it.name, kernel.name(part))
        }
        None => format!("The {} was asked for.", it.name),
    };
    WhyLine { text, thing: Some(it.name.clone()), at: Some(it.at) }
}
