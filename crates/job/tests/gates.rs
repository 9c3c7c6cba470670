//! The two gates, priming, leak looks, the bench, tests before covering, where to look when it
//! does not start: each there when it should be, and only then.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;
#[path = "support/tale.rs"]
mod tale;

use lastbolt_job::disturbed;
use lastbolt_job::view::{DayGate, DayStage, Gate, PromptKind};
use lastbolt_ledger::Verb;
use lastbolt_machine::Minutes;

use support::{MINUTE, NODES, case};
use tale::Tale;

/// A made-up machine in a stranger's words: a belly pan that waits for the leak look, a feed pipe,
/// a sump, an earth, a probe behind a bracket, a wheel.
const MACHINE: &str = r#"
machine = "Plover loader"
fixed = ["block", "frame", "harness", "hub"]
[spot.top]
[spot.under]
needs = ["hoisted"]
[prep.hoisted]
ways = [{ minutes = 5 }]
back = [{ minutes = 3 }]
[prep."batteries cut off"]
ways = [{ from = "top", minutes = 1 }]
back = [{ from = "top", minutes = 1 }]
note = "sunroof to be taught afterwards"
[prep."black stuff out"]
ways = [{ from = "under", clear = ["belly pan"], minutes = 5 }]
back = [{ from = "under", clear = ["belly pan"], minutes = 8 }]
fluid = { name = "engine oil", litres = 4.5 }
[part."belly pan"]
after = "leak look"
ways = [{ from = "under", minutes = 1 }]
[tie."pan clips"]
kind = "clip"
count = 6
joins = ["belly pan", "frame"]
ways = [{ from = "under", minutes = 2 }]
[part."left front wheel"]
ways = [{ from = "under", minutes = 1 }]
[tie."left front nuts"]
kind = "nut"
count = 5
joins = ["left front wheel", "hub"]
ways = [{ from = "under", tool = "socket 21", minutes = 2 }]
[part.flywheel]
ways = [{ from = "under", clear = ["belly pan"], minutes = 2 }]
[tie."flywheel bolts"]
kind = "screw"
count = 6
joins = ["flywheel", "block"]
ways = [{ from = "under", tool = "socket 17", clear = ["belly pan"], minutes = 4 }]
[part.bracket]
ways = [{ from = "top", minutes = 1 }]
[tie."bracket bolts"]
kind = "screw"
count = 2
joins = ["bracket", "block"]
ways = [{ from = "top", tool = "socket 10", minutes = 1 }]
[tie."probe plug"]
kind = "plug"
joins = ["block", "harness"]
ways = [{ from = "top", clear = ["bracket"], minutes = 0.5 }]
hidden_by = ["bracket"]
missed = [{ symptom = "spins, will not catch", chance = "likely" }]
[tie."main strap"]
kind = "earth"
joins = ["block", "frame"]
ways = [{ from = "top", tool = "socket 10", minutes = 1 }]
[tie."diesel feed"]
kind = "union"
joins = ["block", "frame"]
ways = [{ from = "top", tool = "spanner 17", minutes = 1 }]
[tie."grey hose"]
kind = "hose"
joins = ["block", "frame"]
ways = [{ from = "top", minutes = 1 }]
[job]
off = ["flywheel", "probe plug", "main strap", "diesel feed", "grey hose", "left front wheel"]
do = ["batteries cut off", "black stuff out"]
"#;

fn tale() -> Tale {
    Tale::of(case(MACHINE))
}

fn names(gate: &Gate) -> Vec<&str> {
    gate.lines.iter().map(|line| line.line.thing.as_str()).collect()
}

fn ids(gate: &Gate) -> Vec<&str> {
    gate.points.iter().map(|point| point.id.as_str()).collect()
}

fn headings(tale: &Tale, stage: DayStage) -> Vec<String> {
    let day = tale.picture.day(tale.ms);
    day.stage(stage).unwrap().groups.iter().map(|group| group.heading.clone()).collect()
}

/// Before cranking only what it needs to run: what waits for the leak look, the wheel and what
/// these need may be open; a flywheel is no wheel, and a battery that is cut off is no lift.
#[test]
fn the_first_gate_asks_for_what_it_needs_to_run() {
    let mut tale = tale();
    tale.until("look leak look");
    let gate = tale.gate_before(DayGate::FirstStart);
    assert_eq!(names(&gate), Vec::<&str>::new(), "{:?}", gate.lines);
    assert_eq!(gate.heading, "All home but what may wait");
    let waiting: Vec<_> = gate.waiting.iter().map(|line| line.thing.as_str()).collect();
    assert!(waiting.contains(&"belly pan") && waiting.contains(&"hoisted"), "{waiting:?}");
    // The road asks for all of it.
    let road = tale.gate_before(DayGate::Road);
    for thing in ["belly pan", "pan clips", "hoisted"] {
        assert!(names(&road).contains(&thing), "{thing}: {:?}", names(&road));
    }
    assert!(road.waiting.is_empty());
    // The wheel off again: it may wait, and the road says so.
    tale.does(Verb::Undo, "left front nuts");
    tale.does(Verb::Off, "left front wheel");
    assert!(names(&tale.gate_before(DayGate::FirstStart)).is_empty());
    assert!(names(&tale.gate_before(DayGate::Road)).contains(&"left front wheel"));
    // The wrong twins: what it cannot run without.
    for (verb, thing) in [
        (Verb::Slack, "flywheel bolts"),
        (Verb::Prep, "batteries cut off"),
        (Verb::Prep, "black stuff out"),
        (Verb::Undo, "main strap"),
    ] {
        let seq = tale.does(verb, thing);
        let gate = tale.gate_before(DayGate::FirstStart);
        assert_eq!(names(&gate), [thing], "{thing} keeps it shut");
        tale.takes_back(seq);
    }
}

/// Priming, fluids, earths, tools are asked before cranking for what was open, in the order in
/// which they are done; what no word tells is asked for by name.
#[test]
fn what_is_asked_before_cranking() {
    let mut tale = tale();
    assert_eq!(ids(&tale.gate_before(DayGate::FirstStart)), Vec::<&str>::new(), "nothing off");
    tale.until("look leak look");
    let gate = tale.gate_before(DayGate::FirstStart);
    let wanted =
        ["start.out", "start.earths", "start.level", "start.runs", "prime.fuel", "prime.oil"];
    assert_eq!(ids(&gate), wanted);
    assert!(gate.points[3].detail.iter().any(|line| line.contains("Grey hose")));
    assert!(!gate.is_clear() && gate.is_home());
    for point in gate.points.clone() {
        tale.ticks(&point.id, point.thing.as_deref(), &point.taps[0].text);
    }
    assert!(tale.gate_before(DayGate::FirstStart).is_clear());
    // Opened once more: what was answered before does not count.
    tale.does(Verb::Undo, "diesel feed");
    tale.does(Verb::Make, "diesel feed");
    assert_eq!(ids(&tale.gate_before(DayGate::FirstStart)), ["prime.fuel"]);
    // Something missing is an answer, and keeps it shut.
    tale.ticks("start.out", None, "the long spanner, above");
    assert!(ids(&tale.gate_before(DayGate::FirstStart)).contains(&"start.out"));
}

/// The twin: a job on a dry machine is asked for tools and rags, and for nothing that runs.
#[test]
fn a_dry_job_is_asked_for_little() {
    let mut tale = Tale::nothing();
    tale.took(Some("guard"), &[("nut", 3)]);
    let event = tale.event(Verb::AllOff, None);
    tale.accept(event);
    tale.finishes();
    assert_eq!(ids(&tale.gate_before(DayGate::FirstStart)), ["start.out"]);
    let headings = headings(&tale, DayStage::FirstStart);
    assert!(!headings.iter().any(|it| it.starts_with("Prime")), "{headings:?}");
    let mut event = tale.event(Verb::FirstStart, None);
    event.note = Some("runs".to_owned());
    tale.accept(event);
    assert_eq!(ids(&tale.gate_before(DayGate::Road)), ["start.out"], "no leak look: it was dry");
}

/// The leak look wants a running machine; after it: looks, levels, wheels, relearning, and only
/// then the road.
#[test]
fn from_the_first_start_to_the_road() {
    let mut tale = tale();
    tale.until("look leak look");
    let before = tale.screen().next.unwrap().prompt.unwrap();
    assert_eq!(
        (before.kind, before.before.as_deref()),
        (PromptKind::LeakLook, Some("first start"))
    );
    assert_eq!(ids(&tale.gate_before(DayGate::Road)), ["road.first-start"]);
    let mut event = tale.event(Verb::FirstStart, None);
    event.note = Some("third try".to_owned());
    tale.accept(event);
    assert_eq!(tale.screen().next.unwrap().prompt.unwrap().before, None);
    let road = tale.gate_before(DayGate::Road);
    for id in ["leak.start", "leak.warm", "leak.cold", "heat.level", "road.level", "road.wheels"] {
        assert!(ids(&road).contains(&id), "{id}: {:?}", ids(&road));
    }
    assert!(ids(&road).contains(&"start.out"), "never answered: it is asked before the road");
    // It weeps: an answer that leaves it open; dry settles it.
    tale.ticks("leak.start", None, "drips at the feed");
    assert!(ids(&tale.gate_before(DayGate::Road)).contains(&"leak.start"));
    tale.ticks("leak.start", None, "Dry");
    assert!(!ids(&tale.gate_before(DayGate::Road)).contains(&"leak.start"));
    // The step of the list is the warm look.
    tale.presses();
    assert!(!ids(&tale.gate_before(DayGate::Road)).contains(&"leak.warm"));
    tale.finishes();
    assert!(tale.gate_before(DayGate::Road).is_home());
    // What the notes name is what is asked to be taught again, not the whole list.
    let day = tale.picture.day(tale.ms);
    let learn: Vec<_> =
        day.points().map(|p| p.id.as_str()).filter(|id| id.starts_with("learn.")).collect();
    assert_eq!(learn, ["learn.windows", "learn.more"]);
    assert!(day.points().filter(|p| p.id.starts_with("learn.")).all(|p| p.before.is_none()));
}

/// A connection that will be covered is tested first; passed by it stays open and says what it
/// costs; opened again it is tested again. A bolt is not tested.
#[test]
fn tests_come_before_the_cover() {
    let mut tale = tale();
    tale.until("on bracket");
    let card = tale.screen().next.unwrap();
    assert_eq!(card.prompt.as_ref().unwrap().kind, PromptKind::TestFirst);
    assert!(card.prompt.unwrap().text.contains("probe plug"), "named");
    let day = tale.picture.day(tale.ms);
    let point = day.find("test.before", Some("probe plug")).unwrap();
    assert!(!point.settled && point.text.contains("key on"), "{}", point.text);
    assert!(day.find("test.before", Some("bracket bolts")).is_none(), "a bolt is not tested");
    assert!(day.find("test.before", Some("main strap")).is_none(), "nothing covers it");
    // Passed by: the bracket goes on.
    let mut passed = Tale::of(case(MACHINE));
    passed.until("on bracket");
    passed.presses();
    let day = passed.picture.day(passed.ms);
    let point = day.find("test.before", Some("probe plug")).unwrap();
    let said = point.detail.last().unwrap();
    assert!(said.contains("Passed by") && said.contains("bracket"), "{said}");
    // Tested: nothing is said at the cover, until it is opened again.
    tale.ticks("test.before", Some("probe plug"), "Tested, good");
    assert!(tale.screen().next.unwrap().prompt.is_none());
    tale.does(Verb::Undo, "probe plug");
    tale.until("on bracket");
    assert_eq!(tale.screen().next.unwrap().prompt.unwrap().kind, PromptKind::TestFirst);
}

const SEALED: &str = r#"
machine = "Sealed box"
fixed = ["box"]
[spot.front]
[part.lid]
open_minutes = 10
ways = [{ from = "front", minutes = 1 }]
[tie."lid screws"]
kind = "screw"
count = 8
joins = ["lid", "box"]
ways = [{ from = "front", tool = "socket 8", minutes = 4 }]
renew = ["sealant"]
[part.rider]
rides = "lid"
ways = [{ from = "bench", minutes = 1 }]
[tie."rider nut"]
kind = "nut"
joins = ["rider", "lid"]
ways = [{ from = "bench", tool = "socket 8", minutes = 1 }]
[part.badge]
rides = "lid"
ways = [{ from = "bench", minutes = 1 }]
[job]
renew = ["lid"]
comes_fitted = ["badge"]
"#;

/// The bead's clock runs from when the lid went on until its last screw is in.
#[test]
fn the_clock_of_a_bead_runs() {
    let mut tale = Tale::of(case(SEALED));
    tale.until("on lid");
    assert!(tale.screen().next.unwrap().notes.iter().any(|note| note.contains("no break")));
    assert!(tale.screen().waits.is_empty());
    tale.presses();
    let laid = tale.ms;
    let waits = tale.screen().waits;
    assert_eq!(waits.len(), 1);
    assert_eq!(waits[0].until_ms, Some(laid + 10 * MINUTE));
    let lines = |ms: i64| {
        let day = tale.picture.day(ms);
        let groups = &day.stage(DayStage::PutBack).unwrap().groups;
        groups.iter().flat_map(|group| group.lines.clone()).collect::<Vec<_>>().join(" ")
    };
    assert!(lines(laid + 3 * MINUTE).contains("about 7 min"), "{}", lines(laid + 3 * MINUTE));
    assert!(lines(laid + 11 * MINUTE).contains("is over"));
    tale.does(Verb::ByHand, "lid screws");
    assert_eq!(tale.screen().waits.len(), 1, "by hand is not home");
    let groups = headings(&tale, DayStage::PutBack);
    assert!(groups.contains(&"Slack or in by hand, from front".to_owned()), "{groups:?}");
    tale.does(Verb::Make, "lid screws");
    assert!(tale.screen().waits.is_empty());
}

/// New against old: what is still on the old part is what nobody took off it; what comes fitted
/// with the new one goes in the bin with the old.
#[test]
fn what_is_still_on_the_old_part() {
    let mut tale = Tale::of(case(SEALED));
    tale.until("off lid");
    let day = tale.picture.day(tale.ms);
    assert!(day.find("bench.number-new", Some("lid")).is_some(), "can be looked at already");
    assert!(day.find("bench.bin", Some("lid")).is_none(), "it is still on the machine");
    tale.presses();
    let said = |tale: &Tale| {
        let day = tale.picture.day(tale.ms);
        day.find("bench.bin", Some("lid")).unwrap().detail.join(" ")
    };
    assert!(said(&tale).contains("rider and rider nut"), "{}", said(&tale));
    assert!(!said(&tale).contains("badge"), "it comes with the new one");
    tale.does(Verb::Undo, "rider nut");
    assert!(said(&tale).contains("still on it: rider."), "{}", said(&tale));
    tale.does(Verb::Off, "rider");
    assert!(said(&tale).contains("everything is off it"), "{}", said(&tale));
    let day = tale.picture.day(tale.ms);
    for id in ["bench.ports", "bench.plug", "bench.length", "bench.direction", "bench.number-old"] {
        assert!(day.find(id, Some("lid")).is_some(), "{id}");
    }
    let moves = &day.stage(DayStage::Bench).unwrap().groups[0].lines;
    assert_eq!(moves, &["Rider moves over: off the old one, not on the new one."]);
    // By kind of joint: a face with sealant was opened, no taper was.
    assert!(day.find("clean.sealant", None).is_some() && day.find("clean.taper", None).is_none());
    assert!(day.find("bench.new.0", Some("lid screws")).is_some(), "sealant is new each time");
}

/// Nearest and quickest first: what needs nothing off before what is behind a bracket; among
/// equals what starts an engine before what only holds; an answer stands beside it.
#[test]
fn it_does_not_start() {
    let mut tale = tale();
    assert!(disturbed(&tale.picture, NODES).lines.is_empty(), "nothing was off");
    tale.until("look leak look");
    let view = disturbed(&tale.picture, NODES);
    let at = |name: &str| view.lines.iter().position(|line| line.thing == name).unwrap();
    assert!(at("main strap") < at("grey hose"), "an earth before a hose: {view:?}");
    assert!(at("main strap") < at("bracket bolts"));
    let plug = &view.lines[at("probe plug")];
    assert_eq!(plug.comes_off, ["bracket"]);
    let strap = &view.lines[at("main strap")];
    assert!(strap.minutes.unwrap() < plug.minutes.unwrap());
    assert!(strap.text.contains("nothing comes off"), "{}", strap.text);
    assert!(plug.text.contains("the bracket comes off"), "{}", plug.text);
    assert!(plug.minutes.unwrap() >= Minutes::whole(4), "off and on again: {:?}", plug.minutes);
    assert!(plug.why.iter().any(|why| why.contains("will not catch")));
    let was = strap.taps.iter().find(|tap| tap.text == "Was it").unwrap().said.clone();
    tale.says(&was, None);
    let view = disturbed(&tale.picture, NODES);
    let strap = view.lines.iter().find(|line| line.thing == "main strap").unwrap();
    assert_eq!(strap.said.as_ref().unwrap().answer, "was it");
    // What is still off stands first, wherever it is.
    tale.does(Verb::Undo, "grey hose");
    assert_eq!(disturbed(&tale.picture, NODES).lines[0].thing, "grey hose");
}

fn passes(tale: &mut Tale, gate: DayGate) -> u64 {
    for point in tale.gate_before(gate).points {
        tale.ticks(&point.id, point.thing.as_deref(), &point.taps[0].text);
    }
    assert!(tale.gate_before(gate).is_clear(), "{:?}", tale.gate_before(gate));
    tale.does(Verb::Gate, gate.name())
}

/// What breaks after a gate was passed makes it shut again, until that is settled and the gate is
/// passed once more. The wrong twin, the last word about the gate, still says passed.
#[test]
fn what_broke_since_voids_a_gate() {
    let mut tale = tale();
    tale.until("look leak look");
    passes(&mut tale, DayGate::FirstStart);
    assert!(tale.gate_before(DayGate::FirstStart).passed.is_some());
    let broke = tale.noted("broke", Some("diesel feed"), "seized");
    let gate = tale.gate_before(DayGate::FirstStart);
    assert!(gate.passed.is_none() && !gate.is_clear(), "{gate:?}");
    let twin = tale.picture.now.live.state.gates.contains_key(lastbolt_job::FIRST_START);
    assert!(twin, "the wrong twin would go on");
    assert!(ids(&tale.gate_before(DayGate::Road)).contains(&format!("broke.{broke}").as_str()));
    tale.ticks(&format!("broke.{broke}"), Some("diesel feed"), "Got it out");
    let gate = tale.gate_before(DayGate::FirstStart);
    assert!(gate.is_clear() && gate.passed.is_none(), "settled, it is asked for once more");
    tale.does(Verb::Gate, lastbolt_job::FIRST_START);
    assert!(tale.gate_before(DayGate::FirstStart).passed.is_some());
    // Said wrongly and taken back, it voids nothing.
    let wrong = tale.noted("broke", Some("grey hose"), "split");
    assert!(tale.gate_before(DayGate::FirstStart).passed.is_none());
    tale.takes_back(wrong);
    assert!(tale.gate_before(DayGate::FirstStart).passed.is_some());
}

/// What is opened again after it was cleaned, compared or driven is asked about again.
#[test]
fn opened_again_is_asked_again() {
    let mut tale = tale();
    tale.until("look leak look");
    let settled = |tale: &Tale, id: &str, thing: Option<&str>| {
        let day = tale.picture.day(tale.ms);
        day.find(id, thing).unwrap_or_else(|| panic!("no point {id}")).settled
    };
    tale.ticks("clean.plug", None, "Cleaned");
    tale.ticks("clean.line", None, "Cleaned");
    passes(&mut tale, DayGate::FirstStart);
    let mut event = tale.event(Verb::FirstStart, None);
    event.note = Some("runs".to_owned());
    tale.accept(event);
    tale.finishes();
    tale.ticks("road.test", None, "Nothing seen, nothing heard");
    tale.ticks("road.wheels", None, "Measured");
    tale.ticks("learn.windows", None, "Done");
    for (id, still) in [("clean.plug", true), ("clean.line", true), ("road.test", true)] {
        assert_eq!(settled(&tale, id, None), still, "{id}");
    }
    tale.does(Verb::Undo, "main strap");
    tale.does(Verb::Make, "main strap");
    assert!(!settled(&tale, "clean.plug", None), "the earth was open again");
    assert!(settled(&tale, "clean.line", None), "no line was");
    assert!(!settled(&tale, "road.test", None), "it was driven before that");
    assert!(settled(&tale, "road.wheels", None), "no wheel was off");
    assert!(settled(&tale, "learn.windows", None), "the battery stayed on");
    tale.does(Verb::Undo, "left front nuts");
    tale.does(Verb::Prep, "batteries cut off");
    assert!(!settled(&tale, "road.wheels", None));
    assert!(!settled(&tale, "learn.windows", None));
    // Answered after that, it stands.
    tale.ticks("road.wheels", None, "Measured");
    assert!(settled(&tale, "road.wheels", None));
}

/// A new part that came off once more may be another one: it is compared again. Coming off for the
/// first time is no such thing.
#[test]
fn a_part_off_again_is_compared_again() {
    let text = MACHINE.replace("off = [\"flywheel\"", "renew = [\"flywheel\"]\noff = [\"bracket\"");
    let mut tale = Tale::of(case(&text));
    let settled = |tale: &Tale, id: &str| {
        let day = tale.picture.day(tale.ms);
        day.find(id, Some("flywheel")).unwrap_or_else(|| panic!("no point {id}")).settled
    };
    tale.ticks("bench.blanking", Some("flywheel"), "All out");
    tale.until("on flywheel");
    assert!(settled(&tale, "bench.blanking"), "looked at before the old one came off");
    tale.ticks("bench.length", Some("flywheel"), "The same");
    tale.presses();
    assert!(settled(&tale, "bench.length"));
    tale.does(Verb::Off, "flywheel");
    assert!(!settled(&tale, "bench.length") && !settled(&tale, "bench.blanking"));
}

/// A line that no word tells is primed as what it was marked as; unmarked, the twin, it is only
/// asked for by name.
#[test]
fn what_is_marked_is_primed_in_its_turn() {
    let head = "[tie.\"grey hose\"]\nkind = \"hose\"";
    let marked = MACHINE.replace(head, &format!("{head}\nhazards = [\"brakes\"]"));
    assert_ne!(marked, MACHINE);
    for (text, wanted) in [(marked.as_str(), true), (MACHINE, false)] {
        let mut tale = Tale::of(case(text));
        tale.until("look leak look");
        let gate = tale.gate_before(DayGate::FirstStart);
        assert_eq!(ids(&gate).contains(&"prime.brakes"), wanted, "{:?}", ids(&gate));
        assert_eq!(ids(&gate).contains(&"start.runs"), !wanted);
    }
}
