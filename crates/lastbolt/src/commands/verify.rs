//! `lastbolt verify`: the independent checker's verdict on an order.

use lastbolt_checker::{Account, Phase, Reason, Verdict, Wishes, verify};
use lastbolt_machine::Minutes;
use serde::Serialize;
use serde_json::Number;

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::input::Input;
use crate::numbers::number;
use crate::order_file::{OrderFile, Stated};
use crate::plan_json::VERSION;
use crate::told::{Told, file_name};
use lastbolt_job::about;

/// Judges an order by rules written a second time, apart from what made it.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Machine file, job file, folder with job.toml, or a job.
    #[arg(value_name = "FILE")]
    file: String,
    /// The order, as `plan --json` prints it; - reads standard input.
    #[arg(value_name = "PLAN.json")]
    plan: String,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
    /// Judges the taking apart only.
    #[arg(long)]
    strip_only: bool,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be read.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let input = Input::bring(&args.file, context);
    let (model, _) = input.model().map_err(|problems| not_usable(&problems))?;
    let file = OrderFile::read(&args.plan)?.about(&model.machine);
    let wishes = Wishes { minutes: model.minutes.clone(), ..Wishes::default() };
    let judge = |strip_only| {
        let order = file.order(strip_only);
        verify(&model.machine, &model.job, &wishes, &order)
    };
    // Nothing put back: either only taking apart was planned, and its minutes say so, or the
    // order is not complete.
    let mut strip_only = args.strip_only;
    let mut verdict = judge(strip_only);
    if verdict.account().is_none() && file.build.is_empty() {
        let alone = judge(true);
        let states = file.stated.minutes;
        if alone.account().is_some_and(|account| states == Some(account.minutes)) {
            (strip_only, verdict) = (true, alone);
        }
    }
    let said = Said::of(&verdict, &file.stated, strip_only, &input);
    if args.json {
        context.json(&said)?;
    } else {
        for line in said.lines(&verdict) {
            context.line(&line)?;
        }
    }
    Ok(if said.accepted { Done::Well } else { Done::No })
}

fn not_usable(problems: &[Told]) -> Failure {
    let lines: Vec<String> =
        problems.iter().filter(|told| told.is_error()).flat_map(Told::lines).collect();
    let message = "Nothing can be judged, because the files cannot be used:";
    Failure::given(format!("{message}\n{}", lines.join("\n")), "")
}

/// The verdict as it is printed.
#[derive(Serialize)]
struct Said {
    version: u32,
    accepted: bool,
    strip_only: bool,
    minutes: Option<Number>,
    strip_minutes: Option<Number>,
    build_minutes: Option<Number>,
    elapsed: Option<Number>,
    off: Vec<String>,
    made_blind: Vec<String>,
    last_looks: Vec<Look>,
    reason: Option<Why>,
}

#[derive(Serialize)]
struct Look {
    of: String,
    before: String,
}

#[derive(Serialize)]
struct Why {
    phase: &'static str,
    step: Option<usize>,
    rule: &'static str,
    text: String,
    file: Option<String>,
    line: Option<u32>,
}

impl Said {
    fn of(verdict: &Verdict, stated: &Stated, strip_only: bool, input: &Input) -> Self {
        let account = verdict.account();
        let minutes = |of: fn(&Account) -> Minutes| account.map(|account| number(of(account)));
        let reason = match verdict {
            Verdict::Refused(reason) => Some(Why::of(reason, input)),
            Verdict::Accepted(account) => stated.differs(account).map(|text| Why {
                phase: "end",
                step: None,
                rule: "as stated",
                text,
                file: None,
                line: None,
            }),
        };
        let looks = account.map_or(&[][..], |account| account.last_looks.as_slice());
        let look = |look: &lastbolt_checker::LastLook| Look {
            of: look.of.clone(),
            before: look.before.clone(),
        };
        Self {
            version: VERSION,
            accepted: reason.is_none(),
            strip_only,
            minutes: minutes(|account| account.minutes),
            strip_minutes: minutes(|account| account.strip_minutes),
            build_minutes: minutes(|account| account.build_minutes),
            elapsed: minutes(|account| account.elapsed),
            off: account.map_or_else(Vec::new, |account| account.off.iter().cloned().collect()),
            made_blind: account.map_or_else(Vec::new, |account| account.made_blind.clone()),
            last_looks: looks.iter().map(look).collect(),
            reason,
        }
    }

    fn lines(&self, verdict: &Verdict) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(reason) = &self.reason {
            lines.push(format!("Refused{}: {}", reason.place(), reason.text));
            let rule = format!("    (rule {}", reason.rule);
            lines.push(match (&reason.file, reason.line) {
                (Some(file), Some(line)) => format!("{rule}; {file}:{line})"),
                _ => format!("{rule})"),
            });
            if reason.rule == "as stated" {
                lines.pop();
            }
        } else {
            lines.push("Accepted: every step is allowed where it stands.".to_owned());
        }
        if let Some(account) = verdict.account() {
            lines.push(minutes_line(account, self.strip_only));
        }
        lines
    }
}

fn minutes_line(account: &Account, strip_only: bool) -> String {
    let Account { minutes, strip_minutes, build_minutes, .. } = account;
    if strip_only {
        return format!("Minutes: {minutes}; only the taking apart was judged.");
    }
    let roughly = about(*minutes);
    format!("Minutes: {minutes} ({roughly}): {strip_minutes} way in, {build_minutes} way back.")
}

impl Why {
    fn of(reason: &Reason, input: &Input) -> Self {
        let at = reason.at.filter(|at| at.line > 0);
        Self {
            phase: match reason.phase {
                Phase::Before => "before",
                Phase::Strip => "strip",
                Phase::Turn => "turn",
                Phase::Build => "build",
                Phase::End => "end",
            },
            step: reason.step.map(|step| step + 1),
            rule: reason.rule,
            text: reason.text.clone(),
            file: at.map(|at| file_name(&input.sources, at)),
            line: at.map(|at| at.line),
        }
    }

    /// " at step 3 of the way in".
    fn place(&self) -> String {
        let part = match self.phase {
            "before" => " before the first step",
            "strip" => " on the way in",
            "turn" => " at the end of the way in",
            "build" => " on the way back",
            _ => " at the end",
        };
        match self.step {
            Some(step) => format!("{part}, step {step}"),
            None => part.to_owned(),
        }
    }
}
