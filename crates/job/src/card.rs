//! The next action with everything that a person needs to do it.

use lastbolt_ledger::{More, Verb};
use lastbolt_machine::ThingNo;
use lastbolt_machine::kernel::Blocker;

use crate::advance::Now;
use crate::buttons;
use crate::case::{Book, Written};
use crate::day::cover;
use crate::hazards::is_of_table;
use crate::matters::{counted, inside, put_back, taps};
use crate::pressure;
use crate::shown::{Shown, is_leak_look};
use crate::tell::Tell;
use crate::view::{
    ActionCard, Caution, CautionFrom, DayGate, Prompt, PromptKind, Said, StepLine, StepVerb, Tap,
    ThingRef,
};
use crate::waits;
use crate::walk::Todo;
use crate::words;

/// The most tests that a card names.
const TESTS_NAMED_MAX: usize = 2;

/// The card of a step that stands first on the list.
pub(crate) fn card(tell: Tell<'_>, now: &Now, shown: &Shown) -> ActionCard {
    let case = tell.case;
    let (book, kernel) = (Book::of(case), &case.kernel);
    let todo = &shown.todo;
    let thing = todo.thing;
    let is_look = todo.verb == StepVerb::Look;
    let way = todo.kernel_way(&case.kernel).filter(|_| !is_look);
    let opens = todo.verb.opens();
    let facts = book.facts(thing);
    let fact = |pick: fn(&lastbolt_machine::model::Facts) -> &Option<lastbolt_machine::Ref>| {
        facts.and_then(|facts| pick(facts).as_ref()).map(|fact| fact.value.clone())
    };
    let (off_first, not_yet) = if is_look { Default::default() } else { obstacles(tell, shown) };
    let closes = !opens && !is_look;
    let asks_first = pressure::before_step(case, tell.live, todo);
    ActionCard {
        line: StepLine {
            asks_first: asks_first.as_ref().map(|point| point.text.clone()),
            ..book.line(shown, tell.tag(thing))
        },
        sort: tell.sort(thing),
        kind: book.kind(thing).to_owned(),
        pieces: book.count(thing),
        pieces_done: pieces_done(tell, thing),
        buttons: buttons::of_step(tell, todo),
        off_first,
        not_yet,
        also: way.map_or_else(Vec::new, |way| way.also.clone()),
        cautions: cautions(tell, todo),
        who: book.who(thing).filter(|_| !is_look).map(str::to_owned),
        mark: book.mark(todo),
        sits: fact(|f| &f.sits),
        wetted: fact(|f| &f.wetted).filter(|_| closes),
        support: fact(|f| &f.support).filter(|_| !is_look),
        rounds: if closes { book.rounds(thing) } else { Vec::new() },
        renew: if is_look { Vec::new() } else { renew(book, thing) },
        notes: if is_look { Vec::new() } else { notes(book, todo) },
        ask: match book.written(thing) {
            Written::Prep(prep) if opens => prep.ask.as_ref().map(|ask| ask.value.clone()),
            _ => None,
        },
        label: fact(|f| &f.label),
        by_feel: way.is_some_and(|way| way.feel),
        bears: matches!(book.written(thing), Written::Tie(tie) if tie.bears),
        people: if is_look { 1 } else { book.people(thing) },
        lift: book.lift(todo, &shown.stand.open),
        change: shown.change,
        wait: Some(book.wait(todo))
            .filter(|&minutes| waits::of_file(book, thing) == Some(minutes))
            .unwrap_or_default(),
        then_wait: waits::after_step(book, todo),
        asks_first,
        prompt: prompt(tell, shown),
        first_out: inside::first_out(tell, &now.matters, todo),
        put_back: put_back::put_back(book, &now.matters, thing).filter(|_| closes),
        leave_alone: counted::leave_alone(&now.matters, kernel.name(thing)).filter(|_| !is_look),
        wants_picture: book.mark(todo).is_some()
            && !now.matters.pictured.contains(kernel.name(thing)),
        taps: {
            let mut all = answers(tell, todo);
            if !is_look {
                all.extend(taps::of_step(tell, &now.matters, todo));
            }
            all
        },
    }
}

/// The machine runs for this look; until it was started the gate before that comes first.
fn leak_look(tell: Tell<'_>) -> Prompt {
    let started = !tell.live.state.first_starts.is_empty();
    let (text, before) = match started {
        false => (
            "It has to run for this look: the gate before the first start comes first.",
            Some(DayGate::FirstStart.name().to_owned()),
        ),
        true => {
            ("Running and warm: dry, or where does it weep? Card and lamp, never a hand.", None)
        }
    };
    Prompt { kind: PromptKind::LeakLook, text: text.to_owned(), before }
}

/// What is to be tested before a part covers it.
fn test_first(tell: Tell<'_>, part: ThingNo) -> Option<Prompt> {
    let due = cover::due_before(tell.live, Book::of(tell.case), part);
    let named = |(tie, test): &(ThingNo, cover::Test)| {
        format!("{}: {}", tell.counted(*tie), test.question())
    };
    let mut texts: Vec<String> = due.iter().take(TESTS_NAMED_MAX).map(named).collect();
    let more = due.len().saturating_sub(TESTS_NAMED_MAX);
    if more > 0 {
        texts.push(format!("and {more} more under Put back"));
    }
    let name = tell.name(part).to_owned();
    (!due.is_empty()).then(|| Prompt {
        kind: PromptKind::TestFirst,
        text: format!("Test before the {name} covers it: {}", texts.join(" ")),
        before: Some(name),
    })
}

/// What answers the tests that come before a part, or says what was seen at the leak look.
fn answers(tell: Tell<'_>, todo: &Todo) -> Vec<Tap> {
    if is_leak_look(&tell.case.kernel, todo) {
        return vec![weeps()];
    }
    if todo.verb != StepVerb::On {
        return Vec::new();
    }
    let due = cover::due_before(tell.live, Book::of(tell.case), todo.thing);
    let tap = |(tie, test): &(ThingNo, cover::Test)| {
        let name = tell.name(*tie);
        let asked = format!("{}: {}", words::large(name), test.question());
        let text = format!("Tested, good: {name}");
        ticked(cover::TEST, Some(name), &asked, &text, Some("good"), None)
    };
    due.iter().take(TESTS_NAMED_MAX).map(tap).collect()
}

fn weeps() -> Tap {
    let asked = "Warm: still dry?";
    ticked("leak.warm", None, asked, "It weeps", None, Some("Where, and of what?"))
}

fn ticked(
    point: &str,
    thing: Option<&str>,
    asked: &str,
    text: &str,
    answer: Option<&str>,
    asks: Option<&str>,
) -> Tap {
    let more =
        More { point: Some(point.to_owned()), asked: Some(asked.to_owned()), ..More::default() };
    let said = Said {
        thing: thing.map(str::to_owned),
        note: answer.map(str::to_owned),
        more: Some(more),
        ..Said::new(Verb::Ticked)
    };
    Tap { text: text.to_owned(), said, asks: asks.map(str::to_owned), main: false }
}

fn renew(book: Book<'_>, thing: ThingNo) -> Vec<String> {
    book.renew(thing).iter().map(|text| text.value.clone()).collect()
}

/// The file's notes; where sealant goes on, how long its bead may stay open.
fn notes(book: Book<'_>, todo: &Todo) -> Vec<String> {
    let open = book.kernel.thing(todo.thing).open_minutes;
    let bead = open.filter(|_| matches!(todo.verb, StepVerb::On | StepVerb::Make));
    let bead = bead.map(|minutes| {
        format!("{minutes} min from the bead to the last screw: no break in between.")
    });
    bead.into_iter().chain(book.notes(todo)).collect()
}

/// Cautions of the step; what the table says of a place only as one comes to it.
fn cautions(tell: Tell<'_>, todo: &Todo) -> Vec<Caution> {
    let book = Book::of(tell.case);
    let mut all = book.all_cautions(todo);
    let spot = todo.kernel_way(book.kernel).and_then(|way| way.spot);
    if spot.is_some() && spot == tell.live.spot {
        all.retain(|caution| caution.from != CautionFrom::Spot || !is_of_table(caution));
    }
    all
}

/// How many pieces are done, where only some were recorded.
fn pieces_done(tell: Tell<'_>, thing: ThingNo) -> Option<u32> {
    let count = Book::of(tell.case).count(thing);
    let mark = tell.live.mark(&tell.case.kernel, thing)?;
    let pieces = mark.pieces?;
    let partly = matches!(mark.last_verb, Verb::Undo | Verb::Make | Verb::Tighten | Verb::Start);
    (partly && pieces < count).then_some(pieces)
}

/// What must be off or undone first, and any other reason why it will not go yet.
fn obstacles(tell: Tell<'_>, shown: &Shown) -> (Vec<ThingRef>, Vec<String>) {
    let stand = tell.live.stand(tell.case);
    let (mut first, mut not_yet) = (Vec::new(), Vec::new());
    for blocker in stand.against(&tell.case.kernel, &shown.todo) {
        match blocker {
            Blocker::NotClear(thing) | Blocker::HeldBy(thing) => first.push(tell.reference(thing)),
            other => not_yet.push(crate::holds::sentence(tell, shown.todo.thing, other)),
        }
    }
    (first, not_yet)
}

fn prompt(tell: Tell<'_>, shown: &Shown) -> Option<Prompt> {
    let kernel = &tell.case.kernel;
    if is_leak_look(kernel, &shown.todo) {
        return Some(leak_look(tell));
    }
    if shown.todo.verb == StepVerb::On
        && let Some(prompt) = test_first(tell, shown.todo.thing)
    {
        return Some(prompt);
    }
    if shown.todo.verb == StepVerb::Look {
        let before = shown.before?;
        let cover = kernel.name(before);
        return Some(Prompt {
            kind: PromptKind::LastLook,
            text: format!("Look, push, tug: the {cover} goes on over it next."),
            before: Some(cover.to_owned()),
        });
    }
    if !shown.is_made_unseen(kernel) {
        return None;
    }
    let covers = crate::walk::covered_by(kernel, shown.todo.thing, &shown.stand.open);
    let cover = covers.first().map(|&part| kernel.name(part).to_owned());
    let behind = cover.as_deref().map_or(String::new(), |name| format!(" behind the {name}"));
    Some(Prompt {
        kind: PromptKind::MadeUnseen,
        text: words::large(&format!(
            "it cannot be seen{behind}: pull on it and feel or hear it click, now."
        )),
        before: cover,
    })
}
