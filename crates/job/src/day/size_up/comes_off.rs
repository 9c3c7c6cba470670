//! What comes off, and why, on one page.

use lastbolt_machine::{End, ThingNo};

use crate::day::size_up::Wanted;
use crate::day::{Ask, group as headed};
use crate::view::PointGroup;
use crate::words;

/// The most lines; the plan has all.
const LINES_MAX: usize = 60;
/// The most reasons that are named for one part.
const WHY_MAX: usize = 3;

/// A line each: the part, and what it makes way for.
pub(crate) fn group(ask: &Ask<'_>, wanted: &Wanted) -> PointGroup {
    let parts = wanted.parts(ask);
    let more = parts.len().saturating_sub(LINES_MAX);
    let line = |&part: &ThingNo| {
        let name = words::large(ask.book().kernel.name(part));
        format!("{name}: {}.", why(ask, wanted, part))
    };
    let mut lines: Vec<String> = parts.iter().take(LINES_MAX).map(line).collect();
    if more > 0 {
        lines.push(format!("And {more} more: the plan has them all."));
    }
    PointGroup { lines, ..headed("What comes off, and why", Vec::new()) }
}

fn why(ask: &Ask<'_>, wanted: &Wanted, part: ThingNo) -> String {
    let (case, kernel) = (&ask.picture.case, &ask.picture.case.kernel);
    let asked = case.targets.iter().any(|target| target.things.has(part));
    if asked {
        return "asked for".to_owned();
    }
    let others = || wanted.things.iter().copied().filter(|&other| other != part);
    let named = |things: Vec<ThingNo>| {
        let mut names: Vec<String> =
            things.iter().map(|&thing| kernel.name(thing).to_owned()).collect();
        let more = names.len().saturating_sub(WHY_MAX);
        names.truncate(WHY_MAX);
        if more > 0 {
            names.push(format!("{more} more"));
        }
        words::and(&names)
    };
    let in_the_way = |other: &ThingNo| {
        let ways = wanted.ways(ask, *other);
        ways.first().is_some_and(|way| way.clear.contains(&part))
    };
    let off_for: Vec<ThingNo> = others().filter(in_the_way).collect();
    if !off_for.is_empty() {
        return format!("it is in the way of {}", named(off_for));
    }
    let back_for: Vec<ThingNo> = others()
        .filter(|&other| wanted.ways(ask, other).iter().any(|way| way.clear.contains(&part)))
        .collect();
    if !back_for.is_empty() {
        return format!("it is in the way when {} goes back", named(back_for));
    }
    let holds = |other: &ThingNo| {
        let it = kernel.thing(*other);
        it.ties.iter().any(|tie| kernel.thing(*tie).joins.contains(&End::Part(part)))
    };
    let held: Vec<ThingNo> = others().filter(holds).collect();
    let rides: Vec<ThingNo> = others().filter(|&o| kernel.thing(o).rides == Some(part)).collect();
    let carried = kernel.thing(part).rides.filter(|carrier| wanted.things.contains(carrier));
    match (rides.is_empty(), carried, held.is_empty()) {
        (false, _, _) => format!("it carries {}", named(rides)),
        (_, Some(carrier), _) => format!("it goes with the {}", kernel.name(carrier)),
        (_, _, false) => format!("it is held to {}", named(held)),
        _ => "the plan says why".to_owned(),
    }
}
