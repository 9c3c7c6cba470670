//! First start: what comes before cranking, priming in order, the first tries, leak looks, levels.

use std::collections::BTreeSet;

use lastbolt_ledger::Look;
use lastbolt_machine::{Kind, LEAK_LOOK, ThingNo};

use crate::case::Written;
use crate::day::systems::{self, Opened, System};
use crate::day::{Ask, group, lines};
use crate::view::{DayGate, Point, PointGroup};
use crate::words;

/// The most things that one line names.
const NAMED_MAX: usize = 6;

/// One step of priming: id, what runs there, what is to be done, what helps.
type Prime = (&'static str, System, &'static str, &'static str);

/// In the order in which they are done. Common practice, no source; the maker's procedure wins,
/// and no figure of our own stands in it.
const PRIMING: [Prime; 9] = [
    (
        "prime.brakes",
        System::Brakes,
        "Brakes bled; the pedal is hard and stays hard",
        "Pump it until it is hard before the machine can move. No mineral oil on brake rubber.",
    ),
    (
        "prime.clutch",
        System::Clutch,
        "Clutch bled; the pedal bites",
        "Pump it slowly until it bites, before the engine is cranked.",
    ),
    (
        "prime.steering",
        System::Steering,
        "Steering: filled, bled from lock to lock by hand as the maker says",
        "Wheels off the ground where the maker wants it; top up as the level falls.",
    ),
    (
        "prime.gears",
        System::Gears,
        "Gears: oil is in, level plug and drain plug home",
        "The level is read as the maker says.",
    ),
    (
        "prime.hydraulics",
        System::Hydraulics,
        "Hydraulics: filled, suction side bled, levers in neutral, implement on the ground",
        "A pump that runs dry soon dies: the housing is filled first where the maker says so.",
    ),
    (
        "prime.cooling",
        System::Cooling,
        "Cooling: filled and bled; raw water cooled: in water, never dry",
        "Heater on warm, bleed screws where there are any. It takes more after the first heat.",
    ),
    (
        "prime.fuel",
        System::Fuel,
        "Fuel: primed and bled, so that it does not crank itself empty",
        "Systems differ: hand pump, key on several times, or the maker's own procedure. Say how.",
    ),
    (
        "prime.oil",
        System::Oil,
        "Oil pressure before it fires: turned until the lamp goes out or the gauge moves",
        "Filter filled where it stands upright. No longer at a time than the starter may run.",
    ),
    (
        "prime.refrigerant",
        System::Refrigerant,
        "Refrigerant: filled and tested by whoever may do it; else it stays switched off",
        "Licensed work.",
    ),
];

/// What is normal on the first tries: after what was open (none: always), and what.
const NORMAL: [(Option<System>, &str); 6] = [
    (Some(System::Fuel), "Fuel was open: several tries, a rough run, a stall or two."),
    (Some(System::Oil), "Oil was out: a rattle for some seconds until the oil is up."),
    (Some(System::Cooling), "Cooling was open: the level falls as the air comes out."),
    (Some(System::Hydraulics), "Hydraulics were open: slow and jerky until the air is out."),
    (Some(System::Steering), "Steering was open: it foams and hums until the air is out."),
    (None, "Some smoke for a few minutes where oil, grease or cleaner was spilled on hot metal."),
];

/// Signs to stop at once, whatever was done. Common practice, no source.
const STOP: [&str; 7] = [
    "The oil lamp stays on, or comes on: stop.",
    "Knocking, scraping or screaming that was not there before: stop.",
    "A fuel smell or a drip of fuel: stop, and nothing that sparks.",
    "Smoke or a smell from wiring: stop, battery off.",
    "The temperature climbs, or steam: stop, and leave it shut until it is cold.",
    "It revs by itself: shut the air and the fuel. Know how before you crank.",
    "Anything wobbles, walks or comes out of line: stop.",
];

/// What names the hazards of a machine that runs.
const RUNNING: &str = "engine running";

/// The groups of the stage; nothing is asked before anything was open.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let live = &ask.picture.now.live;
    if live.disturbed.is_empty() {
        return Vec::new();
    }
    let opened = systems::opened(ask);
    let started = !live.state.first_starts.is_empty();
    let mut all = vec![group("Before cranking", before_cranking(ask, &opened))];
    let primed = group("Prime first, in this order", priming(ask, &opened));
    all.push(PointGroup { lines: primed_lines(&primed.points), ..primed });
    all.push(lines("Normal on the first tries", normal(&opened)));
    all.push(lines("Stop at once", stop(ask)));
    if started {
        all.push(group("Looking for leaks", leaks(ask)));
        all.push(group("Levels after the first heat", heat_levels(ask)));
    }
    all
}

fn before_cranking(ask: &Ask<'_>, opened: &[Opened]) -> Vec<Point> {
    let mut points = Vec::new();
    let out = ask
        .point("start.out", None, "Tools, rags, caps and lamps out; nothing lies on belt or fan?")
        .answer("All out, counted", "all out")
        .asks("Something is missing", "What, and where may it be?")
        .settled_on(&["all out"])
        .hazard(RUNNING);
    points.push(last_gate(ask, out));
    let earths = earths(ask);
    if !earths.is_empty() {
        let text = match earths.len() {
            1 => "The earth is home, bright and tugged?".to_owned(),
            all => format!("All {all} earths are home, bright and tugged?"),
        };
        let point = ask
            .point("start.earths", None, &text)
            .answer("Tugged", "tugged")
            .asks("Not right", "Which one, and what was done?")
            .details(placed(ask, &earths));
        points.push(last_gate(ask, point));
    }
    points.extend(fluids(ask).map(|(thing, name, fluid)| {
        let filled = format!("{}: filled, level right before the start?", words::large(&fluid));
        let point = ask
            .point("start.level", Some(&name), &filled)
            .answer("Level right", "right")
            .asks("Not right", "How far off, and what was done?")
            .detail("The right fluid, as the maker names it; where he says it is read.")
            .open_since(disturbed(ask, thing), ask.answered("start.level", Some(&name)));
        before_start(ask, point)
    }));
    let unknown: Vec<ThingNo> =
        opened.iter().filter(|it| it.system.is_none()).map(|it| it.thing).collect();
    if !unknown.is_empty() {
        let text = "These were open too. What runs in them is in again, and bled?";
        let point = ask.point("start.runs", None, text).answer("In and bled", "in and bled");
        let point = point.asks("Say more", "What runs in them, and what is done about it?");
        points.push(before_start(ask, point.details(placed(ask, &unknown))));
    }
    points
}

/// Asked before cranking; once it was started it is too late for the question.
fn before_start(ask: &Ask<'_>, draft: super::Draft) -> Point {
    let started = !ask.picture.now.live.state.first_starts.is_empty();
    if started { draft.done() } else { draft.before(DayGate::FirstStart).done() }
}

/// Asked before cranking; where it was started without an answer, before the road.
fn last_gate(ask: &Ask<'_>, draft: super::Draft) -> Point {
    let started = !ask.picture.now.live.state.first_starts.is_empty();
    draft.before(if started { DayGate::Road } else { DayGate::FirstStart }).done()
}

/// The earths that were off in this job: by their kind or name.
fn earths(ask: &Ask<'_>) -> Vec<ThingNo> {
    let kernel = &ask.picture.case.kernel;
    let is_earth = |&thing: &ThingNo| {
        let name = kernel.name(thing).to_lowercase();
        let kind = ask.book().kind(thing).to_lowercase();
        let words = ["earth", "ground strap", "ground cable", "ground lead", "ground wire"];
        kernel.thing(thing).kind == Kind::Tie
            && (kind == "ground" || words.iter().any(|it| name.contains(it) || kind.contains(it)))
    };
    ask.picture.now.live.disturbed.iter().filter(is_earth).collect()
}

/// "Battery earth lead: between starter battery and body, from above", a line each.
pub(crate) fn placed(ask: &Ask<'_>, things: &[ThingNo]) -> Vec<String> {
    let tell = ask.tell();
    let line = |&thing: &ThingNo| match tell.place(thing) {
        Some(place) => format!("{}: {place}", words::large(&tell.counted(thing))),
        None => words::large(&tell.counted(thing)),
    };
    things.iter().map(line).collect()
}

/// Conditions with a fluid that were in force in this job: number, name, fluid.
pub(crate) fn fluids<'a>(ask: &'a Ask<'a>) -> impl Iterator<Item = (ThingNo, String, String)> + 'a {
    let book = ask.book();
    ask.picture.now.live.disturbed.iter().filter_map(move |thing| {
        let Written::Prep(prep) = book.written(thing) else { return None };
        let fluid = prep.fluid.as_ref()?;
        Some((thing, book.kernel.name(thing).to_owned(), fluid.name.clone()))
    })
}

/// The number of the record that last opened a thing.
pub(crate) fn disturbed(ask: &Ask<'_>, thing: ThingNo) -> Option<u64> {
    ask.disturbed(thing)
}

/// What is primed, in order, for what was open.
fn priming(ask: &Ask<'_>, opened: &[Opened]) -> Vec<Point> {
    let of = |system: System| {
        let own = opened.iter().filter(move |it| it.system == Some(system));
        own.map(|it| it.thing).collect::<Vec<_>>()
    };
    let point = |&(id, system, text, help): &Prime| {
        let things = of(system);
        if things.is_empty() {
            return None;
        }
        let named: Vec<String> =
            things.iter().take(NAMED_MAX).map(|&it| ask.tell().counted(it)).collect();
        let since = things.iter().filter_map(|&it| disturbed(ask, it)).max();
        let point = ask
            .point(id, None, &format!("{text}?"))
            .answer("Done", "done")
            .asks("How was it done", "The maker's procedure, waited, measured: how?")
            .answer("It was not open", "not open")
            .detail(format!("Was open: {}.", words::and(&named)))
            .detail(help)
            .hazard(system.hazard())
            .open_since(since, ask.answered(id, None));
        Some(before_start(ask, point))
    };
    PRIMING.iter().filter_map(point).collect()
}

fn primed_lines(points: &[Point]) -> Vec<String> {
    let text = "Common practice, not this maker's: his procedure and his figures win.".to_owned();
    if points.is_empty() { Vec::new() } else { vec![text] }
}

fn normal(opened: &[Opened]) -> Vec<String> {
    let was =
        |system: &Option<System>| system.is_none() || opened.iter().any(|it| it.system == *system);
    NORMAL.iter().filter(|(system, _)| was(system)).map(|(_, text)| (*text).to_owned()).collect()
}

/// Signs of the machine's own file first: what was off and would show so if it were missed.
fn stop(ask: &Ask<'_>) -> Vec<String> {
    let book = ask.book();
    let disturbed = ask.picture.now.live.disturbed.iter();
    let own = disturbed.filter_map(|thing| match book.written(thing) {
        Written::Tie(tie) => Some((thing, &tie.missed)),
        _ => None,
    });
    let mut all: Vec<String> = Vec::new();
    for (thing, missed) in own {
        for sign in missed {
            let line = format!("{} ({})", words::large(&sign.symptom), book.kernel.name(thing));
            all.push(format!("{line}."));
        }
    }
    all.extend(STOP.map(str::to_owned));
    all
}

/// Whether anything could leak: something in which something runs was open, or a cover waits for
/// the look.
pub(crate) fn can_leak(ask: &Ask<'_>) -> bool {
    has_cover(ask) || !systems::opened(ask).is_empty()
}

fn has_cover(ask: &Ask<'_>) -> bool {
    ask.picture.case.kernel.things.iter().any(|thing| thing.after_leak_look)
}

/// Leak looks: at once and warm; cold again comes before the road.
fn leaks(ask: &Ask<'_>) -> Vec<Point> {
    if !can_leak(ask) {
        return Vec::new();
    }
    let has_cover = has_cover(ask);
    let look = ask.picture.now.live.state.looks.get(LEAK_LOOK);
    let looked = has_cover && matches!(look, Some(Look::Looked { .. }));
    let first = leak(ask, "leak.start", "Running, at once: dry everywhere that was open?");
    let warm = leak(ask, "leak.warm", "Warm: still dry?")
        .detail("After some minutes of idling, or as long as the maker says.")
        .settled_by(looked);
    vec![first.done(), warm.done()]
}

/// One look for leaks, with its question.
pub(crate) fn leak(ask: &Ask<'_>, id: &str, text: &str) -> super::Draft {
    let wet: Vec<ThingNo> = systems::opened(ask).iter().map(|it| it.thing).collect();
    let since = wet.iter().filter_map(|&it| disturbed(ask, it)).max();
    let systems: BTreeSet<System> =
        systems::opened(ask).iter().filter_map(|it| it.system).collect();
    let hazards: Vec<&str> = systems.into_iter().map(System::hazard).collect();
    let hazards = hazards.join(", ");
    let ties = wet.into_iter().filter(|&it| ask.picture.case.kernel.thing(it).kind == Kind::Tie);
    let ties: Vec<ThingNo> = ties.take(NAMED_MAX).collect();
    ask.point(id, None, text)
        .answer("Dry", "dry")
        .asks("It weeps", "Where, and of what?")
        .settled_on(&["dry"])
        .open_since(since, ask.answered(id, None))
        .details(placed(ask, &ties))
        .hazard(RUNNING)
        .hazard(&hazards)
        .before(DayGate::Road)
}

fn heat_levels(ask: &Ask<'_>) -> Vec<Point> {
    let level = |(thing, name, fluid): (ThingNo, String, String)| {
        ask.point("heat.level", Some(&name), &format!("{}: level right?", words::large(&fluid)))
            .answer("Level right", "right")
            .asks("Not right", "How far off, and what was done?")
            .detail("Only where the maker lets it be read warm; else say cold.")
            .answer("Read cold only", "cold only")
            .hazard(&fluid)
            .open_since(disturbed(ask, thing), ask.answered("heat.level", Some(&name)))
            .before(DayGate::Road)
            .done()
    };
    fluids(ask).map(level).collect()
}
