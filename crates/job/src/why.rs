//! Why a thing comes off in a plan: the chain from what was asked for to the thing.

use std::collections::{BTreeMap, VecDeque};

use lastbolt_machine::{Kernel, Kind, ThingNo};
use lastbolt_order::Plan;

use crate::needs::{Link, links};
use crate::view::WhyLine;

/// Tells why a plan opens a thing: each line is one link, from what was asked for down to the
/// thing, with the statement of the file that makes the link.
pub fn why(kernel: &Kernel, plan: &Plan, thing: ThingNo) -> Vec<WhyLine> {
    let name = kernel.name(thing);
    let single = |text: String| {
        vec![WhyLine { text, thing: Some(name.to_owned()), at: Some(kernel.thing(thing).at) }]
    };
    if kernel.open_at_start.has(thing) {
        let stands = match kernel.thing(thing).kind {
            Kind::Part => "off",
            Kind::Tie => "undone",
            Kind::Prep => "made ready",
        };
        return single(format!("Already {stands}, before anything is done: {name}."));
    }
    if !plan.off.has(thing) {
        return single(format!("Left as it is in this plan: {name}."));
    }
    let links = links(kernel, plan);
    if let Some(lines) = chain(kernel, &links, thing) {
        return lines;
    }
    // What needs it is itself open only because the order gets shorter by that.
    let direct = links.values().flatten().find(|link| link.needed == thing);
    let shorter = "Nothing that was asked for rests on that: the whole order is no longer by it.";
    match direct {
        Some(link) => {
            let mut lines = single(shorter.to_owned());
            lines.insert(0, link.line.clone());
            lines
        }
        None => single(format!(
            "No other step needs the {name} open: the whole order is no longer by it."
        )),
    }
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
