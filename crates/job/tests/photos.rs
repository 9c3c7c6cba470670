//! Why: at put-back the photo beside the step must be one of that thing from before it came off,
//! with what is still off marked on it, under the names that things have now.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

mod support;

use std::sync::Arc;

use lastbolt_job::view::{TagFill, TagShape};
use lastbolt_job::{Beside, Photo, Picture, before_photo, markable, photos};
use lastbolt_ledger::{Event, More, Verb};
use support::{MINUTE, NODES, Story};

const MACHINE: &str = r#"
machine = "Plover pump"
fixed = ["block"]

[spot.above]

[part.tray]

[part.box]

[tie."tray nuts"]
kind = "nut"
count = 3
joins = ["tray", "block"]
ways = [{ from = "above", minutes = 2 }]

[tie."box plug"]
kind = "plug"
joins = ["box", "block"]
ways = [{ from = "above", minutes = 1, clear = ["tray"] }]

[tie."box screws"]
kind = "screw"
count = 2
joins = ["box", "block"]
ways = [{ from = "above", minutes = 1, clear = ["tray"] }]

[job]
renew = ["box"]
decided = "renew the box"
"#;

struct Told {
    story: Story,
}

impl Told {
    fn new() -> Self {
        Self { story: Story::of(support::case(MACHINE)) }
    }

    fn more(&mut self, verb: Verb, thing: Option<&str>, more: More) -> u64 {
        let event = self.story.event(verb, thing);
        self.story.accept(Event { more: Some(more), ..event })
    }

    /// Brings a photo that was taken at a minute.
    fn photo(&mut self, name: char, minute: Option<i64>, of: Option<&str>) -> u64 {
        let taken_at_ms = minute.map(|minute| minute * MINUTE);
        let more = More { photo: Some(name_of(name)), taken_at_ms, ..More::default() };
        self.more(Verb::Photo, of, more)
    }

    fn pin(&mut self, name: char, thing: &str) -> u64 {
        let photo = Some(name_of(name));
        let more = More { photo, x: Some(250), y: Some(750), ..More::default() };
        self.more(Verb::Pin, Some(thing), more)
    }

    /// Does something at a minute.
    fn does(&mut self, minute: i64, verb: Verb, thing: &str) {
        self.story.ms = (minute - 1) * MINUTE;
        self.story.does(verb, thing);
    }

    fn picture(&self) -> Picture {
        let records = self.story.log.records().to_vec();
        Picture::of(Arc::new(self.story.case.clone()), records, None, NODES)
    }

    fn photos(&self) -> Vec<Photo> {
        photos(&self.picture())
    }

    /// Which photo stands beside a thing, and why.
    fn beside(&self, thing: &str) -> Option<(char, Beside)> {
        let picture = self.picture();
        let all = photos(&picture);
        before_photo(&picture, &all, thing).map(|(photo, why)| (letter(photo), why))
    }
}

fn name_of(letter: char) -> String {
    letter.to_string().repeat(64)
}

fn letter(photo: &Photo) -> char {
    photo.photo.chars().next().unwrap()
}

/// Everything off by minute 30: nuts 10, tray 11, plug 20, screws 21, box 22.
fn apart() -> Told {
    let mut told = Told::new();
    told.does(10, Verb::Undo, "tray nuts");
    told.does(11, Verb::Off, "tray");
    told.does(20, Verb::Undo, "box plug");
    told.does(21, Verb::Undo, "box screws");
    told.does(22, Verb::Off, "box");
    told
}

#[test]
fn in_the_order_in_which_they_were_taken() {
    let mut told = apart();
    told.photo('c', Some(40), None);
    told.photo('a', Some(5), None);
    told.photo('b', Some(15), Some("box"));
    let all = told.photos();
    assert_eq!(all.iter().map(letter).collect::<String>(), "abc");
    let between = |n: usize| (all[n].after.as_deref(), all[n].before.as_deref());
    assert_eq!(between(0), (None, Some("Tray nuts: 3 nuts out")));
    assert_eq!(between(1), (Some("Tray off"), Some("Box plug: plug off")));
    assert_eq!(between(2), (Some("Box off"), None));
    assert_eq!(all[1].of, ["box"]);
}

#[test]
fn what_was_taken_back_is_not_there() {
    let mut told = apart();
    let first = told.photo('a', Some(5), None);
    told.photo('b', Some(6), None);
    let mark = told.pin('b', "box plug");
    told.pin('b', "box screws");
    told.more(Verb::Private, None, More { photo: Some(name_of('b')), ..More::default() });
    told.story.takes_back(first);
    told.story.takes_back(mark);
    let all = told.photos();
    assert_eq!(all.iter().map(letter).collect::<String>(), "b");
    assert_eq!(all[0].pins.len(), 1);
    assert_eq!(all[0].pins[0].thing, "box screws");
    assert!(all[0].private_by.is_some());
    // Brought twice it is one photo, and is gone only when both entries are.
    let again = told.photo('b', None, Some("box"));
    assert_eq!(told.photos().len(), 1);
    assert_eq!(told.photos()[0].entries.len(), 2);
    assert_eq!(told.photos()[0].at_ms, 6 * MINUTE, "the time taken counts");
    told.story.takes_back(again);
    assert_eq!(told.photos()[0].of, Vec::<String>::new());
}

#[test]
fn marks_show_how_the_thing_stands() {
    let mut told = apart();
    told.photo('a', Some(5), None);
    told.pin('a', "box plug");
    told.pin('a', "tray");
    let pin = |told: &Told, n: usize| told.photos()[0].pins[n].clone();
    let plug = pin(&told, 0);
    assert_eq!((plug.x, plug.y, plug.open), (250, 750, true));
    let tag = plug.tag.unwrap();
    assert_eq!((tag.shape, tag.fill), (TagShape::Triangle, TagFill::Hollow));
    told.does(50, Verb::On, "box");
    told.does(51, Verb::Make, "box plug");
    let plug = pin(&told, 0);
    assert!(!plug.open);
    assert_ne!(plug.tag.unwrap().fill, TagFill::Hollow);
    assert!(pin(&told, 1).open, "the tray is still off");
    told.pin('a', "parrot");
    assert_eq!(pin(&told, 2).stands, "not on the list");
}

/// The nearest photo of a thing from before it came off. One that takes the newest whatever it
/// shows, or the newest of the thing whenever it was taken, is found out.
#[test]
fn the_photo_beside_a_step() {
    let mut told = apart();
    assert_eq!(told.beside("box plug"), None);
    told.photo('a', Some(12), None);
    told.photo('b', Some(18), None);
    told.photo('c', Some(45), None);
    assert_eq!(told.beside("box plug"), Some(('b', Beside::Last)));
    assert_eq!(told.beside("tray nuts"), None, "all were taken later");
    told.photo('d', Some(14), Some("box"));
    assert_eq!(told.beside("box plug"), Some(('d', Beside::Near)));
    assert_eq!(told.beside("box"), Some(('d', Beside::Of)));
    told.photo('e', Some(46), Some("box plug"));
    assert_eq!(told.beside("box plug"), Some(('e', Beside::Of)), "better late than another");
    told.photo('f', Some(13), Some("box plug"));
    assert_eq!(told.beside("box plug"), Some(('f', Beside::Of)));
    told.pin('a', "box plug");
    told.pin('c', "box plug");
    assert_eq!(told.beside("box plug"), Some(('a', Beside::Marked)));
    let all = told.photos();
    let newest = all.last().map(letter);
    assert_ne!(newest, Some('a'), "the wrong twin that takes the newest");
    // Much earlier is another day's photo, not this one's.
    let mut told = Told::new();
    told.does(300, Verb::Undo, "tray nuts");
    told.photo('a', Some(10), None);
    assert_eq!(told.beside("tray nuts"), None);
    told.photo('b', None, None);
    assert_eq!(told.beside("tray nuts"), None, "when it was taken is not known");
}

#[test]
fn what_was_touched_last_comes_first() {
    let told = apart();
    let all = markable(&told.picture());
    let names: Vec<&str> = all.iter().map(|one| one.thing.as_str()).collect();
    assert_eq!(names, ["box", "box screws", "box plug", "tray", "tray nuts"]);
    assert_eq!(all[1].text, "box screws (2 screws)");
    let untouched = markable(&Told::new().picture());
    let names: Vec<&str> = untouched.iter().map(|one| one.thing.as_str()).collect();
    assert_eq!(names.iter().position(|n| *n == "tray").unwrap(), 3, "fixings first: {names:?}");
}

/// Photos of what was entered by handfuls follow the thing through a new name.
#[test]
fn names_of_now() {
    use lastbolt_ledger::{TookPart, TookTie};
    let mut told = Told::new();
    let part = Some(TookPart { name: Some("guard".into()), ..TookPart::default() });
    let tie = TookTie { kind: "clip".into(), count: Some(2), ..TookTie::default() };
    told.more(Verb::Took, None, More { part, ties: vec![tie], ..More::default() });
    told.photo('a', Some(0), Some("guard"));
    told.pin('a', "guard clips");
    told.story.says(Verb::Renamed, Some("guard"), "fan guard");
    let photo = &told.photos()[0];
    assert_eq!(photo.of, ["fan guard"]);
    assert_eq!(photo.pins[0].stands, "off");
    let clips = photo.pins[0].thing.clone();
    assert_eq!(told.beside(&clips), Some(('a', Beside::Marked)));
    assert_eq!(told.beside("fan guard"), Some(('a', Beside::Of)));
    // Struck out, it never was; the photo stays.
    told.story.says(Verb::StruckOut, Some("fan guard"), "entered twice");
    assert_eq!(told.photos()[0].of, Vec::<String>::new());
}
