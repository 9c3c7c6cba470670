//! Buttons: what has happened, by kind, and what each records.

use lastbolt_ledger::Verb;
use lastbolt_machine::{KernelWay, Kind, LEAK_LOOK, ThingNo};

use crate::advance::Now;
use crate::case::{Book, Case, Written};
use crate::shown::is_leak_look;
use crate::tell::Tell;
use crate::view::{Button, Draft, StepVerb};
use crate::walk::Todo;
use crate::words;

/// Buttons of a step of the list: the main one first.
pub(crate) fn of_step(tell: Tell<'_>, todo: &Todo) -> Vec<Button> {
    let book = Book::of(tell.case);
    let way = todo.kernel_way(book.kernel).filter(|_| todo.verb != StepVerb::Look);
    let maker = Maker { tell, thing: todo.thing, way };
    let (kind, count) = (book.kind(todo.thing), book.count(todo.thing));
    let name = words::large(book.kernel.name(todo.thing));
    let done = words::large(&words::done(todo.verb, kind, count));
    let mut all = Vec::new();
    match todo.verb {
        StepVerb::Off => {
            all.push(maker.main(Verb::Off, &format!("{name} {}", off_or_aside(tell, todo.thing))));
        }
        StepVerb::On => all.push(maker.main(Verb::On, &format!("{name} on"))),
        StepVerb::Undo => {
            all.push(maker.main(Verb::Undo, &done));
            if words::can_be_slack(kind) {
                all.push(maker.other(Verb::Slack, "Slackened"));
            }
        }
        StepVerb::Start => all.push(maker.main(Verb::Start, &done)),
        StepVerb::Make | StepVerb::Tighten => {
            let verb = if todo.verb == StepVerb::Make { Verb::Make } else { Verb::Tighten };
            all.push(maker.main(verb, &done));
            if todo.verb == StepVerb::Make && words::goes_in_by_hand(kind) {
                all.push(maker.other(Verb::ByHand, "In by hand"));
            }
            if !book.rounds(todo.thing).is_empty() {
                all.push(maker.other(Verb::NotMeasured, "Tight, not measured"));
            }
        }
        StepVerb::Prep => all.push(maker.main(Verb::Prep, &prep_done(book, todo.thing))),
        StepVerb::End => all.push(maker.main(Verb::End, &prep_ended(book, todo.thing))),
        StepVerb::Look if is_leak_look(book.kernel, todo) => {
            let mut looked = maker.main(Verb::Looked, "Looked for leaks");
            LEAK_LOOK.clone_into(&mut looked.draft.thing);
            all.push(looked);
        }
        StepVerb::Look => {
            all.push(maker.main(Verb::Looked, "Looked, pushed, tugged"));
            all.push(maker.other(Verb::PassedBy, "Pass it by"));
        }
    }
    all
}

/// Everything that can be recorded about a thing, whatever the list says.
pub(crate) fn of_thing(tell: Tell<'_>, thing: ThingNo) -> Vec<Button> {
    let live = tell.live;
    let book = Book::of(tell.case);
    let open = live.open.has(thing);
    let verb = next_verb(tell, thing);
    let mut all = of_step(tell, &best_todo(tell, verb, thing));
    if open && book.kernel.thing(thing).kind == Kind::Tie && verb == StepVerb::Start {
        let make = Todo { verb: StepVerb::Make, ..best_todo(tell, StepVerb::Make, thing) };
        all.extend(of_step(tell, &make).into_iter().map(|b| Button { main: false, ..b }));
    }
    if live.loose.has(thing) || live.started.has(thing) {
        let undo = best_todo(tell, StepVerb::Undo, thing);
        all.extend(of_step(tell, &undo).into_iter().take(1).map(|b| Button { main: false, ..b }));
    }
    if !open && live.disturbed.has(thing) && !book.kernel.thing(thing).hidden_by.is_empty() {
        let look = Todo { verb: StepVerb::Look, thing, way: 0 };
        let looks = of_step(tell, &look).into_iter().take(1);
        all.extend(looks.map(|b| Button { main: false, ..b }));
    }
    if book.kernel.thing(thing).kind == Kind::Tie {
        for button in states_between(tell, thing, open) {
            if !all.iter().any(|other: &Button| other.draft.verb == button.draft.verb) {
                all.push(button);
            }
        }
    }
    all
}

/// The states between on and off in which a fixing or connection can be (R25).
fn states_between(tell: Tell<'_>, thing: ThingNo, open: bool) -> Vec<Button> {
    let kind = Book::of(tell.case).kind(thing);
    let maker = Maker { tell, thing, way: None };
    let mut all = Vec::new();
    if open && words::goes_in_by_hand(kind) {
        all.push(maker.other(Verb::ByHand, "In by hand"));
    }
    if words::can_be_slack(kind) {
        all.push(maker.other(Verb::Slack, if open { "In, still slack" } else { "Slackened" }));
    }
    if words::goes_in_by_hand(kind) {
        all.push(maker.other(Verb::NotMeasured, "Tight, not measured"));
    }
    all
}

/// The button that says that a thing was looked at after all.
pub(crate) fn looked(tell: Tell<'_>, thing: ThingNo) -> Button {
    Maker { tell, thing, way: None }.main(Verb::Looked, "Looked, pushed, tugged")
}

/// Buttons that settle what was never recorded.
pub(crate) fn settle(tell: Tell<'_>, thing: ThingNo) -> Vec<Button> {
    let book = Book::of(tell.case);
    let (kind, count) = (book.kind(thing), book.count(thing));
    let maker = Maker { tell, thing, way: None };
    let out = words::large(&words::done(StepVerb::Undo, kind, count));
    let home = words::large(&words::done(StepVerb::Make, kind, count));
    vec![maker.main(Verb::Undo, &out), maker.other(Verb::Make, &home)]
}

/// What is recorded of a thing if nothing else is said: open what is closed, else start or close
/// it, by the cheapest way that holds now; none of the ways holding, the place and tool are left
/// as they were. With a verb, the place and tool for that. None when the machine does not know
/// the thing.
pub fn draft(case: &Case, now: &Now, thing: &str, verb: Option<Verb>) -> Option<Draft> {
    let thing = case.kernel.find(thing)?;
    let tell = Tell { case, live: &now.live, kept: &now.kept };
    Some(default_draft(tell, thing, verb))
}

fn default_draft(tell: Tell<'_>, thing: ThingNo, verb: Option<Verb>) -> Draft {
    let step = match &verb {
        None => next_verb(tell, thing),
        Some(Verb::Off | Verb::Undo | Verb::Prep) => opening(tell, thing),
        Some(Verb::Start) => StepVerb::Start,
        Some(_) => closing(tell, thing),
    };
    let moves = verb.as_ref().is_none_or(|verb| verb.sets_standing() && *verb != Verb::ByHand);
    let stand = tell.live.stand(tell.case);
    let todo = Todo { verb: step, thing, way: 0 };
    let kernel = &tell.case.kernel;
    let way = stand.fit(kernel, &todo);
    let way = way.as_ref().filter(|_| moves).and_then(|todo| todo.kernel_way(kernel));
    let verb = verb.unwrap_or_else(|| ledger_verb(step));
    Maker { tell, thing, way }.main(verb, "").draft
}

fn ledger_verb(verb: StepVerb) -> Verb {
    match verb {
        StepVerb::Off => Verb::Off,
        StepVerb::On => Verb::On,
        StepVerb::Undo => Verb::Undo,
        StepVerb::Make => Verb::Make,
        StepVerb::Start => Verb::Start,
        StepVerb::Tighten => Verb::Tighten,
        StepVerb::Prep => Verb::Prep,
        StepVerb::End => Verb::End,
        StepVerb::Look => Verb::Looked,
    }
}

fn opening(tell: Tell<'_>, thing: ThingNo) -> StepVerb {
    StepVerb::of(tell.case.kernel.thing(thing).kind, true)
}

fn closing(tell: Tell<'_>, thing: ThingNo) -> StepVerb {
    let it = tell.case.kernel.thing(thing);
    match it.kind {
        Kind::Tie if it.group.is_some() || tell.live.loose.has(thing) => StepVerb::Tighten,
        kind => StepVerb::of(kind, false),
    }
}

/// Open what is closed, else start or close it; what is loose is finished.
fn next_verb(tell: Tell<'_>, thing: ThingNo) -> StepVerb {
    let live = tell.live;
    let grouped = tell.case.kernel.thing(thing).group.is_some();
    if live.loose.has(thing) {
        let kernel = &tell.case.kernel;
        let partly = live.mark(kernel, thing).is_some_and(|m| m.last_verb == Verb::Undo);
        // Some pieces are out already: the rest comes out.
        if partly { StepVerb::Undo } else { StepVerb::Tighten }
    } else if !live.open.has(thing) {
        opening(tell, thing)
    } else if grouped && !live.started.has(thing) {
        StepVerb::Start
    } else {
        closing(tell, thing)
    }
}

fn best_todo(tell: Tell<'_>, verb: StepVerb, thing: ThingNo) -> Todo {
    let todo = Todo { verb, thing, way: 0 };
    let kernel = &tell.case.kernel;
    let stand = tell.live.stand(tell.case);
    let best = stand.fit(kernel, &todo);
    best.or_else(|| stand.best(kernel, &todo).map(|(todo, _)| todo)).unwrap_or(todo)
}

/// "off", or "hung aside" where something of it stays made.
fn off_or_aside(tell: Tell<'_>, part: ThingNo) -> &'static str {
    if tell.hangs(part) { "hung aside" } else { "off" }
}

fn prep_done(book: Book<'_>, thing: ThingNo) -> String {
    match book.written(thing) {
        Written::SetUp(spot) => format!("Set up: {}", spot.id.name()),
        _ => format!("Done: {}", book.kernel.name(thing)),
    }
}

fn prep_ended(book: Book<'_>, thing: ThingNo) -> String {
    match book.written(thing) {
        Written::SetUp(spot) => format!("Packed up: {}", spot.id.name()),
        Written::Prep(prep) if prep.fluid.is_some() => "Filled again".to_owned(),
        _ => format!("Back to normal: {}", book.kernel.name(thing)),
    }
}

struct Maker<'a> {
    tell: Tell<'a>,
    thing: ThingNo,
    way: Option<&'a KernelWay>,
}

impl Maker<'_> {
    fn main(&self, verb: Verb, text: &str) -> Button {
        self.button(verb, text, true)
    }

    fn other(&self, verb: Verb, text: &str) -> Button {
        self.button(verb, text, false)
    }

    fn button(&self, verb: Verb, text: &str, main: bool) -> Button {
        let kernel = &self.tell.case.kernel;
        let tool = self.way.and_then(|way| way.tool).filter(|_| verb != Verb::Start);
        let spot = self.way.and_then(|way| way.spot);
        Button {
            text: text.to_owned(),
            draft: Draft {
                thing: kernel.name(self.thing).to_owned(),
                spot: spot.map(|spot| kernel.spots[spot.0].clone()),
                tool: tool.map(|tool| kernel.tools[tool.0].clone()),
                verb,
            },
            main,
        }
    }
}
