//! On the page of the plan: the ways in as rows, and wishes as taps.

use lastbolt_job::{WayRow, Wishes, large};
use maud::{Markup, html};

use crate::pages::bits;
use crate::room::Room;
use crate::size_up::SizeUp;

/// The ways in, what is wished for, and what could be.
pub(crate) fn rows(room: &Room, sized: &SizeUp) -> Markup {
    let wishes = &sized.wishes;
    html! {
        @if !sized.ways.is_empty() {
            section data-part="ways" {
                h2 { "Ways in" }
                ul.rows.plan-rows {
                    @for way in &sized.ways { (self::way(room, wishes, way)) }
                }
            }
        }
        section data-part="wishes" {
            @if !wishes.is_empty() {
                h2 { "Wished for" }
                ul.rows.plan-rows { (kept(room, wishes)) }
            }
            @if !sized.places.is_empty() {
                details {
                    summary.row { span.what { "Not from a place" } }
                    ul.rows.plan-rows {
                        @for place in &sized.places {
                            @let text = format!("Not {}", bits::place(place));
                            (tap(room, &with(wishes, |w| &mut w.not_from, place), &text))
                        }
                    }
                }
            }
            @if !sized.leave.is_empty() {
                details {
                    summary.row { span.what { "Leave something alone" } }
                    ul.rows.plan-rows {
                        @for part in &sized.leave {
                            @let text = format!("Leave the {part} alone");
                            (tap(room, &with(wishes, |w| &mut w.leave, part), &text))
                        }
                    }
                }
            }
        }
    }
}

fn way(room: &Room, wishes: &Wishes, way: &WayRow) -> Markup {
    let from = match way.from.as_slice() {
        [] => "From wherever one stands".to_owned(),
        from => {
            let from: Vec<String> = from.iter().map(|place| bits::place(place)).collect();
            large(&from.join(", "))
        }
    };
    let off = match way.off.len() {
        1 => "1 part comes off".to_owned(),
        count => format!("{count} parts come off"),
    };
    let breaks = if way.breaks.is_empty() { "nothing".to_owned() } else { way.breaks.join(", ") };
    let mut all = wishes.clone();
    all.leave.extend(way.without.leave.iter().cloned());
    all.without.extend(way.without.without.iter().cloned());
    all.not_from.extend(way.without.not_from.iter().cloned());
    html! {
        li {
            a.row href=(address(room, &all)) {
                span.what { (from) }
                span.stands { (bits::about(way.minutes)) }
                span.where { (off) "; breaks: " (breaks) }
                @if !way.renews.is_empty() {
                    span.where { "new: " (way.renews.join(", ")) }
                }
            }
            @if !way.cautions.is_empty() {
                details {
                    summary.row { span.what { (cautions(way.cautions.len())) } }
                    @for caution in &way.cautions { (bits::caution(caution)) }
                }
            }
        }
    }
}

/// They stand at their steps too; here they are for comparing the ways.
fn cautions(count: usize) -> String {
    match count {
        1 => "1 caution this way".to_owned(),
        count => format!("{count} cautions this way"),
    }
}

/// What is wished for, each with a tap that takes it back.
fn kept(room: &Room, wishes: &Wishes) -> Markup {
    html! {
        @for name in &wishes.leave {
            @let text = format!("Leave the {name} alone: take that back");
            (tap(room, &without(wishes, |w| &mut w.leave, name), &text))
        }
        @for name in &wishes.not_from {
            @let text = format!("Not {}: take that back", bits::place(name));
            (tap(room, &without(wishes, |w| &mut w.not_from, name), &text))
        }
        @for name in &wishes.without {
            @let text = format!("Without {name}: take that back");
            (tap(room, &without(wishes, |w| &mut w.without, name), &text))
        }
    }
}

fn tap(room: &Room, wishes: &Wishes, text: &str) -> Markup {
    html! {
        li { a.row href=(address(room, wishes)) { span.what { (text) } } }
    }
}

type List = fn(&mut Wishes) -> &mut Vec<String>;

fn with(wishes: &Wishes, list: List, name: &str) -> Wishes {
    let mut wishes = wishes.clone();
    list(&mut wishes).push(name.to_owned());
    wishes
}

fn without(wishes: &Wishes, list: List, name: &str) -> Wishes {
    let mut wishes = wishes.clone();
    list(&mut wishes).retain(|other| other != name);
    wishes
}

fn address(room: &Room, wishes: &Wishes) -> String {
    let named = |key: &'static str, names: &[String]| {
        names.iter().map(move |name| format!("{key}={}", bits::percent(name))).collect::<Vec<_>>()
    };
    let mut all = named("leave", &wishes.leave);
    all.extend(named("without", &wishes.without));
    all.extend(named("not-from", &wishes.not_from));
    let mark = if all.is_empty() { "" } else { "?" };
    format!("/job/{}/plan{mark}{}", room.id, all.join("&"))
}
