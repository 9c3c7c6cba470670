//! Quiet remarks: what an action out of order means, said beside the work.

use std::collections::BTreeMap;

use lastbolt_ledger::Recorded;
use lastbolt_machine::kernel::Blocker;
use lastbolt_machine::{Kernel, Kind, Minutes, ThingNo};

use crate::advance::Now;
use crate::case::{Book, Case};
use crate::kept::KeptPlan;
use crate::live::Live;
use crate::matters::{counted, inside, remarks};
use crate::tell::Tell;
use crate::view::{Quiet, QuietKind, StepVerb};
use crate::walk::{Todo, begin, covered_by};
use crate::words;

/// The most things that one remark names.
const NAMED_MAX: usize = 3;

/// Everything that is to be said quietly now.
pub(crate) fn of_now(case: &Case, records: &[Recorded], now: &Now) -> Vec<Quiet> {
    let tell = Tell { case, live: &now.live, kept: &now.kept };
    let lasting = of_state(case, &now.live, &now.kept);
    // What lasts is said by the state of now; said of the last entry as well it would stand twice.
    let again = |said: &&Quiet| lasting.iter().any(|quiet| is_same(quiet, said));
    let mut all: Vec<Quiet> = now.kept.said.iter().filter(|said| !again(said)).cloned().collect();
    all.extend(lasting);
    all.extend(inside::closed_in(tell, &now.matters));
    all.extend(counted::touched(tell, &now.matters));
    all.extend(disagreements(case, records, &now.live));
    let settled = |name: &&String| now.matters.answered.contains_key(&remarks::name_id(name));
    for name in now.live.unknown.iter().filter(|name| !settled(name)) {
        all.push(Quiet {
            kind: QuietKind::UnknownThing,
            text: format!("\"{name}\" is recorded, but the machine file does not know it."),
            thing: Some(name.clone()),
            seq: now.live.state.mark(name).map(|mark| mark.by),
        });
    }
    if now.live.state.last_seq == 0 {
        let notes = case.kernel.notes.iter();
        all.extend(notes.map(|note| Quiet {
            kind: QuietKind::TakenAsUndone,
            text: note.message.clone(),
            thing: None,
            seq: None,
        }));
    }
    for because in &now.kept.no_order {
        all.push(Quiet {
            kind: QuietKind::NoOrder,
            text: format!("No order from here: {because}"),
            thing: None,
            seq: None,
        });
    }
    all
}

/// Whether two remarks say the same but for what has to be done about it, which changes.
fn is_same(one: &Quiet, other: &Quiet) -> bool {
    let what = |quiet: &Quiet| quiet.text.split(": ").next().unwrap_or_default().to_owned();
    (one.kind, &one.thing) == (other.kind, &other.thing) && what(one) == what(other)
}

/// What one event means where it was out of order: what it broke, and what was in its way.
pub(crate) fn of_event(
    case: &Case,
    before: &Live,
    after: &Live,
    kept: &KeptPlan,
    recorded: &Recorded,
) -> Vec<Quiet> {
    let old = of_state(case, before, kept);
    let is_new = |q: &Quiet| !old.iter().any(|o| o.thing == q.thing && o.kind == q.kind);
    let mut all = in_the_way(case, before, after, recorded);
    all.extend(of_state(case, after, kept).into_iter().filter(is_new));
    all
}

/// What of the real state breaks a rule; gone as soon as the state is mended.
fn of_state(case: &Case, live: &Live, kept: &KeptPlan) -> Vec<Quiet> {
    let mut all = hidden(case, live, kept);
    all.extend(without_needs(case, live));
    all
}

/// Covers that were put on over something that is still off (R12).
fn hidden(case: &Case, live: &Live, kept: &KeptPlan) -> Vec<Quiet> {
    let kernel = &case.kernel;
    let tell = Tell { case, live, kept };
    let mut all = Vec::new();
    for tie in live.unfinished(kernel).filter(|&t| kernel.thing(t).kind == Kind::Tie) {
        let opened = live.mark(kernel, tie).map_or(0, |mark| mark.by);
        for cover in covered_by(kernel, tie, &live.open) {
            let Some(on) = live.mark(kernel, cover).filter(|mark| mark.by > opened) else {
                continue;
            };
            let (cover_name, stands) = (kernel.name(cover), tell.stands(tie));
            let what = tell.counted(tie);
            let is = if Book::of(case).count(tie) == 1 { "is" } else { "are" };
            let means = again(case, live, kept, cover, tie);
            all.push(Quiet {
                kind: QuietKind::OutOfOrder,
                text: format!(
                    "The {cover_name} is on and the {what} behind it {is} still {stands}: {means}."
                ),
                thing: Some(kernel.name(tie).to_owned()),
                seq: Some(on.by),
            });
        }
    }
    all
}

/// What has to be done about something that was covered too early.
fn again(case: &Case, live: &Live, kept: &KeptPlan, cover: ThingNo, tie: ThingNo) -> String {
    let kernel = &case.kernel;
    let list = kept.todo(kernel);
    let name = kernel.name(cover);
    if list.iter().any(|t| t.thing == cover && t.verb == StepVerb::Off) {
        let minutes = minutes_of(case, live, &list, cover);
        return format!("the {name} has to come off again, {}", words::about(minutes));
    }
    let makes = |t: &&Todo| t.thing == tie && !t.verb.opens();
    let way = list.iter().find(makes).and_then(|t| t.kernel_way(kernel));
    match way.and_then(|way| way.spot) {
        Some(spot) => format!("it can still be reached from {}", kernel.spots[spot.0]),
        None => "look whether it can still be reached".to_owned(),
    }
}

/// Minutes that a list spends on one thing, changes included.
fn minutes_of(case: &Case, live: &Live, list: &[Todo], thing: ThingNo) -> Minutes {
    let mut stand = begin(&live.stand(case), list);
    let mut minutes = Minutes::ZERO;
    for step in list {
        let took = stand.apply(&case.kernel, step);
        if step.thing == thing {
            minutes += took;
        }
    }
    minutes
}

/// Things that were opened and whose conditions are not in force (R9, R11).
fn without_needs(case: &Case, live: &Live) -> Vec<Quiet> {
    let kernel = &case.kernel;
    let tell = Tell { case, live, kept: &KeptPlan::default() };
    let recorded = |t: &ThingNo| live.mark(kernel, *t).is_some();
    let open = live.unfinished(kernel).filter(|&t| live.open.has(t)).filter(recorded);
    // One remark for all that want the same.
    let mut wanted: BTreeMap<Vec<ThingNo>, Vec<ThingNo>> = BTreeMap::new();
    for thing in open {
        let it = kernel.thing(thing);
        let lacking = it
            .opening_needs()
            .map(|needs| needs.copied().filter(|&need| !live.open.has(need)).collect::<Vec<_>>());
        let Some(lacking) = lacking.min_by_key(Vec::len).filter(|l| !l.is_empty()) else {
            continue;
        };
        wanted.entry(lacking).or_default().push(thing);
    }
    let quiet = |(lacking, of): (Vec<ThingNo>, Vec<ThingNo>)| {
        let names: Vec<String> =
            lacking.iter().map(|&need| format!("\"{}\"", kernel.name(need))).collect();
        let is = if names.len() == 1 { "is" } else { "are" };
        let by = |&thing: &ThingNo| live.mark(kernel, thing).map_or(0, |mark| mark.by);
        Quiet {
            kind: QuietKind::OutOfOrder,
            text: format!(
                "{} {is} not recorded as in force while {}: make ready first, or record it.",
                words::large(&words::and(&names)),
                what_is_open(tell, &of),
            ),
            thing: of.first().map(|&thing| kernel.name(thing).to_owned()),
            seq: of.iter().map(by).max(),
        }
    };
    wanted.into_iter().map(quiet).collect()
}

/// "the spark plug is off, the coil is undone and 4 others".
fn what_is_open(tell: Tell<'_>, things: &[ThingNo]) -> String {
    let one = |&thing: &ThingNo| format!("the {} is {}", tell.name(thing), tell.stands(thing));
    let mut texts: Vec<String> = things.iter().take(NAMED_MAX).map(one).collect();
    match things.len().saturating_sub(NAMED_MAX) {
        0 => {}
        1 => texts.push("another one".to_owned()),
        more => texts.push(format!("{more} others")),
    }
    words::and(&texts)
}

/// What stood in the way of an action that was recorded all the same.
fn in_the_way(case: &Case, before: &Live, after: &Live, recorded: &Recorded) -> Vec<Quiet> {
    let kernel = &case.kernel;
    let name = recorded.event.thing.as_deref();
    let Some(thing) = name.and_then(|name| kernel.find(name)) else { return Vec::new() };
    let opens = !before.open.has(thing) && after.open.has(thing);
    let closes = before.open.has(thing) && !after.open.has(thing);
    if !opens && !closes {
        return Vec::new();
    }
    let verb = StepVerb::of(kernel.thing(thing).kind, opens);
    let step = Todo { verb, thing, way: 0 };
    let Some((_, against)) = before.stand(case).best(kernel, &step) else { return Vec::new() };
    let mut texts = Vec::new();
    // What the same entry has opened or closed was not in its way.
    let of_entry = |blocker: &Blocker| match *blocker {
        Blocker::HeldBy(other) | Blocker::NotClear(other) => {
            let changed = before.open.has(other) != after.open.has(other);
            changed && !after.not_recorded.has(other)
        }
        _ => false,
    };
    for blocker in against.into_iter().filter(|blocker| !of_entry(blocker)) {
        texts.extend(in_the_way_text(case, before, kernel, thing, opens, blocker));
    }
    let quiet = |text| Quiet {
        kind: QuietKind::OutOfOrder,
        text,
        thing: Some(kernel.name(thing).to_owned()),
        seq: Some(recorded.seq),
    };
    texts.into_iter().map(quiet).collect()
}

fn in_the_way_text(
    case: &Case,
    before: &Live,
    kernel: &Kernel,
    thing: ThingNo,
    opens: bool,
    blocker: Blocker,
) -> Option<String> {
    let tell = Tell { case, live: before, kept: &KeptPlan::default() };
    let it = kernel.name(thing);
    match blocker {
        Blocker::HeldBy(tie) => Some(format!(
            "The {it} is recorded off, but the {} {} never recorded: taken as undone until \
             somebody says.",
            tell.counted(tie),
            if Book::of(case).count(tie) == 1 { "was" } else { "were" },
        )),
        Blocker::NotClear(other) if opens => Some(format!(
            "The {} in front of the {it} is not recorded {}: if it is, record that too.",
            kernel.name(other),
            tell.open_word(other),
        )),
        Blocker::NotClear(other) => Some(format!(
            "The {} was in the way of the {it} and is not recorded {}: look at it once more.",
            kernel.name(other),
            tell.open_word(other),
        )),
        // Said as long as they last: hidden things and conditions not in force.
        _ => None,
    }
}

/// Two people who recorded different things without having seen each other's.
fn disagreements(case: &Case, records: &[Recorded], live: &Live) -> Vec<Quiet> {
    let said = |seq: u64| {
        let recorded = seq.checked_sub(1).and_then(|at| records.get(usize::try_from(at).ok()?));
        recorded.map_or_else(
            || "something else".to_owned(),
            |r| {
                let who = r.event.person.as_deref().unwrap_or(&r.event.sender);
                format!("{who}: {}", crate::record::event_text(case, &r.event))
            },
        )
    };
    let quiet = |d: &lastbolt_ledger::Disagreement| Quiet {
        kind: QuietKind::Disagreement,
        text: format!(
            "Two records differ about the {}. {}. {}. The later one counts until somebody \
             records how it really is.",
            d.thing,
            said(d.first),
            said(d.second)
        ),
        thing: Some(d.thing.clone()),
        seq: Some(d.second),
    };
    live.state.disagreements().map(quiet).collect()
}
