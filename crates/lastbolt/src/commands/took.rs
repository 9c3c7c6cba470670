//! `lastbolt took`.

use std::path::Path;

use lastbolt_ledger::{More, Recorded, TookPart, TookTie, Verb};
use serde_json::json;

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;
use crate::photos::{KeptPhoto, keep_photo};
use crate::say::{Who, record};

/// Records a part that came off with its fixings and connections, by the handful.
///
/// "Tray: 3 nuts, 1 clip, 1 earth" is: took JOB tray --tie nut:3 --tie clip --tie earth. Without a
/// name the part gets one. Fixings alone: --no-part.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// What the part is called.
    #[arg(value_name = "PART", conflicts_with = "no_part")]
    part: Option<String>,
    /// Fixings or connections alone; no part came off.
    #[arg(long)]
    no_part: bool,
    /// From which place; without it as the entry before. `correct` puts another one in its stead.
    #[arg(long, value_name = "PLACE")]
    from: Option<String>,
    /// A fixing or connection with how many and what it is called; may be given again.
    #[arg(long = "tie", value_name = "KIND[:COUNT[:NAME]]")]
    ties: Vec<String>,
    /// Done by feel.
    #[arg(long)]
    feel: bool,
    /// The part hangs aside: some of its connections stayed made.
    #[arg(long, conflicts_with = "no_part")]
    aside: bool,
    /// It is what the job is after.
    #[arg(long, conflicts_with = "no_part")]
    is_it: bool,
    /// A picture of it.
    #[arg(long, value_name = "FILE")]
    photo: Option<String>,
    #[command(flatten)]
    who: Who,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be recorded, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let more = More {
        part: (!args.no_part).then(|| TookPart {
            name: args.part.clone(),
            aside: args.aside,
            is_it: args.is_it,
        }),
        ties: args.ties.iter().map(|text| read_tie(text)).collect::<Result<_, _>>()?,
        feel: args.feel,
        ..More::default()
    };
    // First: a file that is no picture is said before anything is recorded.
    let photo = match &args.photo {
        Some(file) => {
            let desk = Desk::open(context, &args.job)?;
            Some(keep_photo(&desk, context, Path::new(file))?)
        }
        None => None,
    };
    let (desk, same) = record(context, &args.job, &args.who, Verb::Took, |_, event| {
        event.spot.clone_from(&args.from);
        event.more = Some(more);
        Ok(())
    })?;
    let event = match &args.who.event {
        Some(id) => id.clone(),
        None => desk.records().last().map_or_else(String::new, |r| r.event.id.to_string()),
    };
    let desk = match &photo {
        Some(photo) => mention(desk, context, &event, photo)?,
        None => desk,
    };
    if args.json {
        context.json(&as_json(&desk, &event))?;
    } else {
        tell(context, &desk, &event, same)?;
    }
    Ok(Done::Well)
}

/// Reads "nut", "nut:3" or "nut:3:upper nuts".
fn read_tie(text: &str) -> Result<TookTie, Failure> {
    let wrong = |message: String| {
        Failure::asked(message, "Write KIND, KIND:COUNT or KIND:COUNT:NAME, as in nut:3.")
    };
    let mut words = text.splitn(3, ':');
    let kind = words.next().unwrap_or_default().trim();
    if kind.is_empty() {
        return Err(wrong(format!("--tie {text}: the kind is missing.")));
    }
    let count = match words.next().map(str::trim).filter(|word| !word.is_empty()) {
        None => None,
        Some(word) => {
            let count = word.parse::<u32>().ok().filter(|count| *count > 0);
            Some(count.ok_or_else(|| wrong(format!("--tie {text}: \"{word}\" is no count.")))?)
        }
    };
    let name = words.next().map(str::trim).filter(|name| !name.is_empty());
    Ok(TookTie {
        kind: kind.to_owned(),
        count,
        name: name.map(str::to_owned),
        ..Default::default()
    })
}

/// One thing of an entry: its name, kind and count.
pub(crate) struct Given {
    pub(crate) name: String,
    kind: String,
    count: u32,
}

/// The names given to the part and the fixings of an entry.
pub(crate) fn given(desk: &Desk, event: &str) -> (Option<String>, Vec<Given>) {
    let Some(drawn) = &desk.picture.drawn else { return (None, Vec::new()) };
    let notes = &drawn.notes;
    let seq = desk.records().iter().find(|r| r.event.id.as_str() == event).map(|r| r.seq);
    let Some(entry) = notes.entries.iter().find(|e| Some(e.seq) == seq) else {
        return (None, Vec::new());
    };
    let part = entry.part.map(|at| notes.things[at].name.clone());
    let part = part.or_else(|| entry.known_part.clone());
    let own = entry.ties.iter().map(|&at| &notes.things[at]).map(|thing| Given {
        name: thing.name.clone(),
        kind: thing.kind.clone(),
        count: thing.count,
    });
    let known = entry.known_ties.iter().filter_map(|name| {
        let tie = drawn.machine.ties.iter().find(|tie| tie.id.name() == name)?;
        Some(Given {
            name: name.clone(),
            kind: tie.kind.as_ref().map_or("fixing", |kind| kind.name()).to_owned(),
            count: tie.count.as_ref().map_or(1, |count| count.value),
        })
    });
    (part, known.chain(own).collect())
}

fn as_json(desk: &Desk, event: &str) -> serde_json::Value {
    let (part, ties) = given(desk, event);
    let tie = |tie: &Given| json!({ "id": tie.name, "kind": tie.kind, "count": tie.count });
    json!({
        "version": 1,
        "event": event,
        "part": part,
        "ties": ties.iter().map(tie).collect::<Vec<_>>(),
    })
}

fn tell(context: &mut Context, desk: &Desk, event: &str, same: bool) -> Result<(), Failure> {
    if same {
        context.line("Recorded before.")?;
    }
    let (part, ties) = given(desk, event);
    if let Some(part) = part {
        context.line(&part)?;
    }
    for tie in ties {
        let pieces = lastbolt_job::pieces(tie.count, &tie.kind);
        context.line(&format!("  {} ({pieces})", tie.name))?;
    }
    Ok(())
}

/// Records the picture as one of the part, else of the first fixing; once, however often it is
/// sent.
fn mention(desk: Desk, context: &Context, event: &str, photo: &KeptPhoto) -> Result<Desk, Failure> {
    let more = photo.more();
    let is_it = |r: &Recorded| {
        let mentioned = r.event.more.as_ref().and_then(|more| more.photo.as_ref());
        r.event.verb == Verb::Photo && mentioned == more.photo.as_ref()
    };
    if desk.records().iter().any(is_it) {
        return Ok(desk);
    }
    let (part, ties) = given(&desk, event);
    let thing = part.or_else(|| ties.into_iter().next().map(|tie| tie.name));
    let entry = photo.event(&desk, thing.as_deref())?;
    Ok(desk.record(context, entry)?.0)
}
