//! `lastbolt broke`: something broke or does not move, and what follows from it.

use lastbolt_job::view::{Branch, Broke, StepLine};
use lastbolt_job::{branches, broken, happens};
use lastbolt_ledger::{More, Verb};
use serde_json::{Value, json};

use crate::commands::next::line_json;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, now_ms, where_and_what};
use crate::say::{Who, known, say};

/// The most steps that are printed of what waits or can go on.
const STEPS_MAX: usize = 8;

/// Says that something broke or is stuck: what waits for it, what can go on.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Which part, fixing or connection; without it: what broke and is not settled.
    #[arg(value_name = "ID", requires = "what")]
    thing: Option<String>,
    /// What happened: stud broke, head rounded, seized, thread torn, clip broke, or in your words.
    #[arg(value_name = "KIND")]
    what: Option<String>,
    /// How long it will take, minutes at least.
    #[arg(long, value_name = "N")]
    minutes: Option<u32>,
    /// Minutes at most.
    #[arg(long, value_name = "N")]
    minutes_most: Option<u32>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    who: Who,
}

impl Args {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be done, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let desk = match (&self.thing, &self.what) {
            (Some(thing), Some(what)) => {
                say(context, &self.job, &self.who, Verb::Noted, |desk, event| {
                    event.thing = Some(known(desk, thing)?);
                    event.note = Some(what.clone());
                    event.more = Some(More {
                        kind: Some("broke".to_owned()),
                        minutes: self.minutes,
                        minutes_most: self.minutes_most,
                        ..More::default()
                    });
                    Ok(())
                })?
            }
            (_, _) => Desk::open(context, &self.job)?,
        };
        if self.json {
            context.json(&branches_json(&desk))?;
        } else {
            tell_branches(&desk, context)?;
        }
        Ok(Done::Well)
    }
}

fn tell_branches(desk: &Desk, context: &mut Context) -> Result<(), Failure> {
    let all = branches(&desk.picture, now_ms());
    for branch in &all {
        let thing = branch.broke.thing.as_deref();
        context.line(&branch.broke.text)?;
        list("What stops", &branch.stops, context)?;
        list("What can go on", &branch.goes_on, context)?;
        for line in &branch.said {
            context.line(&format!("  {line}"))?;
        }
        let about = thing.map(|thing| format!(" --thing \"{thing}\"")).unwrap_or_default();
        match &branch.minutes {
            Some(minutes) => context.line(&format!("  Takes {minutes}, as was said."))?,
            None => context.line(&format!(
                "  How long, about? lastbolt tick {} broke.minutes.{} \"1 to 3 h\"{about}",
                desk.job.id().as_str(),
                branch.broke.seq
            ))?,
        }
        context.line(&format!(
            "  Settled: lastbolt tick {} broke.{} \"HOW\"{about}",
            desk.job.id().as_str(),
            branch.broke.seq
        ))?;
    }
    let settled = broken(&desk.picture).into_iter().filter(|broke| broke.settled.is_some());
    for broke in settled {
        context.line(&settled_text(&broke))?;
    }
    if all.is_empty() {
        context.line("Nothing is broken that is not settled.")?;
        let kinds = happens("screw").join(", ");
        context.line(&format!("To say it: lastbolt broke JOB ID KIND; KIND is {kinds}, ..."))?;
    }
    Ok(())
}

fn settled_text(broke: &Broke) -> String {
    let how = broke.settled.as_ref().map_or("", |said| said.answer.as_str());
    format!("{}; settled: {how}", broke.text)
}

fn list(heading: &str, lines: &[StepLine], context: &mut Context) -> Result<(), Failure> {
    context.line(&format!("  {heading}: {}", if lines.is_empty() { "nothing" } else { "" }))?;
    for line in lines.iter().take(STEPS_MAX) {
        context.line(&format!("    {}", where_and_what(line)))?;
    }
    match lines.len().saturating_sub(STEPS_MAX) {
        0 => Ok(()),
        more => context.line(&format!("    and {more} more; --json has all of them")),
    }
}

fn branches_json(desk: &Desk) -> Value {
    let all = branches(&desk.picture, now_ms());
    let branch = |branch: &Branch| {
        json!({
            "seq": branch.broke.seq,
            "event": branch.broke.event,
            "id": branch.broke.thing,
            "text": branch.broke.text,
            "point": format!("broke.{}", branch.broke.seq),
            "minutes": branch.minutes,
            "stops": branch.stops.iter().map(line_json).collect::<Vec<_>>(),
            "goes_on": branch.goes_on.iter().map(line_json).collect::<Vec<_>>(),
            "said": branch.said,
        })
    };
    let settled = broken(&desk.picture).into_iter().filter(|broke| broke.settled.is_some());
    json!({
        "version": 1,
        "open": all.iter().map(branch).collect::<Vec<_>>(),
        "settled": settled.map(|broke| settled_text(&broke)).collect::<Vec<_>>(),
    })
}
