//! Why: a file is written before the machine lies open, and is wrong here and there. A record
//! corrects names, counts and kinds of what stands in it; the job's own file stays as it is, what
//! was recorded before under the old name still holds, and what is exported says it right.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

use std::sync::Arc;

use lastbolt_files::Source;
use lastbolt_job::{Case, Picture, export, read_case};
use lastbolt_ledger::{Accepted, Event, EventId, Log, More, Verb};
use lastbolt_machine::Ref;

const FILE: &str = "machine = \"Bramble saw\"\nfixed = [\"frame\"]\n\n\
    [part.tray] # flat\nways = [{ from = \"above\" }]\n\n\
    [part.\"box \\\"A\\\"\"]\nways = [{ from = \"above\", clear = [\"tray\"] }]\n\n\
    [tie.'tray nuts']\nkind = \"nut\"\ncount = 3\njoins = [\"tray\", \"frame\"]\n\n\
    [tie.plug]\njoins = ['box \"A\"', \"frame\"]\nhidden_by = [\"tray\"]\n\n\
    [spot.above]\n[job]\noff = [\"box \\\"A\\\"\"]\n";

type Entry<'a> = (Verb, Option<&'a str>, Option<&'a str>, Option<u32>, &'a str);

fn base(text: &str) -> Arc<Case> {
    let read = read_case(&[Source::new("machine.toml", text)]);
    Arc::new(read.map(|read| read.case).unwrap_or_else(|p| panic!("{p:?}\n{text}")))
}

fn picture(entries: &[Entry<'_>]) -> Picture {
    picture_of(FILE, entries)
}

fn picture_of(text: &str, entries: &[Entry<'_>]) -> Picture {
    let mut log = Log::default();
    for (verb, thing, note, pieces, more) in entries {
        let number = log.last_seq() + 1;
        let id = EventId::new(&format!("e{number}")).unwrap();
        let mut event = Event::new(id, "phone", number, number - 1, 0, verb.clone());
        event.thing = thing.map(str::to_owned);
        event.note = note.map(str::to_owned);
        event.pieces = *pieces;
        event.more = (!more.is_empty()).then(|| More::from_text(more).unwrap());
        assert_eq!(log.accept(event, 0), Accepted::New(number));
    }
    Picture::of(base(text), log.records().to_vec(), None, 20_000)
}

fn renamed<'a>(thing: &'a str, name: &'a str) -> Entry<'a> {
    (Verb::Renamed, Some(thing), Some(name), None, "")
}

fn corrected<'a>(thing: &'a str, pieces: Option<u32>, more: &'static str) -> Entry<'a> {
    (Verb::Corrected, Some(thing), None, pieces, more)
}

fn is_open(picture: &Picture, name: &str) -> bool {
    let thing = picture.case.kernel.find(name).unwrap_or_else(|| panic!("no {name}"));
    picture.now.live.open.has(thing)
}

#[test]
fn names_hold_from_the_start_and_old_ones_still_mean_it() {
    let tray = r#"{"part":{"name":"tray"},"ties":[{"kind":"nut","count":3}]}"#;
    let with = picture(&[
        (Verb::Took, None, None, None, tray),
        renamed("tray", "battery tray"),
        corrected("tray nuts", Some(4), r#"{"kind":"screw"}"#),
        renamed("tray nuts", "long screws"),
        (Verb::Off, Some("box \"A\""), None, None, ""),
        renamed("box \"A\"", "airbox"),
        // Another phone knows nothing of it yet.
        (Verb::On, Some("box \"A\""), None, None, ""),
    ]);
    let names: Vec<&str> = with.case.kernel.things.iter().map(|t| t.name.as_str()).collect();
    assert!(names.contains(&"battery tray") && !names.contains(&"tray"), "{names:?}");
    assert_eq!(with.case.model.machine.ties.len(), 2, "none was entered twice: {names:?}");
    assert!(is_open(&with, "battery tray") && is_open(&with, "long screws"));
    assert!(!is_open(&with, "airbox"));
    let screen = with.screen(0);
    assert!(screen.still_off.text.contains("4 screws"), "{}", screen.still_off.text);
    assert_eq!(with.case.model.job.off[0].name(), "airbox", "what was asked for goes along");
    let unsaid = with.now.live.unknown.clone();
    assert_eq!(unsaid, Vec::<String>::new());
}

#[test]
fn a_name_that_is_taken_is_made_another() {
    let bracket = r#"{"part":{"name":"bracket"},"ties":[]}"#;
    let with = picture(&[
        (Verb::Took, None, None, None, bracket),
        renamed("tray", "bracket"),
        renamed("plug", "box \"A\""),
        renamed("bracket 2", "tray"),
    ]);
    let machine = &with.case.model.machine;
    let parts: Vec<&str> = machine.parts.iter().map(|part| part.id.name()).collect();
    assert_eq!(parts, ["tray", "box \"A\"", "bracket"], "its own old name it may get back");
    assert_eq!(machine.ties[1].id.name(), "box \"A\" 2");
}

#[test]
fn what_is_exported_says_it_right_and_leaves_the_rest() {
    let bracket = r#"{"part":{"name":"bracket"},"ties":[{"kind":"clip"}]}"#;
    let with = picture(&[
        renamed("tray", "battery \"B\" tray"),
        renamed("box \"A\"", "airbox"),
        corrected("tray nuts", Some(4), ""),
        corrected("plug", Some(2), r#"{"kind":"hose"}"#),
        (Verb::Off, Some("tray"), None, None, ""),
        (Verb::Took, None, None, None, bracket),
    ]);
    let text = exported(FILE, &with);
    assert!(text.contains("[part.\"battery \\\"B\\\" tray\"] # flat\n"), "{text}");
    assert!(text.contains("[tie.plug]\nkind = \"hose\"\ncount = 2\njoins"), "{text}");
    assert!(text.contains("off = [\"airbox\"]"), "what is asked for goes along: {text}");
    let again = base(&text);
    let drawn = &with.case.model.machine;
    let said = |machine: &lastbolt_machine::Machine| -> Vec<String> {
        let ties = machine.ties.iter().map(|tie| {
            let list = |all: &[Ref]| all.iter().map(|r| r.value.clone()).collect::<Vec<_>>();
            let kind = tie.kind.as_ref().map(|kind| kind.value.clone());
            let count = tie.count.as_ref().map_or(1, |count| count.value);
            let (joins, hidden) = (list(&tie.joins), list(&tie.hidden_by));
            format!("{} {kind:?} {count} {joins:?} {hidden:?}", tie.id.value)
        });
        machine.parts.iter().map(|part| part.id.value.clone()).chain(ties).collect()
    };
    assert_eq!(said(&again.model.machine), said(drawn));
    // Without corrections not one character changes.
    let plain = picture(&[(Verb::Off, Some("tray"), None, None, "")]);
    assert_eq!(exported(FILE, &plain), FILE);
}

fn exported(text: &str, picture: &Picture) -> String {
    let (base, drawn) = (&picture.base.model.machine, picture.drawn.as_deref());
    export(text, base, drawn, &picture.records)
}

/// What people marked as able to hurt goes into the file, however its table is written; a mark that
/// was taken back does not, and what is marked in the file already is not said twice.
#[test]
fn marks_of_people_are_exported() {
    let text = r#"machine = "Press"
fixed = ["frame"]
[part.lid] # heavy
ways = [{ minutes = 1 }]
[part]
box = { ways = [{ minutes = 1 }] }
"flap = {" = {}
[part.ram]
hazards = ["spring"]
[prep.drained]
back = "by itself"
hazards = [
  # none yet
]
[tie.pipe]
kind = "union"
joins = ["lid", "frame"]
ways = [{ minutes = 1 }]
"#;
    let mark = |thing: &'static str, word: &'static str| -> Entry<'static> {
        (Verb::Noted, Some(thing), Some(word), None, r#"{"kind":"hazard"}"#)
    };
    let marks = [
        mark("lid", "hot"),
        mark("box", "airbag"),
        mark("flap = {", "dust"),
        mark("ram", "pressure"),
        mark("ram", "spring"),
        mark("drained", "fuel"),
        mark("pipe", "pressure"),
        mark("pipe", "hot"),
        renamed("pipe", "feed pipe"),
        mark("feed pipe", "gas"),
    ];
    let with = picture_of(text, &marks);
    let text_now = exported(text, &with);
    let hazards = |text: &str| -> Vec<(String, Vec<String>)> {
        let machine = base(text).model.machine.clone();
        let words = |all: &[Ref]| all.iter().map(|word| word.value.clone()).collect::<Vec<_>>();
        let parts = machine.parts.iter().map(|it| (it.id.value.clone(), words(&it.hazards)));
        let ties = machine.ties.iter().map(|it| (it.id.value.clone(), words(&it.hazards)));
        let preps = machine.preps.iter().map(|it| (it.id.value.clone(), words(&it.hazards)));
        parts.chain(ties).chain(preps).collect()
    };
    let of = |name: &str| {
        let all = hazards(&text_now);
        all.into_iter().find(|(id, _)| id == name).unwrap_or_else(|| panic!("{name}")).1
    };
    assert_eq!(of("lid"), ["hot"], "{text_now}");
    assert_eq!(of("box"), ["airbag"], "{text_now}");
    assert_eq!(of("flap = {"), ["dust"], "{text_now}");
    assert_eq!(of("ram"), ["spring", "pressure"], "{text_now}");
    assert_eq!(of("drained"), ["fuel"], "{text_now}");
    assert_eq!(of("feed pipe"), ["pressure", "hot", "gas"], "{text_now}");
    assert!(text_now.contains("[part.lid] # heavy\nhazards = [\"hot\"]\n"), "{text_now}");
    // The twin: without marks nothing is written, and the file's own stays.
    let none = picture_of(text, &[renamed("pipe", "feed pipe")]);
    let plain = exported(text, &none);
    assert_eq!(hazards(&plain).iter().filter(|(_, all)| !all.is_empty()).count(), 1, "{plain}");
    // Taken into another job, they are marked once.
    assert_eq!(exported(&text_now, &picture_of(&text_now, &[mark("lid", "hot")])), text_now);
}

/// A thing that is declared by keys with a dot, or in a table of one line among others, is marked
/// and renamed like any other; what stands around it stays.
#[test]
fn dotted_keys_are_marked_and_renamed() {
    let text = r#"machine = "Press"
fixed = ["frame"]
part.lid.kg = 3 # heavy
part.lid.ways = [
  { minutes = 1 }, # [part.lid] is no head here
]
part."side = {".ways = [{ minutes = 1 }]
[tie]
  pipe.kind = "union"
  pipe.joins = ["lid", "frame"]
  pipe.ways = [{ minutes = 1 }]
hose.hazards = []
hose.joins = ["frame"]
[tie.nuts]
joins = ["lid", "frame"]
[tie.nuts.tighten]
stages = ["10 N·m"]
[prep]
drained = { back = "by itself" }
let-off.back = "by itself"
[job]
off = ["lid"]
"#;
    let mark = |thing: &'static str, word: &'static str| -> Entry<'static> {
        (Verb::Noted, Some(thing), Some(word), None, r#"{"kind":"hazard"}"#)
    };
    let with = picture_of(
        text,
        &[
            mark("lid", "hot"),
            mark("side = {", "dust"),
            mark("pipe", "pressure"),
            mark("hose", "fuel"),
            mark("nuts", "spring"),
            mark("drained", "fuel"),
            mark("let-off", "gas"),
            renamed("pipe", "feed pipe"),
            renamed("nuts", "lid nuts"),
            corrected("nuts", Some(4), ""),
        ],
    );
    let now = exported(text, &with);
    let machine = base(&now).model.machine.clone();
    let words = |all: &[Ref]| all.iter().map(|word| word.value.clone()).collect::<Vec<_>>();
    let parts = machine.parts.iter().map(|it| (it.id.value.as_str(), words(&it.hazards)));
    let ties = machine.ties.iter().map(|it| (it.id.value.as_str(), words(&it.hazards)));
    let preps = machine.preps.iter().map(|it| (it.id.value.as_str(), words(&it.hazards)));
    let mut said: Vec<(&str, Vec<String>)> = parts.chain(ties).chain(preps).collect();
    said.sort();
    let wanted = [
        ("drained", "fuel"),
        ("feed pipe", "pressure"),
        ("hose", "fuel"),
        ("let-off", "gas"),
        ("lid", "hot"),
        ("lid nuts", "spring"),
        ("side = {", "dust"),
    ];
    let wanted: Vec<_> = wanted.map(|(name, word)| (name, vec![word.to_owned()])).into();
    assert_eq!(said, wanted, "{now}");
    let nuts = machine.ties.iter().find(|tie| tie.id.value == "lid nuts").unwrap();
    assert!(nuts.tighten.is_some() && nuts.count.as_ref().unwrap().value == 4, "{now}");
    assert!(now.contains("# [part.lid] is no head here"), "what is around it stays: {now}");
    // The twin: marked once, nothing more is written.
    assert_eq!(exported(&now, &picture_of(&now, &[mark("lid", "hot")])), now);
}
