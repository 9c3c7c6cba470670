//! What can be tapped on a joint's card: one tap a round.

use lastbolt_ledger::{More, Verb};

use crate::joint::asks::is_shut;
use crate::joint::{Joint, THREAD_REPAIR, USE};
use crate::view::{JointTap, Point, RoundLine, Said, WrenchLine};
use crate::words;

/// What is done to a thread, in the trade's words.
const REPAIRS: [&str; 3] = ["thread insert", "recut with a tap", "next larger thread"];

/// The taps, the main one first; none while a value is open, or nothing is to be tightened.
pub(crate) fn taps(
    joint: &Joint<'_>,
    rounds: &[RoundLine],
    next: Option<usize>,
    asks: &[Point],
) -> Vec<JointTap> {
    if is_shut(asks) || !is_open(joint) {
        return Vec::new();
    }
    let Some(at) = next else {
        return vec![tap("Tight", vec![home(joint, Verb::Make)], true)];
    };
    let is_last = at + 1 == rounds.len();
    let mut all = vec![done(joint, &rounds[at], is_last, false)];
    if rounds[at].is_measured {
        all.push(done(joint, &rounds[at], is_last, true));
    }
    if !is_last {
        all.push(all_of_them(joint, &rounds[at..]));
    }
    all
}

fn is_open(joint: &Joint<'_>) -> bool {
    let live = &joint.picture.now.live;
    live.open.has(joint.thing) || live.loose.has(joint.thing)
}

/// "I stopped here": each screw that may be the last one that has the round that is next.
pub(crate) fn stops(
    joint: &Joint<'_>,
    rounds: &[RoundLine],
    next: Option<usize>,
    asks: &[Point],
) -> Vec<JointTap> {
    let Some(round) = next.and_then(|at| rounds.get(at)) else { return Vec::new() };
    if is_shut(asks) || !is_open(joint) || joint.pieces < 3 {
        return Vec::new();
    }
    let stop = |pieces: u32| {
        let said = Said { pieces: Some(pieces), ..said(joint, round, false) };
        tap(&pieces.to_string(), vec![said], false)
    };
    (1..joint.pieces).map(stop).collect()
}

/// The wrench with what takes it from now on, where it is not the one that is used.
pub(crate) fn takes(joint: &Joint<'_>, line: WrenchLine) -> WrenchLine {
    if line.used {
        return line;
    }
    let more = More {
        point: Some(USE.to_owned()),
        asked: Some("Which wrench?".to_owned()),
        ..More::default()
    };
    let said = Said {
        thing: Some(joint.name.to_owned()),
        note: Some(line.name.clone()),
        more: Some(more),
        ..Said::new(Verb::Ticked)
    };
    let takes = tap(&format!("Take {}", line.name), vec![said], false);
    WrenchLine { takes: Some(takes), ..line }
}

/// What records a repaired thread.
pub(crate) fn repairs(joint: &Joint<'_>) -> Vec<JointTap> {
    let repair = |what: &str| {
        let more = More { kind: Some(THREAD_REPAIR.to_owned()), ..More::default() };
        let said = Said {
            thing: Some(joint.name.to_owned()),
            note: Some(what.to_owned()),
            more: Some(more),
            ..Said::new(Verb::Noted)
        };
        tap(&words::large(what), vec![said], false)
    };
    REPAIRS.into_iter().map(repair).collect()
}

fn tap(text: &str, records: Vec<Said>, main: bool) -> JointTap {
    JointTap { text: text.to_owned(), records, main }
}

/// One round done; the last one closes the joint.
fn done(joint: &Joint<'_>, round: &RoundLine, is_last: bool, by_hand: bool) -> JointTap {
    let any_by_hand = by_hand || joint.done.iter().any(|done| done.by_hand);
    let mut records = vec![said(joint, round, by_hand)];
    if is_last {
        let verb = if any_by_hand { Verb::NotMeasured } else { closing(joint) };
        records.push(home(joint, verb));
    }
    let text = match (by_hand, is_last) {
        (true, _) => "By hand, not measured".to_owned(),
        (false, true) => format!("Round {} done, tight", round.number),
        (false, false) => format!("Round {} done", round.number),
    };
    tap(&text, records, !by_hand)
}

fn all_of_them(joint: &Joint<'_>, rounds: &[RoundLine]) -> JointTap {
    let mut records: Vec<Said> = rounds.iter().map(|round| said(joint, round, false)).collect();
    records.push(home(joint, closing(joint)));
    tap("All rounds done, tight", records, false)
}

/// The entry of one round, with the wrench that stands first.
fn said(joint: &Joint<'_>, round: &RoundLine, by_hand: bool) -> Said {
    let wrench = round.wrenches.first().filter(|_| !by_hand);
    let more = More {
        round: Some(round.number),
        wrench: wrench.map(|wrench| wrench.name.clone()),
        setting: wrench.map(|wrench| wrench.setting.clone()),
        calibrated: wrench.and_then(|wrench| wrench.calibrated.clone()),
        by_hand: by_hand && round.is_measured,
        ..More::default()
    };
    Said { thing: Some(joint.name.to_owned()), more: Some(more), ..Said::new(Verb::Round) }
}

/// Started in its group it is tightened, else made.
fn closing(joint: &Joint<'_>) -> Verb {
    let live = &joint.picture.now.live;
    let is_grouped = joint.picture.case.kernel.thing(joint.thing).group.is_some();
    if is_grouped || live.loose.has(joint.thing) { Verb::Tighten } else { Verb::Make }
}

fn home(joint: &Joint<'_>, verb: Verb) -> Said {
    Said { thing: Some(joint.name.to_owned()), ..Said::new(verb) }
}
