//! `lastbolt did`.

use lastbolt_job::draft;
use lastbolt_ledger::{Event, EventId, More, TookPart, TookTie, Verb};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;
use crate::say::{called_now, nearest};

/// Records what was done.
#[derive(Clone, Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The part, fixing, connection or condition it was done to; left out with finished,
    /// reopened, first_start, said and moved.
    #[arg(value_name = "ID")]
    id: Option<String>,
    /// What was done [default: opens what is closed, else starts or closes it].
    #[arg(long = "do", value_name = "VERB")]
    verb: Option<String>,
    /// From which place.
    #[arg(long, value_name = "PLACE")]
    from: Option<String>,
    /// With which tool.
    #[arg(long, value_name = "TOOL")]
    tool: Option<String>,
    /// Who did it.
    #[arg(long = "as", value_name = "PERSON")]
    person: Option<String>,
    /// The id under which it is recorded, made by the sender.
    #[arg(long, value_name = "ID")]
    event: Option<String>,
    /// In words: the reason, how it went, what was seen.
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// To how many of the pieces in all.
    #[arg(long, value_name = "N")]
    pieces: Option<u32>,
    /// Which earlier entry it is about, with found, not_found and taken_out [default: the last
    /// that fell or was put in].
    #[arg(long, value_name = "ID")]
    of: Option<String>,
    /// Of which kind, with dropped, expected, and what is on no list: screw, earth.
    #[arg(long, value_name = "KIND")]
    kind: Option<String>,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    let id = args.id.as_deref().map(|id| called_now(&desk, id));
    let args = &Args { id, ..args.clone() };
    let verb = args.verb.as_deref().map(read_verb).transpose()?;
    if let Some(before) = recorded_before(&desk, args, verb.as_ref())? {
        context.line(&format!("Recorded before as number {before}."))?;
        desk.tell_next(context)?;
        return Ok(Done::Well);
    }
    let met = met_on_the_way(&desk, args, verb.as_ref())?;
    let is_new = met.is_some();
    let event = match met {
        Some(event) => event,
        None => event(&desk, args, verb)?,
    };
    let (desk, same) = desk.record(context, event)?;
    if same {
        context.line("Recorded before.")?;
    } else if let Some(last) = desk.screen().last {
        context.line(&last.text)?;
    }
    if is_new && !same {
        context.line("It was on no list and is recorded as met on the way.")?;
    }
    desk.tell_next(context)?;
    Ok(Done::Well)
}

fn read_verb(word: &str) -> Result<Verb, Failure> {
    match Verb::read(word) {
        Verb::Other(word) => {
            let known: Vec<&str> = Verb::ALL.iter().map(Verb::as_str).collect();
            Err(Failure::asked(
                format!("\"{word}\" is nothing that can be recorded."),
                format!("Write one of: {}.", known.join(", ")),
            ))
        }
        Verb::TakeBack => Err(Failure::asked(
            "A take-back has a command of its own.",
            "Write lastbolt take-back JOB.",
        )),
        verb => Ok(verb),
    }
}

/// A repeated call with the id of an event that is there: the same content is as good as
/// recorded, whatever the time of day says by now.
fn recorded_before(desk: &Desk, args: &Args, verb: Option<&Verb>) -> Result<Option<u64>, Failure> {
    let Some(id) = &args.event else { return Ok(None) };
    let Some(old) = desk.records().iter().find(|r| r.event.id.as_str() == id) else {
        return Ok(None);
    };
    let differs = |asked: &Option<String>, old: &Option<String>| asked.is_some() && asked != old;
    let event = &old.event;
    // What was on no list was recorded as a handful of its own.
    let was_met = event.verb == Verb::Took && matches!(verb, Some(Verb::Off | Verb::Undo));
    let thing = if was_met { name_of_met(event) } else { event.thing.as_deref() };
    let other = args.id != thing.map(|thing| called_now(desk, thing))
        || verb.is_some_and(|verb| *verb != event.verb && !was_met)
        || differs(&args.from, &event.spot)
        || differs(&args.tool, &event.tool)
        || args.person != event.person
        || args.note != event.note
        || (args.pieces != event.pieces && !was_met)
        || args.of.as_deref().is_some_and(|of| event.of.as_ref().is_none_or(|o| o.as_str() != of));
    if other {
        return Err(Failure::asked(
            format!(
                "An entry with the id {id} is recorded as number {} and says something else.",
                old.seq
            ),
            "Send yours again under a new id if it is meant.",
        ));
    }
    Ok(Some(old.seq))
}

fn event(desk: &Desk, args: &Args, verb: Option<Verb>) -> Result<Event, Failure> {
    let about_a_machine_thing =
        verb.as_ref().is_none_or(|verb| verb.needs_thing() || *verb == Verb::Said);
    let mut event = match &args.id {
        Some(thing) if about_a_machine_thing => {
            let draft = draft(&desk.picture.case, &desk.picture.now, thing, verb)
                .ok_or_else(|| unknown_thing(desk, thing))?;
            let mut event = desk.event(draft.verb, args.event.as_deref())?;
            (event.spot, event.tool) = (draft.spot, draft.tool);
            event
        }
        _ => {
            let verb = verb.ok_or_else(|| {
                Failure::asked(
                    "It is not said what it was done to.",
                    "Name a part, fixing, connection or condition.",
                )
            })?;
            desk.event(verb, args.event.as_deref())?
        }
    };
    event.thing.clone_from(&args.id);
    event.spot = args.from.clone().or(event.spot);
    event.tool = args.tool.clone().or(event.tool);
    event.person.clone_from(&args.person);
    event.note.clone_from(&args.note);
    event.pieces = args.pieces;
    event.of = of(desk, args, &event)?;
    if let Some(kind) = &args.kind {
        event.more = Some(More { kind: Some(kind.clone()), ..More::default() });
    }
    event.check().map_err(|error| Failure::asked(error.to_string(), ""))?;
    Ok(event)
}

/// Which entry something is about: the one named, else the last that fell, or was put in where
/// the thing was.
fn of(desk: &Desk, args: &Args, event: &Event) -> Result<Option<EventId>, Failure> {
    let matters = &desk.picture.now.matters;
    let about = |thing: &Option<String>| args.id.is_none() || *thing == args.id;
    let last = match event.verb {
        _ if args.of.is_some() => args.of.as_deref(),
        Verb::Found | Verb::NotFound => matters.last_fallen().map(|it| it.event.as_str()),
        Verb::TakenOut => {
            let own = matters.put_in.iter().rev().find(|it| about(&it.thing));
            own.map(|it| it.event.as_str())
        }
        _ => None,
    };
    let of = last.map(EventId::new).transpose();
    of.map_err(|error| Failure::asked(error.to_string(), "Write the id as the record has it."))
}

/// What came off and is on no list is recorded all the same, as met on the way: a part with
/// `--do off`, a fixing with `--do undo`.
fn met_on_the_way(desk: &Desk, args: &Args, verb: Option<&Verb>) -> Result<Option<Event>, Failure> {
    let Some(name) = &args.id else { return Ok(None) };
    if desk.picture.case.kernel.find(name).is_some() {
        return Ok(None);
    }
    let name = name.clone();
    let more = match verb {
        Some(Verb::Off) => {
            let part = TookPart { name: Some(name), ..TookPart::default() };
            More { part: Some(part), ..More::default() }
        }
        Some(Verb::Undo) => {
            let kind = args.kind.clone().unwrap_or_else(|| "fixing".to_owned());
            let tie = TookTie { kind, count: args.pieces, name: Some(name), ..TookTie::default() };
            More { ties: vec![tie], ..More::default() }
        }
        _ => return Ok(None),
    };
    let mut event = desk.event(Verb::Took, args.event.as_deref())?;
    event.spot.clone_from(&args.from);
    event.person.clone_from(&args.person);
    event.note.clone_from(&args.note);
    event.more = Some(more);
    event.check().map_err(|error| Failure::asked(error.to_string(), ""))?;
    Ok(Some(event))
}

/// The name under which something was recorded that is on no list.
fn name_of_met(event: &Event) -> Option<&str> {
    let more = event.more.as_ref()?;
    let part = more.part.as_ref().and_then(|part| part.name.as_deref());
    part.or_else(|| more.ties.first()?.name.as_deref())
}

fn unknown_thing(desk: &Desk, thing: &str) -> Failure {
    let help = nearest(desk, thing);
    let help = format!("{help} What is on no list: --do off for a part, --do undo for fixings.");
    Failure::asked(format!("The machine of this job has no \"{thing}\"."), help)
}
