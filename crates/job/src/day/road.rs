//! Before the road: levels and leak look cold, wheels, what the battery took with it, the road
//! test, proof that the fault is gone.

use std::collections::BTreeSet;

use lastbolt_machine::{End, Kind, Ref, ThingNo};

use crate::case::Written;
use crate::day::start::{can_leak, disturbed, fluids, leak, placed};
use crate::day::systems::{self, System};
use crate::day::{Ask, group};
use crate::view::{DayGate, Point, PointGroup};
use crate::words;

/// What cutting off the battery brings with it: id, words of notes that name it, the question.
/// Common practice, no source; what a machine has is in its book.
const LEARNT: [(&str, &[&str], &str); 9] = [
    ("learn.radio", &["radio", "code card"], "Radio and its code"),
    ("learn.clock", &["clock"], "Clock and date"),
    ("learn.windows", &["window", "sunroof", "roof"], "Windows and roof: run to both ends, held"),
    ("learn.steering", &["steering angle", "steering sensor"], "Steering angle: lock to lock"),
    ("learn.idle", &["idle", "throttle"], "Idle and throttle: as the maker says"),
    ("learn.gears", &["gear adapt", "clutch adapt", "gearbox learn"], "Gearbox or clutch learns"),
    ("learn.tyres", &["tyre", "tire pressure"], "Tyre pressure warning"),
    ("learn.alarm", &["alarm", "immobil", "key fob", "remote"], "Alarm, keys, central locking"),
    ("learn.living", &["solar", "second battery", "inverter"], "Second battery charged, mains"),
];

/// What is watched on the road after what was open.
const WATCH: [(System, &str); 7] = [
    (System::Brakes, "Brakes: first stops slowly on free ground; pulls to no side, pedal stays"),
    (System::Clutch, "Clutch: bites where it should, every gear goes in without a noise"),
    (System::Steering, "Steering: light and even to both sides, wheel straight, no noise at lock"),
    (System::Gears, "Gears: each found, none jumps out, no howl"),
    (System::Fuel, "Fuel: pulls evenly, starts again warm"),
    (System::Cooling, "Cooling: the gauge comes up and stays; heater warm; fan comes in"),
    (System::Hydraulics, "Hydraulics: lifts at once, holds, does not sink or jerk"),
];

/// The groups of the stage; before the first start there is only that.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let live = &ask.picture.now.live;
    if live.disturbed.is_empty() {
        return Vec::new();
    }
    if live.state.first_starts.is_empty() {
        let point = ask
            .point("road.first-start", None, "It has not been started yet.")
            .asks("It is not started in this job", "Why is it not started in this job?")
            .detail("The gate before the first start comes first.")
            .before(DayGate::Road)
            .alone();
        let settled = point.said().is_some();
        let first = group("First start", vec![point.done()]);
        if !settled {
            return vec![first];
        }
    }
    let learn = learnt(ask);
    let test = ask
        .point("road.test", None, "Road test: how did it go?")
        .answer("Nothing seen, nothing heard", "nothing seen")
        .asks("In words", "What was seen, heard or felt, and when?")
        .open_again(ask, &opened(ask))
        .alone();
    vec![
        group("Cold again", cold(ask)),
        group("Wheels", wheels(ask)),
        PointGroup { lines: learn_lines(&learn), ..group("What the battery took with it", learn) },
        PointGroup { lines: watch(ask), ..group("Road test", vec![test.done()]) },
        group("Proof", proof(ask)),
    ]
}

/// What was drained in this job is looked at once more when all is cold, and so is what may leak.
fn cold(ask: &Ask<'_>) -> Vec<Point> {
    let point = |(thing, name, fluid): (ThingNo, String, String)| {
        let text = format!("{}: level right, cold?", words::large(&fluid));
        ask.point("road.level", Some(&name), &text)
            .answer("Level right", "right")
            .asks("Not right", "How far off, and what was done?")
            .detail("The maker says where it is read, and whether cold or warm.")
            .hazard(&fluid)
            .open_since(disturbed(ask, thing), ask.answered("road.level", Some(&name)))
            .before(DayGate::Road)
            .done()
    };
    let mut points: Vec<Point> = fluids(ask).map(point).collect();
    if can_leak(ask) {
        points.push(leak(ask, "leak.cold", "Cold again: dry, and nothing on the ground?").done());
    }
    points
}

/// Fixings that hold a road wheel and were undone: by the name of what they join or their own.
fn wheels(ask: &Ask<'_>) -> Vec<Point> {
    let kernel = &ask.picture.case.kernel;
    let is_one = |&thing: &ThingNo| {
        let it = kernel.thing(thing);
        let name = it.name.to_lowercase();
        let holds = it.kind == Kind::Tie && it.joins.iter().any(|end| is_wheel(ask, end));
        let named = ["wheel screw", "wheel nut", "wheel bolt", "wheel stud", "lug nut", "hub nut"];
        holds || named.iter().any(|words| name.contains(words))
    };
    let all: Vec<ThingNo> = ask.picture.now.live.disturbed.iter().filter(is_one).collect();
    if all.is_empty() {
        return Vec::new();
    }
    let point = ask
        .point("road.wheels", None, "Wheels tightened to the maker's figure, on the ground?")
        .answer("Measured", "measured")
        .asks("Not all", "Which not, and why?")
        .details(placed(ask, &all))
        .detail("Crosswise. Again after some distance, as the maker says.")
        .open_again(ask, &all)
        .before(DayGate::Road);
    vec![point.done()]
}

fn is_wheel(ask: &Ask<'_>, end: &End) -> bool {
    let End::Part(part) = *end else { return false };
    crate::gate::is_road_wheel(&ask.picture.case.kernel, part)
}

/// What the battery took with it: what the notes of this machine name, else the usual.
fn learnt(ask: &Ask<'_>) -> Vec<Point> {
    let cut = systems::battery(ask);
    if cut.is_empty() {
        return Vec::new();
    }
    let notes = notes(ask);
    let named = |words: &[&str]| words.iter().any(|word| notes.iter().any(|it| it.contains(word)));
    let some_named = LEARNT.iter().any(|(_, words, _)| named(words));
    let asked = LEARNT.iter().filter(|(_, words, _)| !some_named || named(words));
    let learn = |id: &str, text: &str| learn(ask, &cut, id, text);
    let mut points: Vec<Point> = asked.map(|(id, _, text)| learn(id, text)).collect();
    if some_named {
        points.push(learn("learn.more", "Anything else in the machine's book"));
    }
    if notes.iter().any(|note| note.contains("code") && !note.contains("radio code")) {
        points.push(learn(
            "learn.codes",
            "Codes read again; removed only after the proof, knowing that readiness goes with them",
        ));
    }
    points
}

/// Cut off once more, it is lost once more.
fn learn(ask: &Ask<'_>, cut: &[ThingNo], id: &str, text: &str) -> Point {
    let point = ask.point(id, None, text).answer("Done", "done").answer("Has none", "has none");
    point.asks("Not yet", "What is missing, and who does it?").open_again(ask, cut).done()
}

/// Everything that was opened in this job.
fn opened(ask: &Ask<'_>) -> Vec<ThingNo> {
    ask.picture.now.live.disturbed.iter().collect()
}

fn learn_lines(points: &[Point]) -> Vec<String> {
    let text = "The battery was cut off. Common practice, as far as no note names it.".to_owned();
    if points.is_empty() { Vec::new() } else { vec![text] }
}

/// The notes, names and cautions of everything that was open, in small letters.
fn notes(ask: &Ask<'_>) -> Vec<String> {
    let book = ask.book();
    let of = |thing: ThingNo| {
        let note = match book.written(thing) {
            Written::Prep(prep) => prep.note.as_ref(),
            _ => book.facts(thing).and_then(|facts| facts.note.as_ref()),
        };
        let name = book.kernel.name(thing).to_owned();
        let note = note.map(Ref::name).map(str::to_owned);
        std::iter::once(name).chain(note).map(|text| text.to_lowercase())
    };
    ask.picture.now.live.disturbed.iter().flat_map(of).collect()
}

/// What to watch: after what was open, and what the file says shows if something was missed.
fn watch(ask: &Ask<'_>) -> Vec<String> {
    let opened = systems::opened(ask);
    let was = |system: &System| opened.iter().any(|it| it.system == Some(*system));
    let after = WATCH.iter().filter(|(system, _)| was(system));
    let mut all: Vec<String> = after.map(|(_, text)| format!("{text}.")).collect();
    let book = ask.book();
    let mut symptoms = BTreeSet::new();
    for thing in ask.picture.now.live.disturbed.iter() {
        let Written::Tie(tie) = book.written(thing) else { continue };
        for missed in &tie.missed {
            if symptoms.insert(missed.symptom.clone()) {
                let name = book.kernel.name(thing);
                all.push(format!("{}: then look at the {name}.", words::large(&missed.symptom)));
            }
        }
    }
    all.push("Slowly at first, alone on the road, away from others; then look at it again.".into());
    all
}

/// What was named at size-up as proof that the fault is gone.
fn proof(ask: &Ask<'_>) -> Vec<Point> {
    let written = ask.picture.case.model.job.proof.iter().map(|text| text.value.clone());
    let said = ask.kept("proof").map(|kept| kept.text.clone());
    let point = |(at, text): (usize, String)| {
        ask.point(&format!("road.proof.{at}"), None, &words::large(&text))
            .answer("Yes, proved", "yes")
            .asks("No", "What was seen instead?")
            .answer("Later", "later")
            .open_on(&["later"])
            .open_again(ask, &opened(ask))
            .alone()
            .done()
    };
    written.chain(said).enumerate().map(point).collect()
}
