//! The working screen as JSON.

use lastbolt_job::view::{
    ActionCard, Button, Caution, CautionFrom, KindCount, NotRecorded, OpenLine, PassedLook, Prompt,
    PromptKind, Quiet, Screen, StepLine, Tag, ThingLine, ThingRef, ThingSort, WaitLine,
};
use serde_json::{Value, json};

use crate::wire::day::point;
use crate::wire::matters::{self, matter, tap};
use crate::wire::{VERSION, minutes};

/// Gives the working screen.
pub(crate) fn screen(screen: &Screen) -> Value {
    json!({
        "version": VERSION,
        "seen": screen.seen,
        "machine": screen.machine,
        "purpose": screen.purpose,
        "phase": screen.phase.word(),
        "heading": screen.heading,
        "given_up": screen.given_up,
        "more_may_come_off": screen.more_may_come_off,
        "list_may_change": screen.list_may_change,
        "at": screen.at,
        "holding": screen.holding,
        "next": screen.next.as_ref().map(card),
        "next_to_that": all(&screen.next_to_that, step),
        "rest": all(&screen.rest, step),
        "counts": all(&screen.counts, count),
        "still_off": {
            "text": screen.still_off.text,
            "lines": all(&screen.still_off.lines, open_line),
        },
        "bench": all(&screen.bench, step),
        "waits": all(&screen.waits, wait),
        "not_answered": all(&screen.not_answered, point),
        "not_recorded": all(&screen.not_recorded, not_recorded),
        "quiet": all(&screen.quiet, quiet),
        "passed_looks": all(&screen.passed_looks, passed_look),
        "matters": matters::all(&screen.matters),
        "minutes_left": minutes(screen.minutes_left),
        "bound": minutes(screen.bound),
        "things": all(&screen.things, thing),
        "last": screen.last.as_ref().map(|last| json!({
            "id": last.event, "seq": last.seq, "text": last.text, "thing": last.thing,
        })),
    })
}

fn all<T>(items: &[T], one: impl Fn(&T) -> Value) -> Vec<Value> {
    items.iter().map(one).collect()
}

/// What a button records.
pub(crate) fn button(button: &Button) -> Value {
    json!({
        "text": button.text,
        "main": button.main,
        "verb": button.draft.verb.as_str(),
        "thing": button.draft.thing,
        "spot": button.draft.spot,
        "tool": button.draft.tool,
    })
}

fn tag(tag: &Tag) -> Value {
    json!({ "number": tag.number, "shape": tag.shape.word(), "fill": tag.fill.word() })
}

fn step(line: &StepLine) -> Value {
    json!({
        "verb": line.verb.word(),
        "thing": line.thing,
        "text": line.text,
        "from": line.from,
        "tool": line.tool,
        "minutes": minutes(line.minutes),
        "guessed": line.guessed,
        "tag": line.tag.as_ref().map(tag),
        "bench": line.bench,
        "before": line.before,
        "asks_first": line.asks_first,
    })
}

fn sort(sort: ThingSort) -> &'static str {
    match sort {
        ThingSort::Part => "part",
        ThingSort::Fixing => "fixing",
        ThingSort::MakeReady => "make_ready",
    }
}

fn caution(caution: &Caution) -> Value {
    let from = match caution.from {
        CautionFrom::Spot => "place",
        CautionFrom::Thing => "thing",
        CautionFrom::MakeReady => "make_ready",
    };
    json!({ "text": caution.text, "of": caution.of, "from": from })
}

fn thing_ref(thing: &ThingRef) -> Value {
    json!({ "thing": thing.thing, "text": thing.text, "tag": thing.tag })
}

fn prompt(prompt: &Prompt) -> Value {
    let kind = match prompt.kind {
        PromptKind::LastLook => "last_look",
        PromptKind::MadeUnseen => "made_unseen",
        PromptKind::TestFirst => "test_first",
        PromptKind::LeakLook => "leak_look",
    };
    json!({ "kind": kind, "text": prompt.text, "before": prompt.before })
}

fn card(card: &ActionCard) -> Value {
    let mut value = step(&card.line);
    let more = json!({
        "sort": sort(card.sort),
        "kind": card.kind,
        "pieces": card.pieces,
        "pieces_done": card.pieces_done,
        "buttons": all(&card.buttons, button),
        "off_first": all(&card.off_first, thing_ref),
        "not_yet": card.not_yet,
        "also": card.also,
        "cautions": all(&card.cautions, caution),
        "who": card.who,
        "mark": card.mark,
        "sits": card.sits,
        "wetted": card.wetted,
        "support": card.support,
        "rounds": card.rounds,
        "renew": card.renew,
        "notes": card.notes,
        "ask": card.ask,
        "label": card.label,
        "by_feel": card.by_feel,
        "bears": card.bears,
        "people": card.people,
        "lift": card.lift,
        "change": minutes(card.change),
        "wait": minutes(card.wait),
        "then_wait": card.then_wait,
        "asks_first": card.asks_first.as_ref().map(point),
        "prompt": card.prompt.as_ref().map(prompt),
        "first_out": all(&card.first_out, matter),
        "put_back": card.put_back,
        "leave_alone": card.leave_alone,
        "wants_picture": card.wants_picture,
        "taps": all(&card.taps, tap),
    });
    if let (Value::Object(value), Value::Object(more)) = (&mut value, more) {
        value.extend(more);
    }
    value
}

fn count(count: &KindCount) -> Value {
    let between = count.between.iter().map(|(word, pieces)| (word.clone(), json!(pieces)));
    json!({
        "kind": count.kind,
        "done": count.done,
        "all": count.all,
        "between": Value::Object(between.collect()),
        "text": count.text,
    })
}

fn open_line(line: &OpenLine) -> Value {
    json!({
        "thing": line.thing,
        "text": line.text,
        "stands": line.stands,
        "place": line.place,
        "pieces": line.pieces,
        "tag": line.tag.as_ref().map(tag),
    })
}

pub(crate) fn wait(wait: &WaitLine) -> Value {
    json!({
        "thing": wait.thing,
        "text": wait.text,
        "from_ms": wait.from_ms,
        "until_ms": wait.until_ms,
    })
}

fn not_recorded(line: &NotRecorded) -> Value {
    json!({
        "thing": line.thing,
        "text": line.text,
        "buttons": all(&line.buttons, button),
        "tag": line.tag.as_ref().map(tag),
    })
}

fn quiet(quiet: &Quiet) -> Value {
    json!({
        "kind": quiet.kind.word(),
        "text": quiet.text,
        "thing": quiet.thing,
        "seq": quiet.seq,
    })
}

fn passed_look(look: &PassedLook) -> Value {
    json!({
        "thing": look.thing,
        "text": look.text,
        "costs": look.costs.map(minutes),
        "button": button(&look.button),
        "tag": look.tag.as_ref().map(tag),
    })
}

fn thing(line: &ThingLine) -> Value {
    json!({
        "thing": line.thing,
        "sort": sort(line.sort),
        "kind": line.kind,
        "pieces": line.pieces,
        "text": line.text,
        "stands": line.stands,
        "open": line.open,
        "place": line.place,
        "tag": line.tag.as_ref().map(tag),
        "in_plan": line.in_plan,
        "buttons": all(&line.buttons, button),
        "taps": all(&line.taps, tap),
        "put_back": line.put_back,
    })
}
