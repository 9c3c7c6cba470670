//! A garage that keeps its lists in a spreadsheet brings them and takes them with it: what is
//! recorded from a list is what the list says, once, and what is written reads back.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

use std::sync::Arc;

use lastbolt_files::Source;
use lastbolt_files::csv::{Row, RowStands, Style, read_list, write_list};
use lastbolt_job::lists::{Entries, entries, machine_of_list, rows};
use lastbolt_job::{Picture, from_nothing, read_case};
use lastbolt_ledger::{Accepted, Event, EventId, Log, More, Verb};
use lastbolt_machine::FileNo;

const LIST: &str = "part;kind;count;name;place;tool;minutes;note\n\
    tray;;;;above;;;keep flat\n\
    tray;nut;3;;above;socket 10;2,5;\n\
    tray;clip;1;;below;;;\n\
    air box;screw;4;;above;;;\n\
    ;earth;2;body earths;above;;;\n";

struct Job {
    picture: Picture,
    log: Log,
}

impl Job {
    fn new() -> Self {
        let files = from_nothing("Kelp outboard", "gear pump").unwrap();
        let sources = [Source::new("m.toml", files.machine), Source::new("j.toml", files.job)];
        let case = Arc::new(read_case(&sources).unwrap().case);
        Self { picture: Picture::of(case, Vec::new(), None, 1_000), log: Log::default() }
    }

    fn say(&mut self, verb: Verb, id: &str, fill: impl FnOnce(&mut Event)) {
        let count = self.log.last_seq() + 1;
        let seen = self.log.last_seq();
        let id = EventId::new(id).unwrap();
        let mut event = Event::new(id, "test", count, seen, 1_000, verb);
        fill(&mut event);
        event.check().unwrap();
        assert!(matches!(self.log.accept(event, 1_000), Accepted::New(_)));
        let records = self.log.records().to_vec();
        self.picture = Picture::of(self.picture.base.clone(), records, None, 1_000);
    }

    fn record(&mut self, all: &Entries) {
        for handful in all.handfuls.clone() {
            self.say(Verb::Took, &handful.id.clone(), |event| {
                event.spot = handful.spot;
                event.more = Some(handful.more);
            });
        }
        for (number, counted) in all.counted.iter().cloned().enumerate() {
            self.say(Verb::Expected, &format!("counted-{number}"), |event| {
                event.pieces = Some(counted.pieces);
                event.spot = counted.spot;
                event.more = Some(More { kind: Some(counted.kind), ..More::default() });
            });
        }
    }
}

fn list(text: &str) -> Vec<Row> {
    let list = read_list(text.as_bytes(), FileNo(0));
    assert_eq!(list.problems, vec![]);
    list.rows
}

fn texts(all: &Entries) -> Vec<&str> {
    all.handfuls.iter().map(|handful| handful.text.as_str()).collect()
}

/// What came off is recorded by the handful and in order, once, however often it is brought; what
/// was taken back can be brought again.
#[test]
fn once_is_once() {
    let mut job = Job::new();
    let rows = list(LIST);
    let all = entries(&job.picture, &rows, true);
    let expected = [
        "Undone: 1 clip",
        "Tray off: 3 nuts",
        "Air box off: 4 screws",
        "Undone: 2 earths (body earths)",
    ];
    assert_eq!(texts(&all), expected);
    assert_eq!(all.handfuls[1].tools, [("tray nuts".to_owned(), "socket 10".to_owned())]);
    assert_eq!(all.handfuls[1].notes, [("tray".to_owned(), "keep flat".to_owned())]);
    assert!(all.counted.is_empty());
    job.record(&all);
    let again = entries(&job.picture, &rows, true);
    assert_eq!(again.handfuls, vec![]);
    // A longer list of the same brings what is new.
    let longer = list(&format!("{LIST}tray;hose;1;;above;;;\nhood;;;;above;;;\n"));
    assert_eq!(texts(&entries(&job.picture, &longer, true)), ["Undone: 1 hose", "Hood off"]);
    let id = all.handfuls[3].id.clone();
    job.say(Verb::TakeBack, "back", |event| event.of = Some(EventId::new(&id).unwrap()));
    let back = entries(&job.picture, &rows, true);
    assert_eq!(texts(&back), [expected[3]]);
    assert_ne!(back.handfuls[0].id, id);
    job.record(&back);
    assert_eq!(entries(&job.picture, &rows, true).handfuls, vec![]);
}

/// What is home is kept as a count: of a kind at a place, with what of it is off already.
#[test]
fn what_is_home_is_counted() {
    let mut job = Job::new();
    let rows = list(
        "part;kind;count;place;stands\ntray;nut;3;above;off\nbox;nut;2;above;home\n\
         box;clip;2;above;home\nbox;clip;1;;home\nbox;earth;1;below;off\nbox;;;;home\n",
    );
    let all = entries(&job.picture, &rows, false);
    assert_eq!(texts(&all), ["Tray off: 3 nuts", "Undone: 1 earth"]);
    let counted: Vec<(&str, Option<&str>, u32)> =
        all.counted.iter().map(|c| (c.kind.as_str(), c.spot.as_deref(), c.pieces)).collect();
    let expected = [("clip", None, 3), ("clip", Some("above"), 2), ("nut", Some("above"), 5)];
    assert_eq!(counted, expected);
    assert_eq!(all.left_out.len(), 1, "{:?}", all.left_out);
    job.record(&all);
    assert_eq!(entries(&job.picture, &rows, false).counted, vec![]);
}

/// The list of a job says what is off and what is home, and makes a machine again.
#[test]
fn out_and_in_again() {
    let mut job = Job::new();
    let all = entries(&job.picture, &list(LIST), true);
    job.record(&all);
    job.say(Verb::Slack, "slack", |event| event.thing = Some("body earths".to_owned()));
    job.say(Verb::Home, "home", |event| event.thing = Some("air box".to_owned()));
    let out = rows(&job.picture);
    let stands: Vec<(&str, RowStands)> = out
        .iter()
        .map(|row| (row.name.as_deref().unwrap_or_else(|| &row.parts[0]), row.stands.unwrap()))
        .collect();
    let expected = [
        ("tray", RowStands::Off),
        ("clip 1", RowStands::Off),
        ("tray nuts", RowStands::Off),
        ("air box", RowStands::Home),
        ("air box screws", RowStands::Home),
        ("body earths", RowStands::Slack),
    ];
    assert_eq!(stands, expected);
    let back = list(&write_list(&out, Style { separator: ';', decimal_comma: true }));
    assert!(back.iter().zip(&out).all(|(a, b)| a.says_the_same(b)));
    assert_eq!(back.len(), out.len());
    let text = machine_of_list("Kelp outboard", &back);
    let read = read_case(&[Source::new("m.toml", text)]).unwrap();
    let names = |case: &lastbolt_job::Case| -> Vec<String> {
        case.kernel.things.iter().map(|thing| thing.name.clone()).collect()
    };
    assert_eq!(names(&read.case), names(&job.picture.case));
}

/// What is slack, or in by hand, still holds: its part is on, unless the part's own row says that
/// it is off.
#[test]
fn what_is_loosened_takes_no_part_off() {
    let job = Job::new();
    let stood = "part;kind;count;stands\nlid;screw;4;slack\nduct;plug;1;in by hand\n";
    let all = entries(&job.picture, &list(stood), false);
    assert_eq!(texts(&all), ["Undone: 4 screws slack", "Undone: 1 plug in by hand"]);
    assert!(all.handfuls.iter().all(|handful| handful.more.part.is_none()));
    let said = format!("{stood}lid;;;off\n");
    let all = entries(&job.picture, &list(&said), false);
    assert_eq!(texts(&all), ["Lid off: 4 screws slack", "Undone: 1 plug in by hand"]);
}
