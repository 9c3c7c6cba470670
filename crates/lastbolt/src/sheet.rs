//! The plan as a sheet for people: Way in, At the bench, Way back, To buy and borrow.

use lastbolt_job::view::{CautionFrom, PlanStep, PlanView, StageMinutes, StepVerb};
use lastbolt_machine::Minutes;

use crate::search::Ended;
use lastbolt_job::{about, large};

/// Where the column of tools starts and where the one of minutes ends.
const WIDE: usize = 46;
const TOOL_WIDE: usize = 20;

/// How the search for this order ended.
pub(crate) struct Found {
    pub(crate) ended: Ended,
    pub(crate) strip_only: bool,
    /// What no torque wrench of the garage can do.
    pub(crate) no_wrench: Vec<String>,
}

/// Gives the lines of the sheet.
pub(crate) fn sheet(view: &PlanView, found: &Found) -> Vec<String> {
    let mut lines = head(view, found);
    section(&mut lines, "Way in", steps(&view.strip));
    let bench = view.strip.iter().chain(&view.build).filter(|step| step.line.bench);
    let bench: Vec<String> = bench.map(|step| format!("    {}", step.line.text)).collect();
    section(&mut lines, "At the bench", bench);
    section(&mut lines, "Way back", steps(&view.build));
    let wrenches = found.no_wrench.iter().map(|line| format!("    {line}")).collect();
    section(&mut lines, "Torque wrenches", wrenches);
    section(&mut lines, "To buy and borrow", shopping(view));
    section(&mut lines, "To know", notes(view));
    lines
}

fn head(view: &PlanView, found: &Found) -> Vec<String> {
    let mut lines = Vec::new();
    lines.push(match view.purpose.as_str() {
        "" => view.machine.clone(),
        purpose => format!("{}: {purpose}", view.machine),
    });
    let what = if found.strip_only { "to take apart" } else { "of work" };
    lines.push(format!("{} {what}; {}", large(&about(view.minutes)), quality(view, found.ended)));
    if view.elapsed > view.minutes {
        lines.push(format!("By the clock, waits included: {}.", about(view.elapsed)));
    }
    let stage = |stage: &StageMinutes| format!("{} {}", stage.stage.word(), plain(stage.planned));
    let stages: Vec<String> =
        view.stages.iter().filter(|stage| stage.planned > Minutes::ZERO).map(stage).collect();
    if !stages.is_empty() {
        lines.push(format!("{}.", large(&stages.join(", "))));
        lines.push("At each step its minutes, and + those to change place or tool.".to_owned());
    }
    lines
}

/// Whether it can be better, in plain words.
fn quality(view: &PlanView, ended: Ended) -> String {
    if view.proved && view.minutes == view.least {
        return "no better order can be found.".to_owned();
    }
    let shows_no_more = |than: Minutes| about(than) == about(view.minutes);
    if view.proved && shows_no_more(view.least) {
        return "chosen to be easy to follow; no order is noticeably quicker.".to_owned();
    }
    if view.proved {
        return format!("chosen to be easy to follow; the quickest takes {}.", plain(view.least));
    }
    let why = match ended {
        Ended::Time => "when the time was over",
        Ended::Stopped => "when it was stopped",
        Ended::ByItself => "within the number of states allowed",
    };
    if shows_no_more(view.bound) {
        return format!("the best found {why}; no order is noticeably quicker.");
    }
    let bound = plain(view.bound);
    format!("the best found {why}; nothing can be quicker than {bound}.")
}

fn plain(minutes: Minutes) -> String {
    about(minutes).trim_start_matches("about ").to_owned()
}

fn steps(steps: &[PlanStep]) -> Vec<String> {
    let mut lines = Vec::new();
    let mut place: Option<&str> = None;
    for step in steps {
        if let Some(from) = step.line.from.as_deref()
            && place != Some(from)
        {
            place = Some(from);
            lines.push(match from {
                "bench" => "  At the bench".to_owned(),
                from => format!("  From {from}"),
            });
            lines.extend(cautions(step, true).map(|text| format!("      {text}")));
        }
        // What has no place of its own is not done at the bench because the step before was.
        if step.line.from.is_none() && place == Some("bench") && step.line.verb != StepVerb::Look {
            place = None;
            lines.push("  From wherever one stands".to_owned());
        }
        lines.push(step_line(step));
        lines.extend(beside(step).into_iter().map(|text| format!("        {text}")));
    }
    lines
}

fn step_line(step: &PlanStep) -> String {
    if step.line.verb == StepVerb::Look {
        return format!("    {}", step.line.text);
    }
    let tool = step.line.tool.as_deref().unwrap_or("");
    let guess = if step.line.guessed { " guessed" } else { "" };
    let minutes = step.line.minutes.to_string();
    let change =
        if step.change > Minutes::ZERO { format!(" +{}", step.change) } else { String::new() };
    let text = &step.line.text;
    format!("    {text:<WIDE$} {tool:<TOOL_WIDE$} {minutes:>6}{change}{guess}")
}

/// Cautions of the place, said once where one goes there, or those of the step itself.
fn cautions(step: &PlanStep, of_place: bool) -> impl Iterator<Item = String> {
    let wanted = step.cautions.iter().filter(move |c| (c.from == CautionFrom::Spot) == of_place);
    wanted.map(|caution| format!("Caution: {}", caution.text))
}

/// What stands beside a step: cautions first.
fn beside(step: &PlanStep) -> Vec<String> {
    let mut all: Vec<String> = cautions(step, false).collect();
    all.extend(step.who.iter().map(|who| format!("Who may do it: {who}")));
    all.extend(step.mark.iter().map(|mark| format!("Mark first: {mark}")));
    all.extend(step.lift.iter().cloned());
    if step.by_feel {
        all.push("By feel.".to_owned());
    }
    if !step.also.is_empty() {
        all.push(format!("Have ready: {}", step.also.join(", ")));
    }
    all.extend(step.line.asks_first.iter().map(|asks| format!("Asked first: {asks}")));
    all.extend(step.wait.iter().map(|wait| format!("Then wait {wait}.")));
    all
}

fn shopping(view: &PlanView) -> Vec<String> {
    let mut lines = Vec::new();
    for buy in &view.to_buy {
        let count = if buy.count > 1 { format!("{} x ", buy.count) } else { String::new() };
        let because = if buy.because == buy.what { "" } else { buy.because.as_str() };
        let because =
            if because.is_empty() { String::new() } else { format!("   (for: {because})") };
        lines.push(format!("    {count}{}{because}", buy.what));
    }
    let mut list = |title: &str, names: &[String]| {
        if !names.is_empty() {
            lines.push(format!("    {title}: {}", names.join(", ")));
        }
    };
    list("Tools", &view.tools);
    list("To have ready", &view.also);
    lines
}

fn notes(view: &PlanView) -> Vec<String> {
    let mut lines: Vec<String> = view.notes.iter().map(|note| format!("    {note}")).collect();
    if !view.made_blind.is_empty() {
        let names = view.made_blind.join(", ");
        lines.push(format!("    Cannot be seen when home; pull and listen for the click: {names}"));
    }
    if !view.guessed.is_empty() {
        let names = view.guessed.join(", ");
        lines.push(format!("    Minutes guessed, the file does not state them: {names}"));
    }
    lines.push("    The maker's instructions and local rules win over this sheet.".to_owned());
    lines
}

fn section(lines: &mut Vec<String>, title: &str, body: Vec<String>) {
    if !body.is_empty() {
        lines.push(String::new());
        lines.push(title.to_owned());
        lines.extend(body);
    }
}
