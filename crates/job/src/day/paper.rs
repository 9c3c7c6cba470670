//! The current list on paper: way in, to buy and borrow, at the bench, way back.

use std::collections::BTreeSet;

use lastbolt_machine::{Kind, ThingNo};

use crate::case::Book;
use crate::day::{Ask, hand_over, owner, standing};
use crate::matters::put_back::put_back;
use crate::picture::Picture;
use crate::view::{Paper, PaperLine, PaperSection, Sheet, StepLine, StepVerb};
use crate::words;

/// Gives a sheet of a job as it is now. `now_ms` is the time of day \[ms since 1970, UTC\].
pub fn paper(picture: &Picture, sheet: Sheet, now_ms: i64) -> Paper {
    let ask = &Ask::of(picture, now_ms);
    let sections = match sheet {
        Sheet::Standing => return standing::standing(ask),
        Sheet::HandOver => return hand_over::hand_over(ask),
        Sheet::Owner => return owner::owner(ask),
        Sheet::ToBuy => to_buy(ask),
        Sheet::WayIn => by_place(ask, |line| line.verb.opens() && !line.bench),
        Sheet::Bench => by_place(ask, |line| line.bench),
        Sheet::WayBack => by_place(ask, |line| !line.verb.opens() && !line.bench),
    };
    new(ask, sheet, sections)
}

/// A sheet without large letters; headings without lines are left out.
pub(crate) fn new(ask: &Ask<'_>, sheet: Sheet, mut sections: Vec<PaperSection>) -> Paper {
    sections.retain(|section| !section.lines.is_empty());
    let model = &ask.picture.case.model;
    Paper { sheet, machine: model.title(), purpose: model.purpose(), big: Vec::new(), sections }
}

/// Sections with at most so many lines each, and how many more there are; empty ones left out.
pub(crate) fn capped(sections: Vec<PaperSection>, most: usize) -> Vec<PaperSection> {
    let cap = |mut section: PaperSection| {
        let more = section.lines.len().saturating_sub(most);
        if more > 1 {
            section.lines.truncate(most);
            section.lines.push(PaperLine::of(format!("and {} more", more)));
        }
        section
    };
    sections.into_iter().filter(|section| !section.lines.is_empty()).map(cap).collect()
}

/// The list as it is shown.
pub(crate) fn list(ask: &Ask<'_>) -> Vec<StepLine> {
    crate::screen::steps_left(ask.tell(), &ask.picture.now)
}

/// Some of the steps, with a heading wherever the place changes.
fn by_place(ask: &Ask<'_>, wanted: impl Fn(&StepLine) -> bool) -> Vec<PaperSection> {
    let mut all: Vec<PaperSection> = Vec::new();
    let mut place: Option<String> = None;
    let mut looks: Option<String> = None;
    for line in list(ask).into_iter().filter(wanted) {
        // Looks before the same cover are one line: on paper they are ticked together.
        if line.verb == StepVerb::Look && line.before.is_some() && line.before == looks {
            let name = tagged_name(&line);
            let last = all.last_mut().and_then(|section| section.lines.last_mut());
            if let Some(last) = last {
                last.text = format!("{}, {name}", last.text);
            }
            continue;
        }
        looks.clone_from(&line.before);
        let from = line.from.clone().or(place.clone());
        if all.is_empty() || from != place {
            let heading = match from.as_deref() {
                None => "Wherever you stand".to_owned(),
                Some("bench") => "At the bench".to_owned(),
                Some(name) => format!("From {name}"),
            };
            let lines = place_cautions(ask.book(), from.as_deref());
            all.push(PaperSection { heading, lines, boxes: true });
            place = from;
        }
        if let Some(section) = all.last_mut() {
            section.lines.extend(step(ask, &line));
        }
    }
    cautions_once(&mut all);
    all
}

/// A caution stands where it counts first; said again and again it would not be read.
fn cautions_once(sections: &mut [PaperSection]) {
    let mut said: BTreeSet<String> = BTreeSet::new();
    for section in sections {
        section.lines.retain(|line| !line.caution || said.insert(line.text.clone()));
    }
}

/// "12 Rear seal fit".
fn tagged_name(line: &StepLine) -> String {
    let name = words::large(&line.thing);
    line.tag.map_or(name.clone(), |tag| format!("{} {name}", tag.number))
}

fn place_cautions(book: Book<'_>, from: Option<&str>) -> Vec<PaperLine> {
    let spot = book.machine.spots.iter().find(|spot| Some(spot.id.name()) == from);
    let cautions = spot.into_iter().flat_map(|spot| &spot.cautions);
    cautions.map(|text| caution(text.name())).collect()
}

pub(crate) fn caution(text: &str) -> PaperLine {
    PaperLine { caution: true, ..PaperLine::of(text) }
}

/// A step with what is wanted at it, its cautions first.
fn step(ask: &Ask<'_>, line: &StepLine) -> Vec<PaperLine> {
    let book = ask.book();
    let Some(thing) = book.kernel.find(&line.thing) else {
        return vec![PaperLine::of(line.text.clone())];
    };
    let is_look = line.verb == StepVerb::Look;
    if let Some(cover) = line.before.as_ref().filter(|_| is_look) {
        let text = format!("Look, push, tug before the {cover} goes on: {}", tagged_name(line));
        return vec![PaperLine::of(text)];
    }
    let mut detail: Vec<String> = line.tool.iter().filter(|_| !is_look).cloned().collect();
    if line.verb.opens() {
        let mark = book.facts(thing).and_then(|facts| facts.mark.as_ref());
        detail.extend(mark.map(|mark| format!("mark first: {}", mark.name())));
    } else if !is_look {
        detail.extend(book.rounds(thing));
        detail.extend(put_back(book, &ask.picture.now.matters, thing));
    }
    let people = book.people(thing);
    detail.extend((people > 1 && !is_look).then(|| format!("{people} people")));
    let cautions = book.cautions(thing).iter().filter(|_| !is_look);
    let mut all: Vec<PaperLine> = cautions.map(|text| caution(text.name())).collect();
    all.push(PaperLine {
        tag: line.tag.map(|tag| tag.number),
        ..PaperLine::with(line.text.clone(), detail.join(" · "))
    });
    all
}

/// What runs by itself: with its end where that is known, the others in one line.
pub(crate) fn waits(ask: &Ask<'_>) -> Vec<PaperLine> {
    let all = crate::waits::running(ask.tell(), ask.now_ms);
    let (ends, open): (Vec<_>, Vec<_>) = all.into_iter().partition(|it| it.until_ms.is_some());
    let line = |it: crate::view::WaitLine| PaperLine {
        at_ms: it.until_ms,
        ..PaperLine::of(format!("{}, over at", it.text))
    };
    let names: Vec<String> = open.into_iter().map(|it| it.thing).collect();
    let as_said = "as long as the maker says";
    let rest =
        names.first().map(|_| PaperLine::with(words::large(&standing::shortened(&names)), as_said));
    ends.into_iter().map(line).chain(rest).collect()
}

/// What is bought, borrowed and to have ready for what is open or still comes off.
fn to_buy(ask: &Ask<'_>) -> Vec<PaperSection> {
    let list = list(ask);
    let kept = |kind: &str| ask.kept(kind).map(kept_line).collect::<Vec<_>>();
    let mut buy = kept("buy");
    buy.extend(renewed(ask, &list));
    let mut fluids = kept("fluid");
    fluids.extend(drained(ask, &list));
    let mut tools: Vec<String> = Vec::new();
    for tool in list.iter().filter_map(|line| line.tool.clone()) {
        if !tools.contains(&tool) {
            tools.push(tool);
        }
    }
    let boxed =
        |heading: &str, lines| PaperSection { boxes: true, ..PaperSection::of(heading, lines) };
    vec![
        boxed("To buy", buy),
        boxed("To borrow, and back again", kept("borrow")),
        boxed("Fluids", fluids),
        boxed("Tools for what is left", tools.into_iter().map(PaperLine::of).collect()),
    ]
}

/// A line of what was said in words, with its price and when it falls due.
pub(crate) fn kept_line(kept: &lastbolt_ledger::Kept) -> PaperLine {
    let of = kept.thing.as_ref().map(|thing| format!("for {thing}"));
    let rest = [of, kept.more.price.clone(), kept.more.due.clone()];
    let detail = rest.into_iter().flatten().collect::<Vec<_>>().join(" · ");
    PaperLine::with(words::large(&kept.text), detail)
}

/// What is renewed, by the job and by the file.
fn renewed(ask: &Ask<'_>, list: &[StepLine]) -> Vec<PaperLine> {
    let book = ask.book();
    let live = &ask.picture.now.live;
    let comes_off = |thing: &ThingNo| {
        let name = book.kernel.name(*thing);
        live.disturbed.has(*thing)
            || list.iter().any(|line| line.verb.opens() && line.thing == name)
    };
    let job = &ask.picture.case.model.job;
    let mut all: Vec<PaperLine> =
        job.renew.iter().map(|name| PaperLine::of(words::large(name.name()))).collect();
    for thing in book.kernel.all().filter(comes_off) {
        for text in book.renew(thing) {
            let what = format!("for {}", book.kernel.name(thing));
            all.push(PaperLine::with(words::large(text.name()), what));
        }
    }
    all
}

/// The fluids of what is drained or will be.
fn drained(ask: &Ask<'_>, list: &[StepLine]) -> Vec<PaperLine> {
    let book = ask.book();
    let of = |thing: ThingNo| {
        let crate::case::Written::Prep(prep) = book.written(thing) else { return None };
        let fluid = prep.fluid.as_ref()?;
        let name = book.kernel.name(thing);
        let is_due = ask.picture.now.live.open.has(thing)
            || list.iter().any(|line| line.verb == StepVerb::Prep && line.thing == name);
        let litres = Some(&fluid.litres).filter(|litres| !litres.is_empty());
        let litres = litres.map(|litres| format!("{litres} l")).unwrap_or_default();
        is_due.then(|| PaperLine::with(words::large(&fluid.name), litres))
    };
    let kernel = book.kernel;
    kernel.all().filter(|&it| kernel.thing(it).kind == Kind::Prep).filter_map(of).collect()
}
