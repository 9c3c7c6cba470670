//! `lastbolt tighten done`.

use lastbolt_job::view::{JointCard, JointTap, Said};
use lastbolt_job::{HeldText, joint};
use lastbolt_ledger::{Event, Verb};

use crate::commands::tighten::joint_of;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, now_ms};
use crate::say::Who;

/// Records that a round of a joint is done, as one tap on its card does.
///
/// The round is the next one; the last round also says that the joint is tight. The wrench is the
/// one that the card takes, set to what the card says; name another with --wrench, and it is taken
/// for the rounds after it too.
///
/// Examples:
///   lastbolt tighten done tarn-camper-1 "cover screws"
///   lastbolt tighten done tarn-camper-1 "cover screws" --wrench "long" --as Robin
///   lastbolt tighten done tarn-camper-1 "cover screws" --as-far-as 3
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The joint: the fixing's name.
    #[arg(value_name = "JOINT")]
    joint: String,
    /// By hand, not measured.
    #[arg(long, conflicts_with_all = ["wrench", "setting", "all"])]
    by_hand: bool,
    /// All rounds that are left, and the joint is tight.
    #[arg(long, conflicts_with_all = ["as_far_as", "wrench", "setting"])]
    all: bool,
    /// The round was broken off: the last screw that is done, by its number on the card.
    #[arg(long, value_name = "N")]
    as_far_as: Option<u32>,
    /// With this wrench of the garage, or any other in words (then with --setting).
    #[arg(long, value_name = "WRENCH")]
    wrench: Option<String>,
    /// What it was set to, as its scale reads.
    #[arg(long, value_name = "TEXT", requires = "wrench")]
    setting: Option<String>,
    /// The adapter that is used: its name in the garage's file, or its length ("60 mm").
    #[arg(long, value_name = "ADAPTER")]
    adapter: Option<String>,
    /// Degrees between wrench and adapter: 0 straight ahead, 90 across.
    #[arg(long, value_name = "DEGREES", default_value_t = 90.0)]
    degrees: f64,
    #[command(flatten)]
    who: Who,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be recorded, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    if let Some(id) = &args.who.event
        && desk.records().iter().any(|record| record.event.id.as_str() == id)
    {
        context.line("Recorded before.")?;
        return Ok(Done::Well);
    }
    let name = joint_of(&desk, &args.joint)?;
    let adapter = args.adapter.clone();
    let held = adapter.map(|adapter| HeldText { adapter, degrees: args.degrees });
    let card = joint(&desk.picture, &name, held.as_ref(), now_ms())
        .ok_or_else(|| Failure::asked(format!("\"{name}\" has no card."), ""))?;
    let mut records = tap(args, &card)?.records;
    if let Some(wrench) = &args.wrench {
        with(wrench, args, &card, &mut records)?;
    }
    let events = record(&desk, args, &records)?;
    let desk = desk.record_all(context, &events)?;
    if let Some(last) = desk.screen().last {
        context.line(&last.text)?;
    }
    desk.tell_next(context)?;
    Ok(Done::Well)
}

/// What is recorded, as the card offers it.
fn tap(args: &Args, card: &JointCard) -> Result<JointTap, Failure> {
    let by_hand = |tap: &&JointTap| {
        let more = tap.records.first().and_then(|said| said.more.as_ref());
        more.is_some_and(|more| more.by_hand)
    };
    let found = match args.as_far_as {
        Some(last) => card.stops.iter().find(|tap| tap.text == last.to_string()),
        None if args.by_hand => card.taps.iter().find(by_hand),
        None if args.all => card.taps.iter().max_by_key(|tap| tap.records.len()),
        None => card.taps.first(),
    };
    let mut found = found.cloned().ok_or_else(|| nothing(args, card))?;
    // Broken off, and by hand at that.
    if let (Some(_), true, Some(said)) = (args.as_far_as, args.by_hand, found.records.first_mut()) {
        let more = said.more.get_or_insert_default();
        (more.wrench, more.setting, more.calibrated, more.by_hand) = (None, None, None, true);
    }
    Ok(found)
}

fn nothing(args: &Args, card: &JointCard) -> Failure {
    if let Some(ask) = card.asks.iter().find(|ask| !ask.settled && card.taps.is_empty()) {
        return Failure::asked(
            format!("{}: {}", card.title, ask.text),
            format!("Answer it first: lastbolt tick JOB {} ANSWER --thing JOINT.", ask.id),
        );
    }
    if card.taps.is_empty() {
        return Failure::asked(
            format!("{}: {}; nothing is tightened.", card.title, card.stands),
            "",
        );
    }
    match args.as_far_as {
        Some(last) => Failure::asked(
            format!("{}: screw {last} cannot be the last one done.", card.title),
            format!(
                "It has {}; say it for a screw before the last, or leave --as-far-as out where all \
                 of them are done.",
                card.pieces
            ),
        ),
        None => Failure::asked(
            format!("{}: the next round asks for no value.", card.title),
            "Leave --by-hand out.",
        ),
    }
}

/// Says that another wrench was used: of the garage, set to what the card says, or any other.
fn with(wrench: &str, args: &Args, card: &JointCard, records: &mut [Said]) -> Result<(), Failure> {
    let number = records.first().and_then(|said| said.more.as_ref()?.round);
    let round = card.rounds.iter().find(|round| Some(round.number) == number);
    let own = round.and_then(|round| round.wrenches.iter().find(|own| own.name == wrench));
    if own.is_none() && args.setting.is_none() {
        let why = round.and_then(|round| {
            let of = format!("{wrench}: ");
            round.refused.iter().find_map(|line| line.strip_prefix(&of)).map(str::to_owned)
        });
        let why = why.unwrap_or_else(|| "The garage does not list it.".to_owned());
        return Err(Failure::asked(
            format!("wrench: \"{wrench}\" is none that the card can take. {why}"),
            "Name one that the card lists, or say with --setting what this one was set to.",
        ));
    }
    let more = records.first_mut().and_then(|said| said.more.as_mut());
    if let Some(more) = more {
        more.wrench = Some(wrench.to_owned());
        more.setting = args.setting.clone().or_else(|| own.map(|own| own.setting.clone()));
        more.calibrated = own.and_then(|own| own.calibrated.clone());
    }
    Ok(())
}

/// The entries, in order; the first has the id that was asked for.
fn record(desk: &Desk, args: &Args, records: &[Said]) -> Result<Vec<Event>, Failure> {
    let mut events = Vec::new();
    for (at, said) in records.iter().enumerate() {
        let id = args.who.event.as_deref().filter(|_| at == 0);
        let mut event = desk.event(Verb::Round, id)?;
        event.count += u64::try_from(at).unwrap_or(0);
        said.fill(&mut event);
        event.person.clone_from(&args.who.person);
        event.check().map_err(|error| Failure::asked(error.to_string(), ""))?;
        events.push(event);
    }
    Ok(events)
}
