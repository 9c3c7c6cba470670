//! Make ready: what is brought about before the work, how, and by whom; waits that run, and what
//! may be done meanwhile.

use lastbolt_ledger::Verb;
use lastbolt_machine::{Kind, Ref, ThingNo};

use crate::case::{Book, Written};
use crate::day::{Ask, Draft, group};
use crate::hazards::MAKER_WINS;
use crate::pressure::{self, Circuit, HOW};
use crate::view::{Point, PointGroup, Said, StepVerb, Tap};
use crate::waits;
use crate::walk::Todo;
use crate::words;

mod meanwhile;
mod nothing;
mod sort;

use sort::Sort;

/// The point of a condition that is still to be brought about.
const DO: &str = "ready.do";

/// The groups of the stage.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let book = ask.book();
    let list = ask.picture.now.kept.todo(book.kernel);
    let circuits = wanted_circuits(ask, &list);
    let mut all = vec![meanwhile::group(ask, &list)];
    for sort in Sort::ALL {
        let mut points = Vec::new();
        for thing in conditions(ask, &list).filter(|&thing| sort::of(book, thing) == sort) {
            points.extend(of_condition(ask, thing, &circuits, &list));
        }
        if sort == Sort::Pressure {
            let bare = circuits.iter().filter(|circuit| circuit.prep.is_none());
            points.extend(bare.filter_map(|circuit| of_circuit(ask, circuit, &list)));
        }
        all.push(group(sort.heading(), points));
    }
    if book.machine.preps.is_empty() {
        all.push(nothing::group(ask));
    }
    if all.iter().any(|group| group.points.iter().any(|point| !point.cautions.is_empty())) {
        all.push(PointGroup {
            lines: vec![MAKER_WINS.to_owned()],
            ..group("Before all of this", Vec::new())
        });
    }
    all
}

/// Conditions that the list wants, that are in force, or that were.
fn conditions<'a>(ask: &'a Ask<'_>, list: &'a [Todo]) -> impl Iterator<Item = ThingNo> + 'a {
    let (kernel, live) = (&ask.picture.case.kernel, &ask.picture.now.live);
    let of_work = move |&thing: &ThingNo| {
        let it = kernel.thing(thing);
        let wanted = || list.iter().any(|t| t.thing == thing && t.verb == StepVerb::Prep);
        let was = || live.mark(kernel, thing).is_some_and(|mark| mark.times_opened > 0);
        it.kind == Kind::Prep && !it.is_set_up && (live.open.has(thing) || was() || wanted())
    };
    kernel.all().filter(of_work)
}

/// Circuits of which something is to be opened, is open, or was.
fn wanted_circuits<'a>(ask: &Ask<'a>, list: &[Todo]) -> Vec<&'a Circuit> {
    let (kernel, live) = (&ask.picture.case.kernel, &ask.picture.now.live);
    let of_work = |&thing: &ThingNo| {
        live.open.has(thing)
            || list.iter().any(|todo| todo.thing == thing && todo.verb.opens())
            || live.mark(kernel, thing).is_some_and(|mark| mark.times_opened > 0)
    };
    let all = ask.picture.case.circuits().iter();
    all.filter(|circuit| circuit.things.iter().any(of_work)).collect()
}

/// A condition: still to be brought about, or how that was done.
fn of_condition(ask: &Ask<'_>, thing: ThingNo, circuits: &[&Circuit], list: &[Todo]) -> Vec<Point> {
    let (book, live) = (ask.book(), &ask.picture.now.live);
    let name = book.kernel.name(thing);
    let is_open = live.open.has(thing);
    let was = live.mark(book.kernel, thing).is_some_and(|mark| mark.times_opened > 0);
    let mut all = Vec::new();
    if !is_open && !was {
        let text = format!("Make ready: {name}");
        let said = Said { thing: Some(name.to_owned()), ..Said::new(Verb::Prep) };
        let tap = Tap { text: format!("Done: {name}"), said, asks: None, main: false };
        let draft = ask.point(DO, Some(name), &text).says(tap).settled(false);
        all.push(with_cautions(book, thing, draft).done());
    }
    // What lets pressure off is asked before what it is for; the rest once it is done.
    let circuit = circuits.iter().find(|circuit| circuit.prep == Some(thing));
    match circuit {
        Some(circuit) => all.extend(of_circuit(ask, circuit, list)),
        None if is_open || was => all.extend(how(ask, thing)),
        None => {}
    }
    all
}

/// The question of a circuit. An old answer counts where nothing of it is opened any more.
fn of_circuit(ask: &Ask<'_>, circuit: &Circuit, list: &[Todo]) -> Option<Point> {
    let mut point = pressure::question(ask.book(), ask.state(), circuit)?;
    let live = &ask.picture.now.live;
    let is_due = circuit.things.iter().any(|&thing| {
        let opens = |todo: &Todo| todo.thing == thing && todo.verb.opens();
        live.open.has(thing) || list.iter().any(opens)
    });
    point.settled |= !is_due && point.said.is_some();
    Some(point)
}

/// How a condition was brought about, where the file or its sort asks.
fn how(ask: &Ask<'_>, thing: ThingNo) -> Option<Point> {
    let book = ask.book();
    let name = book.kernel.name(thing);
    let Written::Prep(prep) = book.written(thing) else { return None };
    let own = prep.ask.as_ref().map(Ref::name);
    let sort = sort::of(book, thing);
    let question = own.or_else(|| sort.question())?;
    let mut draft = ask.point(HOW, Some(name), &format!("{}: {question}", words::large(name)));
    for (text, answer) in sort.answers().iter().filter(|_| own.is_none()) {
        draft = draft.choice(text, answer);
    }
    let draft = draft.asks("Keep the answer", "How was it done, and by whom?");
    let note = pressure::prep_note(book, ask.state(), thing);
    Some(with_cautions(book, thing, draft.or_said_with(note)).done())
}

/// What the file and the table say at a condition, and who may do it.
fn with_cautions(book: Book<'_>, thing: ThingNo, mut draft: Draft) -> Draft {
    let todo = Todo { verb: StepVerb::Prep, thing, way: 0 };
    for caution in book.all_cautions(&todo) {
        draft = draft.caution(caution.text);
    }
    if let Some(who) = book.who(thing) {
        draft = draft.detail(format!("Who may do it: {who}"));
    }
    match waits::after_step(book, &todo) {
        Some(wait) => draft.detail(format!("Then wait {wait}.")),
        None => draft,
    }
}
