//! `lastbolt sheet`: the sheets of a job as plain text.

use lastbolt_job::view::{Paper, PaperLine, Sheet};
use lastbolt_job::{paper, with_twins};
use serde_json::{Value, json};

use crate::commands::record::clock;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, now_ms};

/// Prints one of the sheets of a job as plain text.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Which: way-in, to-buy, bench, way-back, standing, handover or owner.
    #[arg(value_name = "SHEET")]
    sheet: String,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

impl Args {
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
    context.say(paper.sheet.title())?;
    let purpose = if paper.purpose.is_empty() { "" } else { ": " };
    context.say(&format!("{}{purpose}{}", paper.machine, paper.purpose))?;
    if !matches!(paper.sheet, Sheet::Owner | Sheet::ToBuy) && !letter.is_empty() {
        context.say(&format!("Job {letter}: its bags carry this letter."))?;
    }
    for sentence in &paper.big {
        context.say(&sentence.to_uppercase())?;
    }
    let display = context.display();
    for section in &paper.sections {
        context.say("")?;
        context.say(&section.heading)?;
        for line in &section.lines {
            let detail = with_twins(&line.detail, display.units, |it| display.number(it));
            let line = PaperLine { detail, ..line.clone() };
            context.say(&line_text(&line, section.boxes))?;
        }
    }
    if paper.sections.is_empty() && paper.big.is_empty() {
        context.say("Nothing stands on this sheet now.")?;
    }
    context.say("")?;
    context.say("The maker's instructions and local rules win over this sheet.")
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
