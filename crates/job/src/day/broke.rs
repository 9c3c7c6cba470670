//! Something broke or does not move: what waits for it, what can go on, how it was settled.

use lastbolt_ledger::{Kept, More, Verb};
use lastbolt_machine::{Kernel, Minutes, ThingNo};

use crate::case::Book;
use crate::day::{Ask, group};
use crate::picture::Picture;
use crate::shown;
use crate::view::{Branch, Broke, DayGate, Point, PointGroup, Said, StepLine, StepVerb, Tap};
use crate::walk::{Stand, covers};
use crate::words;

/// The kind under which it is kept.
pub(crate) const KIND: &str = "broke";
/// What happens to things of these kinds (common practice, no source).
const HAPPENS: [(&[&str], &[&str]); 5] = [
    (
        &["screw", "nut", "stud", "fixing", "bolt", "union", "banjo", "clamp", "V-clamp"],
        &["stud broke", "head rounded", "seized", "thread torn"],
    ),
    (
        &["clip", "push peg", "hook", "circlip", "cable tie", "roll pin", "split pin", "key"],
        &["clip broke", "will not come", "lost"],
    ),
    (&["plug", "earth", "cable"], &["catch broke", "will not come", "wire torn", "burnt"]),
    (
        &["hose", "line", "pipe", "quick joint", "push-in pipe"],
        &["split", "will not come", "kinked"],
    ),
    (&["part"], &["cracked", "will not come", "bent"]),
];
/// What is offered for kinds that have none of their own.
const ANYTHING: [&str; 3] = ["broke", "will not come", "worn out"];
/// How long it may take, as a person says it; nobody's figures: asked, never assumed.
const BANDS: [&str; 4] = ["under 30 min", "30 min to 1 h", "1 to 3 h", "longer"];
/// Ends that need no words.
const ENDS: [&str; 4] = ["got it out", "drilled out, new one in", "thread repaired", "replaced"];

/// Gives the words for what may have happened to a thing of this kind.
pub fn happens(kind: &str) -> Vec<&'static str> {
    let known = HAPPENS.iter().find(|(kinds, _)| kinds.contains(&kind));
    known.map_or_else(|| ANYTHING.to_vec(), |(_, words)| words.to_vec())
}

/// Gives the buttons that say what happened to a thing, the last one in words.
pub fn broke_taps(kind: &str, thing: &str) -> Vec<Tap> {
    let tap = |text: &str, note: Option<&str>, asks: Option<&str>| Tap {
        text: words::large(text),
        said: Said {
            thing: Some(thing.to_owned()),
            note: note.map(str::to_owned),
            more: Some(More { kind: Some(KIND.to_owned()), ..More::default() }),
            ..Said::new(Verb::Noted)
        },
        asks: asks.map(str::to_owned),
        main: false,
    };
    let known = happens(kind).into_iter().map(|word| tap(word, Some(word), None));
    let other = tap("something else", None, Some("What happened to it?"));
    known.chain(std::iter::once(other)).collect()
}

/// Gives everything that broke in a job, settled or not, in order.
pub fn broken(picture: &Picture) -> Vec<Broke> {
    all(&Ask::of(picture, 0))
}

pub(crate) fn all(ask: &Ask<'_>) -> Vec<Broke> {
    ask.kept(KIND).map(|kept| broke(ask, kept)).collect()
}

/// What broke and is not settled.
pub(crate) fn open(ask: &Ask<'_>) -> Vec<Broke> {
    all(ask).into_iter().filter(|broke| broke.settled.is_none()).collect()
}

fn broke(ask: &Ask<'_>, kept: &Kept) -> Broke {
    let text = match &kept.thing {
        Some(thing) => format!("{}: {}", words::large(thing), kept.text),
        None => words::large(&kept.text),
    };
    Broke {
        seq: kept.seq,
        event: kept.event.clone(),
        thing: kept.thing.clone(),
        text,
        said_at_ms: kept.said_at_ms,
        person: kept.person.clone(),
        settled: settled(ask, kept.seq, kept.thing.as_deref()).said,
    }
}

/// The point that says how it was settled; until then no gate is clear: a gate passed before it
/// broke is no longer passed, and the gate before the road asks what the first one asks.
fn settled(ask: &Ask<'_>, seq: u64, thing: Option<&str>) -> Point {
    let ends = ENDS
        .iter()
        .fold(ask.point(&format!("broke.{seq}"), thing, "How was it settled?"), |point, end| {
            point.choice(&words::large(end), end)
        });
    ends.asks("Settled otherwise", "How was it settled?").before(DayGate::FirstStart).alone().done()
}

/// Whether a point is about something that broke.
pub(crate) fn is_it(point: &Point) -> bool {
    point.id.starts_with("broke.")
}

fn how_long(ask: &Ask<'_>, seq: u64, thing: Option<&str>) -> Point {
    let bands = BANDS.iter().fold(
        ask.point(&format!("broke.minutes.{seq}"), thing, "How long, about?"),
        |point, band| point.choice(&words::large(band), band),
    );
    bands.asks("In words", "How long, about?").alone().done()
}

/// What is asked about everything that broke.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let of = |broke: Broke| {
        let thing = broke.thing.as_deref();
        let minutes = how_long(ask, broke.seq, thing);
        let mut points = vec![settled(ask, broke.seq, thing)];
        if let Some(point) = points.first_mut() {
            point.text = format!("{}. {}", broke.text, point.text);
        }
        // How long it may take matters only until it is settled.
        points.extend((broke.settled.is_none() || minutes.said.is_some()).then_some(minutes));
        points
    };
    vec![group("Broke or stuck", all(ask).into_iter().flat_map(of).collect())]
}

/// Gives what follows from everything that broke and is not settled. `now_ms` is the time of day
/// \[ms since 1970, UTC\].
pub fn branches(picture: &Picture, now_ms: i64) -> Vec<Branch> {
    let ask = &Ask::of(picture, now_ms);
    let open = open(ask);
    let blocked: Vec<ThingNo> = open.iter().filter_map(|broke| number(ask, broke)).collect();
    let (_, goes_on) = split(ask, &blocked);
    let branch = |broke: Broke| {
        let own: Vec<ThingNo> = number(ask, &broke).into_iter().collect();
        let (stops, _) = split(ask, &own);
        let thing = broke.thing.as_deref();
        let minutes = how_long(ask, broke.seq, thing);
        Branch {
            stops,
            goes_on: goes_on.clone(),
            minutes: minutes.said.as_ref().map(|said| said.answer.clone()).or(band(ask, &broke)),
            points: vec![minutes, settled(ask, broke.seq, thing)],
            said: said_for(ask, &broke),
            taps: taps(&broke),
            broke,
        }
    };
    open.into_iter().map(branch).collect()
}

fn number(ask: &Ask<'_>, broke: &Broke) -> Option<ThingNo> {
    ask.picture.case.kernel.find(broke.thing.as_deref()?)
}

/// The minutes that were said with the entry itself.
fn band(ask: &Ask<'_>, broke: &Broke) -> Option<String> {
    let kept = ask.kept(KIND).find(|kept| kept.seq == broke.seq)?;
    match (kept.more.minutes, kept.more.minutes_most) {
        (Some(least), Some(most)) => Some(format!("{least} to {most} min")),
        (Some(one), None) | (None, Some(one)) => {
            Some(words::about(Minutes(i64::from(one).saturating_mul(1000))))
        }
        (None, None) => None,
    }
}

/// What was said to buy, to borrow and to ask, for the thing that broke and since then.
fn said_for(ask: &Ask<'_>, broke: &Broke) -> Vec<String> {
    let kept = &ask.picture.now.live.state.kept;
    let is_for = |kept: &&Kept| {
        matches!(kept.kind.as_str(), "buy" | "borrow" | "ask owner")
            && kept.thing == broke.thing
            && kept.seq > broke.seq
    };
    let text = |kept: &Kept| format!("{}: {}", words::large(&kept.kind), kept.text);
    kept.iter().filter(is_for).map(text).collect()
}

fn taps(broke: &Broke) -> Vec<Tap> {
    let kinds = [
        ("buy", "To buy", "What is to be bought for it?"),
        ("borrow", "To borrow", "What is to be borrowed for it?"),
        ("ask owner", "Ask the owner", "What is the owner to be asked?"),
    ];
    let tap = |(kind, text, asks): (&str, &str, &str)| Tap {
        text: text.to_owned(),
        said: Said {
            thing: broke.thing.clone(),
            more: Some(More { kind: Some(kind.to_owned()), ..More::default() }),
            ..Said::new(Verb::Noted)
        },
        asks: Some(asks.to_owned()),
        main: false,
    };
    kinds.into_iter().map(tap).collect()
}

/// The list in two: what waits for these things, and what can be done without them.
fn split(ask: &Ask<'_>, blocked: &[ThingNo]) -> (Vec<StepLine>, Vec<StepLine>) {
    let picture = ask.picture;
    let kernel = &picture.case.kernel;
    let tell = ask.tell();
    let book = Book::of(&picture.case);
    let mut stand = picture.now.live.stand(&picture.case).with_forbids(kernel);
    let (mut stops, mut goes_on) = (Vec::new(), Vec::new());
    let mut way_in_stops = false;
    for shown in shown::list(&picture.case, &picture.now) {
        let todo = &shown.todo;
        let line = book.line(&shown, tell.tag(todo.thing));
        let own = blocked.contains(&todo.thing);
        // What was to come off and cannot: nothing goes back before it has.
        let waits = !todo.verb.opens() && way_in_stops;
        let hides = todo.verb == StepVerb::On && hides(kernel, &stand, todo.thing, blocked);
        let is_there = todo.verb.opens() || is_not_closed(&stand, todo.thing, picture);
        let fits = if own || waits || hides || !is_there { None } else { stand.fit(kernel, todo) };
        match fits {
            Some(step) => {
                stand.apply(kernel, &step);
                goes_on.push(line);
            }
            None => {
                way_in_stops |= todo.verb.opens();
                stops.push(line);
            }
        }
    }
    (stops, goes_on)
}

/// What goes home must be open, or made and loose.
fn is_not_closed(stand: &Stand, thing: ThingNo, picture: &Picture) -> bool {
    stand.open.has(thing)
        || picture.now.live.loose.has(thing)
        || picture.now.live.disturbed.has(thing)
}

/// Whether a part that goes on would hide one of these.
fn hides(kernel: &Kernel, stand: &Stand, part: ThingNo, blocked: &[ThingNo]) -> bool {
    let after = stand.open.without(part);
    blocked.iter().any(|&tie| {
        kernel.thing(tie).hidden_by.contains(&part) && covers(kernel, part, tie, &after)
    })
}
