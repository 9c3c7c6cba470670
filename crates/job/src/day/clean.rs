//! What is cleaned before it goes together, by kind of joint.

use lastbolt_machine::{Kind, ThingNo};

use crate::case::{Book, Written};
use crate::day::{Ask, group};
use crate::view::PointGroup;
use crate::words;

/// The most things that one prompt names.
const NAMED_MAX: usize = 8;

/// A sort of joint: id, name, what is done, what names its hazard.
type Sort = (&'static str, &'static str, &'static str, Option<&'static str>);

/// What names the hazards in the table of hazards.
const DUST: &str = "old gasket";
/// The same, where faces are cleaned.
const SOLVENT: &str = "solvent";

/// Common practice, no source; the maker's instructions win.
const SORTS: [Sort; 8] = [
    (
        "clean.sealant",
        "Faces with sealant",
        "Old sealant off both faces with plastic, not with grit or a disc; then free of grease and \
         dry. Nothing falls inside.",
        Some(SOLVENT),
    ),
    (
        "clean.gasket",
        "Faces with a gasket",
        "Old gasket off without scratches, both faces flat and dry, holes free. Dry or wetted as \
         the maker says.",
        Some(DUST),
    ),
    (
        "clean.ring",
        "Rings and lip seals",
        "Seat wiped, no burr where it slides over. PTFE seals usually dry and free of oil, rubber \
         rings wetted; no mineral oil on brake rubber.",
        None,
    ),
    (
        "clean.taper",
        "Tapers and ball joints",
        "Inside and outside bare, dry, free of grease and burrs: a dirty one works loose.",
        None,
    ),
    (
        "clean.spline",
        "Splines, keys and dowels",
        "Rust and old grease off, slid together once by hand; a thin film of what the maker names, \
         none on the end.",
        Some(DUST),
    ),
    (
        "clean.thread",
        "Threads",
        "Brushed or chased, not cut; blind holes blown out with goggles on: oil in one cracks the \
         housing. Old locking compound out.",
        None,
    ),
    (
        "clean.plug",
        "Plugs and earths",
        "Dry, no green, pins straight, seal in its place. Earths: bare metal under the eye, then \
         kept from rust.",
        None,
    ),
    (
        "clean.line",
        "Hoses, lines and their ends",
        "Caps off at the last moment. Ends wiped with something that leaves no fluff, hose ends \
         free of cracks, new rings where there are any.",
        None,
    ),
];

/// The prompts for what was opened in this job.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let book = ask.book();
    let mut found: Vec<(usize, Vec<ThingNo>)> = Vec::new();
    for thing in ask.picture.now.live.disturbed.iter() {
        for sort in sorts_of(book, thing) {
            let Some(at) = SORTS.iter().position(|(id, ..)| *id == sort) else { continue };
            match found.iter_mut().find(|(of, _)| *of == at) {
                Some((_, things)) => things.push(thing),
                None => found.push((at, vec![thing])),
            }
        }
    }
    found.sort_by_key(|(at, _)| *at);
    let point = |(at, things): &(usize, Vec<ThingNo>)| {
        let (id, name, text, hazard) = SORTS[*at];
        let names: Vec<String> =
            things.iter().take(NAMED_MAX).map(|&it| book.kernel.name(it).to_owned()).collect();
        let more = things.len().saturating_sub(NAMED_MAX);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let point = ask
            .point(id, None, &format!("{name} cleaned?"))
            .answer("Cleaned", "cleaned")
            .asks("Not so", "What was done instead?")
            .detail(text)
            .detail(format!("{}{more}.", words::large(&names.join(", "))))
            .open_again(ask, things);
        let point = match hazard {
            Some(hazard) => point.hazard(hazard),
            None => point,
        };
        point.done()
    };
    let points = found.iter().map(point).collect::<Vec<_>>();
    let said = "By kind of joint. Common practice, not this maker's: his instructions win.";
    let lines = if points.is_empty() { Vec::new() } else { vec![said.to_owned()] };
    vec![PointGroup { lines, ..group("Cleaning", points) }]
}

/// Which sorts of joint a thing has: by its kind, by what is new on it, by its own facts.
fn sorts_of(book: Book<'_>, thing: ThingNo) -> Vec<&'static str> {
    let kernel = book.kernel;
    let it = kernel.thing(thing);
    if it.kind == Kind::Prep {
        return Vec::new();
    }
    let kind = book.kind(thing).to_lowercase();
    let name = it.name.to_lowercase();
    let renew: Vec<String> =
        book.renew(thing).iter().map(|text| text.value.to_lowercase()).collect();
    let says = |words: &[&str]| {
        words.iter().any(|word| name.contains(word) || renew.iter().any(|it| it.contains(word)))
    };
    let is_kind = |kinds: &[&str]| kinds.contains(&kind.as_str());
    let mut sorts = Vec::new();
    if it.open_minutes.is_some() || kind.contains("sealant") || says(&["sealant"]) {
        sorts.push("clean.sealant");
    }
    if says(&["gasket"]) {
        sorts.push("clean.gasket");
    }
    if says(&["o-ring", "o ring", "seal", "grommet", "washer"]) && !says(&["sealant"]) {
        sorts.push("clean.ring");
    }
    if is_kind(&["taper", "ball joint"]) {
        sorts.push("clean.taper");
    }
    if is_kind(&["spline", "key", "dowel", "press fit"]) {
        sorts.push("clean.spline");
    }
    if is_threaded(book, thing, &kind) {
        sorts.push("clean.thread");
    }
    if is_kind(&["plug", "earth", "cable", "ground"]) {
        sorts.push("clean.plug");
    }
    let is_line = kind != "push-in" || says(&["tube", "pipe", "hose", "line", "port"]);
    if (it.leaves_open && is_line)
        || is_kind(&["hose", "union", "banjo", "quick joint", "push-in pipe"])
    {
        sorts.push("clean.line");
    }
    sorts
}

/// A thread that somebody says something about: its figures, what it is wetted with.
fn is_threaded(book: Book<'_>, thing: ThingNo, kind: &str) -> bool {
    let Written::Tie(tie) = book.written(thing) else { return false };
    let is_one = matches!(kind, "screw" | "nut" | "stud" | "bolt");
    is_one && (tie.tighten.is_some() || tie.facts.wetted.is_some() || tie.bears)
}
