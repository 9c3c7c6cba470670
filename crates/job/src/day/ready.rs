//! Make ready: how each condition was brought about, and by whom.

use lastbolt_machine::{Kind, Ref, ThingNo};

use crate::case::Written;
use crate::day::{Ask, group};
use crate::view::PointGroup;
use crate::words;

/// The groups of the stage.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let (book, live) = (ask.book(), &ask.picture.now.live);
    let kernel = book.kernel;
    let mut points = Vec::new();
    for thing in kernel.all().filter(|&thing| kernel.thing(thing).kind == Kind::Prep) {
        let Written::Prep(prep) = book.written(thing) else { continue };
        let Some(question) = prep.ask.as_ref().map(Ref::name) else { continue };
        if live.open.has(thing) {
            let name = kernel.name(thing);
            let text = format!("{}: {question}", words::large(name));
            let point = ask.point("ready.how", Some(name), &text);
            points.push(point.asks("Keep the answer", question).done());
        }
    }
    vec![waits(ask), group("How was it done", points)]
}

/// What runs by itself meanwhile.
fn waits(ask: &Ask<'_>) -> PointGroup {
    let (kernel, live) = (&ask.picture.case.kernel, &ask.picture.now.live);
    let runs = |&thing: &ThingNo| {
        let since = live.mark(kernel, thing).map_or(i64::MAX, |mark| mark.said_at_ms);
        let wait = kernel.thing(thing).wait.0.saturating_mul(60);
        kernel.thing(thing).kind == Kind::Prep
            && live.open.has(thing)
            && since.saturating_add(wait) > ask.now_ms
    };
    let line = |thing: ThingNo| format!("{} runs by itself.", words::large(kernel.name(thing)));
    PointGroup {
        lines: kernel.all().filter(runs).map(line).collect(),
        ..group("Meanwhile", Vec::new())
    }
}
