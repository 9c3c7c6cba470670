//! The card of a joint: its rounds, the wrench for each, the drawing with the strokes.

use lastbolt_job::view::{
    Button, JointCard, JointDrawing, JointStudy, JointTap, RoundLine, Screen, WrenchLine,
};
use lastbolt_job::{HeldText, Owned, Photo, large, percent_band};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;
use serde_json::{Value, json};

use crate::own::{number, twins};
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::shot::page_address;
use crate::pages::{bits, day};
use crate::room::Room;
use crate::wire::matters::said;

/// What is asked of a joint's page.
#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    /// The fixing.
    pub(crate) thing: Option<String>,
    /// The adapter that is held: a name of the garage's file, or a length.
    pub(crate) adapter: Option<String>,
    /// Its angle to the wrench \[degrees\].
    pub(crate) degrees: Option<String>,
}

impl Asked {
    /// Gives the adapter as it is held, if one was said; a decimal comma is taken.
    pub(crate) fn held(&self) -> Option<HeldText> {
        let adapter = self.adapter.as_deref().map(str::trim).filter(|text| !text.is_empty())?;
        let degrees = self.degrees.as_deref().unwrap_or("90").trim().replace(',', ".");
        Some(HeldText { adapter: adapter.to_owned(), degrees: degrees.parse().unwrap_or(f64::NAN) })
    }
}

/// What stands on the page besides the card.
pub(crate) struct Beside<'a> {
    pub(crate) owned: &'a Owned,
    pub(crate) held: Option<&'a HeldText>,
    /// What the joint does while it is tightened, where that can be estimated.
    pub(crate) study: Option<JointStudy>,
}

/// Draws the card.
pub(crate) fn page(room: &Room, screen: &Screen, card: &JointCard, beside: &Beside<'_>) -> Markup {
    let sub = match &card.screws {
        Some(screws) => format!("{}: {screws}", screen.machine),
        None => screen.machine.clone(),
    };
    let body = html! {
        div data-part="top" { (top(&card.title, &sub)) }
        main.joint {
            div data-part="joint" data-patch="" { (self::card(room, card)) }
            div data-part="buttons" data-patch="" {
                div.others { @if is_own(room, screen, card) { (take_back(screen)) } }
            }
            div data-part="more" data-patch="" { (more(card)) }
            @if let Some(study) = &beside.study { (self::study(card, study)) }
            (adapters(card, beside.owned, beside.held))
            button.did.no-paper type="button" data-print="" { "Print it" }
            p.quiet { "The maker's value wins, always; what stands here is the file's own." }
        }
        (foot(room, "/joint"))
    };
    let title = format!("{}: {}", card.title, room.title);
    shell(&Page { title: &title, name: "joint", job: Some((room, screen)), body })
}

fn card(room: &Room, card: &JointCard) -> Markup {
    html! {
        p.stands { strong { (card.stands) } ", " (card.counted) }
        @for point in &card.asks { (day::point(point)) }
        @if let Some(drawing) = &card.drawing { (self::drawing(card, drawing)) }
        @else if card.pieces > 1 && card.troubles.is_empty() { (by_photo(room, card)) }
        p.quiet { (card.order.join(" ")) }
        @for line in card.troubles.iter().chain(&card.kind_lines) { p.first { (line) } }
        ol.rounds {
            @for (at, round) in card.rounds.iter().enumerate() {
                (self::round(card, round, card.next == Some(at)))
            }
        }
        div.line-buttons.rounds-done { @for tap in &card.taps { (self::tap(tap)) } }
    }
}

/// Where nobody knows the holes: a tap a screw on a photo of the joint.
fn by_photo(room: &Room, card: &JointCard) -> Markup {
    let photos = lastbolt_job::photos(&room.latest());
    let marked = |photo: &&Photo| photo.pins.iter().any(|pin| pin.thing == card.thing);
    let of = |photo: &&Photo| photo.of.contains(&card.thing);
    let found = photos.iter().rev().find(marked).or_else(|| photos.iter().rev().find(of));
    let found = found.or_else(|| photos.last());
    html! {
        @match found {
            Some(photo) => {
                a.ask href={ (page_address(room, photo)) "&screws=" (bits::percent(&card.thing)) } {
                    "Mark its screws on a photo: then there is an order and a drawing"
                }
            },
            None => {
                a.ask href={ "/job/" (room.id) "/photos?thing=" (bits::percent(&card.thing)) } {
                    "With a photo of it, its screws marked, there is an order and a drawing"
                }
            },
        }
    }
}

/// Whether the last entry is about this joint.
fn is_own(room: &Room, screen: &Screen, card: &JointCard) -> bool {
    let seq = screen.last.as_ref().map(|last| last.seq);
    let latest = room.latest();
    let last = latest.records.iter().rev().find(|record| Some(record.seq) == seq);
    last.is_some_and(|last| last.event.thing.as_deref() == Some(card.thing.as_str()))
}

/// What the last tap recorded can be taken back here too.
fn take_back(screen: &Screen) -> Markup {
    html! {
        @if let Some(last) = &screen.last {
            button.take-back type="button" data-take-back=(last.event) {
                "Take that back" small { (last.text) }
            }
        }
    }
}

/// What is below the taps: a round broken off, a repaired thread, what comes after, what is usual.
fn more(card: &JointCard) -> Markup {
    html! {
        (stopped(card))
        (borrowed(card))
        (repairs(card))
        @for line in &card.after_lines { p.after { (line) } }
        @for line in card.notes.iter().chain(&card.slackening) { p.quiet { (line) } }
        @if !card.doubts.is_empty() {
            details.doubts data-key="doubts" {
                summary { "Can these values be right?" }
                @for line in &card.doubts { p.quiet { (number(line)) } }
            }
        }
    }
}

fn round(card: &JointCard, round: &RoundLine, is_next: bool) -> Markup {
    html! {
        li.round.next[is_next] data-key={ "round " (round.number) } {
            @for line in &round.before { p.first { strong { "First: " } (line) } }
            p.asked { "Round " (round.number) ": " (twins(&round.text)) }
            @match &round.done {
                Some(done) => {
                    p.said {
                        strong {
                            @match (done.pieces, done.by_hand) {
                                (Some(pieces), _) => { "as far as screw " (pieces) },
                                (None, true) => "done, not measured",
                                (None, false) => "done",
                            }
                        }
                        @if !done.text.is_empty() { ", " (done.text) }
                        ", " (bits::time(done.said_at_ms))
                    }
                },
                None => {},
            }
            @if let Some(go_on) = card.resume.as_ref().filter(|_| is_next) {
                p.go-on { strong { (go_on.text()) } }
                @if let Some(care) = &go_on.care { (bits::caution(care)) }
            }
            @if is_next || round.done.is_none() { (wrenches(card, round, is_next)) }
        }
    }
}

/// The wrench that is taken, with what it is set to; at the round that is next also the others
/// that can do it, each with one tap that takes it from now on.
fn wrenches(card: &JointCard, round: &RoundLine, is_next: bool) -> Markup {
    let others = round.wrenches.iter().filter(|wrench| !wrench.used && is_next);
    let may_choose = !card.taps.is_empty();
    html! {
        @if let Some(not_chosen) = &round.not_chosen {
            p.first { strong { "Not this round: " } (not_chosen) }
        }
        @if let Some(wrench) = round.wrenches.iter().find(|wrench| wrench.used) {
            p.wrench {
                (wrench.name) ": set to " strong { (number(&wrench.setting)) } (gets(wrench))
            }
            @if is_next {
                @for warning in &wrench.warnings { p.quiet { (number(warning)) } }
                p.quiet.first[wrench.look_at_calibration] { (wrench.calibration) }
            }
        }
        @for wrench in others {
            div.wrench.other {
                p { (wrench.name) ": " (number(&wrench.setting)) (gets(wrench)) }
                @if let Some(takes) = wrench.takes.as_ref().filter(|_| may_choose) {
                    div.line-buttons { (tap(takes)) }
                }
            }
        }
        @if let Some(none) = &round.no_wrench {
            p.first { strong { (number(none)) } }
        } @else if !round.refused.is_empty() && is_next {
            details {
                summary { "Not with" }
                @for line in &round.refused { p.quiet { (number(line)) } }
            }
        }
    }
}

/// ", the screw gets 38.4 to 41.6 N·m, ±4 % (ISO 6789:2003)".
fn gets(wrench: &WrenchLine) -> String {
    let Some(band) = &wrench.band else { return String::new() };
    let by = wrench.tolerance.as_ref().map(|by| format!(", {by}")).unwrap_or_default();
    format!(", the screw gets {}{by}", number(band))
}

/// A round that is broken off: the last screw that is done, by its number. A tap on a screw of the
/// drawing leads to its number here.
fn stopped(card: &JointCard) -> Markup {
    let Some(round) = card.next.and_then(|at| card.rounds.get(at)) else { return html! {} };
    html! {
        @if !card.stops.is_empty() {
            details.broken-off data-key="stopped" {
                summary { "I stopped here" }
                p.quiet { "Round " (round.number) ": the last screw that is done." }
                // One record for all of them, and one change that shuts them all.
                fieldset.line-buttons.numbers data-waits="" data-record=(stop_record(card)) {
                    @for stop in &card.stops {
                        button.did type="button" data-pieces=(stop.text) { (stop.text) }
                    }
                }
            }
        }
    }
}

/// What any of them records, but for the number.
fn stop_record(card: &JointCard) -> Value {
    let said_of = |tap: &JointTap| tap.records.first().map(said);
    let mut record = card.stops.first().and_then(said_of).unwrap_or_default();
    if let Some(all) = record.as_object_mut() {
        all.remove("pieces");
    }
    record
}

/// The round that is next, done with a wrench that the garage does not list: in words, with what it
/// was set to.
fn borrowed(card: &JointCard) -> Markup {
    let round = card.next.and_then(|at| card.rounds.get(at)).filter(|round| round.is_measured);
    let Some((round, main)) = round.zip(card.taps.first()) else { return html! {} };
    let mut records: Vec<Value> = main.records.iter().map(said).collect();
    if let Some(more) = records.first_mut().and_then(|first| first["more"].as_object_mut()) {
        // What the garage's own wrench was set to, and when it was calibrated, is not this one's.
        more.retain(|key, _| !["wrench", "setting", "calibrated"].contains(&key.as_str()));
    }
    html! {
        details.borrowed data-key="borrowed" {
            summary { "With a borrowed wrench" }
            p.quiet { "Round " (round.number) ": " (twins(&round.text)) }
            fieldset.borrowed-fields data-waits="" {
                label {
                    span { "Which one, and whose" }
                    input type="text" name="wrench" maxlength="90" autocomplete="off" required;
                }
                label {
                    span { "Set to, as its scale reads" }
                    input type="text" name="setting" maxlength="90" autocomplete="off" required;
                }
                button.did type="button" data-record=(json!(records)) data-covers=(covers(main)) {
                    "With that one: " (main.text)
                }
            }
        }
    }
}

/// A thread that was repaired: two taps.
fn repairs(card: &JointCard) -> Markup {
    html! {
        @for repair in &card.repaired {
            p.first { strong { "Thread repaired: " } (repair) }
        }
        details.repairs data-key="repairs" {
            summary { "A thread was repaired" }
            p.quiet {
                "It stands in the record and is looked at again. What it may be tightened to then, "
                "its maker says."
            }
            div.line-buttons { @for repair in &card.repairs { (tap(repair)) } }
        }
    }
}

/// What the joint does while it is tightened, and how many rounds even it out: an estimate.
fn study(card: &JointCard, study: &JointStudy) -> Markup {
    html! {
        details.study data-part="study" data-patch="" {
            summary { "How many rounds: an estimate" }
            @if let Some(estimate) = &card.estimate { p { (estimate) } }
            p.quiet { "How far the strongest and the weakest screw are apart, in % of their mean." }
            table {
                thead {
                    tr {
                        th scope="col" { "After" }
                        th scope="col" { "Springs alone" }
                        th scope="col" { "With friction, half · 19 of 20" }
                    }
                }
                tbody {
                    @for row in &study.rows {
                        tr.again[row.again] {
                            th scope="row" { (large(&row.text)) }
                            td { (percent_band(row.springs)) }
                            td {
                                (format!("{:.0} %", row.with_friction.0)) " · "
                                (format!("{:.0} %", row.with_friction.1))
                            }
                        }
                    }
                }
            }
            @for line in &study.said { p { (line) } }
            @for line in &study.assumed { p.quiet { (line) } }
            p.quiet { (study.joints) " such joints drawn, seed " (study.seed) "." }
        }
    }
}

/// One tap, one or more entries.
pub(crate) fn tap(tap: &JointTap) -> Markup {
    let records: Vec<Value> = tap.records.iter().map(said).collect();
    let long = tap.text.chars().count() > 20;
    html! {
        button.did.main[tap.main].long[long] type="button" data-record=(json!(records))
            data-covers=(covers(tap)) data-waits="" { (tap.text) }
    }
}

/// What a tap settles, for the page to go on at once.
fn covers(tap: &JointTap) -> Value {
    let sets = tap.records.iter().filter(|said| said.verb.sets_standing());
    sets.map(|said| json!({ "verb": said.verb.as_str(), "thing": said.thing })).collect()
}

/// The address of a joint's card.
pub(crate) fn address(room: &Room, thing: &str) -> String {
    format!("/job/{}/joint?thing={}", room.id, bits::percent(thing))
}

/// On the working screen: the round that is next, what has to be answered, and the card.
pub(crate) fn leads_to(room: &Room, card: &JointCard) -> Markup {
    html! {
        div.tail.joint {
            @for ask in card.asks.iter().filter(|ask| !ask.settled) { (day::point(ask)) }
            @if let Some(round) = card.next.and_then(|at| card.rounds.get(at)) {
                @for line in &round.before { p.first { strong { "First: " } (line) } }
                p.asked {
                    "Round " (round.number) " of " (card.rounds.len()) ": " (twins(&round.text))
                }
                @if let Some(go_on) = &card.resume { p.first { strong { (go_on.text()) } } }
                @if let Some(wrench) = round.wrenches.iter().find(|wrench| wrench.used) {
                    p.wrench { (wrench.name) ": set to " strong { (number(&wrench.setting)) } }
                } @else if let Some(none) = &round.no_wrench {
                    p.wrench { (number(none)) }
                }
            }
            a.ask href=(address(room, &card.thing)) { "Rounds, order and wrench" }
        }
    }
}

/// The buttons of the working screen where the next step is a joint with several rounds.
pub(crate) fn buttons(screen: &Screen, card: &JointCard) -> Markup {
    html! {
        div.others {
            (take_back(screen))
            @if card.taps.is_empty() {
                // What has happened can be recorded, whatever is still to be answered.
                @for button in screen.next.iter().flat_map(|next| next.buttons.iter().take(1)) {
                    (bits::button(&Button { main: false, ..button.clone() }))
                }
            }
            @for button in screen.next.iter().flat_map(|next| next.buttons.iter().skip(1)) {
                (bits::button(button))
            }
            @for one in card.taps.iter().skip(1) { (tap(one)) }
        }
        @if let Some(main) = card.taps.first() { (tap(main)) }
    }
}

/// The drawing: a circle for each screw with its number, a stroke across it for each round.
pub(crate) fn drawing(card: &JointCard, drawing: &JointDrawing) -> Markup {
    let text = format!("The screws of the {} in their order.", card.thing);
    html! {
        (PreEscaped(lastbolt_tighten::svg(&drawing.drawing, &text)))
        @if !drawing.screws.is_empty() {
            ul.screws { @for (number, screw) in &drawing.screws { li { (number) ": " (screw) } } }
        }
        p.quiet { "One stroke a round; dashed: by hand, not measured." }
    }
}

/// The adapter that is used, where the garage lists one or somebody asks.
fn adapters(card: &JointCard, owned: &Owned, held: Option<&HeldText>) -> Markup {
    let adapter = held.map(|held| held.adapter.clone()).unwrap_or_default();
    let degrees = held.map_or_else(|| "90".to_owned(), |held| held.degrees.to_string());
    html! {
        details.adapter open[held.is_some()] {
            summary { "With an adapter (crow's foot, offset ring)" }
            form method="get" {
                input type="hidden" name="thing" value=(card.thing);
                label {
                    span { "Adapter: its name, or from square to screw" }
                    input type="text" name="adapter" value=(adapter) list="adapters"
                        placeholder="60 mm" autocomplete="off";
                }
                datalist #adapters {
                    @for adapter in &owned.adapters { option value=(adapter.name) {} }
                }
                label {
                    span { "Degrees between wrench and adapter: 0 straight ahead, 90 across" }
                    input type="text" name="degrees" value=(degrees) inputmode="decimal"
                        autocomplete="off";
                }
                button.go type="submit" { "Work it out" }
            }
        }
    }
}
