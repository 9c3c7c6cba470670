//! `lastbolt correct`.

use lastbolt_ledger::{More, Verb};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;
use crate::say::{Who, known, say};

/// Corrects what was recorded; it then always was so, and nothing is lost.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The part, fixing or connection.
    #[arg(value_name = "ID")]
    id: String,
    /// What it is called; with --split, what those that go apart are called.
    #[arg(long, value_name = "TEXT")]
    name: Option<String>,
    /// How many pieces it has.
    #[arg(long, value_name = "N")]
    count: Option<u32>,
    /// What kind it is.
    #[arg(long, value_name = "KIND")]
    kind: Option<String>,
    /// From which place it is undone.
    #[arg(long, value_name = "PLACE")]
    from: Option<String>,
    /// So many of the pieces are something of their own ("one of the six is longer").
    #[arg(long, value_name = "N",
          conflicts_with_all = ["count", "kind", "from", "into", "never_was"])]
    split: Option<u32>,
    /// It is the same as this one: fixings add up.
    #[arg(long, value_name = "ID", conflicts_with_all = ["count", "kind", "from", "name"])]
    into: Option<String>,
    /// It never was: entered twice, or by mistake.
    #[arg(long, conflicts_with_all = ["count", "kind", "from", "name", "into"])]
    never_was: bool,
    #[command(flatten)]
    who: Who,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be recorded, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let counted = args.count.is_some() || args.kind.is_some() || args.from.is_some();
    let verbs: Vec<Verb> = [
        args.split.map(|_| Verb::Split),
        args.into.as_ref().map(|_| Verb::Merged),
        args.never_was.then_some(Verb::StruckOut),
        counted.then_some(Verb::Corrected),
        args.name.as_ref().filter(|_| args.split.is_none()).map(|_| Verb::Renamed),
    ]
    .into_iter()
    .flatten()
    .collect();
    if verbs.is_empty() {
        return Err(Failure::asked(
            "It is not said what is to be corrected.",
            "Give --name, --count, --kind, --from, --split, --into or --never-was.",
        ));
    }
    if verbs.len() > 1 && args.who.event.is_some() {
        return Err(Failure::asked(
            "Several corrections cannot have one id.",
            "Give them one by one, or leave --event out.",
        ));
    }
    for verb in verbs {
        one(args, context, verb)?;
    }
    Ok(Done::Well)
}

fn one(args: &Args, context: &mut Context, verb: Verb) -> Result<(), Failure> {
    say(context, &args.job, &args.who, verb, |desk, event| {
        let thing = known(desk, &args.id)?;
        let entered = desk.picture.drawn.as_ref().and_then(|drawn| drawn.notes.named(&thing));
        if entered.is_none() {
            in_file(args, desk, &event.verb, &thing)?;
        }
        let count = entered.map_or(1, |entered| entered.count);
        match event.verb {
            Verb::Split if args.split.is_some_and(|pieces| pieces >= count) => {
                return Err(Failure::asked(
                    format!("\"{thing}\" has {count} pieces; fewer go apart."),
                    "Give a smaller number, or --name for all of them.",
                ));
            }
            Verb::Split => {
                event.pieces = args.split;
                event.note.clone_from(&args.name);
            }
            Verb::Renamed => event.note.clone_from(&args.name),
            Verb::Merged => {
                let into = args.into.as_deref().unwrap_or_default();
                let into = Some(known(desk, into)?);
                event.more = Some(More { into, ..More::default() });
            }
            Verb::Corrected => {
                event.pieces = args.count;
                event.spot.clone_from(&args.from);
                let kind = args.kind.clone();
                event.more = kind.map(|kind| More { kind: Some(kind), ..More::default() });
            }
            _ => {}
        }
        event.thing = Some(thing);
        Ok(())
    })
    .map(drop)
}

/// Of what stands in the machine file a record corrects name, count and kind.
///
/// # Errors
/// Says what it does not.
fn in_file(args: &Args, desk: &Desk, verb: &Verb, thing: &str) -> Result<(), Failure> {
    let machine = &desk.picture.case.model.machine;
    let is_tie = machine.ties.iter().any(|tie| tie.id.name() == thing);
    let is_part = machine.parts.iter().any(|part| part.id.name() == thing);
    let corrects = match verb {
        Verb::Renamed => is_tie || is_part,
        Verb::Corrected => is_tie && args.from.is_none(),
        _ => false,
    };
    if corrects {
        return Ok(());
    }
    Err(Failure::asked(
        format!("\"{thing}\" stands in the machine file; a record does not change that of it."),
        "Its name can be corrected, and of fixings count and kind; for more: lastbolt export and \
         an editor.",
    ))
}
