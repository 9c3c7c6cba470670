//! An order as a file: read leniently, every number exactly.

use std::collections::BTreeSet;
use std::fs::File;
use std::io::{self, Read};

use lastbolt_checker::{Account, Action, Order, Step};
use lastbolt_machine::{Machine, Minutes};
use serde::Deserialize;

use crate::failure::Failure;
use crate::from_here::finishes;
use crate::plan_json::VERSION;

/// The largest file that is read.
const BYTES_MAX: u64 = 32 * 1024 * 1024;
const HELP: &str = "Give a file as `lastbolt plan FILE --json` prints it.";

/// An order, and what its file says that it comes to.
pub(crate) struct OrderFile {
    pub(crate) strip: Vec<Step>,
    pub(crate) build: Vec<Step>,
    pub(crate) stated: Stated,
}

/// What the file says of the order as a whole; what it leaves out is not compared.
#[derive(Default)]
pub(crate) struct Stated {
    pub(crate) minutes: Option<Minutes>,
    elapsed: Option<Minutes>,
    off: Option<BTreeSet<String>>,
    made_blind: Option<BTreeSet<String>>,
    last_looks: Option<BTreeSet<(String, String)>>,
}

#[derive(Deserialize)]
struct PlanFile {
    version: Option<u32>,
    possible: Option<bool>,
    minutes: Option<f64>,
    elapsed: Option<f64>,
    off: Option<BTreeSet<String>>,
    strip: Option<Vec<StepFile>>,
    build: Option<Vec<StepFile>>,
    made_blind: Option<BTreeSet<String>>,
    last_looks: Option<Vec<LookFile>>,
}

#[derive(Deserialize)]
struct LookFile {
    of: String,
    before: String,
}

#[derive(Deserialize)]
struct StepFile {
    #[serde(rename = "do")]
    verb: String,
    id: String,
    from: Option<String>,
    tool: Option<String>,
    minutes: Option<f64>,
    change: Option<f64>,
}

impl OrderFile {
    /// Reads an order from a file, or from standard input if its name is a dash.
    ///
    /// # Errors
    /// Says what is wrong with the file, and where.
    pub(crate) fn read(name: &str) -> Result<Self, Failure> {
        let bytes = bytes(name).map_err(|error| {
            Failure::given(format!("{name}: this file could not be read: {error}."), HELP)
        })?;
        if bytes.len() as u64 > BYTES_MAX {
            return Err(Failure::given(format!("{name}: this file is larger than 32 MB."), HELP));
        }
        let file: PlanFile = serde_json::from_slice(&bytes).map_err(|error| {
            let (line, column) = (error.line(), error.column());
            Failure::given(format!("{name}:{line}:{column}: this is no order: {error}."), HELP)
        })?;
        Self::of(file).map_err(|text| Failure::given(format!("{name}: {text}"), HELP))
    }

    fn of(file: PlanFile) -> Result<Self, String> {
        match file.version {
            Some(VERSION) => {}
            Some(other) => return Err(format!("this is version {other}; {VERSION} is known.")),
            None => return Err("it does not say its version.".to_owned()),
        }
        if file.possible == Some(false) || file.strip.is_none() {
            return Err("there is no order in it that could be judged.".to_owned());
        }
        let looks = |looks: Vec<LookFile>| looks.into_iter().map(|l| (l.of, l.before)).collect();
        Ok(Self {
            strip: steps(file.strip.unwrap_or_default(), "strip")?,
            build: steps(file.build.unwrap_or_default(), "build")?,
            stated: Stated {
                minutes: exact(file.minutes, "minutes")?,
                elapsed: exact(file.elapsed, "elapsed")?,
                off: file.off,
                made_blind: file.made_blind,
                last_looks: file.last_looks.map(looks),
            },
        })
    }

    /// Reads what is slack and tightened as the condition that stands for it on this machine.
    pub(crate) fn about(mut self, machine: &Machine) -> Self {
        for step in &mut self.strip {
            let stands = finishes(machine, &step.id);
            if let (Action::Tighten, Some(name)) = (step.action, stands) {
                (step.action, step.id) = (Action::Prep, name.clone());
                if let Some(off) = &mut self.stated.off {
                    off.insert(name);
                }
            }
        }
        self
    }

    /// Gives the order to be judged.
    pub(crate) fn order(&self, strip_only: bool) -> Order {
        let build = if strip_only { Vec::new() } else { self.build.clone() };
        Order { strip: self.strip.clone(), build, strip_only }
    }
}

impl Stated {
    /// The first thing that the file says otherwise than the order comes to.
    pub(crate) fn differs(&self, account: &Account) -> Option<String> {
        let minutes = |what: &str, stated: Option<Minutes>, is: Minutes| {
            let stated = stated.filter(|stated| *stated != is)?;
            Some(format!("The file says {what} {stated}, but the order comes to {is}."))
        };
        let names = |what: &str, stated: &Option<BTreeSet<String>>, is: &BTreeSet<String>| {
            let odd = stated.as_ref()?.symmetric_difference(is).next()?;
            Some(format!("The list \"{what}\" of the file is not that of the order: \"{odd}\"."))
        };
        let blind = account.made_blind.iter().cloned().collect();
        let looks = |stated: &BTreeSet<(String, String)>| {
            let is = account.last_looks.iter().map(|l| (l.of.clone(), l.before.clone()));
            let is: BTreeSet<(String, String)> = is.collect();
            let (of, _) = stated.symmetric_difference(&is).next()?;
            Some(format!("The last look of \"{of}\" in the file is not that of the order."))
        };
        minutes("minutes", self.minutes, account.minutes)
            .or_else(|| minutes("elapsed", self.elapsed, account.elapsed))
            .or_else(|| names("off", &self.off, &account.off))
            .or_else(|| names("made_blind", &self.made_blind, &blind))
            .or_else(|| self.last_looks.as_ref().and_then(looks))
    }
}

fn bytes(name: &str) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    if name == "-" {
        io::stdin().take(BYTES_MAX + 1).read_to_end(&mut bytes)?;
    } else {
        File::open(name)?.take(BYTES_MAX + 1).read_to_end(&mut bytes)?;
    }
    Ok(bytes)
}

fn steps(steps: Vec<StepFile>, list: &str) -> Result<Vec<Step>, String> {
    let one = |(at, step): (usize, StepFile)| {
        let place = format!("{list}, step {}", at + 1);
        let action = Action::from_word(&step.verb)
            .ok_or_else(|| format!("{place}: \"{}\" is not something to do.", step.verb))?;
        let minutes = exact(step.minutes, &format!("{place}, minutes"))?;
        let change = exact(step.change, &format!("{place}, change"))?;
        Ok(Step { action, id: step.id, from: step.from, tool: step.tool, minutes, change })
    };
    steps.into_iter().enumerate().map(one).collect()
}

/// A number of minutes in exact thousandths.
fn exact(number: Option<f64>, what: &str) -> Result<Option<Minutes>, String> {
    const LARGEST: f64 = 1e12;
    let Some(number) = number else { return Ok(None) };
    let thousandths = (number * 1000.0).round();
    let is_exact = (number * 1000.0 - thousandths).abs() <= 1e-6 * thousandths.abs().max(1.0);
    if !(0.0..=LARGEST).contains(&thousandths) || !is_exact {
        return Err(format!("{what}: {number} is no number of minutes with three decimals."));
    }
    // In range by the test above.
    Ok(Some(Minutes(thousandths as i64)))
}
