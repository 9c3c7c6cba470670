//! `lastbolt next`.

use lastbolt_job::view::{ActionCard, Caution, Screen, StepLine, Stops};
use lastbolt_job::{NOTHING_CLAIMED, with_twins};
use serde_json::{Value, json};

use crate::commands::day::point_json;
use crate::commands::state::matter_json;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, MORE_MAY_COME_OFF, given_up, now_ms, where_and_what};

/// Says what next, with place, tool and cautions.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    let screen = desk.screen();
    if args.json {
        context.json(&as_json(&screen, &desk.picture.stops(now_ms())))?;
    } else {
        tell_stops(&desk.picture.stops(now_ms()), context)?;
        tell(&desk, &screen, context)?;
    }
    Ok(Done::Well)
}

/// Says how the job was left, what was done last before a break, and what broke.
///
/// # Errors
/// Fails when nothing can be printed.
pub(crate) fn tell_stops(stops: &Stops, context: &mut Context) -> Result<(), Failure> {
    if let Some(left) = &stops.left {
        context.say(&format!("Left standing: {}", left.text))?;
        context.say("  It goes on: lastbolt resume JOB")?;
    }
    if !stops.last.is_empty() {
        context.say("Back from a break; done last (is it finished?):")?;
        for line in &stops.last {
            context.say(&format!("  {}", line.text))?;
        }
    }
    for point in &stops.looks {
        let about = point.thing.as_deref().unwrap_or_default();
        context.say(&format!("Look once more: {}", point.text))?;
        context.say(&format!(
            "  lastbolt tick JOB {} \"looked again\" --thing \"{about}\"",
            point.id
        ))?;
    }
    for broke in &stops.broken {
        context.say(&format!("Broke: {} (lastbolt broke JOB)", broke.text))?;
    }
    Ok(())
}

fn tell(desk: &Desk, screen: &Screen, context: &mut Context) -> Result<(), Failure> {
    context.say(&format!("{}: {}", screen.heading, screen.machine))?;
    if screen.more_may_come_off {
        context.say(MORE_MAY_COME_OFF)?;
    }
    match &screen.next {
        _ if screen.given_up.is_some() => {
            context.say(&given_up(screen))?;
            context.say(NOTHING_CLAIMED)?;
        }
        Some(card) if screen.more_may_come_off => {
            context.say("When all is off, first:")?;
            tell_card(card, context)?;
        }
        Some(card) => tell_card(card, context)?,
        None if screen.more_may_come_off => {}
        None => desk.tell_end(screen, context)?,
    }
    let then = screen.next_to_that.iter().filter(|_| screen.given_up.is_none());
    for line in then {
        context.say(&format!("  then: {}", where_and_what(line)))?;
    }
    context.say(&screen.still_off.text)?;
    for count in &screen.counts {
        context.say(&format!("  {}", count.text))?;
    }
    for point in &screen.not_answered {
        context.say(&format!("note: not answered: {}", point.text))?;
    }
    for wait in &screen.waits {
        context.say(&format!("note: {}", wait.text))?;
    }
    for look in &screen.passed_looks {
        context.say(&format!("note: {}", look.text))?;
    }
    for thing in &screen.not_recorded {
        context.say(&format!("note: {}", thing.text))?;
    }
    for quiet in &screen.quiet {
        context.say(&format!("note: {}", quiet.text))?;
    }
    for line in screen.matters.blocking().chain(&screen.matters.openings) {
        context.say(&format!("note: {}", line.text))?;
    }
    Ok(())
}

fn tell_card(card: &ActionCard, context: &mut Context) -> Result<(), Failure> {
    let tag = card.line.tag.map_or(String::new(), |tag| format!("  [tag {}]", tag.number));
    context.say(&format!("{}{tag}", where_and_what(&card.line)))?;
    let guess = if card.line.guessed { ", a guess" } else { "" };
    context.say(&format!("  {} min{guess}", card.line.minutes))?;
    for line in &card.first_out {
        context.say(&format!("  {}", line.text))?;
    }
    if let Some(point) = &card.asks_first {
        context.say(&format!("  before it is opened: {}", point.text))?;
        let about = point.thing.as_ref().map(|thing| format!(" --thing \"{thing}\""));
        let about = about.unwrap_or_default();
        context.say(&format!("    lastbolt tick JOB {} \"how, by whom\"{about}", point.id))?;
    }
    for first in &card.off_first {
        context.say(&format!("  off first: {}", first.text))?;
    }
    for reason in &card.not_yet {
        context.say(&format!("  {reason}"))?;
    }
    for caution in &card.cautions {
        context.say(&format!("  caution: {} ({})", caution.text, caution.of))?;
    }
    if !card.cautions.is_empty() {
        context.say(&format!("  {}", lastbolt_job::MAKER_WINS))?;
    }
    let facts = [
        ("who", &card.who),
        ("mark first", &card.mark),
        ("leave alone", &card.leave_alone),
        ("goes back", &card.put_back),
        ("support", &card.support),
        ("lift", &card.lift),
        ("ask", &card.ask),
        ("then wait", &card.then_wait),
    ];
    for (word, fact) in facts {
        if let Some(fact) = fact {
            context.say(&format!("  {word}: {fact}"))?;
        }
    }
    let lists = [("also", &card.also), ("round", &card.rounds), ("new", &card.renew)];
    let display = context.display();
    for (word, list) in lists {
        for item in list {
            let item = match word {
                "round" => with_twins(item, display.units, |number| display.number(number)),
                _ => item.clone(),
            };
            context.say(&format!("  {word}: {item}"))?;
        }
    }
    for note in &card.notes {
        context.say(&format!("  {note}"))?;
    }
    match &card.prompt {
        Some(prompt) => context.say(&format!("  {}", prompt.text)),
        None => Ok(()),
    }
}

fn as_json(screen: &Screen, stops: &Stops) -> Value {
    json!({
        "left_standing": stops.left.as_ref().map(|left| &left.text),
        "done_last": stops.last.iter().map(|line| &line.text).collect::<Vec<_>>(),
        "look_again": stops.looks.iter().map(|point| &point.text).collect::<Vec<_>>(),
        "broken": stops.broken.iter().map(|broke| &broke.text).collect::<Vec<_>>(),
        "version": 1,
        "phase": screen.phase.word(),
        "heading": screen.heading,
        "given_up": screen.given_up,
        "more_may_come_off": screen.more_may_come_off,
        "next": screen.next.as_ref().map(card_json),
        "next_to_that": screen.next_to_that.iter().map(line_json).collect::<Vec<_>>(),
        "rest": screen.rest.iter().map(line_json).collect::<Vec<_>>(),
        "minutes_left": screen.minutes_left.as_number(),
        "bound": screen.bound.as_number(),
        "still_off": screen.still_off.text,
        "notes": screen.quiet.iter().map(|q| &q.text).collect::<Vec<_>>(),
        "seen": screen.seen,
    })
}

/// One step as JSON: the words of the contract.
pub(crate) fn line_json(line: &StepLine) -> Value {
    json!({
        "do": line.verb.word(),
        "id": line.thing,
        "text": line.text,
        "from": line.from,
        "tool": line.tool,
        "minutes": line.minutes.as_number(),
        "guessed": line.guessed,
        "tag": line.tag.map(|tag| tag.number),
        "before": line.before,
    })
}

fn card_json(card: &ActionCard) -> Value {
    let cautions: Vec<&String> = card.cautions.iter().map(|Caution { text, .. }| text).collect();
    let mut value = line_json(&card.line);
    let more = json!({
        "kind": card.kind,
        "pieces": card.pieces,
        "pieces_done": card.pieces_done,
        "change": card.change.as_number(),
        "wait": card.wait.as_number(),
        "then_wait": card.then_wait,
        "asks_first": card.asks_first.as_ref().map(point_json),
        "off_first": card.off_first.iter().map(|t| &t.thing).collect::<Vec<_>>(),
        "not_yet": card.not_yet,
        "cautions": cautions,
        "who": card.who,
        "mark": card.mark,
        "sits": card.sits,
        "wetted": card.wetted,
        "support": card.support,
        "lift": card.lift,
        "also": card.also,
        "rounds": card.rounds,
        "renew": card.renew,
        "by_feel": card.by_feel,
        "prompt": card.prompt.as_ref().map(|p| &p.text),
        "first_out": card.first_out.iter().map(matter_json).collect::<Vec<_>>(),
        "leave_alone": card.leave_alone,
        "put_back": card.put_back,
        "records": card.buttons.iter().map(|b| json!({
            "text": b.text, "verb": b.draft.verb.as_str(),
        })).collect::<Vec<_>>(),
    });
    if let (Some(value), Value::Object(more)) = (value.as_object_mut(), more) {
        value.extend(more);
    }
    value
}
