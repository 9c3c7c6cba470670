//! `lastbolt sheet`, `broke`, `handover` and `due`: stopping, breaking, changing, handing over.

use lastbolt_job::view::{Broke, Paper, PaperLine, Sheet, StepLine};
use lastbolt_job::{TAKEN_OVER, branches, broken, due_of, hand_over_of, happens, paper};
use lastbolt_ledger::{More, Verb};
use lastbolt_store::{Listed, StoreError};
use serde_json::{Value, json};

use crate::commands::next::line_json;
use crate::commands::record::clock;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, case_of, now_ms, where_and_what};
use crate::say::{Who, known, say};

/// Prints a sheet as plain text: way-in, to-buy, bench, way-back, standing, handover, owner.
#[derive(Debug, clap::Args)]
pub(crate) struct SheetOf {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Which sheet.
    #[arg(value_name = "SHEET")]
    sheet: String,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Says that something broke or does not move, and what follows from it; `tick` settles it.
#[derive(Debug, clap::Args)]
pub(crate) struct BrokeArgs {
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

/// Prints what one helper tells the next, or says who takes over.
#[derive(Debug, clap::Args)]
pub(crate) struct Handover {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Who takes over.
    #[arg(long, value_name = "PERSON")]
    to: Option<String>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Lists what falls due after jobs that were handed over; `tick` answers it.
#[derive(Debug, clap::Args)]
pub(crate) struct Due {
    /// Only of this job, handed over or not.
    #[arg(value_name = "JOB")]
    job: Option<String>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

impl SheetOf {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be done, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let sheet = Sheet::read(&self.sheet).ok_or_else(|| {
            let words: Vec<&str> = Sheet::ALL.into_iter().map(Sheet::word).collect();
            let help = format!("Write one of: {}.", words.join(", "));
            Failure::asked(format!("There is no sheet \"{}\".", self.sheet), help)
        })?;
        let desk = Desk::open(context, &self.job)?;
        let letter = lastbolt_floor::letter(&context.garage()?, desk.job.id().as_str());
        show(&paper(&desk.picture, sheet, now_ms()), &letter, self.json, context)?;
        Ok(Done::Well)
    }
}

impl BrokeArgs {
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
    for line in lines {
        context.line(&format!("    {}", where_and_what(line)))?;
    }
    Ok(())
}

fn branches_json(desk: &Desk) -> Value {
    let all = branches(&desk.picture, now_ms());
    let branch = |branch: &lastbolt_job::view::Branch| {
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

impl Handover {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be done, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let desk = match &self.to {
            Some(person) => {
                let who = Who { person: Some(person.clone()), event: None };
                say(context, &self.job, &who, Verb::Moved, |_, event| {
                    event.note = Some(TAKEN_OVER.to_owned());
                    Ok(())
                })?
            }
            None => Desk::open(context, &self.job)?,
        };
        let over = hand_over_of(&desk.picture, now_ms());
        let letter = lastbolt_floor::letter(&context.garage()?, desk.job.id().as_str());
        show(&over.paper, &letter, self.json, context)?;
        Ok(Done::Well)
    }
}

impl Due {
    /// Runs the command.
    ///
    /// # Errors
    /// Says what could not be done, and what to do about it.
    pub(crate) fn run(&self, context: &mut Context) -> Result<Done, Failure> {
        let garage = context.garage()?;
        let ids: Vec<String> = match &self.job {
            Some(job) => vec![job.clone()],
            None => {
                let jobs = garage.list_jobs()?.into_iter();
                let over = jobs.filter_map(|one| match one {
                    Listed::Job(job) if job.finished => Some(job.id.as_str().to_owned()),
                    _ => None,
                });
                over.collect()
            }
        };
        let mut all = Vec::new();
        for id in ids {
            let job = garage.open_job(&id)?;
            let base = std::sync::Arc::new(case_of(&job)?);
            let title = job.title().unwrap_or_else(|_: StoreError| id.clone());
            let points = due_of(&base, job.log().records(), now_ms());
            all.extend(points.into_iter().map(|point| (job.id().clone(), title.clone(), point)));
        }
        if self.json {
            let one = |(job, title, point): &(lastbolt_store::JobId, String, _)| {
                let point: &lastbolt_job::view::Point = point;
                json!({
                    "job": job.as_str(), "title": title, "point": point.id, "id": point.thing,
                    "text": point.text,
                    "said": point.said.as_ref().map(|said| &said.answer),
                })
            };
            let due = all.iter().map(one).collect::<Vec<_>>();
            context.json(&json!({ "version": 1, "due": due }))?;
            return Ok(Done::Well);
        }
        if all.is_empty() {
            context.line("Nothing falls due.")?;
        }
        for (job, title, point) in &all {
            let about = point.thing.as_ref().map(|thing| format!(" --thing \"{thing}\""));
            context.line(&format!("{title}: {}", point.text))?;
            context.line(&format!(
                "  lastbolt tick {} {} done{}",
                job.as_str(),
                point.id,
                about.unwrap_or_default()
            ))?;
        }
        Ok(Done::Well)
    }
}

/// Prints a sheet.
///
/// # Errors
/// Fails when nothing can be printed.
pub(crate) fn show(
    paper: &Paper,
    letter: &str,
    as_json: bool,
    context: &mut Context,
) -> Result<(), Failure> {
    if as_json {
        return context.json(&paper_json(paper, letter));
    }
    context.line(paper.sheet.title())?;
    let purpose = if paper.purpose.is_empty() { "" } else { ": " };
    context.line(&format!("{}{purpose}{}", paper.machine, paper.purpose))?;
    if !matches!(paper.sheet, Sheet::Owner | Sheet::ToBuy) && !letter.is_empty() {
        context.line(&format!("Job {letter}: its bags carry this letter."))?;
    }
    for sentence in &paper.big {
        context.line(&sentence.to_uppercase())?;
    }
    for section in &paper.sections {
        context.line("")?;
        context.line(&section.heading)?;
        for line in &section.lines {
            context.line(&line_text(line, section.boxes))?;
        }
    }
    if paper.sections.is_empty() && paper.big.is_empty() {
        context.line("Nothing stands on this sheet now.")?;
    }
    context.line("")?;
    context.line("The maker's instructions and local rules win over this sheet.")
}

fn line_text(line: &PaperLine, boxed: bool) -> String {
    if line.caution {
        return format!("      Caution: {}", line.text);
    }
    let mut text = String::from(if boxed { "  [ ] " } else { "  " });
    if let Some(tag) = line.tag {
        text.push_str(&format!("[tag {tag}] "));
    }
    text.push_str(&line.text);
    if let Some(ms) = line.at_ms {
        text.push_str(&format!(" ({})", clock(ms)));
    }
    if !line.detail.is_empty() {
        text.push_str(&format!("; {}", line.detail));
    }
    text
}

fn paper_json(paper: &Paper, letter: &str) -> Value {
    let line = |line: &PaperLine| {
        json!({
            "tag": line.tag, "text": line.text, "detail": line.detail, "at_ms": line.at_ms,
            "caution": line.caution, "photo": line.photo,
        })
    };
    let sections = paper.sections.iter().map(|section| {
        json!({
            "heading": section.heading,
            "lines": section.lines.iter().map(line).collect::<Vec<_>>(),
        })
    });
    json!({
        "version": 1,
        "sheet": paper.sheet.word(),
        "title": paper.sheet.title(),
        "machine": paper.machine,
        "purpose": paper.purpose,
        "letter": letter,
        "big": paper.big,
        "sections": sections.collect::<Vec<_>>(),
    })
}
