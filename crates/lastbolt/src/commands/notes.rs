//! Small entries: `all-off`, `fact`, `expected`, `leave-alone`, `dropped`, `found`, `put-in`,
//! `taken-out`.

use lastbolt_ledger::{Event, EventId, More, Verb};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;
use crate::say::{Who, known, say};

/// Says that taking apart is over: from here it goes back together.
#[derive(Debug, clap::Args)]
pub(crate) struct AllOff {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    #[command(flatten)]
    who: Who,
}

/// Keeps a fact for putting back: how it sits, dry or wetted, length, mark, bag.
#[derive(Debug, clap::Args)]
pub(crate) struct Fact {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The part, fixing or connection.
    #[arg(value_name = "ID")]
    id: String,
    /// One of: sits, wetted, direction, new_or_old, length, mark, size, bag, label, tool.
    #[arg(value_name = "FACT")]
    fact: String,
    /// The fact in words.
    #[arg(value_name = "TEXT")]
    text: String,
    #[command(flatten)]
    who: Who,
}

/// Keeps what was counted before the first bolt.
#[derive(Debug, clap::Args)]
pub(crate) struct Expected {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The kind.
    #[arg(value_name = "KIND")]
    kind: String,
    /// How many.
    #[arg(value_name = "N")]
    count: u32,
    /// At which place.
    #[arg(long, value_name = "PLACE")]
    at: Option<String>,
    #[command(flatten)]
    who: Who,
}

/// Marks something that is to be left alone.
#[derive(Debug, clap::Args)]
pub(crate) struct LeaveAlone {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// What, in words; or the id of a thing.
    #[arg(value_name = "TEXT")]
    what: String,
    #[command(flatten)]
    who: Who,
}

/// Records that something fell; the gate stays shut until it is found.
#[derive(Debug, clap::Args)]
pub(crate) struct Dropped {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// What kind it is.
    #[arg(value_name = "KIND")]
    kind: Option<String>,
    /// Where it may be.
    #[arg(long = "where", value_name = "TEXT")]
    place: Option<String>,
    #[command(flatten)]
    who: Who,
}

/// Records that what fell was found, or why it may stay unfound.
#[derive(Debug, clap::Args)]
pub(crate) struct Found {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The entry that says that it fell [default: the last one].
    #[arg(value_name = "ENTRY")]
    of: Option<String>,
    /// It stays unfound, and this is why it may.
    #[arg(long, value_name = "REASON")]
    not: Option<String>,
    #[command(flatten)]
    who: Who,
}

/// Records that a rag, cap, plug or tool was put in.
#[derive(Debug, clap::Args)]
pub(crate) struct PutIn {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// What: rag, cap, plug, or a tool's name.
    #[arg(value_name = "WHAT")]
    what: String,
    /// Where: what left the opening.
    #[arg(long, value_name = "ID")]
    at: Option<String>,
    #[command(flatten)]
    who: Who,
}

/// Records that what was put in is out again.
#[derive(Debug, clap::Args)]
pub(crate) struct TakenOut {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The entry that says that it was put in [default: the last one].
    #[arg(value_name = "ENTRY")]
    of: Option<String>,
    #[command(flatten)]
    who: Who,
}

impl AllOff {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let desk = say(context, &self.job, &self.who, Verb::AllOff, |_, _| Ok(()))?;
        desk.tell_next(context)?;
        Ok(Done::Well)
    }
}

impl Fact {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        if self.text.trim().is_empty() {
            return Err(Failure::asked("The fact is blank.", "Say it in a few words."));
        }
        said(context, &self.job, &self.who, Verb::Fact, |desk, event| {
            event.thing = Some(known(desk, &self.id)?);
            event.note = Some(self.text.clone());
            event.more = Some(More { fact: Some(self.fact.clone()), ..More::default() });
            Ok(())
        })
    }
}

impl Expected {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        said(context, &self.job, &self.who, Verb::Expected, |_, event| {
            event.pieces = Some(self.count);
            event.spot.clone_from(&self.at);
            event.more = Some(of_kind(&self.kind));
            Ok(())
        })
    }
}

impl LeaveAlone {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        said(context, &self.job, &self.who, Verb::LeaveAlone, |desk, event| {
            match known(desk, &self.what) {
                Ok(thing) => event.thing = Some(thing),
                Err(_) => event.note = Some(self.what.clone()),
            }
            Ok(())
        })
    }
}

impl Dropped {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        said(context, &self.job, &self.who, Verb::Dropped, |_, event| {
            event.spot.clone_from(&self.place);
            event.more = self.kind.as_deref().map(of_kind);
            Ok(())
        })
    }
}

impl Found {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let verb = if self.not.is_some() { Verb::NotFound } else { Verb::Found };
        said(context, &self.job, &self.who, verb, |desk, event| {
            event.of = Some(earlier(desk, self.of.as_deref(), &Verb::Dropped)?);
            event.note.clone_from(&self.not);
            Ok(())
        })
    }
}

impl PutIn {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        said(context, &self.job, &self.who, Verb::PutIn, |desk, event| {
            event.thing = self.at.as_deref().map(|thing| known(desk, thing)).transpose()?;
            event.note = Some(self.what.clone());
            let is_kind = ["rag", "cap", "plug"].contains(&self.what.as_str());
            event.more = Some(of_kind(if is_kind { &self.what } else { "tool" }));
            Ok(())
        })
    }
}

impl TakenOut {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        said(context, &self.job, &self.who, Verb::TakenOut, |desk, event| {
            event.of = Some(earlier(desk, self.of.as_deref(), &Verb::PutIn)?);
            Ok(())
        })
    }
}

fn said(
    context: &mut Context,
    job: &str,
    who: &Who,
    verb: Verb,
    fill: impl FnOnce(&Desk, &mut Event) -> Result<(), Failure>,
) -> Result<Done, Failure> {
    say(context, job, who, verb, fill)?;
    Ok(Done::Well)
}

fn of_kind(kind: &str) -> More {
    More { kind: Some(kind.to_owned()), ..More::default() }
}

/// The entry that is meant: the one named, else the last of that kind that nothing has settled.
fn earlier(desk: &Desk, of: Option<&str>, verb: &Verb) -> Result<EventId, Failure> {
    let matters = &desk.picture.now.matters;
    let (open, none) = if *verb == Verb::Dropped {
        (matters.last_fallen().map(|it| it.event.as_str()), "Nothing is missing.")
    } else {
        (matters.put_in.last().map(|it| it.event.as_str()), "Nothing is in.")
    };
    let id = of.or(open).ok_or_else(|| Failure::asked(none, "Look at lastbolt record JOB."))?;
    EventId::new(id).map_err(|error| Failure::asked(error.to_string(), ""))
}
