//! One handful, to be named, split, merged, corrected or struck out: later, and in few taps.
//! Nothing is lost from the record by it.

use lastbolt_job::{TakenLine, pieces, taken};
use lastbolt_sketch::{Notes, Sort, Thing};
use maud::{Markup, html};
use serde_json::{Value, json};

use crate::before::kinds;
use crate::pages::bits;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::take::{KINDS_SHOWN, entry_address, head, places};
use crate::room::{Room, Snapshot};

/// Counts that have a button of their own.
const COUNT_BUTTONS: u32 = 12;
/// How many things are offered as being the same.
const SAME_MAX: usize = 12;
/// How many places are offered.
const PLACES_SHOWN: usize = 8;

/// Draws the page of one thing that was entered; none where nobody entered it.
pub(crate) fn page(
    room: &Room,
    picture: &Snapshot,
    name: &str,
    used: &[(String, u64)],
) -> Option<Markup> {
    let notes = &picture.drawn.as_ref()?.notes;
    let thing = notes.named(name)?;
    let screen = &room.screen(picture);
    let (heading, sub) = head(screen);
    let lines = taken(picture);
    let line = lines.iter().find(|line| line.things.iter().any(|one| one.name == thing.name));
    let body = html! {
        (top(&heading, &sub))
        main {
            article.sheet-body.entry data-sheet-body="" {
                div.head {
                    h2.big.long[bits::is_long(&thing.name)] { (thing.name) }
                    a.close href={ "/job/" (room.id) "/take" } data-close="" { "Put away" }
                }
                p.from { (said(thing)) }
                @if let Some(line) = line { (siblings(room, line, &thing.name)) }
                (name_form(&thing.name))
                @if thing.sort == Sort::Tie {
                    (counts(&thing.name, thing.count))
                    (apart(thing))
                    (kind_buttons(&thing.name, &thing.kind, used))
                }
                (place_buttons(thing, &places(picture)))
                a.ask href=(facts_address(room, &thing.name)) data-sheet { "How it goes back" }
                a.ask href=(bits::thing_address(room, &thing.name)) data-sheet {
                    "How it stands, and what holds it"
                }
                (same_as(notes, thing))
                (strike(thing, line))
            }
        }
        (foot(room, "/entry"))
    };
    let title = format!("{}: {}", thing.name, room.title);
    Some(shell(&Page { title: &title, name: "entry", job: Some((room, screen)), body }))
}

/// Draws the page of one thing that stands in the machine file; none where none does. The file
/// stays as it is: the record carries what is corrected.
pub(crate) fn page_in_file(
    room: &Room,
    picture: &Snapshot,
    name: &str,
    used: &[(String, u64)],
) -> Option<Markup> {
    let machine = &picture.case.model.machine;
    let tie = machine.ties.iter().find(|tie| tie.id.name() == name);
    if tie.is_none() && !machine.parts.iter().any(|part| part.id.name() == name) {
        return None;
    }
    let screen = &room.screen(picture);
    let (heading, sub) = head(screen);
    let count = tie.and_then(|tie| tie.count.as_ref()).map_or(1, |count| count.value);
    let kind = tie.and_then(|tie| tie.kind.as_ref()).map_or("fixing", |kind| kind.name());
    let body = html! {
        (top(&heading, &sub))
        main {
            article.sheet-body.entry data-sheet-body="" {
                div.head {
                    h2.big.long[bits::is_long(name)] { (name) }
                    a.close href={ "/job/" (room.id) } data-close="" { "Put away" }
                }
                p.from { @if tie.is_some() { (pieces(count, kind)) } @else { "part" } }
                (name_form(name))
                @if tie.is_some() { (counts(name, count)) (kind_buttons(name, kind, used)) }
                a.ask href=(bits::thing_address(room, name)) data-sheet {
                    "How it stands, and what holds it"
                }
                p.quiet { "The machine file of this job stays as it is; the record corrects it." }
            }
        }
        (foot(room, "/entry"))
    };
    let title = format!("{name}: {}", room.title);
    Some(shell(&Page { title: &title, name: "entry", job: Some((room, screen)), body }))
}

fn said(thing: &Thing) -> String {
    let what = match thing.sort {
        Sort::Part => "part".to_owned(),
        Sort::Tie => pieces(thing.count, &thing.kind),
    };
    let place = thing.spot.as_deref().map(bits::place);
    let feel = thing.feel.then(|| "by feel".to_owned());
    let aside = thing.aside.then(|| "hung aside".to_owned());
    [Some(what), place, aside, feel].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The rest of the handful: one tap leads to each.
fn siblings(room: &Room, line: &TakenLine, name: &str) -> Markup {
    html! {
        @if line.things.len() > 1 {
            nav.choices aria-label="Of the same handful" {
                @for one in &line.things {
                    @let current = (one.name == name).then_some("page");
                    a aria-current=[current] href=(entry_address(room, &one.name)) data-sheet {
                        (one.text)
                    }
                }
            }
        }
    }
}

fn tap(text: &str, record: &Value) -> Markup {
    html! { button.did type="button" data-record=(record) { (text) } }
}

fn name_form(name: &str) -> Markup {
    let record = json!({ "verb": "renamed", "thing": name });
    html! {
        form.say data-record=(record) {
            label {
                span { "What it is called" }
                input type="text" name="note" maxlength="120" autocomplete="off"
                    autocapitalize="off" enterkeyhint="done" placeholder=(name);
            }
            button.did type="submit" { "Call it so" }
        }
    }
}

/// How many there were.
fn counts(name: &str, was: u32) -> Markup {
    let correct = |count: u32| json!({ "verb": "corrected", "thing": name, "pieces": count });
    html! {
        div.pieces {
            p { "There were " (was) "; no, there were:" }
            @for count in (1..=COUNT_BUTTONS).filter(|count| *count != was) {
                (tap(&count.to_string(), &correct(count)))
            }
        }
    }
}

/// Some of them are something of their own.
fn apart(thing: &Thing) -> Markup {
    let apart = |count: u32| json!({ "verb": "split", "thing": thing.name, "pieces": count });
    html! {
        @if thing.count > 1 {
            div.pieces {
                p { "Some are not like the others (one is longer): a line of their own for" }
                @for count in 1..thing.count.min(COUNT_BUTTONS) {
                    (tap(&format!("{count} of {}", thing.count), &apart(count)))
                }
            }
        }
    }
}

fn kind_buttons(name: &str, was: &str, used: &[(String, u64)]) -> Markup {
    let record =
        |kind: &str| json!({ "verb": "corrected", "thing": name, "more": { "kind": kind } });
    html! {
        div.pieces {
            p { "It was no " (was) " but:" }
            @for kind in kinds(used).iter().filter(|kind| *kind != was).take(KINDS_SHOWN) {
                (tap(kind, &record(kind)))
            }
        }
    }
}

fn place_buttons(thing: &Thing, places: &[String]) -> Markup {
    let is_it = |place: &&String| thing.spot.as_deref() == Some(place.as_str());
    html! {
        div.pieces {
            p { "It was undone from somewhere else:" }
            @for place in places.iter().filter(|place| !is_it(place)).take(PLACES_SHOWN) {
                (tap(place, &json!({ "verb": "corrected", "thing": thing.name, "spot": place })))
            }
        }
    }
}

fn facts_address(room: &Room, thing: &str) -> String {
    format!("/job/{}/facts?thing={}", room.id, bits::percent(thing))
}

/// Things of the same sort, the last first: one of them may be this one, entered twice.
fn same_as(notes: &Notes, thing: &Thing) -> Markup {
    let others: Vec<&Thing> = notes.present().map(|(_, other)| other).collect();
    let others = others.into_iter().rev();
    let same = others.filter(|other| other.sort == thing.sort && other.name != thing.name);
    let same: Vec<&Thing> = same.take(SAME_MAX).collect();
    let into = |other: &Thing| {
        let more = json!({ "into": other.name });
        json!({ "verb": "merged", "thing": thing.name, "more": more })
    };
    html! {
        @if !same.is_empty() {
            div.pieces {
                p { "It is the same as this one, which was entered before:" }
                @for other in same { (tap(&other.name, &into(other))) }
            }
        }
    }
}

fn strike(thing: &Thing, line: Option<&TakenLine>) -> Markup {
    let record = json!({ "verb": "struck_out", "thing": thing.name });
    html! {
        div.buttons.still {
            (tap("It never was: strike it out", &record))
            @if let Some(line) = line {
                button.take-back type="button" data-take-back=(line.event) {
                    "Take the whole handful back" small { (line.text) }
                }
            }
        }
    }
}
