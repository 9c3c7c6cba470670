//! What still holds a thing, and why it comes off.

use lastbolt_machine::{At, Minutes};

/// The answer to "What still holds it?" or "What must come first?".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WhatHolds {
    /// The thing asked about.
    pub thing: String,
    /// "What still holds the gearcase: 3 things" or "Nothing holds it: it can come off now."
    pub heading: String,
    /// What it is done from, with which tool, in how many minutes: the best way.
    pub by: Option<String>,
    /// Everything that stands against it.
    pub lines: Vec<HoldLine>,
}

/// One thing that stands against an action.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HoldLine {
    /// The sentence, with place and tool.
    pub text: String,
    /// The thing to tap through to, where it is one.
    pub thing: Option<String>,
    /// Its tag number.
    pub tag: Option<u32>,
    /// From which spot that is dealt with.
    pub from: Option<String>,
    /// With which tool.
    pub tool: Option<String>,
    /// In how many minutes.
    pub minutes: Option<Minutes>,
    /// What stands against that in turn, one level down.
    pub inner: Vec<HoldLine>,
}

/// One link of the chain that makes something come off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WhyLine {
    /// The sentence.
    pub text: String,
    /// The thing that this link is about.
    pub thing: Option<String>,
    /// Where the file says so.
    pub at: Option<At>,
}
