//! `lastbolt leftover`.

use lastbolt_job::leftovers;
use lastbolt_job::view::{LeftoverLine, Leftovers};
use serde_json::{Value, json};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Says where pieces that are over may belong.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// What is over: screw, nut, clip.
    #[arg(value_name = "KIND")]
    kind: String,
    /// Its size, if it is known: M6, "M6 x 20".
    #[arg(value_name = "SIZE")]
    size: Option<String>,
    /// How many are over.
    #[arg(long, value_name = "N", default_value_t = 1)]
    count: u32,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    if args.kind.trim().is_empty() {
        return Err(Failure::asked("It is not said what is over.", "Write screw, nut, clip, ..."));
    }
    let desk = Desk::open(context, &args.job)?;
    let picture = &desk.picture;
    let size = args.size.as_deref();
    let over = leftovers(&picture.case, &picture.now, &args.kind, size, args.count);
    if args.json {
        context.json(&as_json(&over))?;
    } else {
        context.line(&over.text)?;
        for line in &over.lines {
            let why = if line.why.is_empty() {
                String::new()
            } else {
                format!(": {}", line.why.join(", "))
            };
            context.line(&format!("  {}{why}", line.text))?;
        }
    }
    Ok(Done::Well)
}

fn as_json(over: &Leftovers) -> Value {
    let line = |line: &LeftoverLine| {
        json!({
            "id": line.thing,
            "text": line.text,
            "bag": line.bag,
            "why": line.why,
            "tag": line.tag.map(|tag| tag.number),
        })
    };
    json!({
        "version": 1,
        "text": over.text,
        "lines": over.lines.iter().map(line).collect::<Vec<_>>(),
        "still_off": over.still_off.iter().map(line).collect::<Vec<_>>(),
    })
}
