//! The sheet for a job that is left standing: why it must not be started, and how it was left.

use lastbolt_machine::{Kind, Ref, ThingNo};

use crate::case::Written;
use crate::day::{Ask, paper::capped};
use crate::matters::inside::{leaves_an_opening, still_in};
use crate::view::{Paper, PaperLine, PaperSection, Sheet};
use crate::words;

/// The most parts that are named in large letters.
const PARTS_MAX: usize = 3;
/// The most sentences in large letters: more cannot be read from the door.
const BIG_MAX: usize = 8;
/// The most lines under a heading: the sheet is one page.
const LINES_MAX: usize = 6;
/// From this weight on what is off moves the balance of a raised machine \[kg\]: what one person
/// lifts close to the body at waist height (common practice, no source).
const BALANCE_KG: f64 = 25.0;
/// Words by which a condition says that the machine stands high (common practice, no source).
const RAISED: [&str; 10] = [
    "raised",
    "lifted",
    "jacked",
    "on stands",
    "on the lift",
    "on blocks",
    "propped",
    "hoisted",
    "in the air",
    "tilted",
];
/// Sides that "heavy" is said of.
const SIDES: [&str; 8] = ["tail", "nose", "front", "rear", "left", "right", "top", "side"];

/// Gives the sheet.
pub(crate) fn standing(ask: &Ask<'_>) -> Paper {
    let sections = vec![
        how_left(ask),
        broken(ask),
        PaperSection::of("Off", off(ask)),
        PaperSection::of("Hung aside", hung(ask)),
        PaperSection::of("In by hand, slack or not finished", loose(ask)),
        PaperSection::of("Drained, isolated, raised", in_force(ask)),
        PaperSection::of("Openings", openings(ask)),
        PaperSection::of("Still in", still(ask)),
        PaperSection::of("Still running", super::paper::waits(ask)),
        PaperSection::of("Where the bags are", bags(ask)),
        PaperSection::of("Where it goes on", goes_on(ask)),
    ];
    Paper {
        sheet: Sheet::Standing,
        machine: ask.picture.case.model.title(),
        purpose: ask.picture.case.model.purpose(),
        big: big(ask),
        sections: capped(sections, LINES_MAX),
    }
}

/// What stands in large letters: "Do not start." "No gearbox." "Tail heavy."
fn big(ask: &Ask<'_>) -> Vec<String> {
    let tell = ask.tell();
    let untouched = tell.live.unfinished(&tell.case.kernel).next().is_none()
        && tell.live.state.given_up.is_none();
    let mut all = vec![if untouched { "Do not start yet." } else { "Do not start." }.to_owned()];
    if tell.live.state.given_up.is_some() {
        all.push("Given up.".to_owned());
    }
    let parts = parts_off(ask);
    let named = parts.iter().take(PARTS_MAX);
    all.extend(named.map(|&part| format!("No {}.", tell.name(part))));
    all.extend(fluids(ask).into_iter().map(|fluid| format!("No {fluid}.")));
    all.extend(balance(ask, &parts));
    if ask.picture.now.matters.put_in.iter().any(|it| it.kind != "cap") {
        all.push("Something is still in.".to_owned());
    }
    if !loose(ask).is_empty() {
        all.push("Not everything is tight.".to_owned());
    }
    all.truncate(BIG_MAX);
    all
}

/// Parts that are off, the heaviest first, then those with the most fixings.
fn parts_off(ask: &Ask<'_>) -> Vec<ThingNo> {
    let (tell, book) = (ask.tell(), ask.book());
    let kernel = book.kernel;
    let away = tell.live.unfinished(kernel).filter(|&it| kernel.thing(it).kind == Kind::Part);
    let mut all: Vec<ThingNo> = away.filter(|&part| tell.stands(part) == "off").collect();
    let grams = |part: ThingNo| {
        let kg = book.kilograms(part, &tell.live.open).unwrap_or(0.0);
        (kg * 1000.0).clamp(0.0, 1e9) as u64
    };
    all.sort_by_key(|&part| {
        let fixings = kernel.thing(part).ties.len();
        (std::cmp::Reverse((grams(part), fixings)), part)
    });
    all
}

/// Conditions in force, those that end by themselves left out.
fn conditions(ask: &Ask<'_>) -> Vec<ThingNo> {
    let (kernel, live) = (&ask.picture.case.kernel, &ask.picture.now.live);
    let is_one = |&thing: &ThingNo| {
        let it = kernel.thing(thing);
        it.kind == Kind::Prep && live.open.has(thing) && !it.by_itself
    };
    kernel.all().filter(is_one).collect()
}

fn fluids(ask: &Ask<'_>) -> Vec<String> {
    let book = ask.book();
    let fluid = |thing: ThingNo| match book.written(thing) {
        Written::Prep(prep) => prep.fluid.as_ref().map(|fluid| fluid.name.clone()),
        _ => None,
    };
    conditions(ask).into_iter().filter_map(fluid).collect()
}

fn is_raised(name: &str) -> bool {
    let name = format!(" {} ", name.to_lowercase());
    RAISED.iter().any(|word| name.contains(&format!(" {word} ")))
}

/// "Raised." and where the weight has gone: in the file's words, else by what is out.
fn balance(ask: &Ask<'_>, parts: &[ThingNo]) -> Vec<String> {
    let (tell, book) = (ask.tell(), ask.book());
    let raised = conditions(ask).into_iter().any(|thing| is_raised(tell.name(thing)));
    if !raised {
        return Vec::new();
    }
    let out: f64 = parts.iter().filter_map(|&it| book.kilograms(it, &tell.live.open)).sum();
    let mut all = vec!["Raised.".to_owned()];
    if out >= BALANCE_KG {
        let heavy = heavy_side(ask);
        let out = words::kilograms(out);
        all.push(heavy.unwrap_or_else(|| format!("{out} out: balance moved.")));
    }
    all
}

/// "Tail heavy.", where the file says so of what is open now.
fn heavy_side(ask: &Ask<'_>) -> Option<String> {
    let (tell, book) = (ask.tell(), ask.book());
    let open = tell.live.open.iter();
    let parts: Vec<ThingNo> = tell
        .case
        .kernel
        .all()
        .filter(|&it| tell.case.kernel.thing(it).kind == Kind::Part)
        .collect();
    open.flat_map(|thing| texts(book.written(thing))).find_map(|text| {
        let side = heavy(text)?;
        // "not without the gearbox: tail-heavy" is so only while the gearbox is off.
        let named = parts.iter().filter(|&&part| text.contains(tell.name(part)));
        let named: Vec<bool> = named.map(|&part| tell.live.open.has(part)).collect();
        (named.is_empty() || named.contains(&true))
            .then(|| format!("{} heavy.", words::large(side)))
    })
}

/// The side that a text calls heavy.
fn heavy(text: &str) -> Option<&'static str> {
    let text = text.to_lowercase().replace('-', " ");
    let all: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).collect();
    let pairs = all.windows(2).filter(|pair| pair[1] == "heavy");
    pairs.filter_map(|pair| SIDES.into_iter().find(|side| *side == pair[0])).next()
}

/// Everything that the file says in words about a thing.
fn texts(written: Written<'_>) -> Vec<&str> {
    let (ways, back, others): (_, _, Vec<&Ref>) = match written {
        Written::Part(it) => {
            let own = [&it.facts.note, &it.facts.support].into_iter().flatten();
            (it.ways.as_ref(), &it.back, own.chain(&it.cautions).collect())
        }
        Written::Tie(it) => {
            let own = it.facts.note.iter();
            (it.ways.as_ref(), &it.back, own.chain(&it.cautions).collect())
        }
        Written::Prep(it) => {
            (it.ways.as_ref(), &it.back, it.note.iter().chain(&it.cautions).collect())
        }
        Written::SetUp(spot) => return spot.cautions.iter().map(Ref::name).collect(),
    };
    let back = match back {
        lastbolt_machine::Back::Ways(ways) => ways.as_slice(),
        _ => &[],
    };
    let notes = ways.into_iter().flatten().chain(back).filter_map(|way| way.note.as_ref());
    others.into_iter().chain(notes).map(Ref::name).collect()
}

fn how_left(ask: &Ask<'_>) -> PaperSection {
    let line = super::pause::left(ask).map(|left| PaperLine {
        text: left.text.clone().unwrap_or_else(|| "Left standing".to_owned()),
        detail: left.person.clone().unwrap_or_default(),
        at_ms: Some(left.said_at_ms),
        ..PaperLine::default()
    });
    PaperSection::of(
        "How it was left",
        super::owner::given_up(ask).into_iter().chain(line).collect(),
    )
}

fn broken(ask: &Ask<'_>) -> PaperSection {
    let lines = super::broke::open(ask).into_iter().map(|it| PaperLine::of(it.text)).collect();
    PaperSection::of("Broke or stuck, not settled", lines)
}

fn off(ask: &Ask<'_>) -> Vec<PaperLine> {
    let tell = ask.tell();
    let parts: Vec<String> = parts_off(ask).iter().map(|&it| tell.name(it).to_owned()).collect();
    let mut all = Vec::new();
    if !parts.is_empty() {
        all.push(PaperLine::with(shortened(&parts), "parts"));
    }
    let fixings = crate::counts::still_off(tell).text;
    let fixings = fixings.split("; ").next().unwrap_or_default().to_owned();
    if fixings != "nothing off" {
        all.push(PaperLine::of(words::large(&fixings)));
    }
    all
}

/// Names in one line, the last ones counted where there are many.
pub(crate) fn shortened(names: &[String]) -> String {
    const NAMED_MAX: usize = 16;
    let more = names.len().saturating_sub(NAMED_MAX);
    let named = names[..names.len() - more].join(", ");
    if more == 0 { named } else { format!("{named} and {more} more") }
}

fn lines_where(ask: &Ask<'_>, stands: &[&str]) -> Vec<PaperLine> {
    let tell = ask.tell();
    let things = tell.live.unfinished(&tell.case.kernel);
    let of = |thing: ThingNo| {
        let how = tell.stands(thing);
        let place = tell.place(thing).unwrap_or_default();
        let line = PaperLine::with(words::large(&tell.open_line(thing, how).text), place);
        stands.contains(&how).then_some(PaperLine { tag: tell.tag_number(thing), ..line })
    };
    things.filter_map(of).collect()
}

/// What hangs, all of it in one line: there may be many.
fn hung(ask: &Ask<'_>) -> Vec<PaperLine> {
    let lines = lines_where(ask, &["hung aside"]);
    let name = |line: &PaperLine| {
        let name = line.text.split(':').next().unwrap_or_default().to_owned();
        line.tag.map_or(name.clone(), |tag| format!("{tag} {name}"))
    };
    let names: Vec<String> = lines.iter().map(name).collect();
    names.first().map(|_| PaperLine::of(shortened(&names))).into_iter().collect()
}

fn loose(ask: &Ask<'_>) -> Vec<PaperLine> {
    lines_where(ask, &["in by hand", "started", "slack", "partly out", "not recorded"])
}

/// All conditions in one line, then how each was brought about if that was said, and cautions of
/// what stands high.
fn in_force(ask: &Ask<'_>) -> Vec<PaperLine> {
    let (tell, book) = (ask.tell(), ask.book());
    let all = conditions(ask);
    let names: Vec<String> = all.iter().map(|&it| tell.name(it).to_owned()).collect();
    let mut lines: Vec<PaperLine> = names
        .first()
        .map(|_| PaperLine::of(words::large(&shortened(&names))))
        .into_iter()
        .collect();
    for &thing in &all {
        let name = tell.name(thing);
        if let Some(how) = ask.tick("ready.how", Some(name)) {
            let by = how.person.clone().unwrap_or_default();
            let text = format!("{}: {}", words::large(name), how.answer);
            lines.push(PaperLine::with(text, by));
        }
        let cautions = book.cautions(thing).iter().filter(|_| is_raised(name));
        lines.extend(cautions.map(|text| super::paper::caution(text.name())));
    }
    lines
}

/// Every opening, and what is in it.
fn openings(ask: &Ask<'_>) -> Vec<PaperLine> {
    let (tell, book) = (ask.tell(), ask.book());
    let matters = &ask.picture.now.matters;
    let of = |thing: ThingNo| {
        let opens = book.kernel.thing(thing).kind == Kind::Tie
            && leaves_an_opening(book.kind(thing))
            && tell.live.open.has(thing);
        let closed = matters.put_in.iter().find(|it| it.thing.as_deref() == Some(tell.name(thing)));
        let how =
            closed.map_or_else(|| "open, not capped".to_owned(), |it| it.kind.clone() + " on");
        opens.then(|| PaperLine {
            tag: tell.tag_number(thing),
            ..PaperLine::with(words::large(tell.name(thing)), how)
        })
    };
    let mut all: Vec<PaperLine> = tell.live.unfinished(book.kernel).filter_map(of).collect();
    all.sort_by_key(|line| line.detail != "open, not capped");
    all
}

fn still(ask: &Ask<'_>) -> Vec<PaperLine> {
    let matters = still_in(ask.tell(), &ask.picture.now.matters);
    matters.into_iter().map(|line| PaperLine::of(line.text)).collect()
}

fn bags(ask: &Ask<'_>) -> Vec<PaperLine> {
    let (tell, matters) = (ask.tell(), &ask.picture.now.matters);
    let kernel = &tell.case.kernel;
    let mut all: Vec<(String, Vec<String>)> = Vec::new();
    for thing in kernel.all().filter(|&it| tell.live.open.has(it)) {
        let Some(bag) = matters.fact(kernel.name(thing), "bag") else { continue };
        let bag = words::large(&crate::matters::put_back::bag(bag));
        match all.iter_mut().find(|(known, _)| *known == bag) {
            Some((_, things)) => things.push(tell.counted(thing)),
            None => all.push((bag, vec![tell.counted(thing)])),
        }
    }
    let line = |(bag, things): (String, Vec<String>)| {
        PaperLine::of(format!("{bag}: {}", shortened(&things)))
    };
    all.into_iter().map(line).collect()
}

fn goes_on(ask: &Ask<'_>) -> Vec<PaperLine> {
    let screen = ask.picture.screen(ask.now_ms);
    let last = screen.last.map(|last| PaperLine::with(last.text, "done last"));
    let next = screen.next.map(|card| PaperLine::with(card.line.text, "next"));
    last.into_iter().chain(next).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_a_sheet() {
        assert_eq!(heavy("not without the gearbox: tail-heavy"), Some("tail"));
        assert_eq!(heavy("the nose heavy when it goes"), Some("nose"));
        assert_eq!(heavy("a heavy part; very heavy"), None);
        assert!(is_raised("raised") && is_raised("machine on stands"));
        assert!(!is_raised("outraised fund") && !is_raised("leg blocked"));
    }
}
