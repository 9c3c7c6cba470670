//! What is planned besides the plan: what else could be renewed, what the wishes cost, the ways
//! in, why a thing comes off and what leaving it costs.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use lastbolt_job::view::WhyLine;
use lastbolt_job::{Around, JobModel, WayRow, about, around, large, more_words, way_row, why};
use lastbolt_machine::{At, Kernel, Kind, ThingNo};
use lastbolt_order::{Answer, Ask, Because, More, Plan, Wish, more, more_also, plan_also_soon};
use lastbolt_order::{under, why_not};

use crate::commands::plan::{Args, Question};
use crate::input::Input;
use crate::search::Watch;
use crate::told::file_name;

/// How many states all candidates to renew share, where the plan without them took no more.
const ALSO_NODES: u64 = 30_000;
/// How many states each of the ways in and what-ifs may look at.
const OTHER_NODES: u64 = 20_000;
/// How many searches run beside each other.
const THREADS: usize = 2;
/// The most candidates.
const CANDIDATES_MAX: usize = 200;

/// What is known when what-ifs are asked.
pub(crate) struct Known<'a> {
    pub(crate) question: &'a Question,
    pub(crate) plan: &'a Plan,
    /// The plan without what is renewed too.
    pub(crate) base: &'a Plan,
}

/// A thing to renew too, and what that adds; `None` = it cannot be.
pub(crate) struct AlsoRow {
    pub(crate) id: String,
    pub(crate) more: Option<More>,
}

/// What leaving a thing costs.
pub(crate) struct Leaving {
    pub(crate) more: Option<More>,
    pub(crate) because: Vec<Because>,
}

/// Why a thing comes off.
pub(crate) struct Why {
    /// The thing as it stands in a sentence: "the cover", "\"fuel shut\"".
    called: String,
    kind: Kind,
    /// It is open before anything is done: there is nothing to leave alone.
    is_open: bool,
    pub(crate) chain: Vec<WhyLine>,
    pub(crate) around: Around,
    pub(crate) leaving: Leaving,
}

/// The answers to all what-ifs that were asked.
#[derive(Default)]
pub(crate) struct WhatIfs {
    pub(crate) why: Option<Why>,
    pub(crate) wished: Option<More>,
    pub(crate) also: Option<Vec<AlsoRow>>,
    pub(crate) ways: Option<Vec<WayRow>>,
    /// It is known that there is no further way in.
    pub(crate) ways_are_all: bool,
}

impl WhatIfs {
    /// Works out what was asked for, within the limits.
    pub(crate) fn of(args: &Args, known: &Known<'_>, watch: &Watch, ask: &Ask<'_>) -> Self {
        let stop = watch.quiet();
        let ask = Ask { stop: &stop, nodes: ask.nodes.min(OTHER_NODES), ..*ask };
        let question = known.question;
        let mut all = Self::default();
        if !args.besides().is_empty() {
            all.wished = wished(known, &ask);
        }
        let mut candidates = args.also();
        if args.considers() {
            let consider = question.model.job.consider.iter().map(|name| name.value.clone());
            candidates.extend(consider.filter(|name| question.free.find(name).is_some()));
        }
        if !args.also().is_empty() || args.considers() {
            candidates.truncate(CANDIDATES_MAX);
            all.also = Some(also_rows(args, known, &candidates, &ask, &stop));
        }
        if args.ways {
            let found = lastbolt_order::ways_in(&question.kernel, known.plan, &ask);
            all.ways_are_all = found.is_all;
            all.ways = Some(found.ways.iter().map(|way| way_row(&question.model, way)).collect());
        }
        let thing = args.why.as_deref().and_then(|name| question.kernel.find(name));
        all.why = thing.map(|thing| why_of(known, thing, &ask));
        all
    }

    /// The lines after the sheet.
    pub(crate) fn lines(&self) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(more) = &self.wished {
            lines.push(format!("\nWhat was wished for costs {}.", more_words(more)));
        }
        if let Some(rows) = &self.also {
            lines.push("\nWhile it is open, renewed too".to_owned());
            if rows.is_empty() {
                lines.push("    The job file names nothing under consider.".to_owned());
            }
            for row in rows {
                let words = row.more.as_ref().map_or("cannot be".to_owned(), more_words);
                lines.push(format!("    {:<32} {words}", row.id));
            }
        }
        if let Some(ways) = &self.ways {
            lines.push("\nWays in".to_owned());
            lines.extend(ways_lines(ways));
            lines.extend(no_further(ways.len(), self.ways_are_all));
        }
        lines
    }

    /// The answer to `--why`.
    pub(crate) fn why_lines(&self, input: &Input) -> Vec<String> {
        let Some(why) = &self.why else { return Vec::new() };
        let link = |(text, at): &(String, Option<At>)| match at.filter(|at| at.line > 0) {
            Some(at) => format!("{text}   ({})", place(input, at)),
            None => text.clone(),
        };
        let plain = |line: &WhyLine| (line.text.clone(), line.at);
        let mut lines: Vec<String> = why.chain.iter().map(|line| link(&plain(line))).collect();
        let mut section = |title: String, more: &[WhyLine]| {
            if !more.is_empty() {
                lines.push(title);
                let said = by_place(both_ways(more.iter().map(plain).collect()));
                lines.extend(said.iter().map(|line| format!("    {}", link(line))));
            }
        };
        let it = &why.called;
        let before = match why.kind {
            Kind::Prep => format!("Before {it}:"),
            _ => format!("Open before {it}, and home after it:"),
        };
        section(before, &why.around.before);
        section(format!("Waits for {it}:"), &why.around.after);
        match &why.leaving.more {
            _ if why.is_open => {}
            Some(more) if why.kind == Kind::Prep => {
                lines.push(format!("Doing without {it}: {}.", more_words(more)));
            }
            Some(more) => lines.push(format!("Leaving {it} alone: {}.", more_words(more))),
            None => {
                let be = if why.kind == Kind::Prep { "be done without" } else { "be left alone" };
                lines.push(format!("{} cannot {be}:", large(it)));
                let because = why.leaving.because.iter();
                let reasons = because.map(|reason| (reason.text.clone(), Some(reason.at)));
                lines.extend(reasons.map(|reason| format!("    {}", link(&reason))));
            }
        }
        lines
    }
}

/// A line with the place in the file that says so.
type Said = (String, Option<At>);

/// What counts in both directions is one line: "while taking off and putting back the seat".
fn both_ways(lines: Vec<Said>) -> Vec<Said> {
    const OPENING: [(&str, &str); 5] = [
        ("Taking off ", "Putting back "),
        ("Undoing ", "Putting back "),
        ("taking off ", "putting back "),
        ("undoing ", "putting back "),
        ("making ready ", "ending "),
    ];
    let mut all: Vec<Option<Said>> = lines.into_iter().map(Some).collect();
    for at in 0..all.len() {
        let Some((text, place)) = all[at].clone() else { continue };
        let twin = OPENING.iter().find_map(|(opens, closes)| {
            let back = text.replacen(opens, closes, 1);
            let is_it = |other: &Option<Said>| other.as_ref().is_some_and(|o| o.0 == back);
            let twin = (back != text).then(|| all.iter().position(is_it)).flatten()?;
            Some((twin, text.replacen(opens, &format!("{opens}and {}", closes.to_lowercase()), 1)))
        });
        if let Some((twin, both)) = twin {
            all[twin] = None;
            all[at] = Some((both, place));
        }
    }
    all.into_iter().flatten().collect()
}

/// A condition that a place wants is said once for the place, not for each step there.
fn by_place(lines: Vec<Said>) -> Vec<Said> {
    const WHILE: &str = "must be in force while ";
    let parts = |text: &str| {
        let (condition, step) = text.split_once(WHILE)?;
        let (_, place) = step.trim_end_matches('.').rsplit_once(", from ")?;
        Some((condition.to_owned(), place.to_owned()))
    };
    let keys: Vec<Option<(String, String)>> = lines.iter().map(|line| parts(&line.0)).collect();
    let mut said: Vec<Said> = Vec::new();
    for (line, key) in lines.into_iter().zip(&keys) {
        let same = keys.iter().filter(|other| *other == key).count();
        let line = match key {
            Some((condition, place)) if same > 1 => {
                (format!("{condition}{WHILE}anything is done from {place}."), line.1)
            }
            _ => line,
        };
        if !said.contains(&line) {
            said.push(line);
        }
    }
    said
}

fn place(input: &Input, at: At) -> String {
    format!("{}:{}", file_name(&input.sources, at), at.line)
}

/// What is said where fewer ways in stand there than could.
fn no_further(count: usize, is_all: bool) -> Option<String> {
    let text = match (count < lastbolt_order::WAYS_MAX, is_all) {
        (false, _) => return None,
        (true, true) => "There is no further way in that is really different.",
        (true, false) => {
            "No further way in that is really different was found; it is not known whether there \
             is one."
        }
    };
    Some(format!("    {text}"))
}

/// The ways in as lines: each with what is not the same whichever is taken.
fn ways_lines(ways: &[WayRow]) -> Vec<String> {
    let is_common = |list: fn(&WayRow) -> &[String], name: &String| {
        ways.len() > 1 && ways.iter().all(|way| list(way).contains(name))
    };
    let mut lines = Vec::new();
    for way in ways {
        lines.push(way_line(way));
        let own = |list: fn(&WayRow) -> &[String]| -> Vec<&str> {
            let names = list(way).iter().filter(|name| !is_common(list, name));
            names.map(String::as_str).collect()
        };
        let mut say = |title: &str, names: &[&str]| {
            if !names.is_empty() {
                lines.push(format!("        {title}: {}", names.join(", ")));
            }
        };
        say("nothing from", &listed(&way.without.not_from));
        say("left alone", &listed(&way.without.leave));
        if ways.len() > 1 {
            say("off this way", &own(|way| &way.off));
            say("new this way", &own(|way| &way.renews));
            let cautions = own(|way| &way.cautions);
            lines.extend(cautions.iter().map(|caution| format!("        Caution: {caution}")));
        }
    }
    lines
}

fn listed(names: &[String]) -> Vec<&str> {
    names.iter().map(String::as_str).collect()
}

/// "From below, about 5 h, 12 parts come off, breaks: tray clips (likely)".
fn way_line(way: &WayRow) -> String {
    let from = match way.from.as_slice() {
        [] => "From wherever one stands".to_owned(),
        from => format!("From {}", from.join(", ")),
    };
    let breaks = if way.breaks.is_empty() { "nothing".to_owned() } else { way.breaks.join(", ") };
    let best = if way.proved { "" } else { " (best found)" };
    let parts = match way.off.len() {
        1 => "1 part comes off".to_owned(),
        count => format!("{count} parts come off"),
    };
    format!("    {from}, {}{best}, {parts}, breaks: {breaks}", about(way.minutes))
}

/// What the wishes of the command line add to the plan under those of the job file.
fn wished(known: &Known<'_>, ask: &Ask<'_>) -> Option<More> {
    let in_file = known.question.wishes.iter().filter(|(_, at)| at.line > 0);
    let in_file: Vec<Wish> = in_file.map(|(wish, _)| *wish).collect();
    let kernel = under(known.question.free.clone(), &in_file);
    let answer = lastbolt_order::plan(&kernel, ask);
    let with = Answer::Possible(Box::new(known.plan.clone()));
    more(&with, answer.plan()?)
}

/// What each candidate adds, each alone; worked out beside each other.
fn also_rows(
    args: &Args,
    known: &Known<'_>,
    candidates: &[String],
    ask: &Ask<'_>,
    stop: &(impl Fn() -> bool + Sync),
) -> Vec<AlsoRow> {
    let nodes = ask.nodes.min(ALSO_NODES / u64::try_from(candidates.len()).unwrap_or(1).max(1));
    let (strip_only, seed) = (ask.strip_only, ask.seed);
    let only = args.also();
    let plain = without_also(&known.question.model, &only);
    let question = known.question;
    let next = AtomicUsize::new(0);
    let rows: Mutex<Vec<Option<AlsoRow>>> = Mutex::new(candidates.iter().map(|_| None).collect());
    let work = || {
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(id) = candidates.get(at) else { break };
            let ask = Ask { strip_only, nodes, seed, stop, ..Ask::default() };
            let found = if only.len() == 1 && only.contains(id) {
                let with = Answer::Possible(Box::new(known.plan.clone()));
                more_also(&question.kernel, &with, known.base, strip_only)
            } else {
                extra(known, &plain, id, &ask)
            };
            let row = AlsoRow { id: id.clone(), more: found };
            rows.lock().unwrap_or_else(std::sync::PoisonError::into_inner)[at] = Some(row);
        }
    };
    thread::scope(|scope| {
        for _ in 1..THREADS.min(candidates.len()) {
            scope.spawn(work);
        }
        work();
    });
    let rows = rows.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    rows.into_iter().flatten().collect()
}

/// The model without what the command line asks to renew too.
pub(crate) fn without_also(model: &JobModel, also: &[String]) -> JobModel {
    let mut plain = model.clone();
    for list in [&mut plain.job.renew, &mut plain.job.bring] {
        list.retain(|name| name.at.line > 0 || !also.contains(&name.value));
    }
    plain
}

fn extra(known: &Known<'_>, plain: &JobModel, id: &str, ask: &Ask<'_>) -> Option<More> {
    let model = plain.with_also(&[id.to_owned()]);
    let kernel: Kernel = known.question.kernel_for(&model)?;
    more_also(&kernel, &plan_also_soon(&kernel, known.base, ask), known.base, ask.strip_only)
}

fn why_of(known: &Known<'_>, thing: ThingNo, ask: &Ask<'_>) -> Why {
    let Question { kernel, free, wishes, .. } = known.question;
    let mut with = wishes.clone();
    with.push((Wish::Leave(thing), At::default()));
    let only: Vec<Wish> = with.iter().map(|(wish, _)| *wish).collect();
    let answer = if known.plan.off.has(thing) && !kernel.open_at_start.has(thing) {
        lastbolt_order::plan(&under(free.clone(), &only), ask)
    } else {
        Answer::Possible(Box::new(known.plan.clone()))
    };
    let found = more(&answer, known.plan);
    let because = match found {
        Some(_) => Vec::new(),
        None => why_not(free, &with, &Ask { stop: &|| false, ..*ask }),
    };
    let (name, kind) = (kernel.name(thing), kernel.thing(thing).kind);
    Why {
        called: if kind == Kind::Prep { format!("\"{name}\"") } else { format!("the {name}") },
        kind,
        is_open: kernel.open_at_start.has(thing),
        chain: why(kernel, known.plan, thing),
        around: around(kernel, known.plan, thing),
        leaving: Leaving { more: found, because },
    }
}
