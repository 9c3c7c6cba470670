//! The list that stands still: the order as the person sees it, with the tags, as plain text.

use std::collections::BTreeMap;

use lastbolt_machine::{Kernel, Minutes, ThingNo};

use crate::view::{Quiet, QuietKind, Stage, StepVerb};
use crate::walk::Todo;

/// The first line of the text form; a newer one has another number.
const HEAD: &str = "kept order 1";
/// The most lines of a text form that are read.
const LINES_MAX: usize = 100_000;

/// One step of the kept list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptStep {
    /// What is done; never a look: looks are put in when the list is shown.
    pub verb: StepVerb,
    /// To what.
    pub thing: String,
    /// By which of the ways of the file, from 0.
    pub way: usize,
}

/// The list that stands still after a tick, the tags, and what was said last.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KeptPlan {
    /// The number of the last record that it knows.
    pub seq: u64,
    /// The steps still to be done.
    pub steps: Vec<KeptStep>,
    /// Tag numbers by thing.
    pub tags: BTreeMap<String, u32>,
    /// What the last record meant, where it was out of order.
    pub said: Vec<Quiet>,
    /// Minutes by stage of the first plan, in the order of [`Stage::ALL`].
    pub planned: [Minutes; 4],
    /// Why there is no order from here, in sentences; empty while there is one.
    pub no_order: Vec<String>,
    /// Made without the planner where it would have been asked: a better list may follow.
    /// Never stored.
    pub is_stopgap: bool,
}

impl KeptPlan {
    /// Gives a thing's tag number, making the next one if it has none.
    pub(crate) fn tag(&mut self, thing: &str) -> u32 {
        if let Some(&number) = self.tags.get(thing) {
            return number;
        }
        let next = self.tags.values().max().map_or(1, |last| last + 1);
        self.tags.insert(thing.to_owned(), next);
        next
    }

    pub(crate) fn todo(&self, kernel: &Kernel) -> Vec<Todo> {
        let known = |step: &KeptStep| {
            let thing = kernel.find(&step.thing)?;
            Some(Todo { verb: step.verb, thing, way: step.way })
        };
        self.steps.iter().filter_map(known).collect()
    }

    pub(crate) fn keep(&mut self, kernel: &Kernel, list: &[Todo]) {
        let name = |thing: ThingNo| kernel.name(thing).to_owned();
        self.steps = list
            .iter()
            .map(|t| KeptStep { verb: t.verb, thing: name(t.thing), way: t.way })
            .collect();
    }

    /// Gives the list with every thing under the name that it has now.
    pub fn renamed(mut self, now: impl Fn(&str) -> Option<String>) -> Self {
        for step in &mut self.steps {
            if let Some(name) = now(&step.thing) {
                step.thing = name;
            }
        }
        // Of two that are one now the first tag stays.
        let tags = std::mem::take(&mut self.tags);
        for (thing, number) in tags {
            let tag = self.tags.entry(now(&thing).unwrap_or(thing)).or_insert(number);
            *tag = number.min(*tag);
        }
        self
    }

    /// Gives the text form: one line each, tabs between, for whoever stores it.
    pub fn to_text(&self) -> String {
        let mut text = format!("{HEAD}\nseq\t{}\n", self.seq);
        for step in &self.steps {
            let thing = escape(&step.thing);
            text.push_str(&format!("step\t{}\t{}\t{thing}\n", step.verb.word(), step.way));
        }
        for (thing, number) in &self.tags {
            text.push_str(&format!("tag\t{number}\t{}\n", escape(thing)));
        }
        for said in &self.said {
            let thing = said.thing.as_deref().map(escape).unwrap_or_default();
            let seq = said.seq.unwrap_or(0);
            let words = escape(&said.text);
            text.push_str(&format!("said\t{}\t{seq}\t{thing}\t{words}\n", said.kind.word()));
        }
        for (stage, minutes) in Stage::ALL.iter().zip(&self.planned) {
            text.push_str(&format!("planned\t{}\t{}\n", stage.word(), minutes.0));
        }
        for line in &self.no_order {
            text.push_str(&format!("no order\t{}\n", escape(line)));
        }
        text
    }

    /// Reads the text form; none when it is of another version or damaged. It is derived from
    /// the record, so the caller then makes it again.
    pub fn from_text(text: &str) -> Option<Self> {
        let mut lines = text.lines();
        if lines.next()? != HEAD {
            return None;
        }
        let mut kept = Self::default();
        for (number, line) in lines.enumerate() {
            if number >= LINES_MAX {
                return None;
            }
            let fields: Vec<&str> = line.split('\t').collect();
            kept.read_line(&fields)?;
        }
        Some(kept)
    }

    fn read_line(&mut self, fields: &[&str]) -> Option<()> {
        match fields {
            ["seq", seq] => self.seq = seq.parse().ok()?,
            ["step", verb, way, thing] => {
                let (verb, way) = (StepVerb::read(verb)?, way.parse().ok()?);
                self.steps.push(KeptStep { verb, thing: unescape(thing), way });
            }
            ["tag", number, thing] => {
                self.tags.insert(unescape(thing), number.parse().ok()?);
            }
            ["said", kind, seq, thing, words] => self.said.push(Quiet {
                kind: QuietKind::read(kind)?,
                text: unescape(words),
                thing: Some(unescape(thing)).filter(|t| !t.is_empty()),
                seq: seq.parse().ok().filter(|&seq| seq > 0),
            }),
            ["planned", stage, minutes] => {
                let at = Stage::ALL.iter().position(|s| s.word() == *stage)?;
                self.planned[at] = Minutes(minutes.parse().ok()?);
            }
            ["no order", line] => self.no_order.push(unescape(line)),
            _ => return None,
        }
        Some(())
    }
}

fn escape(text: &str) -> String {
    text.replace('\\', "\\\\").replace('\t', "\\t").replace('\n', "\\n").replace('\r', "\\r")
}

fn unescape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut letters = text.chars();
    while let Some(letter) = letters.next() {
        if letter != '\\' {
            out.push(letter);
            continue;
        }
        match letters.next() {
            Some('t') => out.push('\t'),
            Some('n') => out.push('\n'),
            Some('r') => out.push('\r'),
            Some(other) => out.push(other),
            None => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The caller stores the text and reads it back after a crash: names with tabs, line ends and
    /// backslashes must survive, and anything else must be refused rather than half read.
    #[test]
    fn text_form_reads_back() {
        let mut kept = KeptPlan { seq: 7, ..KeptPlan::default() };
        for thing in ["cowl", "a\tb\\t\nc\r", "\\"] {
            kept.steps.push(KeptStep { verb: StepVerb::Undo, thing: thing.into(), way: 2 });
            kept.tag(thing);
        }
        kept.said.push(Quiet {
            kind: QuietKind::OutOfOrder,
            text: "the cover\nis on".into(),
            thing: None,
            seq: Some(3),
        });
        kept.planned[2] = Minutes(1500);
        kept.no_order.push("x".into());
        let text = kept.to_text();
        assert_eq!(KeptPlan::from_text(&text), Some(kept));
        assert_eq!(KeptPlan::from_text(&text.replace(HEAD, "kept order 2")), None);
        assert_eq!(KeptPlan::from_text(&text.replace("undo", "polish")), None);
        assert_eq!(KeptPlan::from_text(&format!("{text}step\tundo\n")), None);
    }

    /// A paper tag on a hose cannot be renumbered.
    #[test]
    fn tags_never_change() {
        let mut kept = KeptPlan::default();
        assert_eq!((kept.tag("b"), kept.tag("a"), kept.tag("b")), (1, 2, 1));
    }
}
