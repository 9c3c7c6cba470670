//! `lastbolt export`.

use std::path::Path;

use lastbolt_files::csv::{Style, write_list};
use lastbolt_store::FileRole;

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Writes the machine of a job as a machine file, with what was recorded.
///
/// With --csv it writes a list for a spreadsheet: parts, fixings and connections, how many, from
/// where, and how they stand. Nothing in it is a formula, whatever the names are.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// Where to [default: printed].
    #[arg(value_name = "FILE")]
    file: Option<String>,
    /// Writes over a file that is there.
    #[arg(long)]
    replace: bool,
    /// Writes a list for a spreadsheet.
    #[arg(long)]
    csv: bool,
    /// What stands between the cells: , or ; or tab. With ; minutes have a decimal comma.
    #[arg(long, value_name = "SIGN", requires = "csv", default_value = ",")]
    separator: String,
    /// Minutes have a decimal comma, or a point.
    #[arg(long, value_name = "SIGN", requires = "csv", value_parser = [",", "."])]
    decimal: Option<String>,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be written, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    let text = if args.csv {
        write_list(&lastbolt_job::lists::rows(&desk.picture), style(args)?)
    } else {
        machine_file(&desk)?
    };
    let Some(file) = &args.file else {
        context.line(text.trim_end())?;
        return Ok(Done::Well);
    };
    if Path::new(file).exists() && !args.replace {
        return Err(Failure::asked(
            format!("{file} is there already and stays as it is."),
            "Give another name, or --replace.",
        ));
    }
    // Beside its place first, so that there is never half a file.
    let beside = format!("{file}.part");
    let written = std::fs::write(&beside, &text).and_then(|()| std::fs::rename(&beside, file));
    written.map_err(|error| {
        let _ = std::fs::remove_file(&beside);
        Failure::world(format!("{file}: {error}."), "Look at the folder and the disk.")
    })?;
    context.line(file)?;
    Ok(Done::Well)
}

/// How the list is written.
fn style(args: &Args) -> Result<Style, Failure> {
    let separator = match args.separator.as_str() {
        "," => ',',
        ";" => ';',
        "tab" | "\t" => '\t',
        other => {
            return Err(Failure::asked(
                format!("\"{other}\" cannot stand between cells."),
                "Write , or ; or tab.",
            ));
        }
    };
    let decimal_comma = args.decimal.as_deref().map_or(separator == ';', |sign| sign == ",");
    Ok(Style { separator, decimal_comma })
}

/// The machine file of a job as far as it is known.
fn machine_file(desk: &Desk) -> Result<String, Failure> {
    let files = desk.job.files()?;
    let own = files.iter().find(|file| file.role == FileRole::Machine);
    let text = own.map(|file| file.text.as_str()).ok_or_else(|| {
        Failure::world("This job keeps no machine file.", "Restore it from a backup.")
    })?;
    let (base, drawn) = (&desk.picture.base.model.machine, desk.picture.drawn.as_deref());
    Ok(lastbolt_job::export(text, base, drawn, &desk.picture.records))
}
