//! Why: what can hurt somebody is asked before it is opened, is never refused once it has
//! happened, and no number of ours is shown as a wait. Machines of strangers, with their words.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test: what fails here fails it")]

mod support;
#[path = "support/tale.rs"]
mod tale;

use lastbolt_job::view::{ActionCard, Day, DayStage, Point, PointGroup, Sheet, Tap};
use lastbolt_job::{Case, Picture};
use lastbolt_ledger::{More, Verb};
use support::{MINUTE, case};
use tale::Tale;

const BALER: &str = r#"
machine = "Plover baler engine"
fixed = ["block", "frame"]
[spot.side]
[part."fuel rail"]
ways = [{ from = "side", minutes = 3 }]
[part."injector 2"]
ways = [{ from = "side", clear = ["fuel rail"], minutes = 4 }]
renew = ["copper washer"]
[tie."feed pipe 2"]
kind = "union"
joins = ["fuel rail", "injector 2"]
ways = [{ from = "side", tool = "spanner 17", minutes = 2 }]
[tie."rail inlet"]
kind = "union"
joins = ["fuel rail", "block"]
ways = [{ from = "side", tool = "spanner 19", minutes = 2 }]
[tie."rail screws"]
kind = "screw"
count = 2
joins = ["fuel rail", "block"]
ways = [{ from = "side", tool = "socket 13", minutes = 2 }]
[tie."injector clamp"]
kind = "screw"
joins = ["injector 2", "block"]
ways = [{ from = "side", tool = "socket 13", minutes = 2 }]
[tie."injector plug"]
kind = "plug"
joins = ["injector 2", "frame"]
ways = [{ from = "side", minutes = 1 }]
[job]
renew = ["injector 2"]
"#;

const SHUNTER: &str = r#"
machine = "Dunlin yard shunter"
fixed = ["frame"]
[spot.side]
[spot.pit]
[prep."ram pressure released"]
ways = [{ from = "side", minutes = 2 }]
back = "by itself"
wait = 12
ask = "levers worked until it is gone: by whom?"
[prep."sump oil drained"]
ways = [{ from = "pit", tool = "hex 10", minutes = 4 }]
back = [{ from = "pit", minutes = 5 }]
wait = 25
note = "maker's wait"
fluid = { name = "engine oil", litres = 9 }
[part."lamp box"]
ways = [{ from = "pit", minutes = 1 }]
[part."tipping ram"]
needs = ["ram pressure released"]
ways = [{ from = "side", minutes = 6 }]
[part."sump"]
needs = ["sump oil drained"]
ways = [{ from = "pit", minutes = 6 }]
[tie."ram pin"]
kind = "pin"
joins = ["tipping ram", "frame"]
needs = ["ram pressure released"]
ways = [{ from = "side", minutes = 1 }]
[job]
off = ["tipping ram", "lamp box", "sump"]
"#;

fn told(text: &str) -> Tale {
    Tale::of(case(text))
}

fn groups(tale: &Tale, stage: DayStage) -> Vec<PointGroup> {
    day(&tale.picture, tale.ms).stage(stage).unwrap().groups.clone()
}

fn day(picture: &Picture, now_ms: i64) -> Day {
    picture.day(now_ms)
}

fn point(tale: &Tale, id: &str, thing: Option<&str>) -> Option<Point> {
    day(&tale.picture, tale.ms).find(id, thing).cloned()
}

fn tap<'a>(point: &'a Point, text: &str) -> &'a Tap {
    point.taps.iter().find(|tap| tap.text == text).unwrap_or_else(|| panic!("{point:?}"))
}

fn next(tale: &Tale) -> ActionCard {
    tale.screen().next.expect("something is left to do")
}

/// Everything that opens the high-pressure side, in whatever words, is asked first; and only that.
fn asked_first(case: &Case) -> Vec<String> {
    let picture = Picture::of(std::sync::Arc::new(case.clone()), Vec::new(), None, support::NODES);
    let screen = picture.screen(0);
    let card = screen.next.as_ref().map(|card| card.line.clone());
    let lines = card.into_iter().chain(screen.next_to_that).chain(screen.rest);
    lines.filter(|line| line.asks_first.is_some()).map(|line| line.thing).collect()
}

#[test]
fn no_high_pressure_connection_is_reached_without_its_question() {
    let mut asked = asked_first(&case(BALER));
    asked.sort();
    assert_eq!(asked, ["feed pipe 2", "rail inlet"], "the pipes, not screws, plug or parts");
    let mut tale = told(BALER);
    tale.until_asked();
    let card = next(&tale);
    let question = card.asks_first.clone().expect("its question");
    assert!(question.text.contains("how was the pressure let off, and by whom?"), "{question:?}");
    assert!(question.cautions.iter().any(|text| text.contains("goes through skin")));
    // Answered once, the whole circuit is.
    let said = tap(&question, "By the maker's procedure").said.clone();
    tale.says(&said, None);
    assert!(next(&tale).asks_first.is_none());
    assert!(tale.screen().rest.iter().all(|line| line.asks_first.is_none()));
    assert!(tale.screen().not_answered.is_empty());
}

/// The past is never refused; the question stays, and taking the answer back asks again.
#[test]
fn what_has_happened_is_recorded_and_the_question_stays() {
    let mut tale = told(BALER);
    tale.does(Verb::Undo, "rail inlet");
    assert_eq!(tale.stands("rail inlet"), "off");
    let open = tale.screen().not_answered;
    assert_eq!(open.len(), 1, "{open:?}");
    let seq = tale.says(&tap(&open[0], "Measured").said.clone(), None);
    assert!(tale.screen().not_answered.is_empty());
    tale.takes_back(seq);
    assert_eq!(tale.screen().not_answered.len(), 1);
}

/// An answer from before the engine ran says nothing of the pressure after it.
#[test]
fn an_answer_does_not_outlive_the_engine_running() {
    let mut tale = told(BALER);
    tale.until_asked();
    let question = next(&tale).asks_first.unwrap();
    tale.says(&tap(&question, "Waited").said.clone(), None);
    let mut event = tale.event(Verb::FirstStart, None);
    event.note = Some("ran".to_owned());
    tale.accept(event);
    assert!(next(&tale).asks_first.is_some());
}

/// The file's own condition is the question; a note given with it is its answer.
#[test]
fn the_files_condition_asks_in_its_own_words() {
    let mut tale = told(SHUNTER);
    let question = point(&tale, "ready.how", Some("ram pressure released")).unwrap();
    assert!(question.text.contains("levers worked until it is gone"), "{}", question.text);
    let mut asked = asked_first(&tale.picture.case);
    asked.sort();
    assert_eq!(asked, ["ram pin", "tipping ram"]);
    let mut event = tale.event(Verb::Prep, Some("ram pressure released"));
    event.note = Some("levers to and fro, Dana".to_owned());
    tale.accept(event);
    assert!(point(&tale, "ready.how", Some("ram pressure released")).unwrap().settled);
    let none: Vec<String> = Vec::new();
    let screen = tale.screen();
    let asks = screen.rest.iter().chain(&screen.next_to_that).filter_map(|l| l.asks_first.clone());
    assert_eq!(asks.collect::<Vec<_>>(), none);
}

/// Only the maker's minutes are shown; any other wait runs without a number until it is said to
/// be over, or what the maker wants.
#[test]
fn no_wait_in_minutes_but_the_makers() {
    let mut tale = told(SHUNTER);
    tale.does(Verb::Prep, "ram pressure released");
    tale.does(Verb::Prep, "sump oil drained");
    let waits = tale.screen().waits;
    let wait = |thing: &str| waits.iter().find(|wait| wait.thing == thing).unwrap().clone();
    let ours = wait("ram pressure released");
    assert_eq!(ours.until_ms, None);
    assert!(!ours.text.chars().any(|c| c.is_ascii_digit()), "{}", ours.text);
    let makers = wait("sump oil drained");
    assert_eq!(makers.until_ms, Some(makers.from_ms + 25 * MINUTE));
    assert!(makers.text.contains("25 min, the maker's"), "{}", makers.text);

    // A person says the maker's minutes; then that it is over.
    let question = point(&tale, "ready.wait", Some("ram pressure released")).unwrap();
    tale.says(&tap(&question, "Keep the minutes").said.clone(), Some("7,5"));
    let waits = tale.screen().waits;
    let said = waits.iter().find(|wait| wait.thing == "ram pressure released").unwrap();
    assert_eq!(said.until_ms, Some(said.from_ms + 450_000));
    let later = tale.picture.screen(said.until_ms.unwrap());
    assert!(later.waits.iter().all(|wait| wait.thing != "ram pressure released"));
}

#[test]
fn meanwhile_is_what_does_not_need_the_condition() {
    let mut tale = told(SHUNTER);
    tale.does(Verb::Prep, "sump oil drained");
    let groups = groups(&tale, DayStage::MakeReady);
    let meanwhile = groups.iter().find(|group| group.heading == "Meanwhile").unwrap();
    let line = &meanwhile.lines[0];
    assert!(line.contains("Lamp box off"), "{line}");
    assert!(!line.contains("Sump off"), "it needs the oil drained: {line}");
    assert_eq!(meanwhile.clocks.len(), 1);
}

/// Sorts of conditions are recognised by strangers' words and stand under their headings.
#[test]
fn conditions_stand_under_what_they_do() {
    let text = r#"
machine = "Siskin sweeper"
fixed = ["frame"]
[prep."mains plug pulled"]
back = "by itself"
[prep."house battery disconnected"]
back = "by itself"
[prep."ignition dead, key out"]
back = "by itself"
[prep."rear jacked, on stands"]
back = "by itself"
[prep."brush motor cold"]
back = "by itself"
[prep."tank pumped out"]
back = "by itself"
[prep."boom down, no pressure in it"]
back = "by itself"
[prep."marks made"]
back = "by itself"
[part.brush]
needs = ["mains plug pulled", "house battery disconnected", "ignition dead, key out",
  "rear jacked, on stands", "brush motor cold", "tank pumped out", "marks made",
  "boom down, no pressure in it"]
[job]
off = ["brush"]
"#;
    let tale = told(text);
    let groups = groups(&tale, DayStage::MakeReady);
    let of = |heading: &str| -> Vec<String> {
        let group = groups.iter().find(|group| group.heading == heading);
        let points = group.map(|group| group.points.clone()).unwrap_or_default();
        points.into_iter().filter_map(|point| point.thing).collect()
    };
    assert_eq!(of("Gas and other supplies"), ["mains plug pulled", "house battery disconnected"]);
    assert_eq!(of("Isolate"), ["ignition dead, key out"]);
    assert_eq!(of("Raise"), ["rear jacked, on stands"]);
    assert_eq!(of("Let it cool"), ["brush motor cold"]);
    assert_eq!(of("Drain"), ["tank pumped out"]);
    assert_eq!(of("Also"), ["marks made"]);
    assert!(of("Let pressure off").contains(&"boom down, no pressure in it".to_owned()));
}

/// With no file there is a short list, and each answer is kept with its question.
#[test]
fn a_machine_of_which_nothing_is_known_is_asked_about_too() {
    let mut tale = Tale::nothing();
    let point = point(&tale, "ready.any.pressure", None).expect("asked of any machine");
    assert!(!point.settled && !point.cautions.is_empty());
    tale.says(&tap(&point, "Not on this one").said.clone(), None);
    assert!(self::point(&tale, "ready.any.pressure", None).unwrap().settled);
}

/// The wrong twin: asked by kind alone the plug on the injector is asked about, and by the name of
/// the fixing alone the rail's inlet is let through.
#[test]
fn simpler_gates_are_found_out() {
    let by_kind = |kind: &str| kind == "union" || kind == "plug";
    let by_name = |name: &str| name.contains("fuel") || name.contains("injector");
    let ties = [("feed pipe 2", "union"), ("rail inlet", "union"), ("injector plug", "plug")];
    let wanted = ["feed pipe 2", "rail inlet"];
    let kind: Vec<&str> = ties.iter().filter(|t| by_kind(t.1)).map(|t| t.0).collect();
    let name: Vec<&str> = ties.iter().filter(|t| by_name(t.0)).map(|t| t.0).collect();
    assert_ne!(kind, wanted);
    assert_ne!(name, wanted);
}

impl Tale {
    /// Presses the main button until a step asks first.
    fn until_asked(&mut self) {
        for _ in 0..50 {
            if next(self).asks_first.is_some() {
                return;
            }
            self.presses();
        }
        panic!("nothing was asked: {:?}", self.list());
    }

    fn keeps(&mut self, kind: &str, text: &str) -> u64 {
        let mut event = self.event(Verb::Noted, None);
        event.note = Some(text.to_owned());
        event.more = Some(More { kind: Some(kind.to_owned()), ..More::default() });
        self.accept(event)
    }
}

/// The proof is asked for where the job has none, and asked again before the road.
#[test]
fn what_proves_it_cured_is_asked_for() {
    let mut tale = told(BALER);
    let asked = point(&tale, "size.proof", None).expect("the job has none");
    assert!(!asked.settled);
    tale.says(&tap(&asked, "Keep it").said.clone(), Some("starts within two turns"));
    assert!(point(&tale, "size.proof", None).is_none(), "it stands as a line now");
    let lines = groups(&tale, DayStage::SizeUp);
    assert!(lines.iter().any(|group| group.lines.contains(&"starts within two turns".to_owned())));
}

/// A missing part says what it blocks and how far one can go; a tick ends that.
#[test]
fn a_missing_part_says_how_far_one_can_go() {
    let mut tale = told(BALER);
    let washer = point(&tale, "buy copper washer", Some("injector 2")).unwrap();
    assert!(!washer.settled);
    let text = washer.detail.join(" ");
    assert!(text.contains("can be done and undone again"), "{text}");
    assert!(text.contains("From \"Injector 2 off\" on the machine stays apart"), "{text}");
    assert!(text.contains("It blocks"), "{text}");
    tale.says(&tap(&washer, "Ordered").said.clone(), Some("from the depot, comes Friday"));
    let ordered = point(&tale, "buy copper washer", Some("injector 2")).unwrap();
    assert!(!ordered.settled && ordered.said.is_some());
    tale.says(&tap(&ordered, "Here").said.clone(), None);
    let here = point(&tale, "buy copper washer", Some("injector 2")).unwrap();
    assert!(here.settled && here.detail.is_empty());
}

/// One sentence, three words, then told by; "open first" goes on to the price.
#[test]
fn the_owner_is_asked_in_one_sentence() {
    let mut tale = told(BALER);
    let seq = tale.keeps("ask owner", "New washers on the other three too?");
    let id = format!("owner.{seq}");
    let asked = point(&tale, &id, None).unwrap();
    let words: Vec<&str> = asked.taps.iter().map(|tap| tap.text.as_str()).collect();
    assert_eq!(words, ["Yes", "No", "Ask again"]);
    tale.says(&tap(&asked, "Ask again").said.clone(), None);
    assert!(!point(&tale, &id, None).unwrap().settled);
    tale.says(&tap(&asked, "Yes").said.clone(), None);
    assert!(point(&tale, &id, None).unwrap().settled);
    let told = point(&tale, &format!("{id}.told"), None).unwrap();
    assert!(!told.settled);
    tale.says(&tap(&told, "By phone").said.clone(), None);
    assert!(point(&tale, &format!("{id}.told"), None).unwrap().settled);

    let seq = tale.keeps("open first", "the pump");
    let open = format!("owner.open.{seq}");
    assert!(point(&tale, &format!("{open}.price"), None).is_none(), "not before the yes");
    let first = point(&tale, &open, None).unwrap();
    tale.says(&tap(&first, "Yes").said.clone(), None);
    let price = point(&tale, &format!("{open}.price"), None).unwrap();
    tale.says(&tap(&price, "Keep it").said.clone(), Some("worn vanes, 240 with fitting"));
    let after = point(&tale, &format!("{open}.after"), None).unwrap();
    assert!(after.text.contains("Worn vanes"), "{}", after.text);
}

fn photo(tale: &mut Tale, name: &str, question: Option<&str>) -> u64 {
    let mut event = tale.event(Verb::Photo, None);
    event.more = Some(More {
        photo: Some(name.to_owned()),
        point: question.map(str::to_owned),
        ..More::default()
    });
    tale.accept(event)
}

/// A picture goes with the question that it was taken for, and stands on the owner's sheet; one
/// that is kept private does not, and one taken for nothing goes with no question.
#[test]
fn a_photo_goes_with_the_owners_question() {
    let (whole, other, private) = ("a1".repeat(32), "b2".repeat(32), "c3".repeat(32));
    let mut tale = told(BALER);
    let seq = tale.keeps("ask owner", "New washers on the other three too?");
    let id = format!("owner.{seq}");
    assert!(point(&tale, &id, None).unwrap().takes_photos);
    photo(&mut tale, &other, None);
    photo(&mut tale, &private, Some(&id));
    let mut event = tale.event(Verb::Private, None);
    event.more = Some(More { photo: Some(private.clone()), ..More::default() });
    tale.accept(event);
    let seen = photo(&mut tale, &whole, Some(&id));
    let asked = point(&tale, &id, None).unwrap();
    assert_eq!(asked.photos, [private.clone(), whole.clone()]);
    tale.says(&tap(&asked, "Yes").said.clone(), None);

    let owner = |tale: &Tale| {
        let sheet = lastbolt_job::paper(&tale.picture, Sheet::Owner, tale.ms);
        let lines = sheet.sections.into_iter().flat_map(|section| section.lines);
        lines.filter_map(|line| line.photo).collect::<Vec<_>>()
    };
    assert_eq!(owner(&tale).concat(), whole, "not the private one, not the other one");
    let all = lastbolt_job::photos(&tale.picture);
    let of = |name: &str| all.iter().find(|photo| photo.photo == name).unwrap().asked.clone();
    assert_eq!(of(&whole), ["New washers on the other three too?"]);
    assert!(of(&other).is_empty());
    tale.takes_back(seen);
    assert_eq!(point(&tale, &id, None).unwrap().photos, [private]);
    assert!(owner(&tale).is_empty());

    // Said with the question itself, as the command does it.
    let mut event = tale.event(Verb::Noted, None);
    event.note = Some("The pump too?".to_owned());
    event.more = Some(More {
        kind: Some("ask owner".to_owned()),
        photo: Some(other.clone()),
        ..More::default()
    });
    let seq = tale.accept(event);
    assert_eq!(point(&tale, &format!("owner.{seq}"), None).unwrap().photos, [other]);
}
