//! `lastbolt day`: what is asked and checked at each stage of the day.

use lastbolt_job::view::{Day, DayStage, Point, StageView, Tap};
use serde_json::{Value, json};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Shows what is asked and checked at each stage, from size-up to hand-over.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Only this stage: size-up, make-ready, bench, put-back, first-start, road, hand-over.
    #[arg(value_name = "STAGE")]
    stage: Option<String>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let stage = args.stage.as_deref().map(read_stage).transpose()?;
    let desk = Desk::open(context, &args.job)?;
    let mut day = desk.day();
    day.stages.retain(|view| stage.is_none_or(|stage| view.stage == stage));
    if args.json {
        context.json(&as_json(&day))?;
        return Ok(Done::Well);
    }
    for view in &day.stages {
        tell(view, context)?;
    }
    Ok(Done::Well)
}

fn read_stage(word: &str) -> Result<DayStage, Failure> {
    DayStage::read(word).ok_or_else(|| {
        let words: Vec<&str> = DayStage::ALL.into_iter().map(DayStage::word).collect();
        Failure::asked(
            format!("\"{word}\" is no stage of the day."),
            format!("Write one of: {}.", words.join(", ")),
        )
    })
}

fn tell(view: &StageView, context: &mut Context) -> Result<(), Failure> {
    context.say(&format!("{}: {} open", view.stage.heading(), view.open()))?;
    for group in &view.groups {
        context.say(&format!("  {}", group.heading))?;
        for line in &group.lines {
            context.say(&format!("    {line}"))?;
        }
        for wait in &group.clocks {
            context.say(&format!("    {}", wait.text))?;
        }
        for (tap, kind) in group.taps.iter().filter_map(|tap| Some((tap, kind_of(tap)?))) {
            let asks = tap.asks.as_deref().unwrap_or_default();
            context.say(&format!("    {asks} (lastbolt note JOB \"{kind}\" ...)"))?;
        }
        for point in &group.points {
            tell_point(point, context)?;
        }
    }
    Ok(())
}

/// The kind of what a tap keeps in words.
fn kind_of(tap: &Tap) -> Option<&str> {
    tap.said.more.as_ref()?.kind.as_deref()
}

fn tell_point(point: &Point, context: &mut Context) -> Result<(), Failure> {
    let mark = if point.settled { "x" } else { " " };
    let about = point.thing.as_ref().map(|thing| format!(" --thing \"{thing}\""));
    let how = format!("{}{}", point.id, about.unwrap_or_default());
    context.say(&format!("    [{mark}] {} ({how})", point.text))?;
    for caution in &point.cautions {
        context.say(&format!("        Caution: {caution}"))?;
    }
    for line in &point.detail {
        context.say(&format!("        {line}"))?;
    }
    if !point.photos.is_empty() {
        context.say(&format!("        Photos: {}", point.photos.len()))?;
    }
    if let Some(said) = &point.said {
        context.say(&format!("        {}", said.answer))?;
    }
    match answers(point) {
        Some(answers) => context.say(&format!("        {answers}")),
        None => Ok(()),
    }
}

/// What `tick` takes for an answer: the words of the buttons, or words to a question.
pub(crate) fn answers(point: &Point) -> Option<String> {
    let answer = |tap: &Tap| match (&tap.said.note, &tap.asks) {
        (Some(note), _) => Some(format!("\"{note}\"")),
        (None, Some(asks)) => Some(format!("in words ({asks})")),
        (None, None) => None,
    };
    let all: Vec<String> = point.taps.iter().filter_map(answer).collect();
    (!point.settled && !all.is_empty()).then(|| format!("Answer: {}", all.join(" or ")))
}

fn as_json(day: &Day) -> Value {
    let stage = |view: &StageView| {
        json!({
            "stage": view.stage.word(),
            "open": view.open(),
            "groups": view.groups.iter().map(|group| json!({
                "heading": group.heading,
                "lines": group.lines,
                "clocks": group.clocks.iter().map(|wait| json!({
                    "thing": wait.thing, "text": wait.text,
                    "from_ms": wait.from_ms, "until_ms": wait.until_ms,
                })).collect::<Vec<_>>(),
                "points": group.points.iter().map(point_json).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
        })
    };
    json!({ "version": 1, "stages": day.stages.iter().map(stage).collect::<Vec<_>>() })
}

/// A point as JSON.
pub(crate) fn point_json(point: &Point) -> Value {
    let answers = point
        .taps
        .iter()
        .map(|tap| json!({ "text": tap.text, "answer": tap.said.note, "asks": tap.asks }));
    json!({
        "point": point.id,
        "thing": point.thing,
        "text": point.text,
        "detail": point.detail,
        "cautions": point.cautions,
        "photos": point.photos,
        "settled": point.settled,
        "before": point.before.map(lastbolt_job::view::DayGate::name),
        "answers": answers.collect::<Vec<_>>(),
        "said": point.said.as_ref().map(|said| json!({
            "answer": said.answer, "person": said.person, "said_at_ms": said.said_at_ms,
            "event": said.event,
        })),
    })
}
