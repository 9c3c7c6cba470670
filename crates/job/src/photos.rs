//! The photos of a job: what was recorded of them, in the order in which they were taken.
//!
//! An entry mentions a photo by the name of its content; others mark things on it or keep it from
//! being exported. Withdrawn entries count for nothing here, and things have the names of now.

use std::collections::BTreeMap;

use lastbolt_ledger::{More, Recorded, Verb, history};
use lastbolt_machine::{Kind, ThingNo};

use crate::picture::Picture;
use crate::record::event_text;
use crate::tell::Tell;
use crate::view::Tag;

/// A photo that no entry about the thing mentions is taken for its photo only if it was taken at
/// most this long before the thing came off.
const JUST_BEFORE_MS: i64 = 60 * 60 * 1000;

/// One photo as the pages show it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// Its name: SHA-256 of its content in hexadecimal digits.
    pub photo: String,
    /// The entries that brought it, by id: taken back, all of them, it is gone from here.
    pub entries: Vec<String>,
    /// When it was taken, else when it was brought \[ms since 1970, UTC\].
    pub at_ms: i64,
    /// It is known when it was taken.
    pub is_dated: bool,
    /// Things that it was taken of, under their names of now.
    pub of: Vec<String>,
    /// What was said with it.
    pub notes: Vec<String>,
    /// Questions to the owner that it goes with, word for word.
    pub asked: Vec<String>,
    /// What is marked on it, in the order of the marks.
    pub pins: Vec<Pin>,
    /// The entry by which it is not exported, if there is one.
    pub private_by: Option<String>,
    /// What came off or went home last before it was taken.
    pub after: Option<String>,
    /// What came off or went home first after it was taken.
    pub before: Option<String>,
}

/// A mark on a photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pin {
    /// The entry, by id.
    pub entry: String,
    /// The thing, under its name of now.
    pub thing: String,
    /// "tray nuts (3 nuts)".
    pub text: String,
    /// How it stands: "off", "home", ...
    pub stands: String,
    /// It is still off, or not wholly home.
    pub open: bool,
    /// Its tag, if it has one.
    pub tag: Option<Tag>,
    /// From the left \[thousandths of the width\].
    pub x: u16,
    /// From the top \[thousandths of the height\].
    pub y: u16,
}

/// Why a photo stands beside a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beside {
    /// The thing is marked on it.
    Marked,
    /// It was taken of the thing.
    Of,
    /// It is about what the thing holds, or what holds the thing.
    Near,
    /// It is the last one that was taken before the thing came off.
    Last,
}

/// A thing that can be marked on a photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Markable {
    /// The thing.
    pub thing: String,
    /// "tray nuts (3 nuts)".
    pub text: String,
    /// How it stands.
    pub stands: String,
    /// Its tag, if it has one.
    pub tag: Option<Tag>,
}

/// Gives the photos of a job by the time they were taken.
pub fn photos(picture: &Picture) -> Vec<Photo> {
    let gather = Gather { picture, names: names(picture) };
    let mut found: Vec<Photo> = Vec::new();
    for recorded in standing(&picture.records).filter(|r| brings(&r.event.verb)) {
        gather.photo(recorded, &mut found);
    }
    for recorded in standing(&picture.records) {
        gather.about(recorded, &mut found);
    }
    found.sort_by(|a, b| (a.at_ms, &a.photo).cmp(&(b.at_ms, &b.photo)));
    let steps = steps(picture);
    for photo in &mut found {
        let next = steps.partition_point(|(at_ms, _)| *at_ms <= photo.at_ms);
        photo.after = next.checked_sub(1).map(|last| steps[last].1.clone());
        photo.before = steps.get(next).map(|(_, text)| text.clone());
    }
    found
}

/// Gives the names of the photos that go with a point of the day, each once, in the order in which
/// they were brought.
pub(crate) fn photos_for(picture: &Picture, point: &str) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for recorded in standing(&picture.records).filter(|r| brings(&r.event.verb)) {
        let name = recorded.event.more.as_ref().and_then(|more| more.photo.as_ref());
        let name = name.filter(|_| point_of(recorded).as_deref() == Some(point));
        all.extend(
            name.filter(|name| !all.contains(name)).cloned().into_iter().collect::<Vec<_>>(),
        );
    }
    all
}

/// Whether an entry may bring a photo.
fn brings(verb: &Verb) -> bool {
    matches!(verb, Verb::Photo | Verb::Noted)
}

/// The point that an entry with a photo is about: said with it, or the question that it asks.
fn point_of(recorded: &Recorded) -> Option<String> {
    let more = recorded.event.more.as_ref()?;
    match (&recorded.event.verb, more.kind.as_deref()) {
        (Verb::Photo, _) => more.point.clone(),
        (Verb::Noted, Some("ask owner")) => Some(format!("owner.{}", recorded.seq)),
        (Verb::Noted, Some("open first")) => Some(format!("owner.open.{}", recorded.seq)),
        _ => None,
    }
}

/// Gives the photo that stands beside a thing as it goes home, and why that one. `photos` are
/// those of [`photos`].
pub fn before_photo<'a>(
    picture: &Picture,
    photos: &'a [Photo],
    thing: &str,
) -> Option<(&'a Photo, Beside)> {
    let opened_at = opened_at(picture, thing);
    let near = neighbours(picture, thing);
    let marks = |photo: &Photo, name: &str| photo.pins.iter().any(|pin| pin.thing == name);
    let is_of = |photo: &Photo, name: &str| photo.of.iter().any(|of| of == name);
    let is_near = |photo: &Photo| near.iter().any(|n| is_of(photo, n) || marks(photo, n));
    let choose = |fits: &dyn Fn(&Photo) -> bool| {
        let all = || photos.iter().filter(|photo| fits(photo));
        let before = |photo: &&Photo| opened_at.is_none_or(|at| photo.at_ms <= at);
        all().rfind(before).or_else(|| all().next())
    };
    let found = |photo: Option<&'a Photo>, why| photo.map(|photo| (photo, why));
    found(choose(&|photo| marks(photo, thing)), Beside::Marked)
        .or_else(|| found(choose(&|photo| is_of(photo, thing)), Beside::Of))
        .or_else(|| found(choose(&is_near), Beside::Near))
        .or_else(|| {
            let at = opened_at?;
            let last = photos.iter().rfind(|photo| photo.at_ms <= at && photo.is_dated)?;
            (at - last.at_ms <= JUST_BEFORE_MS).then_some((last, Beside::Last))
        })
}

/// Gives what can be marked on a photo: what was touched last comes first, then fixings and
/// connections, then parts.
pub fn markable(picture: &Picture) -> Vec<Markable> {
    let tell = tell(picture);
    let kernel = &picture.case.kernel;
    let mut touched: BTreeMap<ThingNo, u64> = BTreeMap::new();
    for recorded in standing(picture.plain()).filter(|r| opens(&r.event.verb)) {
        let thing = recorded.event.thing.as_deref().and_then(|name| kernel.find(name));
        touched.extend(thing.map(|thing| (thing, recorded.seq)));
    }
    let mut things: Vec<ThingNo> =
        kernel.all().filter(|&thing| kernel.thing(thing).kind != Kind::Prep).collect();
    things.sort_by_key(|&thing| {
        let last = touched.get(&thing).map_or(u64::MAX, |seq| u64::MAX - 1 - seq);
        let is_part = kernel.thing(thing).kind == Kind::Part;
        (last, is_part, tell.tag_number(thing).unwrap_or(u32::MAX))
    });
    let markable = |thing| Markable {
        thing: tell.name(thing).to_owned(),
        text: tell.counted(thing),
        stands: tell.stands(thing).to_owned(),
        tag: tell.tag(thing),
    };
    things.into_iter().map(markable).collect()
}

/// The records that were not taken back.
fn standing(records: &[Recorded]) -> impl Iterator<Item = &Recorded> {
    history(records).filter(|entry| entry.withdrawn_by.is_none()).map(|entry| entry.recorded)
}

fn tell(picture: &Picture) -> Tell<'_> {
    Tell { case: &picture.case, live: &picture.now.live, kept: &picture.now.kept }
}

fn opens(verb: &Verb) -> bool {
    matches!(verb, Verb::Off | Verb::Undo | Verb::Slack | Verb::Prep)
}

/// The names of now that each entry's thing has, by the entry's number.
fn names(picture: &Picture) -> BTreeMap<u64, Vec<String>> {
    let mut names: BTreeMap<u64, Vec<String>> = BTreeMap::new();
    let about = |verb: &Verb| brings(verb) || matches!(verb, Verb::Pin | Verb::Private);
    for recorded in picture.plain().iter().filter(|r| about(&r.event.verb)) {
        names.entry(recorded.seq).or_default().extend(recorded.event.thing.clone());
    }
    names
}

/// What came off or went home, in sentences, by the time it was said.
fn steps(picture: &Picture) -> Vec<(i64, String)> {
    let is_step = |verb: &Verb| {
        opens(verb)
            || matches!(verb, Verb::Took | Verb::Home | Verb::On | Verb::Make | Verb::Tighten)
    };
    let all = standing(&picture.records).filter(|r| is_step(&r.event.verb));
    let mut steps: Vec<(i64, String)> =
        all.map(|r| (r.event.said_at_ms, event_text(&picture.case, &r.event))).collect();
    // Stable: those of one time keep the order in which they were recorded.
    steps.sort_by_key(|(at_ms, _)| *at_ms);
    steps
}

/// When a thing came off last \[ms since 1970, UTC\].
fn opened_at(picture: &Picture, thing: &str) -> Option<i64> {
    let is_it = |r: &&Recorded| r.event.thing.as_deref() == Some(thing) && opens(&r.event.verb);
    standing(picture.plain()).filter(is_it).last().map(|r| r.event.said_at_ms)
}

/// What a fixing joins; for a part, what holds it.
fn neighbours(picture: &Picture, thing: &str) -> Vec<String> {
    let ties = &picture.case.model.machine.ties;
    let own = ties.iter().filter(|tie| tie.id.name() == thing);
    let parts = own.flat_map(|tie| tie.joins.iter().map(|join| join.name().to_owned()));
    let holds = |tie: &&lastbolt_machine::model::Tie| tie.joins.iter().any(|j| j.name() == thing);
    let holding = ties.iter().filter(holds).map(|tie| tie.id.name().to_owned());
    parts.chain(holding).collect()
}

struct Gather<'a> {
    picture: &'a Picture,
    names: BTreeMap<u64, Vec<String>>,
}

impl Gather<'_> {
    fn names_of(&self, recorded: &Recorded) -> &[String] {
        self.names.get(&recorded.seq).map_or(&[], Vec::as_slice)
    }

    /// A photo is there once, however often it was brought.
    fn photo(&self, recorded: &Recorded, found: &mut Vec<Photo>) {
        let event = &recorded.event;
        let Some(More { photo: Some(name), taken_at_ms, .. }) = &event.more else { return };
        let at = match found.iter().position(|photo| photo.photo == *name) {
            Some(at) => at,
            None => {
                found.push(Photo {
                    photo: name.clone(),
                    entries: Vec::new(),
                    at_ms: taken_at_ms.unwrap_or(event.said_at_ms),
                    is_dated: taken_at_ms.is_some(),
                    of: Vec::new(),
                    notes: Vec::new(),
                    asked: Vec::new(),
                    pins: Vec::new(),
                    private_by: None,
                    after: None,
                    before: None,
                });
                found.len() - 1
            }
        };
        let photo = &mut found[at];
        photo.entries.push(event.id.as_str().to_owned());
        if let (Some(at_ms), false) = (taken_at_ms, photo.is_dated) {
            photo.at_ms = *at_ms;
            photo.is_dated = true;
        }
        for name in self.names_of(recorded) {
            if !photo.of.contains(name) {
                photo.of.push(name.clone());
            }
        }
        // The words of a question are no words about the photo.
        photo.notes.extend(event.note.clone().filter(|_| event.verb == Verb::Photo));
        let asked = point_of(recorded).and_then(|point| self.question(&point));
        photo.asked.extend(asked.filter(|text| !photo.asked.contains(text)));
    }

    /// The words of a question to the owner.
    fn question(&self, point: &str) -> Option<String> {
        let number = point.strip_prefix("owner.")?.trim_start_matches("open.");
        let seq: u64 = number.split('.').next()?.parse().ok()?;
        let kept = &self.picture.now.live.state.kept;
        kept.iter().find(|kept| kept.seq == seq).map(|kept| kept.text.clone())
    }

    /// A mark, or a word that keeps it from being exported.
    fn about(&self, recorded: &Recorded, found: &mut [Photo]) {
        let event = &recorded.event;
        let Some(more) = &event.more else { return };
        let photo = found.iter_mut().find(|photo| Some(&photo.photo) == more.photo.as_ref());
        let Some(photo) = photo else { return };
        match (&event.verb, more.x, more.y) {
            (Verb::Private, ..) => photo.private_by = Some(event.id.as_str().to_owned()),
            (Verb::Pin, Some(x), Some(y)) => {
                let id = event.id.as_str();
                let pins = self.names_of(recorded).iter().map(|name| self.pin(name, id, x, y));
                photo.pins.extend(pins);
            }
            _ => {}
        }
    }

    fn pin(&self, name: &str, entry: &str, x: u16, y: u16) -> Pin {
        let tell = tell(self.picture);
        let thing = self.picture.case.kernel.find(name);
        let live = &self.picture.now.live;
        Pin {
            entry: entry.to_owned(),
            thing: name.to_owned(),
            text: thing.map_or_else(|| name.to_owned(), |thing| tell.counted(thing)),
            stands: thing.map_or("not on the list", |thing| tell.stands(thing)).to_owned(),
            open: thing.is_some_and(|thing| live.open.has(thing) || live.loose.has(thing)),
            tag: thing.and_then(|thing| tell.tag(thing)),
            x,
            y,
        }
    }
}
