//! Why: what a joint needs besides its rounds is easily forgotten where it counts: another wrench
//! than the usual one, the screw at which a round was broken off, screws that must be new, a thread
//! that was repaired, a wrench that is out of its time. Each has to be said at the right time, and
//! only then.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

mod support;
#[path = "support/tale.rs"]
mod tale;

use std::sync::Arc;

use lastbolt_files::{Source, read_garage};
use lastbolt_job::view::{JointCard, JointTap, Point, WrenchLine};
use lastbolt_job::{joint, joint_study, read_case};
use lastbolt_ledger::{More, Verb};
use lastbolt_machine::FileNo;
use lastbolt_machine::model::GarageSpec;
use tale::Tale;

const GARAGE: &str = r#"
[wrench.short]
range = "5-25 N·m"
class = "II A"
step = 0.5
calibrated = "2026-05-01"
[wrench.long]
range = "20-200 N·m"
class = "I B"
calibrated = "2024-05-01"
[wrench.dial]
range = "10-120 N·m"
"#;
/// 2026-05-28.
const NOW_MS: i64 = 1_780_000_000_000;
const RING: &str = "[[50, 0], [25, 43.3], [-25, 43.3], [-50, 0], [-25, -43.3], [25, -43.3]]";

/// A head with one joint, tightened like that.
fn tale(tighten: &str, more: &str, garage: &str) -> Tale {
    let machine = format!(
        "machine = \"Bramble press\"\nfixed = [\"frame\"]\n\
         [part.head]\nways = [{{ minutes = 1 }}]\n\
         [tie.\"head screws\"]\nkind = \"screw\"\ncount = 6\njoins = [\"head\", \"frame\"]\n\
         ways = [{{ minutes = 4 }}]\n{more}\n[tie.\"head screws\".tighten]\n{tighten}\n\
         [job]\noff = [\"head\"]\n"
    );
    let sources = [Source::new("machine.toml", machine), Source::new("garage.toml", garage)];
    Tale::of(read_case(&sources).unwrap().case)
}

fn begun(tighten: &str) -> Tale {
    let mut tale = tale(tighten, "", GARAGE);
    tale.does(Verb::Undo, "head screws");
    tale.does(Verb::Off, "head");
    tale.does(Verb::On, "head");
    tale
}

fn card(tale: &Tale) -> JointCard {
    joint(&tale.picture, "head screws", None, NOW_MS).unwrap()
}

fn take(tale: &mut Tale, tap: &JointTap) {
    for said in &tap.records {
        tale.says(said, None);
    }
}

fn used(card: &JointCard, round: usize) -> WrenchLine {
    card.rounds[round].wrenches.iter().find(|line| line.used).unwrap().clone()
}

fn spec(text: &str) -> Option<Arc<GarageSpec>> {
    Some(Arc::new(read_garage(&[Source::new("garage.toml", text)], FileNo(0)).0))
}

/// The choice goes into the record of the round and stays for the following rounds that it can do.
#[test]
fn another_wrench_by_one_tap() {
    let mut tale = begun("stages = [\"by hand\", \"22 N·m\", \"24 N·m\", \"60 N·m\", \"8 N·m\"]");
    let first = card(&tale);
    assert_eq!(used(&first, 1).name, "short", "the one that fits best, where nobody chose");
    let other = first.rounds[1].wrenches.iter().find(|line| line.name == "long").unwrap();
    let takes = other.takes.clone().unwrap();
    assert_eq!((takes.text.as_str(), takes.records.len()), ("Take long", 1));
    assert!(used(&first, 1).takes.is_none(), "what is taken needs no tap");

    take(&mut tale, &takes);
    let chosen = card(&tale);
    for round in 1..=3 {
        assert_eq!(used(&chosen, round).name, "long", "round {round}");
    }
    assert_eq!(used(&chosen, 4).name, "short", "it cannot do the last round");
    let why = chosen.rounds[4].not_chosen.as_deref().unwrap();
    assert!(why.starts_with("long: 8 N·m lies below"), "{why}");

    for round in 0..2 {
        let tap = card(&tale).taps[0].clone();
        let more = tap.records[0].more.clone().unwrap();
        let wrench = (round == 1).then_some("long");
        assert_eq!(more.wrench.as_deref(), wrench, "by hand no wrench is named");
        take(&mut tale, &tap);
    }
    let done = card(&tale).rounds[1].done.clone().unwrap();
    assert!(done.text.contains("long") && done.text.contains("22 N·m"), "{}", done.text);
    // By hand stays possible, and names no wrench.
    let by_hand = card(&tale).taps.into_iter().find(|tap| !tap.main).unwrap();
    assert!(by_hand.records[0].more.as_ref().unwrap().wrench.is_none());

    // What was recorded with a round counts as chosen too; the later word wins.
    let mut event = tale.event(Verb::Round, Some("head screws"));
    let wrench = Some("dial".to_owned());
    event.more = Some(More { round: Some(3), wrench, ..More::default() });
    tale.accept(event);
    assert_eq!(used(&card(&tale), 3).name, "dial");
}

/// Wrenches that came into the garage after the job began are there.
#[test]
fn wrenches_are_those_of_now() {
    let mut tale = tale("stages = [\"300 N·m\"]", "", GARAGE);
    tale.does(Verb::Undo, "head screws");
    assert!(card(&tale).rounds[0].no_wrench.is_some(), "none of those it began with");
    let now = "[wrench.huge]\nrange = \"100-500 N·m\"\n";
    let bought = tale.picture.clone().in_garage(spec(now));
    let own = joint(&bought, "head screws", None, NOW_MS).unwrap();
    assert_eq!(used(&own, 0).name, "huge");
    // A longer record keeps them.
    assert_eq!(bought.and(Vec::new(), 10).garage().wrenches.len(), 1);
}

/// A round that is broken off goes on at the right screw, in words and in data; at an angle nobody
/// can measure afterwards whether the next one had it, and that is said.
#[test]
fn broken_off_rounds_go_on() {
    let stages = format!("at = {RING}\nstages = [\"by hand\", \"20 N·m\", \"90°\"]");
    let mut tale = begun(&stages);
    assert!(card(&tale).resume.is_none(), "nothing is broken off yet");
    for round in 0..3 {
        let now = card(&tale);
        assert_eq!(now.stops.len(), 5, "after each but the last");
        let stop = now.stops.iter().find(|tap| tap.text == "2").unwrap().clone();
        let said = &stop.records[0];
        assert_eq!((said.pieces, said.more.as_ref().unwrap().round), (Some(2), Some(round + 1)));
        take(&mut tale, &stop);
        let broken = card(&tale);
        let on = broken.resume.clone().unwrap();
        assert_eq!(
            (on.round, on.done.clone(), on.left.clone()),
            (round + 1, vec![1, 2], vec![3, 4, 5, 6])
        );
        assert_eq!(on.text(), "Screws 1 to 2 are done. Go on with screw 3; then 4 to 6.");
        assert_eq!(on.care.is_some(), round == 2, "only an angle cannot be measured afterwards");
        let heads = broken.drawing.as_ref().unwrap().drawing.heads.iter();
        let next: Vec<usize> = heads.filter(|h| h.is_next).map(|head| head.number).collect();
        assert_eq!(next, [3], "the drawing shows the same screw");
        if round < 2 {
            let whole = broken.taps[0].clone();
            take(&mut tale, &whole);
            assert!(card(&tale).resume.is_none(), "done is done");
        }
    }
}

fn screws_asked(tale: &Tale) -> Option<Point> {
    card(tale).asks.into_iter().find(|ask| ask.id == "joint.screws")
}

fn to_buy(tale: &Tale) -> Option<Point> {
    tale.picture.day(NOW_MS).find("buy screws", Some("head screws")).cloned()
}

/// Asked at size-up, in what to buy, and again before the joint is tightened; a plain torque of
/// which the source says nothing is not asked about: that twin is rejected.
#[test]
fn screws_that_must_be_new() {
    for (tighten, asks, why) in [
        ("once = true\nstages = [\"40 N·m\"]", true, "The file says"),
        ("stages = [\"40 N·m, new screws\"]", true, "The file says"),
        ("stages = [\"40 N·m\", \"90°\"]", true, "turned by an angle"),
        ("stages = [\"40 N·m + 90°\"]", true, "turned by an angle"),
        ("stages = [\"by hand, to yield\"]", true, "turned by an angle"),
        ("stages = [\"40 N·m, new above 120,5 mm\"]", true, "longer than 120,5 mm"),
        ("stages = [\"40 N·m\"]", false, ""),
        ("stages = [\"40 N·m once\"]", false, ""),
        ("stages = [\"by hand, one turn a round until it sits\", \"40 N·m\"]", false, ""),
    ] {
        let fresh = tale(tighten, "", GARAGE);
        assert!(screws_asked(&fresh).is_none(), "{tighten}: before it is opened");
        let bought = to_buy(&fresh);
        assert_eq!(bought.is_some(), asks, "{tighten}: at size-up");
        if let Some(bought) = bought {
            assert!(bought.detail[0].contains(why), "{tighten}: {:?}", bought.detail);
            assert!(bought.text.starts_with("6 × head screws"), "{}", bought.text);
        }
        let opened = begun(tighten);
        let asked = screws_asked(&opened);
        assert_eq!(asked.is_some(), asks, "{tighten}: at the joint");
        assert!(asked.is_none_or(|ask| !ask.settled), "{tighten}");
    }
    // What the file lists to renew anyway is not listed twice.
    let listed = tale("stages = [\"90°\"]", "renew = [\"head screw x6\"]", GARAGE);
    assert!(to_buy(&listed).is_none());
    assert!(listed.picture.day(NOW_MS).find("buy head screw x6", Some("head screws")).is_some());
}

/// A measured length is held against the limit: under it the screws go back, over it the question
/// stays open and says why.
#[test]
fn measured_screws() {
    for (answer, settled) in [
        ("120,4 mm", true),
        ("120.5", true),
        ("120,6 mm", false),
        ("12.2 cm", false),
        ("measured, used again", true),
        ("new", true),
        ("the maker's letter says so", true),
    ] {
        let mut tale = begun("stages = [\"40 N·m, new above 120,5 mm\"]");
        let ask = screws_asked(&tale).unwrap();
        assert!(ask.text.contains("120,5 mm") && !ask.settled, "{}", ask.text);
        let tap = ask.taps.iter().find(|tap| tap.text == "Measured").unwrap();
        tale.says(&tap.said, Some(answer));
        let now = screws_asked(&tale).unwrap();
        assert_eq!(now.settled, settled, "{answer}");
        let over = now.detail.iter().any(|line| line.contains("longer than"));
        assert_eq!(over, !settled, "{answer}: {:?}", now.detail);
    }
}

/// What no wrench can do is said at size-up, also where the garage lists none; where one fits,
/// nothing is asked.
#[test]
fn no_wrench_is_said_at_size_up() {
    let ask = |tighten: &str, garage: &str, thing: Option<&str>| {
        let tale = tale(tighten, "", garage);
        tale.picture.day(NOW_MS).find("joint.wrench", thing).cloned()
    };
    let high = ask("stages = [\"300 N·m\"]", GARAGE, Some("head screws")).unwrap();
    assert!(high.detail[0].contains("long: 300 N·m lies above"), "{:?}", high.detail);
    let empty = "[person.Wren]\n";
    let none = ask("stages = [\"300 N·m\"]", empty, None).unwrap();
    assert!(none.text.contains("lists no torque wrench; 1 joint asks"), "{}", none.text);
    for (tighten, garage) in [("stages = [\"40 N·m\"]", GARAGE), ("stages = [\"by hand\"]", empty)]
    {
        assert!(
            ask(tighten, garage, None).is_none()
                && ask(tighten, garage, Some("head screws")).is_none()
        );
    }
}

/// A repaired thread: one fold and one tap, in the record of the joint and asked for again later.
#[test]
fn repaired_threads() {
    let mut tale = begun("stages = [\"40 N·m\"]");
    let due = |tale: &Tale| {
        let day = tale.picture.day(NOW_MS);
        day.points().filter(|point| point.id.starts_with("due.thread.")).count()
    };
    assert_eq!((card(&tale).repaired.len(), due(&tale)), (0, 0));
    let tap = card(&tale).repairs[0].clone();
    take(&mut tale, &tap);
    assert_eq!(card(&tale).repaired, ["thread insert"]);
    let all = card(&tale).taps[0].clone();
    take(&mut tale, &all);
    let line = tale.picture.record().joints[0].clone();
    assert_eq!(line.repaired, ["thread insert"]);
    assert_eq!(due(&tale), 1);
}

/// When the wrench was calibrated stands at it and in the record; out of its time or not known, it
/// is said, at size-up too.
#[test]
fn calibration_is_told() {
    let mut tale = begun("stages = [\"15 N·m\", \"100 N·m\"]");
    let now = card(&tale);
    let short = used(&now, 0);
    assert!(!short.look_at_calibration && short.calibration.contains("2026-05-01"), "{short:?}");
    let line =
        |name: &str| now.rounds[1].wrenches.iter().find(|line| line.name == name).unwrap().clone();
    assert!(line("long").look_at_calibration && line("long").calibration.contains("due"));
    assert!(line("long").calibration.contains("from memory"), "the usual year is from memory");
    assert!(line("dial").calibration.contains("not known"));
    let day = tale.picture.day(NOW_MS);
    let lines: Vec<&String> = day.stages[0].groups.iter().flat_map(|group| &group.lines).collect();
    let said = |name: &str| lines.iter().any(|line| line.starts_with(&format!("{name}: ")));
    assert!(said("long") && !said("short"), "only what is taken and wants a look: {lines:?}");
    let tap = now.taps[0].clone();
    take(&mut tale, &tap);
    let all = card(&tale).taps[0].clone();
    take(&mut tale, &all);
    let rounds = tale.picture.record().joints[0].rounds.join("; ");
    assert!(rounds.contains("calibrated 2026-05-01"), "{rounds}");
}

/// A tolerance that stands from memory is never shown without that mark.
#[test]
fn tolerances_from_memory_are_marked() {
    let mut tale = tale("stages = [\"100 N·m\"]", "", GARAGE);
    tale.does(Verb::Undo, "head screws");
    let all = card(&tale).rounds[0].wrenches.clone();
    let line = |name: &str| all.iter().find(|line| line.name == name).unwrap();
    assert!(line("long").from_memory);
    assert!(line("long").tolerance.as_ref().unwrap().contains("from memory"));
    assert!(line("long").warnings.iter().any(|warning| warning.contains("memory")));
    assert!(line("dial").band.is_none(), "no class, no band");
    let fifteen = begun("stages = [\"15 N·m\"]");
    let short = used(&card(&fifteen), 0);
    assert!(!short.from_memory && !short.tolerance.unwrap().contains("memory"));
}

/// A pattern that stands from memory says so; the one that was read, and an own order, do not.
#[test]
fn patterns_from_memory_are_marked() {
    for (count, memory) in [(4, true), (6, false), (8, true), (12, false), (24, true)] {
        let place = |at: u32| {
            let (sine, cosine) =
                (f64::from(at) * std::f64::consts::TAU / f64::from(count)).sin_cos();
            format!("[{:.3}, {:.3}]", 90.0 * cosine, 90.0 * sine)
        };
        let at: Vec<String> = (0..count).map(place).collect();
        let tale = tale(&format!("at = [{}]\nstages = [\"20 N·m\"]", at.join(", ")), "", GARAGE);
        let order = card(&tale).order.join(" ");
        assert_eq!(order.contains("from memory"), memory, "{count}: {order}");
    }
}

/// A stage of several things is a round for each, all screws before the next thing.
#[test]
fn one_thing_a_round() {
    let tale = begun("stages = [\"35 N·m + 90° + 90°\", \"slacken again, then 20 N·m\"]");
    let texts: Vec<String> = card(&tale).rounds.iter().map(|round| round.text.clone()).collect();
    assert_eq!(texts.len(), 5, "{texts:?}");
    assert!(texts[0].starts_with("35 N·m (of") && texts[1].starts_with("turn by 90°"));
    assert!(texts[3].starts_with("slacken again") && texts[4].starts_with("20 N·m"));
    assert_eq!(used(&card(&tale), 0).setting, "35 N·m", "not what the last of them asks");
}

/// Screws of several lengths stand in their heads; all of one length do not.
#[test]
fn lengths_are_drawn() {
    let drawn = |lengths: &str| {
        let tighten = format!("at = {RING}\nlengths = {lengths}\nstages = [\"20 N·m\"]");
        let heads = card(&begun(&tighten)).drawing.unwrap().drawing.heads;
        heads.into_iter().filter_map(|head| head.length).collect::<Vec<_>>()
    };
    let six = r#"["M8x40", "M8x40", "M8x60 long", "M8x40", "M8x40", "M8x25"]"#;
    assert_eq!(drawn(six), ["40", "40", "60", "40", "40", "25"]);
    assert!(drawn(r#"["M8x40", "M8x40", "M8x40", "M8x40", "M8x40", "M8x40"]"#).is_empty());
}

/// The round more at the full value takes the spread out, the order does not; friction stays, and
/// no screw is ever asked to get more than the maker's value.
#[test]
fn what_the_joint_does() {
    let stages = format!("at = {RING}\nstages = [\"by hand\", \"20 N·m\", \"40 N·m\"]");
    let study = |tighten: &str, seed: u64| {
        joint_study(&begun(tighten).picture, "head screws", 200, seed).unwrap()
    };
    let told = study(&stages, 1).unwrap();
    let again: Vec<bool> = told.rows.iter().map(|row| row.again).collect();
    assert_eq!(again, [false, false, true, true]);
    let (makers, more) = (&told.rows[1], &told.rows[2]);
    assert!(more.springs.1 < 0.6 * makers.springs.1, "{more:?} {makers:?}");
    assert!(makers.around.1 < 1.5 * makers.springs.1, "going around leaves much the same");
    let last = &told.rows[3];
    assert!(last.springs.1 < 0.6 * more.springs.1 && last.with_friction.0 > 20.0, "{last:?}");
    assert_eq!(study(&stages, 1).unwrap(), told, "the same seed, the same answer");
    assert_ne!(study(&stages, 2).unwrap().rows, told.rows);
    let all = told.said.iter().chain(&told.assumed).cloned().collect::<Vec<_>>().join(" ");
    assert!(all.contains("never a specification") && all.contains("assumed"), "{all}");
    // By an angle, without holes: it says why there is nothing.
    for (tighten, why) in [
        (format!("at = {RING}\nstages = [\"40 N·m\", \"90°\"]"), "angle"),
        ("stages = [\"40 N·m\"]".to_owned(), "holes"),
        (format!("at = {RING}\nstages = [\"by hand\"]"), "No value"),
    ] {
        assert!(study(&tighten, 1).unwrap_err().contains(why), "{tighten}");
    }
    let many = joint_study(&begun(&stages).picture, "head screws", 100_000_000, 1).unwrap();
    assert!(many.unwrap_err().starts_with("At most"), "not more than there is memory for");
    // Where no further round is right none is shown.
    let last = format!("at = {RING}\nlast_round = false\nstages = [\"40 N·m\"]");
    assert!(study(&last, 1).unwrap().rows.iter().all(|row| !row.again));
}

/// A cover that springs push off: which two screws are the long ones is said by their numbers.
#[test]
fn springs_and_long_screws() {
    let lengths = r#"lengths = ["M8x20", "M8x40", "M8x20", "M8x20", "M8x40", "M8x20"]"#;
    let tighten = format!("at = {RING}\n{lengths}\nstages = [\"20 N·m\"]");
    let sprung = tale(&tighten, "cautions = [\"springs push the cover off\"]", GARAGE);
    let now = card(&sprung);
    let drawn = now.drawing.clone().unwrap().drawing.heads;
    let long = |head: &&lastbolt_tighten::Head| head.length.as_deref() == Some("40");
    let mut numbers: Vec<usize> = drawn.iter().filter(long).map(|head| head.number).collect();
    numbers.sort_unstable();
    let says = format!("two long screws, {} and {}, first", numbers[0], numbers[1]);
    assert!(now.kind_lines[0].contains(&says), "{says}: {:?}", now.kind_lines);
    assert!(now.slackening[0].contains("the two long screws last"), "{:?}", now.slackening);
    let plain = card(&tale(&tighten, "", GARAGE));
    assert!(plain.kind_lines.iter().all(|line| !line.contains("long screws")));
    assert!(!plain.slackening[0].contains("long screws"));
}

/// Screws marked on a photo, one mark each, are holes like any others; with one mark too few or
/// too many there is no drawing.
#[test]
fn holes_from_a_photo() {
    let mut tale = begun("stages = [\"20 N·m\", \"40 N·m\"]");
    let photo = Some("ab".repeat(32));
    let mut event = tale.event(Verb::Photo, None);
    event.more = Some(More { photo: photo.clone(), ..More::default() });
    tale.accept(event);
    let places = [(900, 520), (700, 860), (310, 850), (100, 490), (290, 140), (710, 160), (5, 5)];
    for (at, (x, y)) in places.into_iter().enumerate() {
        assert_eq!(card(&tale).drawing.is_some(), at == 6, "{at} marked");
        let mut event = tale.event(Verb::Pin, Some("head screws"));
        event.more = Some(More { photo: photo.clone(), x: Some(x), y: Some(y), ..More::default() });
        tale.accept(event);
        if at == 5 {
            let now = card(&tale);
            let heads = now.drawing.unwrap().drawing.heads;
            let number = |at: usize| heads[at].number;
            assert_eq!(number(0).abs_diff(number(3)), 1, "opposite ones follow each other");
            assert!(now.order.iter().any(|line| line.contains("tapped on the photo")));
        }
    }
}
