//! `lastbolt tighten rounds`.

use lastbolt_job::view::{JointStudy, StudyRow};
use lastbolt_job::{joint_study, percent_band};
use serde_json::{Value, json};

use crate::commands::tighten::joint_of;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::Desk;

/// Estimates how many rounds a joint needs until its screws pull alike.
///
/// An estimate, never a specification.
/// Where the places of its screws are known: springs, as many such joints drawn as you say, each
/// with its own friction. It shows what the maker's rounds leave, and what one more round at the
/// full value changes. More than the maker's value is never put on a screw.
///
/// Example: lastbolt tighten rounds tarn-camper-1 "cover screws" --joints 10000
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The joint: the fixing's name.
    #[arg(value_name = "JOINT")]
    joint: String,
    /// How many such joints are drawn.
    #[arg(long, value_name = "N", default_value_t = 1_000,
          value_parser = clap::value_parser!(u32).range(1..=100_000))]
    joints: u32,
    /// The number that the draws come from: the same number, the same answer.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Says why there is nothing to compute for that joint.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    let name = joint_of(&desk, &args.joint)?;
    let joints = usize::try_from(args.joints).unwrap_or(1);
    let study = joint_study(&desk.picture, &name, joints, args.seed)
        .ok_or_else(|| Failure::asked(format!("\"{name}\" has no card."), ""))?
        .map_err(|why| Failure::given(format!("{name}: {why}"), ""))?;
    if args.json {
        context.json(&as_json(&name, &study))?;
    } else {
        tell(&name, &study, context)?;
    }
    Ok(Done::Well)
}

fn tell(name: &str, study: &JointStudy, context: &mut Context) -> Result<(), Failure> {
    context.line(&format!("{name}: an estimate, never a specification"))?;
    context.line("  How far the strongest and the weakest screw are apart, in % of their mean:")?;
    context.line(&format!("    {:<36} {:<16} {}", "after", "springs alone", "with friction"))?;
    for row in &study.rows {
        context.line(&format!(
            "    {:<36} {:<16} half {:.0} %, 19 of 20 {:.0} %",
            row.text,
            percent_band(row.springs),
            row.with_friction.0,
            row.with_friction.1
        ))?;
    }
    for line in &study.said {
        context.line(&format!("  {line}"))?;
    }
    for line in &study.assumed {
        context.line(&format!("  Taken: {line}"))?;
    }
    context.line(&format!("  {} such joints drawn, seed {}.", study.joints, study.seed))
}

fn as_json(name: &str, study: &JointStudy) -> Value {
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    let pair = |(a, b): (f64, f64)| json!([tenth(a), tenth(b)]);
    let row = |row: &StudyRow| {
        json!({
            "after": row.text,
            "again": row.again,
            "springs_percent": pair(row.springs),
            "around_percent": pair(row.around),
            "with_friction_percent": pair(row.with_friction),
            "least_share": (row.least_share * 1000.0).round() / 1000.0,
        })
    };
    json!({
        "version": 1,
        "joint": name,
        "estimate": true,
        "rows": study.rows.iter().map(row).collect::<Vec<_>>(),
        "said": study.said,
        "assumed": study.assumed,
        "joints": study.joints,
        "seed": study.seed,
    })
}
