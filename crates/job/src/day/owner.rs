//! The owner's sheet: what was wrong, what was done, what is new, what falls due, in plain words.

use lastbolt_ledger::{Kept, Tick};
use lastbolt_machine::Ref;

use crate::day::{Ask, over, paper};
use crate::gate::NOTHING_CLAIMED;
use crate::line::value_text;
use crate::photos::{photos, photos_for};
use crate::view::{Paper, PaperLine, PaperSection, Sheet};
use crate::words;

/// The most pictures on the sheet: it is one page, two at the most.
const PHOTOS_MAX: usize = 2;

/// With more than so many things open the job is not over: they are counted, not listed.
const OPEN_MAX: usize = 8;

/// Gives the sheet.
pub(crate) fn owner(ask: &Ask<'_>) -> Paper {
    let job = &ask.picture.case.model.job;
    let mut new = new_parts(ask);
    new.extend(old_parts(ask));
    let sections = vec![
        PaperSection::of(
            "What was wrong",
            said(ask, &job.complaint, &["complaint", "symptom", "code"]),
        ),
        PaperSection::of("What was found", said(ask, &job.decided, &["decided", "found", "cause"])),
        PaperSection::of("What was done", done(ask)),
        PaperSection::of("What is new", new),
        PaperSection::of("How it was proved", proof(ask)),
        PaperSection::of("What you said", answers(ask)),
        PaperSection::of("What falls due", due(ask)),
        PaperSection::of("Not done or not finished", not_done(ask)),
        PaperSection::of("Price", priced(ask)),
        PaperSection::of("Distance or hours", distance(ask)),
    ];
    paper::new(ask, Sheet::Owner, sections)
}

/// What the file says, and what was said on the job.
fn said(ask: &Ask<'_>, written: &[Ref], kinds: &[&str]) -> Vec<PaperLine> {
    let own = written.iter().map(|text| PaperLine::of(words::large(text.name())));
    let kept = &ask.picture.now.live.state.kept;
    let kept = kept.iter().filter(|kept| kinds.contains(&kept.kind.as_str()));
    own.chain(kept.map(plain)).collect()
}

fn plain(kept: &Kept) -> PaperLine {
    PaperLine::of(words::large(&kept.text))
}

fn done(ask: &Ask<'_>) -> Vec<PaperLine> {
    let model = &ask.picture.case.model;
    let mut all: Vec<PaperLine> = ask.kept("done").map(plain).collect();
    let purpose = model.purpose();
    if all.is_empty() && !purpose.is_empty() && is_done(ask) {
        all.push(PaperLine::of(words::large(&purpose.replace(" to renew", " renewed"))));
    }
    let broken = super::broke::all(ask).into_iter();
    all.extend(broken.filter_map(|broke| {
        let settled = broke.settled?;
        Some(PaperLine::with(broke.text, settled.answer))
    }));
    all
}

/// Whether what the job is for was done and is home again, as far as the record says: where only
/// words say what it is for, nobody can tell.
fn is_done(ask: &Ask<'_>) -> bool {
    let live = &ask.picture.now.live;
    let is_met = !live.met.is_empty() && live.met.iter().all(Option::is_some);
    is_met && live.state.given_up.is_none()
}

/// What is new: by the record, with the price and number that were said.
fn new_parts(ask: &Ask<'_>) -> Vec<PaperLine> {
    let record = ask.picture.record();
    let price = |what: &str| {
        let bought = ask.kept("buy").find(|kept| is_about(kept, what))?;
        bought.more.price.clone()
    };
    let number = |what: &str| over::number_of(ask, what).map(|number| format!("number {number}"));
    let line = |buy: crate::view::Buy| {
        let what =
            if buy.count > 1 { format!("{} x {}", buy.count, buy.what) } else { buy.what.clone() };
        let rest = [number(&buy.what), price(&buy.what)];
        let detail = rest.into_iter().flatten().collect::<Vec<_>>().join(" · ");
        PaperLine::with(words::large(&what), detail)
    };
    record.renewed.into_iter().map(line).collect()
}

fn is_about(kept: &Kept, what: &str) -> bool {
    let tidy = |text: &str| text.trim().to_lowercase();
    kept.thing.as_deref().is_some_and(|thing| tidy(thing) == tidy(what))
        || tidy(&kept.text).contains(&tidy(what))
}

/// Pictures of what was renewed: the old part.
fn old_parts(ask: &Ask<'_>) -> Vec<PaperLine> {
    let renewed: Vec<&str> = ask.picture.case.model.job.renew.iter().map(Ref::name).collect();
    let is_old = |notes: &[String]| notes.iter().any(|note| note.to_lowercase().contains("old"));
    let shows = |photo: &crate::photos::Photo| {
        let of = photo.of.iter().chain(photo.pins.iter().map(|pin| &pin.thing));
        let of_renewed = of.map(String::as_str).any(|thing| renewed.contains(&thing));
        photo.private_by.is_none() && (of_renewed || is_old(&photo.notes))
    };
    let mut all: Vec<crate::photos::Photo> =
        photos(ask.picture).into_iter().filter(shows).collect();
    // One that is said to show the old part comes before one that was taken in passing.
    all.sort_by_key(|photo| (!is_old(&photo.notes), photo.at_ms));
    let line = |photo: crate::photos::Photo| PaperLine {
        text: photo
            .notes
            .first()
            .or(photo.of.first())
            .map(|text| words::large(text))
            .unwrap_or_default(),
        at_ms: Some(photo.at_ms),
        photo: Some(photo.photo),
        ..PaperLine::default()
    };
    all.into_iter().take(PHOTOS_MAX).map(line).collect()
}

fn answered(ask: &Ask<'_>, wanted: impl Fn(&str) -> bool) -> Vec<PaperLine> {
    let ticks = &ask.picture.now.live.state.ticks;
    let mut all: Vec<(u64, PaperLine)> = ticks
        .iter()
        .filter(|((point, _), _)| wanted(point))
        .map(|(_, tick)| (tick.seq, answer(tick)))
        .collect();
    all.sort_by_key(|(seq, _)| *seq);
    all.into_iter().map(|(_, line)| line).collect()
}

fn proof(ask: &Ask<'_>) -> Vec<PaperLine> {
    answered(ask, |point| point.starts_with("road.proof"))
}

/// What the owner was asked and answered, with the picture that goes with the question.
fn answers(ask: &Ask<'_>) -> Vec<PaperLine> {
    let ticks = &ask.picture.now.live.state.ticks;
    let mut all: Vec<(u64, PaperLine)> = ticks
        .iter()
        .filter(|((point, _), _)| point.contains("owner"))
        .map(|((point, _), tick)| {
            let line = PaperLine { photo: shown(ask, point), ..answer(tick) };
            (tick.seq, line)
        })
        .collect();
    all.sort_by_key(|(seq, _)| *seq);
    all.into_iter().map(|(_, line)| line).collect()
}

/// The first picture of a question that is not kept private.
fn shown(ask: &Ask<'_>, point: &str) -> Option<String> {
    let mut names = photos_for(ask.picture, point);
    if names.is_empty() {
        return None;
    }
    let all = photos(ask.picture);
    let is_private =
        |name: &String| all.iter().any(|photo| photo.photo == *name && photo.private_by.is_some());
    names.retain(|name| !is_private(name));
    names.into_iter().next()
}

/// What was asked, what was answered, when.
fn answer(tick: &Tick) -> PaperLine {
    let asked = tick.more.asked.clone().unwrap_or_default();
    let rest = [tick.more.price.clone(), tick.more.means.clone()];
    let detail = [Some(tick.answer.clone())].into_iter().chain(rest).flatten();
    let detail = detail.collect::<Vec<_>>().join(", ");
    PaperLine { at_ms: Some(tick.said_at_ms), ..PaperLine::with(asked, detail) }
}

/// What falls due and is not answered.
fn due(ask: &Ask<'_>) -> Vec<PaperLine> {
    let open = over::due(ask).into_iter().filter(|point| !point.settled);
    open.map(|point| PaperLine::of(point.text)).collect()
}

/// What is not home, not measured, not looked at: the owner is told.
fn not_done(ask: &Ask<'_>) -> Vec<PaperLine> {
    let record = ask.picture.record();
    let mut all = given_up(ask);
    let lines: Vec<_> = record.leftovers.iter().chain(&record.looks_passed_by).collect();
    if lines.len() > OPEN_MAX {
        let off = crate::counts::still_off(ask.tell()).text;
        all.push(PaperLine::of(words::large(&off)));
        return all;
    }
    all.extend(lines.into_iter().map(|line| PaperLine::of(words::large(&line.text))));
    all.extend(record.matters.iter().map(|line| PaperLine::of(line.text.clone())));
    let broken = super::broke::open(ask).into_iter();
    all.extend(broken.map(|it| PaperLine::with(it.text, "not settled")));
    match record.not_checked.len() {
        many if many > OPEN_MAX => all.push(PaperLine::of(format!("{many} checks were not made"))),
        _ => {
            let unchecked = record.not_checked.iter();
            all.extend(unchecked.map(|text| PaperLine::with(text, "not checked")));
        }
    }
    all
}

/// Why the job was given up, and what that means.
pub(crate) fn given_up(ask: &Ask<'_>) -> Vec<PaperLine> {
    let Some(why) = &ask.picture.now.live.state.given_up else { return Vec::new() };
    let purpose = words::large(&ask.picture.case.model.purpose());
    let said = if why.is_empty() { "Given up".to_owned() } else { format!("Given up: {why}") };
    let not_done = (!purpose.is_empty()).then(|| PaperLine::with(purpose, "not done"));
    let lines = [PaperLine::of(said), PaperLine::of(NOTHING_CLAIMED)];
    lines.into_iter().chain(not_done).collect()
}

fn priced(ask: &Ask<'_>) -> Vec<PaperLine> {
    ask.kept("price").map(paper::kept_line).collect()
}

fn distance(ask: &Ask<'_>) -> Vec<PaperLine> {
    let written = ask.picture.case.model.job.odometer.as_ref().map(value_text);
    let said = ["distance", "hours", "odometer"].into_iter().flat_map(|kind| ask.kept(kind));
    let said = said.map(|kept| kept.text.clone());
    written.into_iter().chain(said).map(PaperLine::of).collect()
}
