//! The plan from an untouched machine: way in, at the bench, way back, to buy and borrow.

use lastbolt_job::view::{Caution, CautionFrom, DayStage, PlanStep, PlanView, Screen, StepVerb};
use lastbolt_job::{more_words, no_wrench};
use maud::{Markup, html};

use crate::pages::shell::{Page, foot, shell, top};
use crate::pages::wishes;
use crate::pages::{bits, day};
use crate::room::Room;
use crate::size_up::SizeUp;

/// Draws the plan.
pub(crate) fn page(room: &Room, screen: &Screen, sized: Option<&SizeUp>) -> Markup {
    let sub = format!("{}: {}", screen.machine, screen.purpose);
    let body = html! {
        (top("Plan", &sub))
        main.plan.prints {
            @match sized {
                Some(sized) => {
                    p {
                        a.ask href=(day::address(room, DayStage::SizeUp)) {
                            "Size up: what is wrong, what proves it cured, what is there"
                        }
                    }
                    (self::sized(room, sized))
                },
                None => p.sentence { "The plan could not be worked out." }
            }
        }
        (foot(room, "/plan"))
    };
    let title = format!("Plan: {}", room.title);
    shell(&Page { title: &title, name: "plan", job: Some((room, screen)), body })
}

fn sized(room: &Room, sized: &SizeUp) -> Markup {
    html! {
        @match &sized.plan {
            Ok(plan) if is_empty(plan) && sized.wishes.is_empty() => {
                p.sentence { "Nothing is asked for that has to come off." }
                a.ask href={ "/job/" (room.id) "/sheet/way-back" } {
                    "The way back of what is off"
                }
            }
            Ok(plan) => {
                p.sentence { (minutes(plan)) }
                @if let Some(more) = &sized.more {
                    p.sentence { "What you wished for: " (more_words(more)) "." }
                }
                (wishes::rows(room, sized))
                (self::plan(room, plan))
            }
            Err(because) => {
                p.sentence {
                    @if sized.wishes.is_empty() { "No order was found." }
                    @else { "That cannot be. These together forbid it:" }
                }
                @for sentence in because { p { (sentence) } }
                (wishes::rows(room, sized))
                a.go href={ "/job/" (room.id) } { "To the work" }
            }
        }
    }
}

fn is_empty(plan: &PlanView) -> bool {
    plan.strip.is_empty() && plan.build.is_empty()
}

fn plan(room: &Room, plan: &PlanView) -> Markup {
    let (strip, build) = (plan.strip.iter().collect::<Vec<_>>(), plan.build.iter());
    let way_in: Vec<&PlanStep> = strip.iter().filter(|s| !s.line.bench).copied().collect();
    let off_at_bench = strip.iter().filter(|s| s.line.bench).copied();
    let on_at_bench = build.clone().filter(|s| s.line.bench);
    let bench: Vec<&PlanStep> = off_at_bench.chain(on_at_bench).collect();
    let way_back: Vec<&PlanStep> = build.filter(|s| !s.line.bench).collect();
    html! {
        dl.facts {
            @for stage in &plan.stages {
                @if stage.planned.0 > 0 {
                    div { dt { (stage.stage.word()) } dd { (bits::about(stage.planned)) } }
                }
            }
        }
        @for note in &plan.notes { p.quiet { (note) } }
        p.quiet { (lastbolt_job::MAKER_WINS) }
        (steps(room, "Way in", &way_in))
        (steps(room, "At the bench", &bench))
        (steps(room, "Way back", &way_back))
        (wrenches(room, plan))
        (to_buy(plan))
    }
}

fn minutes(plan: &PlanView) -> String {
    let work = bits::about(plan.minutes);
    let best = match (plan.proved, plan.minutes == plan.least) {
        (true, true) => "no shorter order was found".to_owned(),
        (true, false) => format!("the shortest order takes {}", bits::about(plan.least)),
        (false, _) => format!("no order can take less than {}", bits::about(plan.bound)),
    };
    let waits = plan.elapsed > plan.minutes;
    let elapsed = if waits {
        format!("; {} by the clock with the waits", bits::about(plan.elapsed))
    } else {
        String::new()
    };
    let work = work.strip_prefix("about ").map_or(work.clone(), |rest| format!("About {rest}"));
    format!("{work} of work{elapsed}; {best}.")
}

fn steps(room: &Room, heading: &str, steps: &[&PlanStep]) -> Markup {
    html! {
        @if !steps.is_empty() {
            section {
                h2 { (heading) }
                ul.rows.plan-rows {
                    @for (index, step) in steps.iter().enumerate() {
                        @let before = index.checked_sub(1).and_then(|before| steps.get(before));
                        (self::step(room, step, before.copied()))
                    }
                }
            }
        }
    }
}

/// Cautions of a step; those of the place only where one comes to it.
fn cautions<'a>(step: &'a PlanStep, before: Option<&PlanStep>) -> impl Iterator<Item = &'a str> {
    let stays = before.is_some_and(|before| before.line.from == step.line.from);
    let told = move |caution: &&Caution| !(stays && caution.from == CautionFrom::Spot);
    step.cautions.iter().filter(told).map(|caution| caution.text.as_str())
}

fn step(room: &Room, step: &PlanStep, before: Option<&PlanStep>) -> Markup {
    let line = &step.line;
    let mut more: Vec<String> = Vec::new();
    more.extend(step.mark.as_ref().map(|mark| format!("mark first: {mark}")));
    more.extend(step.lift.clone());
    more.extend((!step.also.is_empty()).then(|| format!("have ready: {}", step.also.join(", "))));
    more.extend(step.who.as_ref().map(|who| format!("who: {who}")));
    more.extend(step.by_feel.then(|| "by feel".to_owned()));
    more.extend(step.wait.as_ref().map(|wait| format!("then wait {wait}")));
    let detail = bits::from_and_tool(line);
    let guess = if line.guessed { ", a guess" } else { "" };
    html! {
        li.look[line.verb == StepVerb::Look] {
            a.row href=(bits::thing_address(room, &line.thing)) data-sheet {
                span.what { (line.text) }
                @if line.minutes.0 > 0 {
                    span.stands { (bits::about(line.minutes)) (guess) }
                }
                @if !detail.is_empty() { span.where { (detail) } }
                @for text in &more { span.where { (text) } }
            }
            @for caution in cautions(step, before) { (bits::caution(caution)) }
            @if let Some(asks) = &line.asks_first { p.prompt { "Asked first: " (asks) } }
        }
    }
}

/// What no torque wrench of the garage can do: said here, not at the joint.
fn wrenches(room: &Room, plan: &PlanView) -> Markup {
    let things: Vec<&str> = plan.build.iter().map(|step| step.line.thing.as_str()).collect();
    let latest = room.latest();
    let none = no_wrench(&latest.case.model, latest.garage(), &things);
    html! {
        @if !none.is_empty() {
            section {
                h2 { "Torque wrenches" }
                ul.plain-list { @for line in &none { li { (line) } } }
            }
        }
    }
}

fn to_buy(plan: &PlanView) -> Markup {
    html! {
        section {
            h2 { "To buy and borrow" }
            @if plan.to_buy.is_empty() { p { "Nothing is asked for by the machine file." } }
            ul.plain-list {
                @for buy in &plan.to_buy {
                    li {
                        @if buy.count > 1 { (buy.count) " × " }
                        (buy.what) " " small { "for " (buy.because) }
                    }
                }
            }
            @if !plan.tools.is_empty() { p { strong { "Tools: " } (plan.tools.join(", ")) } }
            @if !plan.also.is_empty() { p { strong { "Have ready: " } (plan.also.join(", ")) } }
            @if !plan.made_blind.is_empty() {
                p {
                    strong { "Cannot be seen once made, so pull and feel it then: " }
                    (plan.made_blind.join(", "))
                }
            }
        }
    }
}
