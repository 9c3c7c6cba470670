//! `lastbolt tick`, `note`, `stand` and `resume`: what the day around the work brings.

use std::path::PathBuf;

use lastbolt_floor::Own;
use lastbolt_job::view::{Point, Sheet};
use lastbolt_job::{HAZARD, paper};
use lastbolt_ledger::{More, Verb};
use lastbolt_machine::HAZARDS;

use crate::commands::{next, sheet};
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, now_ms};
use crate::photos::keep_photo;
use crate::say::{Who, known, say};

/// Answers a question or check of the day, as `lastbolt day` lists it.
#[derive(Debug, clap::Args)]
pub(crate) struct Tick {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Which, as `lastbolt day` shows it: road.level.
    #[arg(value_name = "POINT")]
    point: String,
    /// The answer: the word of one of its answers, or what there is to say.
    #[arg(value_name = "ANSWER")]
    answer: String,
    /// About which part, fixing or condition, where the point is about one.
    #[arg(long, value_name = "ID")]
    thing: Option<String>,
    /// A price, as it is to stand in the record; a number alone gets the garage's money.
    #[arg(long, value_name = "PRICE")]
    price: Option<String>,
    /// By what means it was said: phone, in person.
    #[arg(long, value_name = "TEXT")]
    means: Option<String>,
    #[command(flatten)]
    who: Who,
}

/// Keeps something in words: a symptom, a code, what to buy, a question.
#[derive(Debug, clap::Args)]
pub(crate) struct Note {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// What it is: complaint, symptom, code, decided, proof, buy, borrow, fluid, "ask owner",
    /// broke, recheck, hazard (TEXT is then a word such as pressure, spring or hot), or a word of
    /// your own.
    #[arg(value_name = "KIND")]
    kind: String,
    /// In words.
    #[arg(value_name = "TEXT")]
    text: String,
    /// About which part, fixing or condition.
    #[arg(long, value_name = "ID")]
    thing: Option<String>,
    /// A price, as it is to stand in the record; a number alone gets the garage's money.
    #[arg(long, value_name = "PRICE")]
    price: Option<String>,
    /// A picture that goes with it: what the owner is asked about.
    #[arg(long, value_name = "FILE")]
    photo: Option<PathBuf>,
    /// Minutes, about or at least.
    #[arg(long, value_name = "N")]
    minutes: Option<u32>,
    /// Minutes at most.
    #[arg(long, value_name = "N")]
    minutes_most: Option<u32>,
    /// When it falls due: "after 50 km", or a day.
    #[arg(long, value_name = "TEXT")]
    due: Option<String>,
    #[command(flatten)]
    who: Who,
}

/// Leaves the job standing and prints the sheet that says why not to start it.
#[derive(Debug, clap::Args)]
pub(crate) struct Stand {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// How it is left, in words.
    #[arg(value_name = "TEXT")]
    text: Option<String>,
    #[command(flatten)]
    who: Who,
}

/// Takes a standing job up again, and says how it was left.
#[derive(Debug, clap::Args)]
pub(crate) struct Resume {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    #[command(flatten)]
    who: Who,
}

impl Tick {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let garage = Own::read(&context.garage()?);
        say(context, &self.job, &self.who, Verb::Ticked, |desk, event| {
            let day = desk.day();
            let own = self.thing.as_deref().and_then(|joint| of_joint(desk, &self.point, joint));
            let found = day.find(&self.point, self.thing.as_deref());
            let point = found.or(own.as_ref()).ok_or_else(|| {
                let ids = day.points().map(|point| point.id.as_str());
                let help = match lastbolt_files::nearest(&self.point, ids) {
                    Some(near) if near != self.point => format!("Did you mean \"{near}\"?"),
                    _ => "lastbolt day JOB lists them, with what each is about.".to_owned(),
                };
                Failure::asked(format!("The day asks no \"{}\" of that.", self.point), help)
            })?;
            event.thing.clone_from(&point.thing);
            // The words of a button are its answer.
            let said = self.answer.trim().to_lowercase();
            let tapped = point.taps.iter().find(|tap| tap.text.to_lowercase() == said);
            let answer = tapped.and_then(|tap| tap.said.note.clone());
            event.note = Some(answer.unwrap_or_else(|| self.answer.clone()));
            // Some points are answered by an entry of its own: the proof, a condition.
            let own = point.taps.first().filter(|tap| tap.said.verb != Verb::Ticked);
            if let Some(tap) = own.filter(|_| point.taps.len() == 1) {
                tap.said.fill(event);
                event.note = Some(self.answer.clone());
                return Ok(());
            }
            event.more = Some(More {
                point: Some(point.id.clone()),
                asked: Some(point.text.clone()),
                price: self.price.as_deref().map(|price| garage.display.price(price)),
                means: self.means.clone(),
                ..More::default()
            });
            Ok(())
        })?;
        Ok(Done::Well)
    }
}

/// What the card of a joint asks stands on no page of the day.
fn of_joint(desk: &Desk, point: &str, joint: &str) -> Option<Point> {
    let card = lastbolt_job::joint(&desk.picture, joint, None, now_ms())?;
    card.asks.into_iter().find(|ask| ask.id == point)
}

impl Note {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let garage = Own::read(&context.garage()?);
        let photo = match &self.photo {
            Some(file) => Some(keep_photo(&Desk::open(context, &self.job)?, context, file)?),
            None => None,
        };
        say(context, &self.job, &self.who, Verb::Noted, |desk, event| {
            event.thing = self.thing.as_deref().map(|thing| known(desk, thing)).transpose()?;
            event.note = Some(self.text.clone());
            if self.kind == HAZARD {
                check_hazard(self.text.trim(), self.thing.is_some())?;
            }
            event.more = Some(More {
                kind: Some(self.kind.clone()),
                price: self.price.as_deref().map(|price| garage.display.price(price)),
                minutes: self.minutes,
                minutes_most: self.minutes_most,
                due: self.due.clone(),
                photo: photo.as_ref().map(|kept| kept.name.clone()),
                taken_at_ms: photo.as_ref().and_then(|kept| kept.taken_at_ms),
                ..More::default()
            });
            Ok(())
        })?;
        Ok(Done::Well)
    }
}

/// A mark that means nothing would be no caution at all.
fn check_hazard(word: &str, has_thing: bool) -> Result<(), Failure> {
    if !has_thing {
        let sentence = "Say of which part, fixing or condition: --thing ID.";
        return Err(Failure::asked(sentence.to_owned(), ""));
    }
    if HAZARDS.contains(&word) {
        return Ok(());
    }
    let help = match lastbolt_files::nearest(word, HAZARDS.iter().copied()) {
        Some(near) => format!("Did you mean \"{near}\"?"),
        None => format!("Write one of: {}.", HAZARDS.join(", ")),
    };
    Err(Failure::asked(format!("\"{word}\" is no word for a hazard."), help))
}

impl Stand {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let desk = say(context, &self.job, &self.who, Verb::LeftStanding, |_, event| {
            event.note.clone_from(&self.text);
            Ok(())
        })?;
        context.line("")?;
        let letter = lastbolt_floor::letter(&context.garage()?, desk.job.id().as_str());
        sheet::show(&paper(&desk.picture, Sheet::Standing, now_ms()), &letter, false, context)?;
        Ok(Done::Well)
    }
}

impl Resume {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be recorded, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let desk = say(context, &self.job, &self.who, Verb::Resumed, |desk, _| {
            match desk.picture.now.live.state.left {
                Some(_) => Ok(()),
                None => Err(Failure::asked("This job was not left standing.", "")),
            }
        })?;
        if let Some(resumed) = &desk.picture.now.live.state.resumed {
            let how = resumed.left.text.as_deref().unwrap_or("not said");
            context.line(&format!("How it was left: {how}"))?;
        }
        next::tell_stops(&desk.picture.stops(now_ms()), context)?;
        desk.tell_next(context)?;
        Ok(Done::Well)
    }
}
