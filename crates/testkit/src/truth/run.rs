//! One hidden machine through one engine.

use lastbolt_machine::Machine;

use super::engine::{Engine, PutBack};
use super::entries::{Entry, Style, entries};
use super::judge::{Best, Judge, Judged, Look};
use super::oracle::Oracle;
use super::sound::has_back_only_need;
use super::strip::Strip;

/// More questions a thing than any bar allows: an engine that never stops asking is ended here.
const QUESTIONS_A_THING_MAX: usize = 4;

/// How questions are answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asking {
    /// The first, then the list is asked for again.
    OneByOne,
    /// The whole list, then the list is asked for again.
    ByTheList,
}

/// A hidden machine that was taken apart.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// The hidden machine.
    pub machine: &'a Machine,
    /// How it was taken apart.
    pub strip: &'a Strip,
    /// What putting it back costs at best.
    pub best: Best,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// What the order comes to, or why it is not legal on the hidden machine.
    pub verdict: Result<Judged, String>,
    /// The best, for comparison.
    pub best: Best,
    /// Every hidden fixing that was disturbed, and whether it was looked at in time.
    pub looks: Vec<Look>,
    /// How many questions were answered.
    pub questions: usize,
    /// How many parts and fixing entries were recorded.
    pub things: usize,
    /// Whether the order is the record backwards, thing by thing.
    pub is_reverse: bool,
    /// Whether the hidden machine has a back-only need.
    pub has_back_only_need: bool,
    /// The order, in hidden names.
    pub order: Vec<String>,
}

impl Run {
    /// Whether the order is legal.
    pub fn is_legal(&self) -> bool {
        self.verdict.is_ok()
    }

    /// How much dearer than the best, in thousandths of the best; nothing if it is not legal.
    pub fn dearer(&self) -> Option<i64> {
        let judged = self.verdict.as_ref().ok()?;
        let best = self.best.minutes.0.max(1);
        Some((judged.minutes.0 - best) * 1000 / best)
    }

    /// One line about it.
    pub fn line(&self) -> String {
        let legal = match &self.verdict {
            Ok(judged) => format!("legal {:>6.1}", judged.minutes.as_number()),
            Err(reason) => format!("NOT LEGAL ({reason})"),
        };
        let dearer =
            self.dearer().map_or("  -  ".to_owned(), |d| format!("{:+.1} %", d as f64 / 10.0));
        let late: Vec<&str> =
            self.looks.iter().filter(|look| !look.in_time).map(|look| look.tie.as_str()).collect();
        let late = if late.is_empty() { String::new() } else { format!(" late looks {late:?}") };
        let proved = if self.best.bound == self.best.minutes { "" } else { "?" };
        format!(
            "{legal} best {:.1}{proved} {dearer} questions {}/{} looks {}/{}{late}{}{}",
            self.best.minutes.as_number(),
            self.questions,
            self.things,
            self.looks.iter().filter(|look| look.in_time).count(),
            self.looks.len(),
            if self.has_back_only_need { " back-only" } else { "" },
            if self.is_reverse { " plain reverse" } else { "" },
        )
    }
}

/// Tells an engine of a strip, answers its questions, judges its way back.
pub fn run(case: &Case<'_>, style: Style, asking: Asking, engine: &mut dyn Engine) -> Run {
    let told = entries(case.machine, case.strip, style);
    let mut oracle = Oracle::new(case.machine);
    let things = told.iter().map(|e| e.ties.len() + usize::from(e.part.is_some())).sum();
    let mut run = Run {
        verdict: Err(String::new()),
        best: case.best,
        looks: Vec::new(),
        questions: 0,
        things,
        is_reverse: false,
        has_back_only_need: has_back_only_need(case.machine),
        order: Vec::new(),
    };
    let back = tell(&told, engine, &mut oracle)
        .and_then(|()| ask(engine, asking, &oracle, &mut run))
        .and_then(|()| engine.put_back())
        .and_then(|back| in_hidden_names(&back, &oracle));
    match back {
        Ok(back) => {
            let judge = Judge::new(case.machine, case.strip);
            run.verdict = judge.order(&back.order);
            run.looks = judge.looks(&back);
            let backwards = told.iter().rev().flat_map(|entry| {
                let ties = entry.ties.iter().rev().map(|tie| &tie.truth);
                entry.part.iter().chain(ties)
            });
            run.is_reverse = backwards.eq(&back.order);
            run.order = back.order;
        }
        Err(reason) => run.verdict = Err(reason),
    }
    run
}

fn tell(told: &[Entry], engine: &mut dyn Engine, oracle: &mut Oracle<'_>) -> Result<(), String> {
    for entry in told {
        let names = engine.took(entry)?;
        let truth = entry.part.iter().chain(entry.ties.iter().map(|tie| &tie.truth));
        let truth: Vec<&String> = truth.collect();
        if names.len() != truth.len() {
            return Err(format!("{} things told, {} names given", truth.len(), names.len()));
        }
        for (truth, name) in truth.into_iter().zip(&names) {
            oracle.is_called(truth, name);
        }
    }
    engine.all_off()
}

fn ask(
    engine: &mut dyn Engine,
    asking: Asking,
    oracle: &Oracle<'_>,
    run: &mut Run,
) -> Result<(), String> {
    loop {
        let mut open = engine.questions()?;
        if open.is_empty() {
            return Ok(());
        }
        if asking == Asking::OneByOne {
            open.truncate(1);
        }
        for question in &open {
            let choice = oracle.answer(question)?;
            engine.answer(question, choice)?;
            run.questions += 1;
            if run.questions > run.things * QUESTIONS_A_THING_MAX {
                return Err("it never stops asking".to_owned());
            }
        }
    }
}

fn in_hidden_names(back: &PutBack, oracle: &Oracle<'_>) -> Result<PutBack, String> {
    let truth = |name: &String| {
        oracle.truth(name).map(str::to_owned).ok_or_else(|| format!("what is {name:?}?"))
    };
    let order = back.order.iter().map(truth).collect::<Result<Vec<_>, _>>()?;
    let looks = back.looks.iter().map(|(of, before)| Ok((truth(of)?, truth(before)?)));
    Ok(PutBack { order, looks: looks.collect::<Result<Vec<_>, String>>()? })
}
