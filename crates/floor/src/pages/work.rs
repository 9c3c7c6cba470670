//! The working screen: one for taking apart, the bench and putting back.

use lastbolt_job::view::{
    ActionCard, Button, Caution, CautionFrom, DayGate, DayStage, JointCard, NotRecorded,
    PassedLook, Phase, Point, PromptKind, QuietKind, Screen, StepVerb, ThingSort,
};
use lastbolt_job::{MAKER_WINS, NOTHING_CLAIMED, Whole, is_from_nothing, whole};
use maud::{Markup, html};

use crate::clock::now_ms;
use crate::own::twins;
use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::shot::beside;
use crate::pages::take::head;
use crate::pages::{bits, day, joint, matters, questions, stop};
use crate::room::{Room, Snapshot};

/// Said of what carries weight, by direction.
const BEARS_OFF: &str = "among the last off, with the support in place";
const BEARS_BACK: &str = "one of these holds before the support is let go";

/// Draws the working screen.
pub(crate) fn page(room: &Room, picture: &Snapshot) -> Markup {
    let screen = &room.screen(picture);
    let whole = whole(picture, screen);
    let beside = beside(room, picture, screen);
    let joint = next_joint(picture, screen);
    let (machine, after) = head(screen);
    let sub = if after.is_empty() { machine } else { format!("{machine}: {after}") };
    let body = html! {
        div data-part="top" { (top(&screen.heading, &sub)) }
        main.work {
            section.bands aria-label="Now" {
                div.state data-part="state" {
                    (stop::strip(room, picture))
                    (state(room, screen))
                    (questions::waiting_line(room, picture))
                }
                div.openings data-part="openings" { (matters::openings(screen)) }
                div.near data-part="near" { (near(room, screen)) }
                div.action data-part="action" {
                    (action(room, screen, whole.as_ref(), &beside))
                    @if let Some(joint) = &joint { (joint::leads_to(room, joint)) }
                }
                div.buttons data-part="buttons" {
                    @match &joint {
                        Some(joint) => (joint::buttons(screen, joint)),
                        None => (buttons(room, screen, whole.as_ref())),
                    }
                }
            }
            section.rest #rest data-part="rest" aria-label="The rest" { (rest(room, screen)) }
        }
        (foot(room, if is_from_nothing(picture) { "/now" } else { "" }))
    };
    let title = format!("{}: {}", screen.heading, room.title);
    shell(&Page { title: &title, name: "work", job: Some((room, screen)), body })
}

/// The card of the joint that is tightened next, where it takes more than one round.
fn next_joint(picture: &Snapshot, screen: &Screen) -> Option<JointCard> {
    let line = &screen.next.as_ref()?.line;
    let closes = matches!(line.verb, StepVerb::Make | StepVerb::Tighten);
    let is_over = screen.phase == Phase::Finished || screen.more_may_come_off;
    if !closes || is_over {
        return None;
    }
    let card = lastbolt_job::joint(picture, &line.thing, None, now_ms())?;
    (card.rounds.len() > 1 || card.asks.iter().any(|ask| !ask.settled)).then_some(card)
}

/// What one tap records, where that is more than the step alone.
fn together(whole: &Whole) -> Markup {
    html! {
        ul.together aria-label="All of these" {
            @for line in &whole.lines { li { (line) } }
        }
    }
}

/// What is always in view: still off, the counts, waits, and what was said quietly.
fn state(room: &Room, screen: &Screen) -> Markup {
    let to_settle = to_settle(screen);
    // A name that no thing has stands below, with what settles it.
    let said = screen.quiet.iter().filter(|quiet| quiet.kind != QuietKind::UnknownThing);
    html! {
        @let (off, to_end) = bits::halves(&screen.still_off.text, "");
        a.still href={ "/job/" (room.id) "/list?show=open" } {
            strong data-still="" { (off) }
            @if let Some(to_end) = to_end { span.to-end { (to_end) } }
            @if !screen.counts.is_empty() {
                span.counts {
                    @for count in &screen.counts { span { (count.text) } " " }
                }
            }
        }
        @if !to_settle.is_empty() {
            a.still.minor href="#settle" { (to_settle) }
        }
        @for asked in &screen.not_answered {
            a.still.minor href={ (day::address(room, DayStage::MakeReady)) "#unanswered" } {
                "Not answered: " (asked.text)
            }
        }
        (waits(room, screen))
        @if screen.list_may_change {
            p.quiet { "The rest of the list is being worked out anew; what is shown goes." }
        }
        @for quiet in said {
            @match quiet.kind {
                QuietKind::PassedOpen => a.still.minor href=(gate_address(room)) {
                    (quiet.text)
                },
                _ => p.quiet { (quiet.text) },
            }
        }
    }
}

/// Waits with a clock, a line each; those of which nobody knows the end together, in one line.
fn waits(room: &Room, screen: &Screen) -> Markup {
    let open: Vec<&str> = screen
        .waits
        .iter()
        .filter(|wait| wait.until_ms.is_none())
        .map(|wait| wait.thing.as_str())
        .collect();
    html! {
        @for wait in screen.waits.iter().filter(|wait| wait.until_ms.is_some()) {
            (bits::clock(wait))
        }
        @if !open.is_empty() {
            a.still.minor href=(day::address(room, DayStage::MakeReady)) {
                "Still waiting, as the maker says: " (open.join(", "))
            }
        }
    }
}

fn to_settle(screen: &Screen) -> String {
    let looks = screen.passed_looks.len();
    let unsaid = screen.not_recorded.len();
    let look = (looks > 0).then(|| format!("{looks} not looked at"));
    let unsaid = (unsaid > 0).then(|| format!("{unsaid} not recorded"));
    let all = matters::to_settle(screen).into_iter().chain(look).chain(unsaid);
    all.collect::<Vec<_>>().join(", ")
}

fn near(room: &Room, screen: &Screen) -> Markup {
    let more = screen.rest.len();
    html! {
        @if !screen.next_to_that.is_empty() && screen.given_up.is_none() {
            h2 { @if screen.more_may_come_off { "Then" } @else { "Next to that" } }
            ul.rows { @for line in &screen.next_to_that { (bits::row(room, line)) } }
        }
        div.end.busy[screen.matters.blocking().next().is_some()] {
            @if screen.next.is_some() {
                a.more href="#rest" {
                    @if more > 0 { (more) " more below" } @else { "Nothing more below" }
                    span.in-all { ", " (bits::about(screen.minutes_left)) " in all" }
                }
            }
            (matters::fell(room, screen))
        }
    }
}

fn action(room: &Room, screen: &Screen, whole: Option<&Whole>, beside: &Markup) -> Markup {
    match (&screen.next, screen.phase) {
        (card, _) if screen.more_may_come_off => more_may_come_off(room, card.as_ref()),
        (_, Phase::Finished) => over(room, screen),
        (Some(card), _) => self::card(room, card, whole, beside),
        (None, Phase::FirstStart) => html! {
            p.sentence { "Everything that was off is home." }
        },
        (None, _) => html! {
            p.sentence { "Nothing is left on the list." }
        },
    }
}

/// A job that is over: handed over, or given up with what that means.
fn over(room: &Room, screen: &Screen) -> Markup {
    html! {
        @match &screen.given_up {
            None if screen.quiet.iter().any(|quiet| quiet.kind == QuietKind::PassedOpen) => {
                p.sentence { "This job was handed over with something open." }
            },
            None => p.sentence { "This job is done and handed over." },
            Some(why) => {
                p.sentence { "This job was " (bits::given_up(why)) "." }
                p { (NOTHING_CLAIMED) }
                a.ask href={ "/job/" (room.id) "/standing" } { "Its sheet: do not start" }
            },
        }
    }
}

/// What no file plans is being taken apart until somebody says that all is off.
fn more_may_come_off(room: &Room, card: Option<&ActionCard>) -> Markup {
    html! {
        p.sentence { "More may come off, until you say that all is off." }
        @if let Some(card) = card {
            p.quiet { "Then it goes back together, first:" }
            ul.rows { (bits::row(room, &card.line)) }
        }
    }
}

fn card(room: &Room, card: &ActionCard, whole: Option<&Whole>, beside: &Markup) -> Markup {
    let line = &card.line;
    let detail = bits::from_and_tool(line);
    html! {
        div.lead {
            div.head {
                (bits::tag(line.tag.as_ref()))
                h2.big data-title="" {
                    a href=(bits::thing_address(room, &line.thing)) data-sheet { (line.text) }
                }
            }
            @if !detail.is_empty() { p.from { (detail) } }
            @if let Some(whole) = whole { (together(whole)) }
            @if let Some(prompt) = &card.prompt { p.prompt { (prompt.text) } }
            (matters::first_out(card))
            (first(room, card))
            @if let Some(point) = &card.asks_first { (asked_first(point)) }
        }
        div.side {
            @for caution in nearest_first(card) { (bits::caution(&caution.text)) }
            @if !card.cautions.is_empty() { p.quiet { (MAKER_WINS) } }
            (facts(card))
            (beside)
        }
        div.tail {
            @if asks_what_holds(card) {
                a.ask href=(bits::holds_address(room, &line.thing)) data-sheet { (question(card)) }
            }
            @if card.wants_picture {
                a.ask href=(matters::photograph(room, &line.thing)) { "Photograph the mark" }
            }
            @if let Some(ask) = &card.ask {
                label.ask-note {
                    span { (ask) }
                    input type="text" maxlength="2000" autocomplete="off" data-note="";
                }
            }
        }
    }
}

/// What is asked before the step; its answers stand in place of the step's own button.
fn asked_first(point: &Point) -> Markup {
    html! {
        p.prompt { strong { "Before it is opened. " } (point.text) }
        @for line in &point.detail { p.quiet { (line) } }
    }
}

/// Cautions of the thing before those of the place, which are the same for many steps.
fn nearest_first(card: &ActionCard) -> impl Iterator<Item = &Caution> {
    let of_place = |caution: &&Caution| caution.from == CautionFrom::Spot;
    let nearer = card.cautions.iter().filter(move |caution| !of_place(caution));
    nearer.chain(card.cautions.iter().filter(of_place))
}

fn asks_what_holds(card: &ActionCard) -> bool {
    let blocked = !card.off_first.is_empty() || !card.not_yet.is_empty();
    card.line.verb != StepVerb::Look && (card.sort == ThingSort::Part || blocked)
}

fn question(card: &ActionCard) -> &'static str {
    if card.line.verb.opens() { "What still holds it?" } else { "What must come first?" }
}

/// Off first, and any other reason why it will not go yet.
fn first(room: &Room, card: &ActionCard) -> Markup {
    html! {
        @if !card.off_first.is_empty() {
            p.first {
                strong { "Off first: " }
                @for (index, thing) in card.off_first.iter().enumerate() {
                    @if index > 0 { ", " }
                    a href=(bits::thing_address(room, &thing.thing)) data-sheet { (thing.text) }
                }
            }
        }
        @for sentence in &card.not_yet { p.first { strong { "Not yet: " } (sentence) } }
    }
}

/// Facts, one line each, in the order in which they are wanted.
fn facts(card: &ActionCard) -> Markup {
    let opens = card.line.verb.opens();
    let done = card.pieces_done.map(|done| format!("{done} of {} done", card.pieces));
    let mut lines: Vec<(&str, String)> = Vec::new();
    let mut put = |name: &'static str, text: Option<String>| {
        lines.extend(text.filter(|text| !text.is_empty()).map(|text| (name, text)));
    };
    put("So far", done);
    put("Mark first", card.mark.clone());
    put("Rounds", Some(twins(&card.rounds.join(" · "))));
    put("Weight", card.lift.clone());
    put("Support", card.support.clone());
    let bears = if opens { BEARS_OFF } else { BEARS_BACK };
    put("Carries weight", card.bears.then(|| bears.to_owned()));
    put("By feel", card.by_feel.then(|| "it cannot be seen".to_owned()));
    put("Goes back", card.put_back.clone());
    put(if opens { "Buy new" } else { "New" }, Some(card.renew.join(", ")));
    put("Have ready", Some(card.also.join(", ")));
    put("Who", card.who.clone());
    put("Label", card.label.clone());
    put("Then wait", card.then_wait.clone());
    for note in &card.notes {
        put("Note", Some(note.clone()));
    }
    html! {
        @if !lines.is_empty() {
            dl.facts { @for (name, text) in &lines { div { dt { (name) } dd { (text) } } } }
        }
    }
}

fn buttons(room: &Room, screen: &Screen, whole: Option<&Whole>) -> Markup {
    let over = screen.phase == Phase::Finished || screen.more_may_come_off;
    let card = screen.next.as_ref().filter(|_| !over);
    let whole = whole.filter(|_| !over);
    let first = card.and_then(matters::first_tap);
    let asked = card.and_then(|card| card.asks_first.as_ref());
    let is_first_start_first = card.is_some_and(start_comes_first);
    html! {
        div.others {
            @if let Some(last) = &screen.last {
                button.take-back type="button" data-take-back=(last.event) {
                    "Take that back" small { (last.text) }
                }
            }
            @if screen.phase == Phase::Finished {
                button.did type="button" data-record=(r#"{"verb":"reopened"}"#) { "It goes on" }
            }
            @if let Some(card) = card {
                // What has to come out first is the main one; the step stays beside it.
                @let stands_aside = first.is_some() || whole.is_some() || is_first_start_first;
                @if asked.is_none() && stands_aside {
                    @if let Some(button) = card.buttons.first() {
                        (bits::button(&Button { main: false, ..button.clone() }))
                    }
                }
                // What has happened can be recorded all the same; the question stays open then.
                @if let (Some(_), Some(button)) = (asked, card.buttons.first()) {
                    (bits::button(&day::happened(button)))
                }
                @if first.is_none() && asked.is_none() {
                    @for button in card.buttons.iter().skip(1) { (bits::button(button)) }
                    @for tap in &card.taps { (matters::tap(tap)) }
                }
            }
        }
        @match (card, screen.phase) {
            (None, _) if screen.more_may_come_off => {
                (all_off(room))
                a.go href={ "/job/" (room.id) "/take" } { "Take apart" }
            },
            (Some(_), _) if is_first_start_first => (to_first_start(room)),
            (Some(card), _) => {
                @if let Some(point) = asked {
                    div.line-buttons.asked { @for tap in &point.taps { (matters::tap(tap)) } }
                } @else if let Some(tap) = first {
                    (matters::tap(tap))
                } @else if let Some(whole) = whole {
                    (bits::whole_button(whole))
                } @else if let Some(button) = card.buttons.first() {
                    (bits::button(button))
                }
            },
            (None, Phase::Finished) => {
                a.go href={ "/job/" (room.id) "/record" } { "What was done" }
            },
            (None, _) if is_started(room) => {
                a.go href={ "/job/" (room.id) "/gate?before=road" } { "Before the road" }
            },
            (None, _) => (to_first_start(room)),
        }
    }
}

/// Whether the machine was started in this job: the road comes next.
fn is_started(room: &Room) -> bool {
    !room.latest().now.live.state.first_starts.is_empty()
}

/// The address of the gate that counts now.
fn gate_address(room: &Room) -> String {
    let road = room.latest().now.live.state.gates.contains_key(DayGate::Road.name());
    format!("/job/{}/gate{}", room.id, if road { "?before=road" } else { "" })
}

/// Whether the machine has to run for this step and was not started yet.
fn start_comes_first(card: &ActionCard) -> bool {
    let prompt = card.prompt.as_ref();
    prompt.is_some_and(|it| it.kind == PromptKind::LeakLook && it.before.is_some())
}

fn to_first_start(room: &Room) -> Markup {
    html! { a.go href={ "/job/" (room.id) "/gate" } { "To the first start" } }
}

/// Says that taking apart is over, and goes on to what is asked then.
pub(crate) fn all_off(room: &Room) -> Markup {
    html! {
        button.turn type="button" data-record=(r#"{"verb":"all_off"}"#)
            data-then={ "/job/" (room.id) "/questions" } {
            "All off, now back together"
        }
    }
}

fn rest(room: &Room, screen: &Screen) -> Markup {
    html! {
        (settle(room, screen))
        @if !screen.rest.is_empty() && screen.given_up.is_none() {
            h2 { "After that" }
            ul.rows { @for line in &screen.rest { (bits::row(room, line)) } }
        }
        @if screen.rest.is_empty() && screen.next.is_some() {
            p.quiet { "Nothing more stands on the list after these." }
        }
    }
}

/// What waits to be settled: looks passed by, and what was never recorded.
fn settle(room: &Room, screen: &Screen) -> Markup {
    html! {
        @if !to_settle(screen).is_empty() {
            h2 #settle { "To settle" }
            ul.rows.settle {
                (matters::settle(room, screen))
                @for look in &screen.passed_looks { (passed_look(room, look)) }
                @for line in &screen.not_recorded { (not_recorded(room, line)) }
            }
        }
    }
}

fn passed_look(room: &Room, look: &PassedLook) -> Markup {
    html! {
        li data-key={ "passed " (look.thing) } {
            a.row href=(bits::thing_address(room, &look.thing)) data-sheet {
                (bits::tag(look.tag.as_ref()))
                span.what { (look.text) }
            }
            div.line-buttons { (bits::button(&look.button)) }
        }
    }
}

fn not_recorded(room: &Room, line: &NotRecorded) -> Markup {
    html! {
        li data-key={ "unsaid " (line.thing) } {
            a.row href=(bits::thing_address(room, &line.thing)) data-sheet {
                (bits::tag(line.tag.as_ref()))
                span.what { (line.text) }
            }
            div.line-buttons { @for button in &line.buttons { (bits::button(button)) } }
        }
    }
}
