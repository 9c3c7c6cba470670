//! Waits that run in the background, and what may be done meanwhile.

use lastbolt_machine::{Kind, ThingNo};

use crate::day::{Ask, group as headed};
use crate::view::{Point, PointGroup};
use crate::waits::{self, OVER, POINT, Wait};
use crate::walk::Todo;
use crate::words;

/// The most steps that are named.
const STEPS_MAX: usize = 6;
/// The most waits that are named in one line.
const NAMED_MAX: usize = 2;

/// What runs, its clock, and the steps that do not need it.
pub(crate) fn group(ask: &Ask<'_>, list: &[Todo]) -> PointGroup {
    let (book, live) = (ask.book(), &ask.picture.now.live);
    let waits = book.kernel.all().filter_map(|thing| waits::of_thing(book, live, thing));
    let runs: Vec<Wait> = waits.filter(|wait| wait.runs(ask.now_ms)).collect();
    let preps = runs.iter().map(|wait| wait.thing);
    let preps: Vec<ThingNo> =
        preps.filter(|&thing| book.kernel.thing(thing).kind == Kind::Prep).collect();
    let lines = may_be_done(ask, list, &preps);
    PointGroup {
        clocks: runs.iter().map(|wait| wait.line(book)).collect(),
        lines,
        ..headed("Meanwhile", runs.iter().map(|wait| point(ask, wait)).collect())
    }
}

/// The maker's minutes, or that the wait is over.
fn point(ask: &Ask<'_>, wait: &Wait) -> Point {
    let name = ask.book().kernel.name(wait.thing);
    let text = format!("{}: how long does its maker want the wait?", words::large(name));
    ask.point(POINT, Some(name), &text)
        .asks("Keep the minutes", "The maker's wait, in minutes")
        .choice("It is over", OVER)
        .settled(wait.makers.is_some())
        .done()
}

/// The steps of the list that can be done while conditions are still waited for, in words: those
/// that need none of them; where there are none, those that do not need the one or the other.
fn may_be_done(ask: &Ask<'_>, list: &[Todo], waited: &[ThingNo]) -> Vec<String> {
    let all = steps_without(ask, list, waited);
    match waited {
        [] => Vec::new(),
        [_] => vec![line(ask, waited, &all)],
        _ if !all.is_empty() => vec![line(ask, waited, &all)],
        _ => {
            let one = |&thing: &ThingNo| line(ask, &[thing], &steps_without(ask, list, &[thing]));
            waited.iter().map(one).collect()
        }
    }
}

/// "While "battery isolated" and 2 more run: leg screws: 4 screws out; and 3 more."
fn line(ask: &Ask<'_>, waited: &[ThingNo], titles: &[String]) -> String {
    let kernel = &ask.picture.case.kernel;
    let mut names: Vec<String> =
        waited.iter().take(NAMED_MAX).map(|&it| format!("\"{}\"", kernel.name(it))).collect();
    if waited.len() > names.len() {
        names.push(format!("{} more", waited.len() - names.len()));
    }
    let (names, run) = (words::and(&names), if waited.len() == 1 { "runs" } else { "run" });
    if titles.is_empty() {
        return format!("While {names} {run}, nothing else on the list can be done.");
    }
    let more = titles.len().saturating_sub(STEPS_MAX);
    let named = titles.iter().take(STEPS_MAX).cloned().collect::<Vec<_>>().join("; ");
    let more = if more > 0 { format!("; and {more} more") } else { String::new() };
    format!("While {names} {run}: {named}{more}.")
}

fn steps_without(ask: &Ask<'_>, list: &[Todo], waited: &[ThingNo]) -> Vec<String> {
    let (case, live) = (&ask.picture.case, &ask.picture.now.live);
    let (book, kernel) = (ask.book(), &case.kernel);
    let mut stand = live.stand(case).with_forbids(kernel);
    for &thing in waited {
        stand.open = stand.open.without(thing);
    }
    let mut titles = Vec::new();
    let mut opened = kernel.no_things();
    for todo in list.iter().filter(|todo| !waited.contains(&todo.thing)) {
        let asked = crate::pressure::before_step(case, live, todo).is_some();
        // What is opened meanwhile is not put back meanwhile.
        let is_back = !todo.verb.opens() && opened.has(todo.thing);
        if let Some(todo) = stand.fit(kernel, todo).filter(|_| !asked && !is_back) {
            stand.apply(kernel, &todo);
            opened.add(todo.thing);
            titles.push(book.title(&todo, None));
        }
    }
    titles
}
