//! A photo over the full width, with paper tags on what is marked there.

use lastbolt_job::view::Screen;
use lastbolt_job::{Beside, Photo, Picture, Pin, before_photo, photos};
use maud::{Markup, html};

use crate::pages::bits;
use crate::room::Room;

/// Where the wire of a tag ends: that point lies on what is marked.
const END: (i32, i32) = (33, 4);

/// The address of a photo's file.
pub(crate) fn file_address(room: &Room, photo: &Photo) -> String {
    format!("/job/{}/photo/{}", room.id, photo.photo)
}

/// The address of a photo's page.
pub(crate) fn page_address(room: &Room, photo: &Photo) -> String {
    format!("/job/{}/photo?photo={}", room.id, photo.photo)
}

/// Draws a photo with tags. `here` is a thing whose tag is drawn larger, `new` a place on it that
/// was tapped and is nobody's yet.
pub(crate) fn shot(
    room: &Room,
    photo: &Photo,
    pins: &[&Pin],
    here: Option<&str>,
    new: Option<(u16, u16)>,
) -> Markup {
    html! {
        figure.shot data-shot="" {
            img src=(file_address(room, photo)) alt=(in_words(photo));
            svg.on-photo aria-hidden="true" {
                @for pin in pins { (mark(pin, here == Some(pin.thing.as_str()))) }
                @if let Some((x, y)) = new {
                    svg.mark x=(percent(x)) y=(percent(y)) width="1" height="1" {
                        circle.ring r="17" {}
                        circle.point r="4" {}
                    }
                }
            }
        }
    }
}

/// Draws a photo with a ring on each screw that is marked: tags would cover each other. `record` is
/// what a tap on it records, but for the place; empty: nothing.
pub(crate) fn screws_on(room: &Room, photo: &Photo, marks: &[&Pin], record: &str) -> Markup {
    html! {
        figure.shot data-shot="" data-screws=(record) {
            img src=(file_address(room, photo)) alt=(in_words(photo));
            svg.on-photo aria-hidden="true" {
                @for pin in marks {
                    svg.mark x=(percent(pin.x)) y=(percent(pin.y)) width="1" height="1" {
                        circle.ring r="11" {}
                        circle.point r="4" {}
                    }
                }
            }
        }
    }
}

/// What a photo shows, for those who cannot see it.
fn in_words(photo: &Photo) -> String {
    let marked: Vec<&str> = photo.pins.iter().map(|pin| pin.text.as_str()).collect();
    match (photo.of.join(", "), marked.join(", ")) {
        (of, marked) if of.is_empty() && marked.is_empty() => "Photo".to_owned(),
        (of, marked) if marked.is_empty() => format!("Photo of {of}"),
        (_, marked) => format!("Photo; marked on it: {marked}"),
    }
}

fn mark(pin: &Pin, is_here: bool) -> Markup {
    // Near an edge the tag hangs to the other side, so that all of it is seen.
    let across = match pin.x {
        0..=140 => 0,
        940.. => 44,
        _ => END.0,
    };
    let (across, down) = if pin.y > 740 { (across, 50) } else { (across, END.1) };
    let fill = pin.tag.as_ref().map_or("hollow", bits::fill);
    let (width, height) = if is_here { (60, 66) } else { (44, 48) };
    let class = format!("tag mark {fill}{}", if is_here { " here" } else { "" });
    html! {
        svg class=(class) x=(percent(pin.x)) y=(percent(pin.y)) width=(width) height=(height)
            viewBox={ (across) " " (down) " 44 48" } preserveAspectRatio="xMinYMin" {
            @if let Some(tag) = &pin.tag { (bits::drawn(tag)) }
            circle.point cx=(across) cy=(down) r="4" {}
        }
    }
}

fn percent(thousandths: u16) -> String {
    format!("{}.{}%", thousandths / 10, thousandths % 10)
}

/// The photo beside a step of putting back: what it looked like, with what is still off.
pub(crate) fn beside(room: &Room, picture: &Picture, screen: &Screen) -> Markup {
    let card = screen.next.as_ref().filter(|card| !card.line.verb.opens());
    let thing = card.map(|card| card.line.thing.as_str());
    let all = if thing.is_some() { photos(picture) } else { Vec::new() };
    let Some((thing, (photo, why))) =
        thing.and_then(|thing| Some((thing, before_photo(picture, &all, thing)?)))
    else {
        return html! {};
    };
    let pins: Vec<&Pin> = photo.pins.iter().filter(|pin| pin.open || pin.thing == thing).collect();
    html! {
        div.before data-before="" {
            a href=(page_address(room, photo)) { (shot(room, photo, &pins, Some(thing), None)) }
            p.quiet { (because(why)) ", " (bits::time(photo.at_ms)) }
        }
    }
}

fn because(why: Beside) -> &'static str {
    match why {
        Beside::Marked => "Photo with its mark",
        Beside::Of => "Photo of it",
        Beside::Near => "Photo of what goes with it",
        Beside::Last => "The last photo before it came off",
    }
}
