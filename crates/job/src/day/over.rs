//! Hand over: what falls due later, and is asked again when Lastbolt is opened next.

use std::sync::Arc;

use lastbolt_ledger::{Kept, Recorded, Standing};
use lastbolt_machine::{Back, Kind, Ref, ThingNo};

use crate::advance::Now;
use crate::case::{Book, Case, Written};
use crate::day::{Ask, group};
use crate::joint::THREAD_REPAIR;
use crate::kept::KeptPlan;
use crate::live::Live;
use crate::matters::Matters;
use crate::picture::{Picture, see};
use crate::view::{Point, PointGroup};
use crate::words;

/// Begins what falls due in a note of a machine file: "Due: wheel screws after 50 km".
const DUE: &str = "due:";
/// The answer after which it is asked again.
const NOT_YET: &str = "not yet";
/// The most lines that are asked.
const DUE_MAX: usize = 60;

/// The groups of the stage.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    vec![group("Falls due later", due(ask))]
}

/// Gives what falls due of a job and is not answered. Needs no list, so it is quick; `now_ms` is
/// the time of day \[ms since 1970, UTC\].
pub fn due_of(base: &Arc<Case>, records: &[Recorded], now_ms: i64) -> Vec<Point> {
    let (case, drawn) = see(base, records);
    let plain = drawn.as_ref().map_or(records, |drawn| drawn.plain.as_slice());
    let now = Now {
        live: Live::of(&case, plain),
        kept: KeptPlan::default(),
        look_costs: std::collections::BTreeMap::new(),
        matters: Matters::of(plain),
        at_least: lastbolt_machine::Minutes::ZERO,
    };
    let records = records.to_vec();
    let picture = Picture { base: base.clone(), case, records, drawn, now, garage: None };
    let ask = Ask::of(&picture, now_ms);
    due(&ask).into_iter().filter(|point| !point.settled).collect()
}

/// Everything that falls due, answered or not.
pub(crate) fn due(ask: &Ask<'_>) -> Vec<Point> {
    let said = ask.kept("recheck").map(|kept| {
        point(ask, &format!("due.{}", kept.seq), kept.thing.as_deref(), &kept_text(kept))
    });
    let mut all: Vec<Point> = said.collect();
    all.extend(repaired(ask));
    all.extend(of_machine(ask));
    let (kernel, live) = (&ask.picture.case.kernel, &ask.picture.now.live);
    // What was left off when the job was given up is not used, so nothing of it falls due.
    let is_left_off = |thing| live.state.given_up.is_some() && live.open.has(thing);
    for thing in kernel.all().filter(|&thing| !is_left_off(thing)) {
        if let Some(text) = of_thing(ask, thing) {
            all.push(point(ask, "due.file", Some(kernel.name(thing)), &text));
        }
        if is_not_measured(ask, thing) {
            let text = format!(
                "{}: tightness not measured. Measure it.",
                words::large(kernel.name(thing))
            );
            let open = point(ask, "due.measure", Some(kernel.name(thing)), &text);
            let maker = "Tighten again only where the maker allows it.".to_owned();
            all.push(Point { detail: vec![maker], ..open });
        }
    }
    all.truncate(DUE_MAX);
    all
}

/// A repaired thread is looked at again.
fn repaired<'a>(ask: &'a Ask<'_>) -> impl Iterator<Item = Point> + 'a {
    ask.kept(THREAD_REPAIR).map(|kept| {
        let name = kept.thing.as_deref().unwrap_or("thread");
        let text = format!(
            "{}: thread repaired ({}). Look whether it holds.",
            words::large(name),
            kept.text
        );
        let open = point(ask, &format!("due.thread.{}", kept.seq), kept.thing.as_deref(), &text);
        let maker = "What it may be tightened to with that repair, its maker says.".to_owned();
        Point { detail: vec![maker], ..open }
    })
}

fn point(ask: &Ask<'_>, id: &str, thing: Option<&str>, text: &str) -> Point {
    ask.point(id, thing, text)
        .answer("Done", "done")
        .answer("Not yet", NOT_YET)
        .asks("Forget it", "Why is it not needed?")
        .open_on(&[NOT_YET])
        .alone()
        .done()
}

/// "Wheels, after 50 km".
fn kept_text(kept: &Kept) -> String {
    let of = kept.thing.as_ref().filter(|thing| !kept.text.contains(thing.as_str()));
    let of = of.map(|thing| format!("{thing}: ")).unwrap_or_default();
    let due = kept.more.due.as_ref().filter(|due| !kept.text.contains(due.as_str()));
    let due = due.map(|due| format!(", {due}")).unwrap_or_default();
    words::large(&format!("{of}{}{due}", kept.text))
}

/// What the machine's own note says falls due.
fn of_machine(ask: &Ask<'_>) -> Option<Point> {
    let note = ask.picture.case.model.machine.note.as_ref()?;
    let text = due_in(note.name())?;
    // Before anything was opened nothing falls due of it.
    let touched = ask.picture.now.live.state.last_seq > 0;
    touched.then(|| point(ask, "due.machine", None, &text))
}

/// What the file says falls due of a thing that was opened in this job.
fn of_thing(ask: &Ask<'_>, thing: ThingNo) -> Option<String> {
    let mark = ask.picture.now.live.mark(&ask.picture.case.kernel, thing)?;
    if mark.times_opened == 0 {
        return None;
    }
    let due: Vec<String> = notes(ask.book(), thing).into_iter().filter_map(due_in).collect();
    (!due.is_empty()).then(|| due.join("; "))
}

fn notes(book: Book<'_>, thing: ThingNo) -> Vec<&str> {
    let (ways, back, note) = match book.written(thing) {
        Written::Part(it) => (it.ways.as_ref(), &it.back, it.facts.note.as_ref()),
        Written::Tie(it) => (it.ways.as_ref(), &it.back, it.facts.note.as_ref()),
        Written::Prep(it) => (it.ways.as_ref(), &it.back, it.note.as_ref()),
        Written::SetUp(_) => return Vec::new(),
    };
    let back = if let Back::Ways(ways) = back { ways.as_slice() } else { &[] };
    let of_ways = ways.into_iter().flatten().chain(back).filter_map(|way| way.note.as_ref());
    note.into_iter().chain(of_ways).map(Ref::name).collect()
}

/// What stands after "Due:" in a note, up to the end of its sentence.
fn due_in(note: &str) -> Option<String> {
    let lower = note.to_lowercase();
    let at = lower.find(DUE)?;
    let starts_a_word = !lower[..at].chars().next_back().is_some_and(char::is_alphanumeric);
    let text = note.get(at + DUE.len()..)?;
    let end = text.find(". ").unwrap_or(text.len());
    let text = text[..end].trim().trim_end_matches('.');
    (starts_a_word && !text.is_empty()).then(|| words::large(text))
}

/// Closed in this job, its tightness not measured.
pub(crate) fn is_not_measured(ask: &Ask<'_>, thing: ThingNo) -> bool {
    let kernel = &ask.picture.case.kernel;
    let live = &ask.picture.now.live;
    let Some(mark) = live.mark(kernel, thing) else { return false };
    let rounds = live.state.rounds.get(kernel.name(thing));
    let last_by_hand = rounds.and_then(|rounds| rounds.last()).is_some_and(|last| last.by_hand);
    let is_home = !live.open.has(thing) && !live.loose.has(thing);
    kernel.thing(thing).kind == Kind::Tie
        && is_home
        && (mark.standing == Standing::NotMeasured || last_by_hand)
}

/// The number that was read on the new part, where somebody said it: at the bench, or as a fact.
pub(crate) fn number_of(ask: &Ask<'_>, what: &str) -> Option<String> {
    let state = &ask.picture.now.live.state;
    let of_part = |thing: &Option<String>| thing.as_deref() == Some(what);
    let ticked = state.ticks.iter().filter(|((point, thing), _)| {
        let of_new = point.contains("number") && !point.contains("old");
        point.starts_with("bench.") && of_new && of_part(thing)
    });
    let ticked = ticked.max_by_key(|(_, tick)| tick.seq).map(|(_, tick)| tick.answer.clone());
    let kept = ["part number", "number"].into_iter().flat_map(|kind| ask.kept(kind));
    ticked.or_else(|| kept.filter(|kept| of_part(&kept.thing)).last().map(|kept| kept.text.clone()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn due_stands_in_a_note() {
        let due = |note: &str| due_in(note);
        assert_eq!(
            due("wheels on the ground. Due: wheel screws again after 50 km").as_deref(),
            Some("Wheel screws again after 50 km")
        );
        assert_eq!(due("DUE: level, cold. Then go.").as_deref(), Some("Level, cold"));
        assert_eq!(due("overdue: nothing"), None);
        assert_eq!(due("Due: "), None);
        assert_eq!(due("ß due: für öl").as_deref(), Some("Für öl"));
    }
}
