//! Recording one entry and telling what it was.

use lastbolt_ledger::{Event, Verb};

use crate::context::Context;
use crate::failure::Failure;
use crate::live::Desk;

/// Who says it and under which id: what every command that records takes.
#[derive(Debug, Default, clap::Args)]
pub(crate) struct Who {
    /// Who did it.
    #[arg(long = "as", value_name = "PERSON")]
    pub(crate) person: Option<String>,
    /// The id under which it is recorded, made by the sender.
    #[arg(long, value_name = "ID")]
    pub(crate) event: Option<String>,
}

/// Records one entry, filled by the caller, and prints it with what comes next.
///
/// # Errors
/// Says why it was not recorded; then nothing was.
pub(crate) fn say(
    context: &mut Context,
    job: &str,
    who: &Who,
    verb: Verb,
    fill: impl FnOnce(&Desk, &mut Event) -> Result<(), Failure>,
) -> Result<Desk, Failure> {
    let (desk, same) = record(context, job, who, verb, fill)?;
    if same {
        context.line("Recorded before.")?;
    } else if let Some(last) = desk.screen().last {
        context.line(&last.text)?;
    }
    Ok(desk)
}

/// Records one entry, filled by the caller, without a word; tells whether it was there before.
///
/// # Errors
/// Says why it was not recorded; then nothing was.
pub(crate) fn record(
    context: &mut Context,
    job: &str,
    who: &Who,
    verb: Verb,
    fill: impl FnOnce(&Desk, &mut Event) -> Result<(), Failure>,
) -> Result<(Desk, bool), Failure> {
    let desk = Desk::open(context, job)?;
    let mut event = desk.event(verb, who.event.as_deref())?;
    event.person.clone_from(&who.person);
    fill(&desk, &mut event)?;
    event.check().map_err(|error| Failure::asked(error.to_string(), ""))?;
    // The same call once more: the same entry, whatever the time of day says by now.
    let old = desk.records().iter().find(|r| r.event.id == event.id).map(|r| r.event.clone());
    if let Some(old) = old {
        let again = Event {
            count: old.count,
            seen: old.seen,
            said_at_ms: old.said_at_ms,
            sender: old.sender.clone(),
            ..event.clone()
        };
        if again == old {
            return Ok((desk, true));
        }
    }
    desk.record(context, event)
}

/// Gives the thing of that name, as it is called now.
///
/// # Errors
/// Says that there is none, with the nearest.
pub(crate) fn known(desk: &Desk, thing: &str) -> Result<String, Failure> {
    let thing = &called_now(desk, thing);
    if desk.picture.case.kernel.find(thing).is_some() {
        return Ok(thing.clone());
    }
    Err(Failure::asked(format!("This job has no \"{thing}\"."), nearest(desk, thing)))
}

/// Gives what a thing is called now that had this name at any time; a name that nothing had stays
/// as it is.
pub(crate) fn called_now(desk: &Desk, thing: &str) -> String {
    let picture = &desk.picture;
    let had = || picture.drawn.as_ref()?.notes.now_called(thing);
    let is_known = picture.case.kernel.find(thing).is_some();
    had().filter(|_| !is_known).unwrap_or_else(|| thing.to_owned())
}

/// Says which name of the job is the nearest to one that is none.
pub(crate) fn nearest(desk: &Desk, thing: &str) -> String {
    let names = desk.picture.case.kernel.things.iter().map(|known| known.name.as_str());
    match lastbolt_files::nearest(thing, names) {
        Some(near) => format!("Did you mean \"{near}\"?"),
        None => "lastbolt state JOB --json lists every name.".to_owned(),
    }
}
