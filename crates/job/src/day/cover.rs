//! Put back: tests before covering, sealant's times, what is slack or in by hand by place, what
//! stays off until after the leak look.

use std::collections::BTreeMap;

use lastbolt_machine::{End, Kind, Minutes, ThingNo};

use crate::case::Book;
use crate::day::start::disturbed;
use crate::day::{Ask, group, lines, systems};
use crate::live::Live;
use crate::view::{Point, PointGroup};
use crate::walk::covered_by;
use crate::words;

/// The id of a test before covering.
pub(crate) const TEST: &str = "test.before";

/// How a connection is tested before something covers it. Common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Test {
    /// A sender's or switch's value with the key on.
    KeyOn,
    /// Continuity.
    Continuity,
    /// Air or coolant pressure.
    Pressure,
    /// Moved by hand.
    ByHand,
}

impl Test {
    /// What is asked.
    pub(crate) fn question(self) -> &'static str {
        match self {
            Self::KeyOn => "key on, does it read what it should?",
            Self::Continuity => "continuity through it, measured?",
            Self::Pressure => "under air or coolant pressure, as the maker allows: is it tight?",
            Self::ByHand => "moved by hand through its whole travel?",
        }
    }
}

/// The groups of the stage; nothing before anything was open.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let mut all = tests(ask);
    all.push(lines("Sealant: no break between bead and last screw", beads(ask)));
    all.extend(not_finished(ask));
    all.push(lines("Stay off until after the leak look", after_look(ask)));
    all
}

/// How a thing is tested, if it is of a sort that is.
pub(crate) fn test_of(book: Book<'_>, tie: ThingNo) -> Option<Test> {
    let kernel = book.kernel;
    let it = kernel.thing(tie);
    if it.kind != Kind::Tie {
        return None;
    }
    let kind = book.kind(tie).to_lowercase();
    let end = |end: &End| match *end {
        End::Fixed(fixed) => kernel.fixed[fixed].clone(),
        End::Part(part) => kernel.name(part).to_owned(),
    };
    let ends = it.joins.iter().map(end);
    let names: Vec<String> =
        std::iter::once(it.name.clone()).chain(ends).map(|name| name.to_lowercase()).collect();
    let says = |words: &[&str]| words.iter().any(|it| names.iter().any(|name| name.contains(it)));
    let senders = ["sensor", "sender", "switch", "probe", "gauge", "injector", "solenoid", "lamp"];
    match kind.as_str() {
        "plug" if says(&senders) => Some(Test::KeyOn),
        "plug" | "earth" | "ground" | "cable" => match kind.as_str() {
            "cable" if says(&["shift", "select", "throttle", "brake", "clutch", "bowden"]) => {
                Some(Test::ByHand)
            }
            _ => Some(Test::Continuity),
        },
        "linkage" | "rod" | "lever" => Some(Test::ByHand),
        "ball joint" if says(&["cable", "shift", "select", "link", "rod", "lever"]) => {
            Some(Test::ByHand)
        }
        _ if says(&["valve"]) && !it.leaves_open => Some(Test::ByHand),
        "hose" | "union" | "banjo" | "quick joint" | "push-in pipe" | "line" | "pipe" => {
            Some(Test::Pressure)
        }
        _ if it.leaves_open && systems::named(&it.name).is_some() => Some(Test::Pressure),
        _ => None,
    }
}

/// Whether a test was answered since the thing was opened last, and not with "later".
pub(crate) fn is_tested(live: &Live, book: Book<'_>, tie: ThingNo) -> bool {
    let name = book.kernel.name(tie);
    let key = (TEST.to_owned(), Some(name.to_owned()));
    let Some(tick) = live.state.ticks.get(&key) else { return false };
    let since = live.mark(book.kernel, tie).and_then(|mark| mark.disturbed_by);
    tick.answer != "not tested" && Some(tick.seq) > since
}

/// What is to be tested before a part goes on: home, in sight until then, and not tested.
pub(crate) fn due_before(live: &Live, book: Book<'_>, part: ThingNo) -> Vec<(ThingNo, Test)> {
    let kernel = book.kernel;
    let after = live.open.without(part);
    let due = |tie: ThingNo| {
        let test = test_of(book, tie)?;
        let hides = !live.open.has(tie)
            && covered_by(kernel, tie, &live.open).is_empty()
            && !covered_by(kernel, tie, &after).is_empty();
        (hides && !is_tested(live, book, tie)).then_some((tie, test))
    };
    let all = live.disturbed.iter().filter(|&tie| !kernel.leave_off.has(tie));
    all.filter_map(due).collect()
}

/// Tests, under the part that covers first: what is passed stays open with what it costs.
fn tests(ask: &Ask<'_>) -> Vec<PointGroup> {
    let (book, live) = (ask.book(), &ask.picture.now.live);
    let kernel = book.kernel;
    let mut by_cover: BTreeMap<ThingNo, Vec<Point>> = BTreeMap::new();
    for tie in live.disturbed.iter().filter(|&tie| !kernel.leave_off.has(tie)) {
        let Some(test) = test_of(book, tie) else { continue };
        let Some(cover) = first_cover(ask, tie) else { continue };
        by_cover.entry(cover).or_default().push(test_point(ask, tie, test));
    }
    let one = |(cover, points): (ThingNo, Vec<Point>)| {
        group(&format!("Test before the {} goes on", kernel.name(cover)), points)
    };
    by_cover.into_iter().map(one).collect()
}

/// The part that covers a connection: the one that is on over it, else the first that will be.
fn first_cover(ask: &Ask<'_>, tie: ThingNo) -> Option<ThingNo> {
    let (kernel, live) = (&ask.picture.case.kernel, &ask.picture.now.live);
    let on = covered_by(kernel, tie, &live.open);
    let hiding = &kernel.thing(tie).hidden_by;
    let was_off = hiding.iter().copied().find(|&part| live.disturbed.has(part));
    on.into_iter().find(|part| live.disturbed.has(*part)).or(was_off)
}

fn test_point(ask: &Ask<'_>, tie: ThingNo, test: Test) -> Point {
    let (kernel, live, tell) = (&ask.picture.case.kernel, &ask.picture.now.live, ask.tell());
    let name = kernel.name(tie);
    let text = format!("{}: {}", words::large(&tell.counted(tie)), test.question());
    let point = ask
        .point(TEST, Some(name), &text)
        .answer("Tested, good", "good")
        .asks("Not good", "What was seen, and what is done about it?")
        .answer("Not tested", "not tested")
        .open_on(&["not tested"])
        .open_since(disturbed(ask, tie), ask.answered(TEST, Some(name)));
    let point = match tell.place(tie) {
        Some(place) => point.detail(words::large(&place)),
        None => point,
    };
    let covers = covered_by(kernel, tie, &live.open);
    if live.open.has(tie) {
        return point.detail("Not yet: it is still off.").done();
    }
    match covers.first() {
        None => point.done(),
        Some(&cover) if point.said().is_some_and(|said| said.answer != "not tested") => {
            point.detail(format!("Behind the {} now.", kernel.name(cover))).done()
        }
        Some(&cover) => {
            let cost = ask.picture.now.look_costs.get(name).copied().flatten();
            point.detail(passed_text(kernel.name(cover), cost)).done()
        }
    }
}

/// What a test costs that was passed by.
fn passed_text(cover: &str, cost: Option<Minutes>) -> String {
    match cost {
        Some(minutes) if minutes > Minutes::ZERO => {
            format!("Passed by: the {cover} is on. Reaching it costs {}.", words::about(minutes))
        }
        _ => format!("Passed by: the {cover} is on, and comes off again for it."),
    }
}

/// Beads that were laid and are not closed yet: until when the last screw has to be home.
fn beads(ask: &Ask<'_>) -> Vec<String> {
    let live = &ask.picture.now.live;
    let mut all = Vec::new();
    for (thing, until_ms) in open_beads(ask.book(), live) {
        let name = words::large(ask.book().kernel.name(thing));
        let left = (until_ms.saturating_sub(ask.now_ms)) / 60_000;
        all.push(match left {
            1.. => format!("{name}: about {left} min until the last screw has to be in."),
            0 if until_ms > ask.now_ms => format!("{name}: less than a minute left."),
            _ => format!(
                "{name}: its open time is over with screws still out. The maker says whether the \
                 bead still holds; else off again, clean, anew."
            ),
        });
    }
    all
}

/// Things that went on with sealant and whose fixings are not all home: until when they have to
/// be \[ms since 1970, UTC\].
pub(crate) fn open_beads(book: Book<'_>, live: &Live) -> Vec<(ThingNo, i64)> {
    let kernel = book.kernel;
    let bead = |thing: ThingNo| {
        let minutes = kernel.thing(thing).open_minutes?;
        let mark = live.mark(kernel, thing)?;
        if live.open.has(thing) || !live.disturbed.has(thing) {
            return None;
        }
        let left = kernel.bead_ties(thing, &live.open);
        let loose = kernel.bead_ties(thing, &live.loose);
        let until = mark.said_at_ms.saturating_add(minutes.0.saturating_mul(60));
        (!left.is_empty() || !loose.is_empty()).then_some((thing, until))
    };
    kernel.all().filter_map(bead).collect()
}

/// Slack, in by hand, started, partly out: by place, so that one goes there once.
fn not_finished(ask: &Ask<'_>) -> Vec<PointGroup> {
    let (kernel, live, tell) = (&ask.picture.case.kernel, &ask.picture.now.live, ask.tell());
    let mut by_place: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for thing in live.unfinished(kernel) {
        let stands = tell.stands(thing);
        if !matches!(stands, "slack" | "in by hand" | "started" | "partly out") {
            continue;
        }
        let back = kernel.thing(thing).back.iter();
        let best = back.filter(|way| way.spot.is_some()).min_by_key(|way| way.minutes);
        let spot = best.and_then(|way| way.spot).map(|spot| kernel.spots[spot.0].as_str());
        let place = match spot {
            Some("bench") => "at the bench".to_owned(),
            Some(spot) => format!("from {spot}"),
            None => "from anywhere".to_owned(),
        };
        let line = tell.open_line(thing, stands);
        by_place.entry(place).or_default().push(words::large(&line.text));
    }
    let one =
        |(place, of): (String, Vec<String>)| lines(&format!("Slack or in by hand, {place}"), of);
    by_place.into_iter().map(one).collect()
}

/// What waits for the leak look (R28).
fn after_look(ask: &Ask<'_>) -> Vec<String> {
    let (kernel, live, tell) = (&ask.picture.case.kernel, &ask.picture.now.live, ask.tell());
    let waits = kernel.leak_look().waits;
    let off = waits.iter().filter(|&it| live.open.has(it) && !kernel.leave_off.has(it));
    off.map(|it| format!("{}.", words::large(&tell.counted(it)))).collect()
}
