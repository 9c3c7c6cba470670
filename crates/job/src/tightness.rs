//! The joints of a job as the record tells them: measured, not measured, not said.

use lastbolt_ledger::{Round, Standing};
use lastbolt_machine::{Kind, ThingNo};

use crate::case::{Book, Written};
use crate::joint::repaired;
use crate::tell::Tell;
use crate::view::{JointHow, JointLine};
use crate::words;

/// Kinds that are tightened where no file says how (common practice, no source).
const TIGHTENED: [&str; 8] = ["screw", "nut", "stud", "bolt", "union", "banjo", "clamp", "V-clamp"];

/// Gives every joint that was undone in this job and is home again, in the order of its tag.
pub(crate) fn joints(tell: Tell<'_>) -> Vec<JointLine> {
    let kernel = &tell.case.kernel;
    let is_joint = |&thing: &ThingNo| {
        kernel.thing(thing).kind == Kind::Tie
            && tell.live.disturbed.has(thing)
            && !tell.live.open.has(thing)
            && !tell.live.loose.has(thing)
            && is_tightened(Book::of(tell.case), thing)
    };
    let mut all: Vec<ThingNo> = kernel.all().filter(is_joint).collect();
    all.sort_by_key(|&thing| (tell.tag_number(thing).unwrap_or(u32::MAX), thing));
    all.into_iter().map(|thing| joint(tell, thing)).collect()
}

fn is_tightened(book: Book<'_>, thing: ThingNo) -> bool {
    let asked = matches!(book.written(thing), Written::Tie(tie) if tie.tighten.is_some());
    asked || TIGHTENED.contains(&book.kind(thing))
}

fn joint(tell: Tell<'_>, thing: ThingNo) -> JointLine {
    let mark = tell.live.mark(&tell.case.kernel, thing);
    let rounds = tell.live.state.rounds.get(tell.name(thing)).map_or(&[][..], Vec::as_slice);
    let not_measured = mark.is_some_and(|mark| mark.standing == Standing::NotMeasured);
    let how = match rounds.last() {
        _ if not_measured => JointHow::NotMeasured,
        Some(last) if last.by_hand => JointHow::NotMeasured,
        Some(last) if last.setting.is_some() || last.wrench.is_some() => JointHow::Measured,
        _ => JointHow::NotSaid,
    };
    JointLine {
        thing: tell.name(thing).to_owned(),
        text: words::large(&tell.counted(thing)),
        how,
        rounds: rounds.iter().map(round).collect(),
        repaired: repaired(&tell.live.state, tell.name(thing)),
        person: mark.and_then(|mark| mark.person.clone()),
        tag: tell.tag_number(thing),
    }
}

/// "round 2: 40 N·m, long wrench, as far as 3 of them".
fn round(round: &Round) -> String {
    let by_hand = round.by_hand.then(|| "by hand".to_owned());
    let pieces = round.pieces.map(|pieces| format!("as far as {pieces} of them"));
    let calibrated = round.calibrated.as_ref().map(|when| format!("calibrated {when}"));
    let all = [round.setting.clone(), round.wrench.clone(), calibrated, by_hand, pieces];
    let all: Vec<String> = all.into_iter().flatten().collect();
    if all.is_empty() {
        return format!("round {}", round.round);
    }
    format!("round {}: {}", round.round, all.join(", "))
}
