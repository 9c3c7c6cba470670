//! Why: what is told with a part may have been undone long before it. A way back that trusts the
//! order of telling puts such a fixing in the way of another one, and no answer would help.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

mod common;

use common::records;
use lastbolt_machine::model::Back;
use lastbolt_machine::{JobSpec, Machine, Ref};
use lastbolt_sketch::{Asked, Drawn, Question, draw, questions};

const TOLD: [&str; 3] = [
    r#"took | spot=above | more={"part":{"name":"tray"},"ties":[{"kind":"clip"},{"kind":"nut"}]}"#,
    r#"took | spot=above | more={"part":{"name":"box"},"ties":[{"kind":"earth"}]}"#,
    r#"took | spot=above | more={"part":{"name":"guard"},"ties":[{"kind":"screw"}]}"#,
];

/// The truth: the screw of the guard was undone first of all, and the clip of the tray cannot be
/// got at while it is home. Each fixing holds the part that it was told with.
fn answer(question: &Question) -> &'static str {
    let (clip, screw) = ("tray clip".to_owned(), "guard screw".to_owned());
    let place = |names: &[String], name| names.iter().position(|one| one == name);
    let is_stopped = match place(&question.these, &clip) {
        None => false,
        Some(at) => {
            let before = place(&question.these, &screw).is_some_and(|screw| screw < at);
            let those = question.those.contains(&screw);
            those || (question.asked == Asked::InTurn && before)
        }
    };
    let holds = |tie: &String, part: &String| {
        tie != part && tie.split(' ').next() == part.split(' ').next() && !part.contains(' ')
    };
    let yes = match question.asked {
        Asked::Reach => !is_stopped,
        Asked::Seen | Asked::Place => true,
        Asked::Holds | Asked::With => {
            question.these.iter().any(|tie| question.those.iter().any(|part| holds(tie, part)))
        }
        Asked::InTurn => {
            let too_soon = |(at, tie): (usize, &String)| {
                question.these[at + 1..].iter().any(|part| holds(tie, part))
            };
            !is_stopped && !question.these.iter().enumerate().any(too_soon)
        }
    };
    if yes { "yes" } else { "no" }
}

fn drawn(lines: &[String]) -> Drawn {
    let base = Machine { machine: Some(Ref::bare("camper")), ..Machine::default() };
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    draw(&base, &JobSpec::default(), &records(&lines))
}

/// The ways back of a thing ask that these are not home.
fn clear_of(machine: &Machine, name: &str) -> Vec<String> {
    let ties = machine.ties.iter().map(|tie| (&tie.id, &tie.ways, &tie.back));
    let parts = machine.parts.iter().map(|part| (&part.id, &part.ways, &part.back));
    let (_, ways, back) = ties.chain(parts).find(|(id, ..)| id.name() == name).unwrap();
    let ways = match back {
        Back::Ways(back) => back.clone(),
        _ => ways.clone().unwrap(),
    };
    ways[0].clear.iter().map(|one| one.name().to_owned()).collect()
}

/// What goes home after a thing, whatever the order: by any chain.
fn comes_after(machine: &Machine, name: &str) -> Vec<String> {
    let mut after = clear_of(machine, name);
    let mut at = 0;
    while at < after.len() {
        let one = after[at].clone();
        let holds = machine.ties.iter().filter(|t| t.joins.iter().any(|on| on.name() == one));
        let held_by = holds.map(|tie| tie.id.name().to_owned());
        for more in clear_of(machine, &one).into_iter().chain(held_by) {
            if !after.contains(&more) {
                after.push(more);
            }
        }
        at += 1;
    }
    after
}

#[test]
fn what_was_told_late_is_found_in_the_way() {
    let mut lines: Vec<String> = TOLD.map(str::to_owned).to_vec();
    lines.push("all_off".to_owned());
    let most = 7 * 3 / 2;
    for asked in 0..=most {
        let Some(question) = questions(&drawn(&lines)).into_iter().next() else { break };
        assert!(asked < most, "{question:?}");
        let more = question.more().to_text();
        let says = answer(&question);
        lines.push(format!("answered {} | note={says} | more={more}", question.id));
    }
    let machine = drawn(&lines).machine;
    let after = comes_after(&machine, "tray clip");
    assert!(after.contains(&"guard screw".to_owned()), "{after:?} after {lines:#?}");
}
