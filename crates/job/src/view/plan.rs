//! A plan as the command line prints it and the pages show it.

use lastbolt_machine::Minutes;

use crate::view::{Buy, Caution, StageMinutes, StepLine};

/// The last look of a fixing or connection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LastLook {
    /// What is looked at.
    pub of: String,
    /// Before which part goes on.
    pub before: String,
}

/// A step of a plan as it is shown and printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanStep {
    /// The line.
    pub line: StepLine,
    /// Minutes of the changes of place and tool before it.
    pub change: Minutes,
    /// Cautions of the spot, of the thing and of conditions.
    pub cautions: Vec<Caution>,
    /// Extra things to have ready.
    pub also: Vec<String>,
    /// Who may do it.
    pub who: Option<String>,
    /// The mark to be made before it is undone.
    pub mark: Option<String>,
    /// "11 kg", "24 kg: helper or hoist".
    pub lift: Option<String>,
    /// How many people it takes.
    pub people: u32,
    /// Done by feel.
    pub by_feel: bool,
    /// The wait that begins with it, in words; minutes only where they are the maker's.
    pub wait: Option<String>,
}

/// A plan as the command line prints it and the pages show it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanView {
    /// The machine in a few words.
    pub machine: String,
    /// What it is for: "impeller to renew".
    pub purpose: String,
    /// Whether `least` is proved to be the least.
    pub proved: bool,
    /// Minutes of work of this order, which may be a little more than the least.
    pub minutes: Minutes,
    /// The least minutes known.
    pub least: Minutes,
    /// Nothing can take fewer minutes than this.
    pub bound: Minutes,
    /// Elapsed minutes of this order, waits included.
    pub elapsed: Minutes,
    /// Everything open at the turn.
    pub off: Vec<String>,
    /// Taking apart.
    pub strip: Vec<PlanStep>,
    /// Putting back, with a look before each cover.
    pub build: Vec<PlanStep>,
    /// Numbers of the steps done at the bench: `strip` then `build`, counted through from 1.
    pub bench: Vec<usize>,
    /// Made while a cover is in its place: no last look.
    pub made_blind: Vec<String>,
    /// The last looks.
    pub last_looks: Vec<LastLook>,
    /// What to buy.
    pub to_buy: Vec<Buy>,
    /// Tools, each once, in the order of use.
    pub tools: Vec<String>,
    /// Extra things to have ready, each once, in the order of use.
    pub also: Vec<String>,
    /// Things whose minutes are guesses.
    pub guessed: Vec<String>,
    /// Minutes by stage, changes included.
    pub stages: Vec<StageMinutes>,
    /// Things that R17 and R18 added, in sentences.
    pub notes: Vec<String>,
}
