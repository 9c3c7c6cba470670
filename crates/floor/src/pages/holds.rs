//! "What still holds it?"

use lastbolt_job::view::{HoldLine, Screen, WhatHolds};
use maud::{Markup, html};

use crate::pages::bits;
use crate::pages::sheet::Sheet;
use crate::room::Room;

/// Draws what still holds a thing.
pub(crate) fn page(room: &Room, screen: &Screen, holds: &WhatHolds) -> Markup {
    let inner = html! {
        @if let Some(by) = &holds.by { p.from { (by) } }
        @if !holds.lines.is_empty() { ul.rows { (lines(room, &holds.lines)) } }
        a.ask href=(bits::thing_address(room, &holds.thing)) data-sheet {
            "All about: " (holds.thing)
        }
    };
    Sheet::new("holds", &holds.heading).draw(room, screen, &inner)
}

fn lines(room: &Room, all: &[HoldLine]) -> Markup {
    html! {
        @for line in all {
            li {
                @if let Some(thing) = &line.thing {
                    a.row href=(bits::thing_address(room, thing)) data-sheet {
                        @if let Some(number) = line.tag { span.number { (number) } }
                        span.what { (line.text) }
                    }
                } @else {
                    p.row { span.what { (line.text) } }
                }
                @if !line.inner.is_empty() { ul.inner { (lines(room, &line.inner)) } }
            }
        }
    }
}
