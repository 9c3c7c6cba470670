//! What to buy and to borrow, and fluids, each with a tick when it is there.

use lastbolt_ledger::Kept;
use lastbolt_machine::ThingNo;

use crate::case::Written;
use crate::day::size_up::{Wanted, keeps, missing};
use crate::day::{Ask, Draft, group};
use crate::hazards::words::Text;
use crate::joint::{Joint, NewScrews, new_screws};
use crate::line::fluid_text;
use crate::view::{Point, PointGroup};
use crate::walk::Todo;
use crate::words;

/// The answer that something is there.
const HERE: &str = "here";
/// The point of screws that are wanted new.
const BUY_SCREWS: &str = "buy screws";
/// The answer that it is not wanted.
const NOT_NEEDED: &str = "not needed";
/// The answer that a tool is the garage's own.
const OURS: &str = "ours, here";
/// Of so many things it is worked out what they block; the others say only what they are for.
const WORKED_OUT_MAX: usize = 24;
/// With more things to buy than this it is said in which order they stand.
const SHORT_MAX: usize = 6;
/// A name in a point's id is cut after so many characters.
const ID_CHARS: usize = 120;
/// Tools that every garage has (common practice, no source): no need to borrow them.
const ORDINARY: [&str; 44] = [
    "socket",
    "spanner",
    "wrench",
    "screwdriver",
    "driver",
    "hex",
    "allen",
    "torx",
    "key",
    "pliers",
    "hammer",
    "mallet",
    "ratchet",
    "bit",
    "knife",
    "cutter",
    "brush",
    "rag",
    "cloth",
    "bar",
    "lever",
    "drift",
    "scraper",
    "pick",
    "mirror",
    "lamp",
    "torch",
    "tray",
    "jug",
    "funnel",
    "glove",
    "extension",
    "grip",
    "tape",
    "wire",
    "string",
    "bag",
    "box",
    "hand",
    "jack",
    "punch",
    "file",
    "chisel",
    "pan",
];
/// With one of these beside it a tool is a special one all the same.
const SPECIAL: [&str; 8] =
    ["puller", "compressor", "special", "hoist", "press", "gearbox jack", "reader", "crane"];

/// The groups, those without anything in them too.
pub(crate) fn groups(ask: &Ask<'_>, wanted: &Wanted) -> [PointGroup; 3] {
    let mut worked_out = 0;
    let mut parts = renewed(ask, wanted, &mut worked_out);
    parts.extend(ask.kept("buy").map(|kept| said(ask, kept, "buy")));
    let mut fluids = fluids(ask, wanted, &mut worked_out);
    fluids.extend(ask.kept("fluid").map(|kept| said(ask, kept, "fluid")));
    let buy = keeps("Add to buy", "buy", "What else to buy, how many?");
    let fluid = keeps("Add a fluid", "fluid", "Which fluid, how much?");
    let first = "What blocks the earliest step of putting back stands first.".to_owned();
    let lines = Some(first).filter(|_| parts.len() > SHORT_MAX);
    [
        PointGroup {
            lines: lines.into_iter().collect(),
            taps: vec![buy],
            ..group("To buy", parts)
        },
        PointGroup { taps: vec![fluid], ..group("Fluids", fluids) },
        borrow(ask, wanted),
    ]
}

/// "here", "ordered, comes ...", "not needed".
fn ticks(draft: Draft) -> Draft {
    draft
        .answer("Here", HERE)
        .asks("Ordered", "Ordered from whom, comes when?")
        .choice("Not needed", NOT_NEEDED)
        .closed_on(&[HERE, NOT_NEEDED])
}

fn id(what: &str, name: &str) -> String {
    let name: String = name.chars().take(ID_CHARS).collect();
    format!("{what} {}", name.trim())
}

fn item(ask: &Ask<'_>, wanted: &Wanted, worked_out: &mut usize, row: Row) -> Point {
    let name = ask.book().kernel.name(row.thing);
    let mut draft = ticks(ask.point(&row.id, Some(name), &row.text)).details(row.why);
    if !draft.is_settled() && *worked_out < WORKED_OUT_MAX {
        *worked_out += 1;
        for line in missing::lines(ask, wanted, row.thing, row.old_fits) {
            draft = draft.detail(line);
        }
    }
    draft.done()
}

/// Something to have, before it is worked out what it blocks.
struct Row {
    id: String,
    thing: ThingNo,
    text: String,
    /// The old one can go back on meanwhile.
    old_fits: bool,
    /// Why it is wanted, where that does not go without saying.
    why: Option<String>,
}

/// What the job renews, and what is new every time that something is opened.
fn renewed(ask: &Ask<'_>, wanted: &Wanted, worked_out: &mut usize) -> Vec<Point> {
    let (book, model) = (ask.book(), &ask.picture.case.model);
    let mut all = Vec::new();
    for name in &model.job.renew {
        let Some(thing) = book.kernel.find(name.name()) else { continue };
        let count = book.count(thing);
        let text = if count > 1 {
            format!("{count} × {}", name.name())
        } else {
            words::large(name.name())
        };
        let id = id("buy", name.name());
        all.push(Row { id, thing, text, old_fits: true, why: None });
    }
    for &thing in &wanted.things {
        for text in book.renew(thing) {
            let for_what = book.kernel.name(thing);
            let id = id("buy", text.name());
            let text = format!("{}, for {for_what}", words::large(text.name()));
            all.push(Row { id, thing, text, old_fits: false, why: None });
        }
        all.extend(screws(ask, thing));
    }
    points(ask, wanted, worked_out, all)
}

/// Screws that are wanted new and that nothing else lists: the file says so, or it is silent and
/// they are turned by an angle, or some may be too long to be used again.
fn screws(ask: &Ask<'_>, thing: ThingNo) -> Option<Row> {
    if !ask.book().renew(thing).is_empty() {
        return None;
    }
    let joint = Joint::of(ask.picture, thing)?;
    let why = new_screws(&joint)?;
    let text = format!("{} × {}, new", joint.pieces, joint.name);
    let old_fits = matches!(why, NewScrews::Longer(_));
    Some(Row { id: BUY_SCREWS.to_owned(), thing, text, old_fits, why: Some(why.why()) })
}

fn fluids(ask: &Ask<'_>, wanted: &Wanted, worked_out: &mut usize) -> Vec<Point> {
    let book = ask.book();
    let mut all = Vec::new();
    for &thing in &wanted.things {
        let Written::Prep(prep) = book.written(thing) else { continue };
        let Some(fluid) = &prep.fluid else { continue };
        let (id, text) = ("fluid".to_owned(), words::large(&fluid_text(fluid)));
        all.push(Row { id, thing, text, old_fits: false, why: None });
    }
    points(ask, wanted, worked_out, all)
}

/// A point for each: what blocks the earliest step of putting back stands first, what is there or
/// not wanted last.
fn points(ask: &Ask<'_>, wanted: &Wanted, worked_out: &mut usize, mut all: Vec<Row>) -> Vec<Point> {
    let step = |row: &Row| {
        let closes = |todo: &Todo| todo.thing == row.thing && !todo.verb.opens();
        wanted.list.iter().position(closes).unwrap_or(usize::MAX)
    };
    all.sort_by_cached_key(step);
    let mut all: Vec<Point> =
        all.into_iter().map(|row| item(ask, wanted, worked_out, row)).collect();
    all.sort_by_key(|point| point.settled);
    all
}

/// Something to buy that a person named.
fn said(ask: &Ask<'_>, kept: &Kept, what: &str) -> Point {
    let mut draft =
        ticks(ask.point(&format!("{what}.said.{}", kept.seq), None, &words::large(&kept.text)));
    for line in besides(kept) {
        draft = draft.detail(line);
    }
    draft.done()
}

/// Price and due date, where somebody said them.
fn besides(kept: &Kept) -> Vec<String> {
    let price = kept.more.price.iter().map(|price| format!("Price: {price}"));
    let due = kept.more.due.iter().map(|due| format!("Due: {due}"));
    let thing = kept.thing.iter().map(|thing| format!("For {thing}"));
    price.chain(due).chain(thing).collect()
}

fn borrow(ask: &Ask<'_>, wanted: &Wanted) -> PointGroup {
    let kernel = &ask.picture.case.kernel;
    let (mut special, mut ordinary): (Vec<(&str, ThingNo)>, Vec<&str>) = (Vec::new(), Vec::new());
    for &thing in &wanted.things {
        for way in wanted.ways(ask, thing) {
            let tool = way.tool.map(|tool| kernel.tools[tool.0].as_str());
            for name in tool.into_iter().chain(way.also.iter().map(String::as_str)) {
                let known =
                    ordinary.contains(&name) || special.iter().any(|(tool, _)| *tool == name);
                match is_ordinary(name) {
                    _ if known => {}
                    true => ordinary.push(name),
                    false => special.push((name, thing)),
                }
            }
        }
    }
    let mut points = Vec::new();
    for (tool, thing) in special {
        let first = format!("First wanted for {}.", kernel.name(thing));
        points.extend(borrowed(ask, &id("borrow", tool), tool, vec![first]));
    }
    for kept in ask.kept("borrow") {
        let id = format!("borrow.said.{}", kept.seq);
        points.extend(borrowed(ask, &id, &kept.text, besides(kept)));
    }
    let mut lines = Vec::new();
    if !ordinary.is_empty() {
        lines.push(format!("At hand in most places: {}.", ordinary.join(", ")));
    }
    let tap = keeps("Add to borrow", "borrow", "What else to borrow or hire?");
    PointGroup { lines, taps: vec![tap], ..group("To borrow", points) }
}

/// Whether a tool is one that every garage has.
fn is_ordinary(tool: &str) -> bool {
    let text = Text::of(tool);
    ORDINARY.iter().any(|word| text.has(word)) && !SPECIAL.iter().any(|word| text.has(word))
}

/// A tool out, and back again once it was borrowed.
fn borrowed(ask: &Ask<'_>, id: &str, tool: &str, detail: Vec<String>) -> Vec<Point> {
    let mut out = ask
        .point(id, None, &words::large(tool))
        .answer("Ours, here", OURS)
        .asks("Borrowed", "From whom, out when, back when?")
        .choice("Not needed", NOT_NEEDED);
    for line in detail {
        out = out.detail(line);
    }
    let out = out.done();
    let from = out.said.as_ref().filter(|said| said.answer != OURS && said.answer != NOT_NEEDED);
    let back = from.map(|said| {
        ask.point(&format!("{id} back"), None, &format!("{}: given back?", words::large(tool)))
            .answer("Given back", "given back")
            .detail(format!("Borrowed: {}", said.answer))
            .done()
    });
    std::iter::once(out).chain(back).collect()
}

#[cfg(test)]
mod tests {
    use super::is_ordinary;

    /// Nobody hires a socket, and nobody finds a spring compressor in a drawer.
    #[test]
    fn special_tools_are_told_from_ordinary_ones() {
        for tool in ["socket 13", "hex 8", "Torx T30", "side cutters", "torque wrench", "wet rag"] {
            assert!(is_ordinary(tool), "{tool}");
        }
        for tool in [
            "gear puller",
            "spring compressor",
            "gearbox jack",
            "code reader",
            "hoist",
            "alignment mandrel",
            "pressure gauge set",
        ] {
            assert!(!is_ordinary(tool), "{tool}");
        }
    }
}
