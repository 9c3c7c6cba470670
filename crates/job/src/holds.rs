//! "What still holds it?", and going back "What must come first?".

use lastbolt_machine::kernel::Blocker;
use lastbolt_machine::{Direction, Kernel, KernelWay, Kind, ThingNo};

use crate::advance::Now;
use crate::case::Case;
use crate::repair::thing_of;
use crate::tell::Tell;
use crate::view::{HoldLine, StepVerb, WhatHolds};
use crate::walk::Todo;
use crate::words;

/// Tells what stands against a thing: what still holds it, or what must come first before it goes
/// home. None when the machine does not know it.
pub fn what_holds(case: &Case, now: &Now, thing: &str) -> Option<WhatHolds> {
    let kernel = &case.kernel;
    let no = kernel.find(thing)?;
    let tell = Tell { case, live: &now.live, kept: &now.kept };
    let step = turned(tell, no);
    let stand = now.live.stand(case);
    let Some((best, against)) = stand.best(kernel, &step) else {
        return Some(no_way(tell, no));
    };
    let lines: Vec<HoldLine> = against.iter().map(|b| line(tell, no, *b, 1)).collect();
    let by = best.kernel_way(kernel).map(|way| by_text(kernel, way));
    Some(WhatHolds {
        thing: thing.to_owned(),
        heading: heading(tell, no, step.verb, lines.len()),
        by,
        lines,
    })
}

fn no_way(tell: Tell<'_>, thing: ThingNo) -> WhatHolds {
    let it = tell.case.kernel.thing(thing);
    let carrier = it.rides.map(|part| tell.case.kernel.name(part));
    let heading = match carrier {
        Some(carrier) => format!("The {} comes off only with the {carrier}.", it.name),
        None if it.by_itself => format!("\"{}\" ends by itself: nothing to do.", it.name),
        None => format!("The {} is to be left alone.", it.name),
    };
    WhatHolds { thing: it.name.clone(), heading, by: None, lines: Vec::new() }
}

fn heading(tell: Tell<'_>, thing: ThingNo, verb: StepVerb, count: usize) -> String {
    let name = tell.name(thing);
    let things = if count == 1 { "1 thing".to_owned() } else { format!("{count} things") };
    match (verb, count) {
        (StepVerb::Off, 0) => format!("Nothing holds the {name}: it can come off now."),
        (StepVerb::Off, _) => format!("What still holds the {name}: {things}"),
        (StepVerb::Undo, 0) => format!("Nothing is in the way: {name} can be undone now."),
        (StepVerb::Undo, _) => format!("In the way of {name}: {things}"),
        (StepVerb::Prep, 0) => format!("\"{name}\" can be done now."),
        (StepVerb::Prep, _) => format!("Before \"{name}\": {things}"),
        (StepVerb::End, 0) => format!("\"{name}\" can go back to normal now."),
        (StepVerb::End, _) => format!("Before \"{name}\" goes back to normal: {things}"),
        (_, 0) => format!("Nothing is in the way: {name} can go home now."),
        (_, _) => format!("Before {name} goes home: {things}"),
    }
}

/// The step that turns a thing: opening what is closed, closing what is open.
fn turned(tell: Tell<'_>, thing: ThingNo) -> Todo {
    let kernel = &tell.case.kernel;
    let open = tell.live.open.has(thing);
    let verb = match (kernel.thing(thing).kind, open) {
        (Kind::Part, false) => StepVerb::Off,
        (Kind::Part, true) => StepVerb::On,
        (Kind::Tie, false) => StepVerb::Undo,
        (Kind::Tie, true) if kernel.thing(thing).group.is_some() => StepVerb::Tighten,
        (Kind::Tie, true) => StepVerb::Make,
        (Kind::Prep, false) => StepVerb::Prep,
        (Kind::Prep, true) => StepVerb::End,
    };
    Todo { verb, thing, way: 0 }
}

fn line(tell: Tell<'_>, of: ThingNo, blocker: Blocker, deeper: u32) -> HoldLine {
    let kernel = &tell.case.kernel;
    let thing = thing_of(&blocker);
    let best = thing.and_then(|thing| {
        let stand = tell.live.stand(tell.case);
        stand.best(kernel, &turned(tell, thing)).map(|(todo, against)| (thing, todo, against))
    });
    let way = best.as_ref().and_then(|(_, todo, _)| todo.kernel_way(kernel));
    let inner = match &best {
        Some((thing, _, against)) if deeper > 0 => {
            let inner = against.iter().filter(|b| thing_of(b) != Some(of));
            inner.map(|b| line(tell, *thing, *b, deeper - 1)).collect()
        }
        _ => Vec::new(),
    };
    let mut text = sentence(tell, of, blocker);
    if let Some(way) = way {
        text.push_str(&format!(" ({})", by_text(kernel, way)));
    }
    HoldLine {
        text,
        thing: thing.map(|thing| kernel.name(thing).to_owned()),
        tag: thing.and_then(|thing| tell.tag_number(thing)),
        from: way.and_then(|way| way.spot).map(|spot| kernel.spots[spot.0].clone()),
        tool: way.and_then(|way| way.tool).map(|tool| kernel.tools[tool.0].clone()),
        minutes: way.map(|way| way.minutes),
        inner,
    }
}

/// "from below, socket 13, about 4 min".
fn by_text(kernel: &Kernel, way: &KernelWay) -> String {
    let mut parts = Vec::new();
    if let Some(spot) = way.spot {
        parts.push(match kernel.spots[spot.0].as_str() {
            "bench" => "at the bench".to_owned(),
            name => format!("from {name}"),
        });
    }
    parts.push(way.tool.map_or("by hand".to_owned(), |tool| kernel.tools[tool.0].clone()));
    parts.push(words::about(way.minutes));
    parts.join(", ")
}

/// What stands against an action, in a sentence without its end.
pub(crate) fn sentence(tell: Tell<'_>, of: ThingNo, blocker: Blocker) -> String {
    let kernel = &tell.case.kernel;
    let name = |thing| words::large(&tell.counted(thing));
    let direction = if tell.live.open.has(of) { Direction::Build } else { Direction::Strip };
    match blocker {
        Blocker::HeldBy(tie) => format!("{}: still made", name(tie)),
        Blocker::NotClear(thing) => {
            let part = kernel.thing(thing).kind == Kind::Part;
            match direction {
                Direction::Strip if part => format!("{}: in the way, off first", name(thing)),
                Direction::Strip => format!("{}: in the way, undone first", name(thing)),
                Direction::Build if part => format!("{}: has to be off for it", name(thing)),
                Direction::Build => format!("{}: has to be undone for it", name(thing)),
            }
        }
        Blocker::Needs(prep) => format!("Make ready first: {}", kernel.name(prep)),
        Blocker::NotAtBench => match kernel.thing(of).rides {
            Some(carrier) => {
                format!("Done at the bench: the {} comes off first", kernel.name(carrier))
            }
            None => "Done at the bench, once its part is off".to_owned(),
        },
        Blocker::NotInMachine(part) => {
            format!("The {} it is on has to be home for it", kernel.name(part))
        }
        Blocker::HangsBy(tie) => format!("Not at the bench yet: it still hangs by {}", name(tie)),
        Blocker::EndsApart => "What it joins lies apart".to_owned(),
        Blocker::WouldHide(tie) => {
            let stands = tell.stands(tie);
            format!("{}: still {stands}, and would be covered", name(tie))
        }
        Blocker::StillNeededBy(thing) => {
            format!("{}: still {}, and needs it", name(thing), tell.stands(thing))
        }
        Blocker::NotStarted(tie) => format!("{}: in by hand first", name(tie)),
        Blocker::AlreadyDone => "It is done already".to_owned(),
    }
}
