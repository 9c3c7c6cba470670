//! Waits that run in the background, and what may be done meanwhile.

use lastbolt_machine::{Kind, ThingNo};

use crate::day::{Ask, group as headed};
use crate::view::{Point, PointGroup};
use crate::waits::{self, OVER, POINT, Wait};
use crate::walk::Todo;
use crate::words;

/// The most steps that are named.
const STEPS_MAX: usize = 6;

/// What runs, its clock, and the steps that do not need it.
pub(crate) fn group(ask: &Ask<'_>, list: &[Todo]) -> PointGroup {
    let (book, live) = (ask.book(), &ask.picture.now.live);
    let waits = book.kernel.all().filter_map(|thing| waits::of_thing(book, live, thing));
    let runs: Vec<Wait> = waits.filter(|wait| wait.runs(ask.now_ms)).collect();
    let mut lines = Vec::new();
    for wait in runs.iter().filter(|wait| book.kernel.thing(wait.thing).kind == Kind::Prep) {
        lines.push(may_be_done(ask, list, wait.thing));
    }
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

/// The steps of the list that can be done without a condition, in words.
fn may_be_done(ask: &Ask<'_>, list: &[Todo], without: ThingNo) -> String {
    let book = ask.book();
    let name = book.kernel.name(without);
    let titles = steps_without(ask, list, without);
    if titles.is_empty() {
        return format!("While \"{name}\" runs, nothing else on the list can be done.");
    }
    let more = titles.len().saturating_sub(STEPS_MAX);
    let named = titles.iter().take(STEPS_MAX).cloned().collect::<Vec<_>>().join("; ");
    let more = if more > 0 { format!("; and {more} more") } else { String::new() };
    format!("While \"{name}\" runs: {named}{more}.")
}

fn steps_without(ask: &Ask<'_>, list: &[Todo], without: ThingNo) -> Vec<String> {
    let (case, live) = (&ask.picture.case, &ask.picture.now.live);
    let (book, kernel) = (ask.book(), &case.kernel);
    let mut stand = live.stand(case).with_forbids(kernel);
    stand.open = stand.open.without(without);
    let mut titles = Vec::new();
    let mut opened = kernel.no_things();
    for todo in list.iter().filter(|todo| todo.thing != without) {
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
