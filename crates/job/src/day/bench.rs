//! The bench: new against old, what moves over, what is new each time, what is cleaned, what is
//! still on the old part. It goes on while the machine stands apart, and is listed by part.

use lastbolt_machine::{End, Kind, Ref, ThingNo};

use crate::day::start::disturbed;
use crate::day::{Ask, clean, group};
use crate::view::{Point, PointGroup};
use crate::words;

/// What is compared between a new part and the old one: id, question.
const COMPARED: [(&str, &str); 4] = [
    ("bench.ports", "Same ports and holes?"),
    ("bench.plug", "Same plug or connection?"),
    ("bench.length", "Same length and size?"),
    ("bench.direction", "Same direction of turning and fitting?"),
];
/// The numbers that are read off: id, on which, question.
const NUMBERS: [(&str, &str, &str); 2] = [
    ("bench.number-old", "Number on the old one", "What stands on the old one?"),
    ("bench.number-new", "Number on the new one", "What stands on the new one?"),
];
/// The most things that are listed under one point.
const LISTED_MAX: usize = 30;

/// The groups of the stage.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let kernel = &ask.picture.case.kernel;
    let asked = ask.picture.case.model.job.renew.iter();
    let renewed: Vec<ThingNo> = asked.filter_map(|name| kernel.find(name.name())).collect();
    let parts = renewed.iter().filter(|&&thing| kernel.thing(thing).kind == Kind::Part);
    let mut all: Vec<PointGroup> = parts.map(|&part| new_against_old(ask, part)).collect();
    all.push(group("New each time", new_each_time(ask)));
    all.extend(clean::groups(ask));
    all
}

/// A new part beside the old one.
fn new_against_old(ask: &Ask<'_>, part: ThingNo) -> PointGroup {
    let name = ask.picture.case.kernel.name(part);
    let heading = format!("{}: new against old", words::large(name));
    let moves = moves_over(ask, part);
    if !was_off(ask, part) {
        let said = "Still on the machine; the new one can be looked at already.".to_owned();
        let number = numbers(ask, name).pop().into_iter();
        let points = number.chain([comes_with(ask, part)]).chain([blanking(ask, part)]).collect();
        return PointGroup { lines: vec![said], ..group(&heading, points) };
    }
    let mut points: Vec<Point> = COMPARED.iter().map(|it| compared(ask, part, it)).collect();
    points.extend(numbers(ask, name));
    points.push(comes_with(ask, part));
    points.push(blanking(ask, part));
    points.push(bin(ask, part));
    points.push(core(ask, name));
    PointGroup { lines: moves, ..group(&heading, points) }
}

fn was_off(ask: &Ask<'_>, part: ThingNo) -> bool {
    ask.picture.now.live.disturbed.has(part)
}

/// It came off again: perhaps another one goes on, and that one was not looked at.
fn compared(ask: &Ask<'_>, part: ThingNo, &(id, text): &(&str, &str)) -> Point {
    let name = ask.picture.case.kernel.name(part);
    ask.point(id, Some(name), text)
        .answer("The same", "the same")
        .asks("It differs", "What differs, and what is done about it?")
        .open_since(ask.opened_again(part), ask.answered(id, Some(name)))
        .done()
}

fn numbers(ask: &Ask<'_>, name: &str) -> Vec<Point> {
    let point = |&(id, text, question): &(&str, &str, &str)| {
        ask.point(id, Some(name), text)
            .asks("Keep it", question)
            .answer("None to read", "none")
            .done()
    };
    NUMBERS.iter().map(point).collect()
}

/// What the new part came with; what the job file says of it stands there.
fn comes_with(ask: &Ask<'_>, part: ThingNo) -> Point {
    let kernel = &ask.picture.case.kernel;
    let fitted: Vec<String> = fitted(ask, part).iter().map(|&it| kernel.name(it).into()).collect();
    let name = kernel.name(part);
    let point = ask.point("bench.came-with", Some(name), "What did the new one come with?");
    if fitted.is_empty() {
        point.answer("Bare", "bare").asks("With this", "What is on it or beside it?").done()
    } else {
        point
            .detail(format!("By the job file with {}.", words::and(&fitted)))
            .answer("As the file says", "as the file says")
            .asks("Otherwise", "What is on it, and what is missing?")
            .done()
    }
}

fn blanking(ask: &Ask<'_>, part: ThingNo) -> Point {
    let name = ask.picture.case.kernel.name(part);
    ask.point("bench.blanking", Some(name), "Blanking plugs, caps and packing out of the new one?")
        .answer("All out", "all out")
        .answer("There were none", "none")
        .asks("Not yet", "What stays in, and until when?")
        .open_since(ask.opened_again(part), ask.answered("bench.blanking", Some(name)))
        .done()
}

fn core(ask: &Ask<'_>, name: &str) -> Point {
    ask.point(
        "bench.core",
        Some(name),
        "Does the old one go back to the supplier for its deposit (a core)?",
    )
    .answer("No", "no")
    .asks("Yes, kept", "Where is it, drained and in which box?")
    .done()
}

/// What rides on a part and comes fitted with the new one.
fn fitted(ask: &Ask<'_>, part: ThingNo) -> Vec<ThingNo> {
    let kernel = &ask.picture.case.kernel;
    let names = &ask.picture.case.model.job.comes_fitted;
    let is_named = |thing: &ThingNo| names.iter().any(|it| it.name() == kernel.name(*thing));
    riders(ask, part).into_iter().filter(is_named).collect()
}

/// Everything that rides on a part, directly or on something that does.
fn riders(ask: &Ask<'_>, part: ThingNo) -> Vec<ThingNo> {
    let kernel = &ask.picture.case.kernel;
    let mut all = kernel.thing(part).riders.clone();
    let mut at = 0;
    while let Some(&rider) = all.get(at) {
        all.extend(kernel.thing(rider).riders.iter().copied());
        at += 1;
    }
    all
}

/// What moves over from the old part to the new one, and how far that is.
fn moves_over(ask: &Ask<'_>, part: ThingNo) -> Vec<String> {
    let tell = ask.tell();
    let fitted = fitted(ask, part);
    let moves = riders(ask, part).into_iter().filter(|rider| !fitted.contains(rider));
    let renewed = |thing: ThingNo| {
        let renew = &ask.picture.case.model.job.renew;
        renew.iter().any(|name| name.name() == tell.name(thing))
    };
    let line = |rider: ThingNo| {
        let name = words::large(tell.name(rider));
        let open = tell.live.open.has(rider);
        match (renewed(rider), was_off(ask, rider), open) {
            (true, _, _) => format!("{name}: new too, does not move over."),
            (_, false, _) => format!("{name} moves over: still on the old one."),
            (_, true, true) => format!("{name} moves over: off the old one, not on the new one."),
            (_, true, false) => format!("{name} moves over: on the new one."),
        }
    };
    moves.take(LISTED_MAX).map(line).collect()
}

/// What is still on the old part, as far as the record says: riders never taken off it, and
/// fixings between it and them that were never undone.
pub(crate) fn still_on_old(ask: &Ask<'_>, part: ThingNo) -> Vec<ThingNo> {
    let kernel = &ask.picture.case.kernel;
    let fitted = fitted(ask, part);
    let stays: Vec<ThingNo> =
        riders(ask, part).into_iter().filter(|it| !fitted.contains(it)).collect();
    let never = |thing: &ThingNo| !ask.picture.now.live.disturbed.has(*thing);
    let mut all: Vec<ThingNo> = stays.iter().copied().filter(never).collect();
    for tie in kernel.thing(part).ties.iter().copied().filter(never) {
        let to_fitted = |end: &End| matches!(end, End::Part(it) if fitted.contains(it));
        let goes_with_it = kernel.thing(tie).joins.iter().any(to_fitted);
        if !goes_with_it && !all.contains(&tie) {
            all.push(tie);
        }
    }
    all
}

/// Before the old part goes in the bin.
fn bin(ask: &Ask<'_>, part: ThingNo) -> Point {
    let tell = ask.tell();
    let left = still_on_old(ask, part);
    let names: Vec<String> = left.iter().take(LISTED_MAX).map(|&it| tell.counted(it)).collect();
    let point = ask.point(
        "bench.bin",
        Some(tell.name(part)),
        "Before the old one goes in the bin: is anything still on it?",
    );
    let point = match names.is_empty() {
        true => {
            point.detail("By the record everything is off it. Look for brackets, dowels, labels.")
        }
        false => point.detail(format!("By the record still on it: {}.", words::and(&names))),
    };
    point
        .answer("Nothing left on it", "nothing left")
        .asks("Still on it", "What is still on it?")
        .done()
}

/// What is bought new each time something is opened, one point each.
fn new_each_time(ask: &Ask<'_>) -> Vec<Point> {
    let book = ask.book();
    let opened = ask.picture.now.live.disturbed.iter();
    let texts = opened.flat_map(|thing| {
        let all = book.renew(thing).iter().map(Ref::name).enumerate();
        all.map(move |(at, text)| (thing, at, text))
    });
    let point = |(thing, at, text): (ThingNo, usize, &str)| {
        let (id, name) = (format!("bench.new.{at}"), book.kernel.name(thing));
        ask.point(&id, Some(name), &format!("{}: new one fitted ({name})?", words::large(text)))
            .answer("New one", "new")
            .asks("The old one again", "Why does the old one go back?")
            .open_since(disturbed(ask, thing), ask.answered(&id, Some(name)))
            .done()
    };
    texts.map(point).collect()
}
