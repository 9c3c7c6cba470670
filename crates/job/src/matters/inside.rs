//! Rags, caps, plugs and tools: what is still in, which part would close it in, and what can be
//! put into an opening at once.

use lastbolt_ledger::{More, Verb};
use lastbolt_machine::{Kernel, Kind, ThingNo};

use crate::case::Book;
use crate::matters::{Matters, PutIn};
use crate::tell::Tell;
use crate::view::{MatterKind, MatterLine, Quiet, QuietKind, Said, StepVerb, Tap};
use crate::walk::Todo;
use crate::words;

/// Kinds that leave an opening when they are undone (common practice, no source).
const OPENINGS: [&str; 9] =
    ["hose", "line", "union", "banjo", "pipe", "port", "quick joint", "push-in", "injector"];

/// Whether a connection of this kind leaves an opening.
pub(crate) fn leaves_an_opening(kind: &str) -> bool {
    let kind = kind.to_lowercase();
    let is_one = |word: &str| kind == word || kind.ends_with(&format!(" {word}"));
    OPENINGS.iter().any(|word| is_one(word)) || kind == "push-in pipe"
}

/// The things that close an opening in when they go home, the nearest first: what left it, then
/// what hides that or has to be off for it.
pub(crate) fn closers(kernel: &Kernel, thing: ThingNo) -> Vec<ThingNo> {
    let ties = if kernel.thing(thing).kind == Kind::Part {
        kernel.thing(thing).ties.clone()
    } else {
        Vec::new()
    };
    let own = || std::iter::once(thing).chain(ties.iter().copied());
    let hiding = own().flat_map(|it| kernel.thing(it).hidden_by.iter().copied());
    let clear = own().flat_map(|it| kernel.thing(it).back.iter()).flat_map(|way| &way.clear);
    let parts = clear.copied().filter(|&it| kernel.thing(it).kind == Kind::Part);
    let mut all = vec![thing];
    for it in hiding.chain(parts) {
        if !all.contains(&it) {
            all.push(it);
        }
    }
    all
}

/// What is still in: a gate asks for all of it.
pub(crate) fn still_in(tell: Tell<'_>, matters: &Matters) -> Vec<MatterLine> {
    let line = |it: &PutIn| MatterLine {
        kind: MatterKind::StillIn,
        text: format!("{}: still in", place(it)),
        things: things(tell, it),
        taps: vec![out(it)],
        blocks: true,
        seq: Some(it.seq),
    };
    matters.put_in.iter().map(line).collect()
}

/// What a step would close in: it comes out first.
pub(crate) fn first_out(tell: Tell<'_>, matters: &Matters, todo: &Todo) -> Vec<MatterLine> {
    let kernel = &tell.case.kernel;
    let closes =
        matches!(todo.verb, StepVerb::On | StepVerb::Make | StepVerb::Start | StepVerb::Tighten);
    let due = |it: &&PutIn| {
        let thing = it.thing.as_deref().and_then(|thing| kernel.find(thing));
        closes && thing.is_some_and(|thing| closers(kernel, thing).contains(&todo.thing))
    };
    let goes = if kernel.thing(todo.thing).kind == Kind::Part { "goes on" } else { "goes home" };
    let line = |it: &PutIn| MatterLine {
        kind: MatterKind::StillIn,
        text: format!("{}: out before the {} {goes}", place(it), tell.name(todo.thing)),
        things: things(tell, it),
        taps: vec![out(it)],
        blocks: true,
        seq: Some(it.seq),
    };
    matters.put_in.iter().filter(due).map(line).collect()
}

/// What was closed in all the same, said until it is out.
pub(crate) fn closed_in(tell: Tell<'_>, matters: &Matters) -> Vec<Quiet> {
    let (kernel, live) = (&tell.case.kernel, tell.live);
    let quiet = |it: &PutIn| {
        let thing = kernel.find(it.thing.as_deref()?)?;
        let is_on = |&closer: &ThingNo| {
            let since = live.mark(kernel, closer).is_some_and(|mark| mark.by > it.seq);
            !live.open.has(closer) && (closer == thing || since)
        };
        let closer = closers(kernel, thing).into_iter().find(is_on)?;
        let on = if kernel.thing(closer).kind == Kind::Part { "on" } else { "home" };
        Some(Quiet {
            kind: QuietKind::OutOfOrder,
            text: format!(
                "The {} is {on} and the {} is still in: it has to come off again for it.",
                tell.name(closer),
                short(it)
            ),
            thing: Some(tell.name(closer).to_owned()),
            seq: live.mark(kernel, closer).map(|mark| mark.by).or(Some(it.seq)),
        })
    };
    matters.put_in.iter().filter_map(quiet).collect()
}

/// What the last entry opened and nothing was put into yet.
pub(crate) fn openings(tell: Tell<'_>, matters: &Matters) -> Vec<MatterLine> {
    let kernel = &tell.case.kernel;
    let book = Book::of(tell.case);
    let open = |name: &str| {
        let thing = kernel.find(name).filter(|&thing| tell.live.open.has(thing))?;
        let stopped = matters.put_in.iter().any(|it| it.thing.as_deref() == Some(name));
        (!stopped && leaves_an_opening(book.kind(thing))).then_some(thing)
    };
    let line = |(thing, seq): (ThingNo, u64)| MatterLine {
        kind: MatterKind::Opening,
        text: format!("Close the opening: {}", tell.counted(thing)),
        things: vec![tell.reference(thing)],
        taps: ["cap", "rag", "plug"].map(|kind| put(tell.name(thing), kind)).to_vec(),
        blocks: false,
        seq: Some(seq),
    };
    let just = matters.just_opened().iter();
    just.filter_map(|it| Some(line((open(&it.thing)?, it.seq)))).collect()
}

/// The buttons that put something in where a thing was.
pub(crate) fn put_taps(thing: &str) -> Vec<Tap> {
    ["rag", "cap", "plug", "tool"].map(|kind| put(thing, kind)).to_vec()
}

/// The buttons that take out what was put in where a thing was.
pub(crate) fn out_taps(matters: &Matters, thing: &str) -> Vec<Tap> {
    let own = matters.put_in.iter().filter(|it| it.thing.as_deref() == Some(thing));
    own.map(out).collect()
}

fn put(thing: &str, kind: &str) -> Tap {
    let on = if kind == "cap" { "on" } else { "in" };
    Tap {
        text: format!("{} {on}", words::large(kind)),
        said: Said {
            thing: Some(thing.to_owned()),
            note: Some(kind.to_owned()),
            more: Some(More { kind: Some(kind.to_owned()), ..More::default() }),
            ..Said::new(Verb::PutIn)
        },
        asks: None,
        main: false,
    }
}

fn out(it: &PutIn) -> Tap {
    let out = if it.kind == "cap" { "off" } else { "out" };
    Tap {
        text: format!("{} {out}", words::large(short(it))),
        said: Said { of: Some(it.event.clone()), ..Said::new(Verb::TakenOut) },
        asks: None,
        main: true,
    }
}

/// "rag", "torch": short enough for a button.
fn short(it: &PutIn) -> &str {
    let is_short = |text: &&str| (1..=16).contains(&text.chars().count());
    let named = Some(it.what.as_str()).filter(|_| it.kind == "tool").filter(is_short);
    named.or_else(|| Some(it.kind.as_str()).filter(is_short)).unwrap_or("rag")
}

/// "Rag where the air box was", "Rag in the intake", "Torch, above".
fn place(it: &PutIn) -> String {
    let what = words::large(it.what.trim());
    let says_where = it.what.trim().contains(' ') && it.what.trim() != it.kind;
    match (&it.thing, &it.spot) {
        (Some(thing), _) if !says_where => format!("{what} where the {thing} was"),
        (None, Some(spot)) if !says_where => format!("{what}, {spot}"),
        _ => what,
    }
}

fn things(tell: Tell<'_>, it: &PutIn) -> Vec<crate::view::ThingRef> {
    let thing = it.thing.as_deref().and_then(|thing| tell.case.kernel.find(thing));
    thing.map(|thing| tell.reference(thing)).into_iter().collect()
}
