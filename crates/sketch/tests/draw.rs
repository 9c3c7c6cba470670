//! Why: what was entered by the handful is what the machine, the list and the export are made of.
//! A name that changes by itself, a fixing that is lost by a correction or a take-back that takes
//! half of a handful would each be a miss on the floor.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

mod common;

use common::records;
use lastbolt_ledger::{Recorded, State};
use lastbolt_machine::{JobSpec, Machine, Ref};
use lastbolt_sketch::{Drawn, draw};

const TRAY: &str = concat!(
    r#"took | spot=above | more={"part":{"name":"tray"},"#,
    r#""ties":[{"kind":"nut","count":3},{"kind":"clip"},{"kind":"earth"}]}"#
);
const BOX: &str =
    r#"took | spot=below | more={"part":{"name":"box"},"ties":[{"kind":"screw","count":6}]}"#;

fn drawn(lines: &[&str]) -> Drawn {
    let base = Machine { machine: Some(Ref::bare("camper")), ..Machine::default() };
    draw(&base, &JobSpec::default(), &records(lines))
}

fn things(drawn: &Drawn) -> Vec<String> {
    drawn.notes.present().map(|(_, t)| format!("{} x{}", t.name, t.count)).collect()
}

fn open(plain: &[Recorded]) -> Vec<String> {
    let state = State::fold(plain);
    let open = state.marks.iter().filter(|(_, mark)| mark.standing.is_open_for_planning());
    open.map(|(name, _)| name.clone()).collect()
}

#[test]
fn a_handful_is_a_part_with_its_fixings() {
    let drawn = drawn(&[TRAY, BOX]);
    let names = ["tray x1", "tray nuts x3", "tray clip x1", "tray earth x1", "box x1"];
    assert_eq!(things(&drawn)[..5], names);
    assert_eq!(drawn.machine.parts.len(), 2);
    let screws = drawn.machine.ties.iter().find(|tie| tie.id.name() == "box screws").unwrap();
    assert_eq!(screws.joins.iter().map(Ref::name).collect::<Vec<_>>(), ["box", "the machine"]);
    let way = &screws.ways.as_ref().unwrap()[0];
    assert_eq!(way.clear.iter().map(Ref::name).collect::<Vec<_>>(), ["tray"]);
    assert_eq!(way.from.as_ref().unwrap().name(), "below");
    let all = ["box", "box screws", "tray", "tray clip", "tray earth", "tray nuts"];
    assert_eq!(open(&drawn.plain), all);
}

#[test]
fn names_do_not_move_when_a_handful_is_taken_back() {
    let clip = r#"took | more={"part":{},"ties":[{"kind":"clip","count":2}]}"#;
    let drawn = drawn(&[clip, clip, "take_back | of=e1", clip]);
    assert_eq!(things(&drawn), ["part 2 x1", "part 2 clips x2", "part 3 x1", "part 3 clips x2"]);
    assert_eq!(open(&drawn.plain).len(), 4);
}

#[test]
fn corrections_hold_from_the_start() {
    let drawn = drawn(&[
        BOX,
        r#"make box screws"#,
        r#"split box screws | pieces=1 | note=long screw"#,
        r#"undo long screw"#,
        r#"renamed box | note=air box"#,
        r#"corrected box screws | pieces=4"#,
    ]);
    // The name that was made from the part's went along; the old one still means them.
    assert_eq!(things(&drawn), ["air box x1", "air box screws x4", "long screw x1"]);
    // The long one was made with the others, and undone since.
    assert_eq!(open(&drawn.plain), ["air box", "long screw"]);
    let screws = drawn.machine.ties.iter().find(|tie| tie.id.name() == "long screw").unwrap();
    assert_eq!(screws.joins[0].name(), "air box");
}

#[test]
fn doubles_go_away_and_leave_nothing_open() {
    let drawn = drawn(&[
        TRAY,
        r#"took | more={"part":{"name":"tray"},"ties":[{"kind":"nut","count":3}]}"#,
        "struck_out tray 2",
        r#"merged tray 2 nuts | more={"into":"tray nuts"}"#,
    ]);
    let names = ["tray x1", "tray nuts x6", "tray clip x1", "tray earth x1"];
    assert_eq!(things(&drawn), names);
    assert_eq!(open(&drawn.plain), ["tray", "tray clip", "tray earth", "tray nuts"]);
    // The entry that struck something out is still the last that was seen.
    assert_eq!(drawn.plain.len(), 7);
    assert!(drawn.plain.iter().any(|recorded| recorded.seq == 3));
}

#[test]
fn home_closes_the_part_and_what_holds_it() {
    let home = drawn(&[TRAY, BOX, "home box"]);
    assert_eq!(open(&home.plain), ["tray", "tray clip", "tray earth", "tray nuts"]);
    let back = drawn(&[TRAY, BOX, "home box", "take_back | of=e3"]);
    assert_eq!(open(&back.plain).len(), 6);
    // Off once more under the same name: the same part, not another.
    let again = drawn(&[TRAY, BOX, "home box", BOX]);
    assert_eq!(things(&again).len(), 6);
    assert_eq!(open(&again.plain).len(), 6);
}
