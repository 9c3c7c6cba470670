//! Size up: what is wrong, what was decided, what will prove it cured, what comes off and why,
//! hazards, what to buy and borrow, the owner's yes.

use lastbolt_ledger::{More, Verb};
use lastbolt_machine::Minutes;

use crate::day::{Ask, group};
use crate::hazards::{MAKER_WINS, TABLE};
use crate::view::{Point, PointGroup, Said, Stage, Tap};
use crate::words;

mod buy;
mod comes_off;
mod missing;
mod owner;
mod wanted;

use wanted::Wanted;

/// The most things that one hazard names.
const NAMED_MAX: usize = 6;

/// The groups of the stage.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let wanted = Wanted::of(ask);
    let mut all = vec![wrong(ask), decided(ask), proof(ask), hours(ask)];
    all.push(comes_off::group(ask, &wanted));
    all.push(hazards(ask, &wanted));
    all.extend(buy::groups(ask, &wanted));
    all.extend(owner::groups(ask));
    all
}

/// Something that is kept in words: what the button says, the kind, the question.
pub(crate) fn keeps(text: &str, kind: &str, question: &str) -> Tap {
    let more = More { kind: Some(kind.to_owned()), ..More::default() };
    let said = Said { more: Some(more), ..Said::new(Verb::Noted) };
    Tap { text: text.to_owned(), said, asks: Some(question.to_owned()), main: false }
}

/// A question that is answered by something kept in words; settled once there is some.
fn asked(ask: &Ask<'_>, id: &str, question: &str, tap: Tap, is_there: bool) -> Point {
    let draft = ask.point(id, None, question);
    let said = draft.is_said();
    draft.says(tap).settled(is_there || said).done()
}

fn wrong(ask: &Ask<'_>) -> PointGroup {
    let job = &ask.picture.case.model.job;
    let mut lines: Vec<String> = job.complaint.iter().map(|text| text.value.clone()).collect();
    lines.extend(ask.kept("complaint").map(|kept| kept.text.clone()));
    lines.extend(ask.kept("symptom").map(|kept| format!("Symptom: {}", kept.text)));
    lines.extend(ask.kept("code").map(|kept| format!("Code: {}", kept.text)));
    let tap = keeps("Keep it", "complaint", "In the owner's words");
    let point = asked(ask, "size.wrong", "What is wrong?", tap, !lines.is_empty());
    let taps = vec![
        keeps("Add a symptom", "symptom", "What is seen, heard, smelt, and when?"),
        keeps("Add a code", "code", "The code, as it is read, and what it stands for"),
    ];
    let points = if point.settled { Vec::new() } else { vec![point] };
    PointGroup { lines, taps, ..group("What is wrong", points) }
}

fn decided(ask: &Ask<'_>) -> PointGroup {
    let job = &ask.picture.case.model.job;
    let mut lines: Vec<String> = job.decided.iter().map(|text| text.value.clone()).collect();
    lines.extend(ask.kept("decided").map(|kept| kept.text.clone()));
    let tap = keeps("Keep it", "decided", "What is done, and what not");
    let is_there = !lines.is_empty();
    let points = vec![asked(ask, "size.decided", "What was decided?", tap, is_there)];
    let taps = vec![keeps("Decide more", "decided", "What else was decided?")];
    let (points, taps) = if is_there { (Vec::new(), taps) } else { (points, Vec::new()) };
    PointGroup { lines, taps, ..group("What was decided", points) }
}

fn proof(ask: &Ask<'_>) -> PointGroup {
    let job = &ask.picture.case.model.job;
    let mut lines: Vec<String> = job.proof.iter().map(|text| text.value.clone()).collect();
    lines.extend(ask.kept("proof").map(|kept| kept.text.clone()));
    let question = "What will be seen, heard or measured when it is cured?";
    let is_there = !lines.is_empty();
    let tap = keeps("Keep it", "proof", question);
    let point = asked(ask, "size.proof", "What will prove it cured?", tap, is_there);
    let detail = "It is asked again before the road, word for word.".to_owned();
    let points = vec![Point { detail: vec![detail], ..point }];
    let taps = vec![keeps("Another proof", "proof", question)];
    let (points, taps) = if is_there { (Vec::new(), taps) } else { (points, Vec::new()) };
    PointGroup { lines, taps, ..group("What will prove it cured", points) }
}

/// "About 5 h 20 of work": as first planned.
fn hours(ask: &Ask<'_>) -> PointGroup {
    let planned = &ask.picture.now.kept.planned;
    let all: Minutes = planned.iter().copied().sum();
    let mut lines = Vec::new();
    if all > Minutes::ZERO {
        let stages = Stage::ALL.iter().zip(planned).filter(|(_, min)| **min > Minutes::ZERO);
        let stages: Vec<String> = stages
            .map(|(stage, minutes)| format!("{} {}", stage.word(), words::about(*minutes)))
            .collect();
        lines.push(format!("{} of work.", words::large(&words::about(all))));
        lines.push(format!("{}.", words::large(&stages.join(", "))));
        lines
            .push("Such minutes are good to plus or minus half; waits are not in them.".to_owned());
    }
    PointGroup { lines, ..group("Hours", Vec::new()) }
}

/// Hazards of the job by kind, each with what it counts at.
fn hazards(ask: &Ask<'_>, wanted: &Wanted) -> PointGroup {
    let found = wanted.hazards(ask);
    let mut lines = Vec::new();
    for hazard in TABLE {
        let Some(at) = found.get(hazard.id) else { continue };
        let more = at.len().saturating_sub(NAMED_MAX);
        let named = at.iter().take(NAMED_MAX).cloned().collect::<Vec<_>>().join(", ");
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        lines.push(format!("{} Here: {named}{more}.", hazard.sentence()));
    }
    if !lines.is_empty() {
        lines.push(MAKER_WINS.to_owned());
    }
    PointGroup { lines, ..group("Hazards of this job", Vec::new()) }
}
