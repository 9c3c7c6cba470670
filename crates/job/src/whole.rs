//! Several steps of the list in one tap: a part with what held it, or the looks before one cover.

use lastbolt_ledger::Verb;
use lastbolt_sketch::{Notes, Sort};

use crate::picture::Picture;
use crate::view::{Draft, Screen, StepLine, StepVerb};
use crate::words;

/// Several steps that one tap records.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Whole {
    /// Says what has happened: "Tray home: 3 nuts, 1 clip, 1 earth".
    pub text: String,
    /// What is recorded, in order.
    pub records: Vec<Draft>,
    /// The steps of the list that this covers: verb and thing.
    pub covers: Vec<(StepVerb, String)>,
    /// What they are about, one by one: "3 nuts".
    pub lines: Vec<String>,
}

/// Gives what one tap can record besides the next step alone; none where that is all there is,
/// or where the job's things were not entered by the handful.
pub fn whole(picture: &Picture, screen: &Screen) -> Option<Whole> {
    let notes = &picture.drawn.as_ref()?.notes;
    let next = &screen.next.as_ref()?.line;
    let later: Vec<&StepLine> = screen.next_to_that.iter().chain(&screen.rest).collect();
    match next.verb {
        StepVerb::Look => looks(next, &later),
        StepVerb::On => part_home(notes, next, &later),
        StepVerb::Make => fixings_home(notes, next, &later),
        _ => None,
    }
}

/// The looks before the same cover.
fn looks(next: &StepLine, later: &[&StepLine]) -> Option<Whole> {
    let same = later.iter().take_while(|line| {
        line.verb == StepVerb::Look && line.before == next.before && next.before.is_some()
    });
    let lines: Vec<&StepLine> = std::iter::once(next).chain(same.copied()).collect();
    if lines.len() < 2 {
        return None;
    }
    Some(Whole {
        text: format!("All {} looked at, pushed, tugged", lines.len()),
        records: lines.iter().map(|line| draft(Verb::Looked, line)).collect(),
        covers: lines.iter().map(|line| (line.verb, line.thing.clone())).collect(),
        lines: lines.iter().map(|line| line.text.clone()).collect(),
    })
}

/// A part, and the fixings of its handful that go home before anything else comes in between.
fn part_home(notes: &Notes, next: &StepLine, later: &[&StepLine]) -> Option<Whole> {
    let own = fixings_of(notes, &next.thing);
    let all: Vec<&StepLine> = later.iter().copied().filter(|l| own.contains(&l.thing)).collect();
    let now = makes(later, &own);
    if now.is_empty() {
        return None;
    }
    let texts: Vec<String> = now.iter().map(|line| counted(notes, &line.thing)).collect();
    // Only where everything that holds it goes home now, one entry says it all.
    let records = if now.len() == all.len() {
        vec![draft(Verb::Home, next)]
    } else {
        let makes = now.iter().map(|line| draft(Verb::Make, line));
        std::iter::once(draft(Verb::On, next)).chain(makes).collect()
    };
    Some(Whole {
        text: format!("{} home: {}", words::large(&next.thing), texts.join(", ")),
        records,
        covers: covers(next, &now),
        lines: texts,
    })
}

/// Fixings of one handful that go home one after the other.
fn fixings_home(notes: &Notes, next: &StepLine, later: &[&StepLine]) -> Option<Whole> {
    let entry = notes.named(&next.thing)?.entry;
    let same = |(_, thing): &(usize, &lastbolt_sketch::Thing)| thing.entry == entry;
    let own: Vec<String> = notes.present().filter(same).map(|(_, t)| t.name.clone()).collect();
    let now = makes(later, &own);
    if now.is_empty() {
        return None;
    }
    let lines: Vec<&StepLine> = std::iter::once(next).chain(now.iter().copied()).collect();
    let texts: Vec<String> = lines.iter().map(|line| counted(notes, &line.thing)).collect();
    Some(Whole {
        text: format!("Home, each tugged or tight: {}", texts.join(", ")),
        records: lines.iter().map(|line| draft(Verb::Make, line)).collect(),
        covers: covers(next, &now),
        lines: texts,
    })
}

/// The fixings among these that go home before the next part or look.
fn makes<'a>(later: &[&'a StepLine], own: &[String]) -> Vec<&'a StepLine> {
    let stretch = later.iter().copied().take_while(|line| line.verb == StepVerb::Make);
    stretch.filter(|line| own.contains(&line.thing)).collect()
}

fn covers(next: &StepLine, more: &[&StepLine]) -> Vec<(StepVerb, String)> {
    let all = std::iter::once(next).chain(more.iter().copied());
    all.map(|line| (line.verb, line.thing.clone())).collect()
}

/// The fixings of the handfuls in which a part came off.
fn fixings_of(notes: &Notes, part: &str) -> Vec<String> {
    let is_part = |at: usize| notes.things[at].name == part && !notes.things[at].is_gone;
    let of_part = notes.entries.iter().filter(|entry| {
        entry.part.is_some_and(is_part) || entry.known_part.as_deref() == Some(part)
    });
    let mut all = Vec::new();
    for entry in of_part {
        let own = entry.ties.iter().map(|&at| &notes.things[at]).filter(|tie| !tie.is_gone);
        all.extend(own.map(|tie| tie.name.clone()));
        all.extend(entry.known_ties.iter().cloned());
    }
    all
}

/// "3 nuts"; the name where somebody gave one.
fn counted(notes: &Notes, name: &str) -> String {
    match notes.named(name) {
        Some(thing) if thing.sort == Sort::Tie && !thing.is_named => {
            words::pieces(thing.count, &thing.kind)
        }
        _ => name.to_owned(),
    }
}

fn draft(verb: Verb, line: &StepLine) -> Draft {
    let moves = verb != Verb::Looked;
    Draft {
        verb,
        thing: line.thing.clone(),
        spot: line.from.clone().filter(|_| moves),
        tool: line.tool.clone().filter(|_| moves),
    }
}
