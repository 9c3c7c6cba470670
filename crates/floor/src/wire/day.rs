//! The day around the work as JSON.

use lastbolt_job::view::{Day, Point, PointGroup, StageView};
use serde_json::{Value, json};

use crate::wire::VERSION;
use crate::wire::matters::tap;
use crate::wire::screen::wait;

/// Gives the day.
pub(crate) fn day(day: &Day) -> Value {
    json!({ "version": VERSION, "stages": day.stages.iter().map(stage).collect::<Vec<_>>() })
}

fn stage(view: &StageView) -> Value {
    json!({
        "stage": view.stage.word(),
        "open": view.open(),
        "groups": view.groups.iter().map(group).collect::<Vec<_>>(),
    })
}

fn group(group: &PointGroup) -> Value {
    json!({
        "heading": group.heading,
        "lines": group.lines,
        "clocks": group.clocks.iter().map(wait).collect::<Vec<_>>(),
        "points": group.points.iter().map(point).collect::<Vec<_>>(),
        "taps": group.taps.iter().map(tap).collect::<Vec<_>>(),
    })
}

pub(crate) fn point(point: &Point) -> Value {
    let answer = point.said.as_ref().map(|said| {
        json!({
            "answer": said.answer, "person": said.person, "said_at_ms": said.said_at_ms,
            "event": said.event,
        })
    });
    json!({
        "point": point.id,
        "thing": point.thing,
        "text": point.text,
        "detail": point.detail,
        "cautions": point.cautions,
        "photos": point.photos,
        "settled": point.settled,
        "before": point.before.map(lastbolt_job::view::DayGate::name),
        "said": answer,
        "taps": point.taps.iter().map(tap).collect::<Vec<_>>(),
    })
}
