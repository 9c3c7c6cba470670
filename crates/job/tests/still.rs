//! The rest of the list stands still: after any one action out of order, no step moves that did
//! not have to. "Had to" is found by trying every legal order of the same steps.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::collections::HashMap;

use lastbolt_job::{KeptPlan, KeptStep, kernel_from};
use lastbolt_machine::{Direction, Set, ThingNo};
use lastbolt_order::{Ask, plan};

use support::{NODES, Story};

type Key = (&'static str, String);

fn keys(steps: &[KeptStep]) -> Vec<Key> {
    steps.iter().map(|s| (s.verb.word(), s.thing.clone())).collect()
}

/// The longest common subsequence: how many steps kept their order.
fn kept_in_order(a: &[Key], b: &[Key]) -> usize {
    let mut table = vec![vec![0; b.len() + 1]; a.len() + 1];
    for (i, x) in a.iter().enumerate() {
        for (j, y) in b.iter().enumerate() {
            let longest = table[i][j + 1].max(table[i + 1][j]);
            table[i + 1][j + 1] = if x == y { table[i][j] + 1 } else { longest };
        }
    }
    table[a.len()][b.len()]
}

/// Tries every legal order of some steps from where the machine really is.
struct Every<'a> {
    story: &'a Story,
    steps: Vec<Key>,
    /// For each step its place in the list before, if it was in it.
    places: Vec<Option<usize>>,
    memo: HashMap<(u64, usize), Option<usize>>,
}

impl Every<'_> {
    fn things(&self, done: u64) -> (Set, Set) {
        let live = &self.story.now.live;
        let starts: Vec<ThingNo> =
            self.steps.iter().filter(|s| s.0 == "start").map(|s| self.thing(&s.1)).collect();
        let mut open = live.open.clone();
        let mut started = live.started.clone();
        starts.iter().for_each(|&t| started.remove(t));
        for opening in [true, false] {
            for (at, step) in self.steps.iter().enumerate().filter(|(at, _)| done >> at & 1 == 1) {
                let thing = self.thing(&self.steps[at].1);
                match (step.0, opening) {
                    ("off" | "undo" | "prep", true) => {
                        open.add(thing);
                    }
                    ("on" | "make" | "tighten" | "end", false) => {
                        open.remove(thing);
                        started.remove(thing);
                    }
                    ("start", true) => {
                        started.add(thing);
                    }
                    _ => {}
                }
            }
        }
        (open, started)
    }

    fn thing(&self, name: &str) -> ThingNo {
        self.story.case.kernel.find(name).unwrap()
    }

    fn is_left(&self, done: u64, verbs: &[&str], thing: ThingNo) -> bool {
        let left = self.steps.iter().enumerate().filter(|(at, _)| done >> at & 1 == 0);
        left.into_iter().any(|(_, s)| verbs.contains(&s.0) && self.thing(&s.1) == thing)
    }

    fn is_legal(&self, done: u64, at: usize) -> bool {
        let kernel = &self.story.case.kernel;
        let (open, started) = self.things(done);
        let (verb, name) = &self.steps[at];
        let thing = self.thing(name);
        let seen = open.minus(&started);
        let strip = kernel.ways(thing, Direction::Strip);
        let build = kernel.ways(thing, Direction::Build);
        match *verb {
            "off" | "undo" | "prep" => {
                !open.has(thing) && strip.iter().any(|w| kernel.holds(thing, w, &seen))
            }
            "start" => build.iter().any(|w| kernel.start_is_allowed(thing, w, &open, &started)),
            _ => {
                let grouped = kernel.thing(thing).group.is_some();
                let targets = self.story.case.targets.iter().zip(&self.story.now.live.met);
                let mut pending = targets.filter(|(t, met)| met.is_none() && t.things.has(thing));
                let asked_for = pending.any(|(t, _)| {
                    t.things.iter().any(|m| self.is_left(done, &["off", "undo", "prep"], m))
                });
                !asked_for
                    && (!grouped || started.has(thing))
                    && build.iter().any(|w| kernel.close_is_allowed(thing, w, &open, &started))
            }
        }
    }

    /// The most steps that can keep their order, none if there is no legal order.
    fn most(&mut self, done: u64, last: usize) -> Option<usize> {
        if done.count_ones() as usize == self.steps.len() {
            return Some(0);
        }
        if let Some(&known) = self.memo.get(&(done, last)) {
            return known;
        }
        let mut best = None;
        for at in 0..self.steps.len() {
            if done >> at & 1 == 1 || !self.is_legal(done, at) {
                continue;
            }
            let next = done | 1 << at;
            let mut choices = vec![self.most(next, last)];
            if let Some(place) = self.places[at].filter(|&place| place + 1 > last) {
                choices.push(self.most(next, place + 1).map(|most| most + 1));
            }
            best = choices.into_iter().flatten().chain(best).max();
        }
        self.memo.insert((done, last), best);
        best
    }
}

/// How many steps kept their order from one list to another, and how many could have.
fn measure(story: &Story, before: &[Key], after: &[Key]) -> Option<(usize, usize)> {
    if after.len() > 18 {
        return None;
    }
    let places = after.iter().map(|key| before.iter().position(|b| b == key)).collect();
    let mut every = Every { story, steps: after.to_vec(), places, memo: HashMap::new() };
    let most = every.most(0, 0)?;
    Some((kept_in_order(before, after), most))
}

/// Does everything in order up to a point, then turns one thing out of order.
fn out_of_order(name: &str, each: &mut dyn FnMut(&KeptPlan, &Story)) {
    let length = Story::new(name).finishes();
    for upto in 0..=length {
        let things: Vec<String> =
            Story::new(name).case.kernel.things.iter().map(|t| t.name.clone()).collect();
        for thing in things {
            let mut story = Story::new(name);
            story.presses(upto);
            let before = story.now.kept.clone();
            let draft =
                lastbolt_job::draft(&story.case, &story.now, &thing, None).expect("known thing");
            let event = story.event(draft.verb, Some(&thing));
            story.accept(event);
            each(&before, &story);
        }
    }
}

const MACHINES: [&str; 5] = ["hidden", "rider_bench", "together", "hung_aside", "starter"];

/// The list that a person has in mind may not be reshuffled by one tick.
#[test]
fn no_step_moves_that_did_not_have_to() {
    let mut cases = 0;
    for name in MACHINES {
        out_of_order(name, &mut |before, story| {
            let (before, after) = (keys(&before.steps), keys(&story.now.kept.steps));
            if !story.now.kept.no_order.is_empty() {
                return;
            }
            if let Some((kept, most)) = measure(story, &before, &after) {
                cases += 1;
                let last = &story.log.records().last().expect("an event").event;
                assert_eq!(
                    kept, most,
                    "{name}: {:?} {:?}\nbefore {before:?}\nafter {after:?}",
                    last.verb, last.thing
                );
            }
        });
    }
    assert!(cases > 150, "only {cases} cases were measured");
}

/// The wrong twin that takes a new plan after every event is caught by the same measure.
#[test]
fn a_new_plan_after_every_event_is_caught() {
    let mut caught = 0;
    for name in MACHINES {
        out_of_order(name, &mut |before, story| {
            let kernel = kernel_from(&story.case, &story.now.live, std::iter::empty());
            let answer = plan(&kernel, &Ask { nodes: NODES, ..Ask::default() });
            let Some(plan) = answer.plan() else { return };
            let steps = plan.strip.iter().chain(&plan.build);
            let after: Vec<Key> =
                steps.map(|s| (s.action.word(), kernel.name(s.thing).to_owned())).collect();
            if let Some((kept, most)) = measure(story, &keys(&before.steps), &after) {
                caught += usize::from(kept < most);
            }
        });
    }
    assert!(caught > 0, "the measure never caught the twin");
}

/// Ticks in order leave the rest of the list exactly as it was.
#[test]
fn ticks_in_order_change_nothing() {
    for name in MACHINES {
        let mut story = Story::new(name);
        while let Some(next) = story.screen().next {
            let before = story.now.kept.steps.clone();
            story.presses(1);
            let looked = next.line.verb == lastbolt_job::view::StepVerb::Look;
            let expect = if looked { &before[..] } else { &before[1..] };
            assert_eq!(story.now.kept.steps, expect, "{name} after {}", next.line.text);
        }
    }
}

/// A list made anew from the whole record is the one that the screen has, tags and all: a lost
/// cache may not reshuffle the list.
#[test]
fn made_again_it_is_the_same() {
    for name in MACHINES {
        let mut story = Story::new(name);
        story.presses(2);
        let thing = story.case.kernel.things[0].name.clone();
        let draft = lastbolt_job::draft(&story.case, &story.now, &thing, None).unwrap();
        let event = story.event(draft.verb, Some(&thing));
        let seq = story.accept(event);
        story.presses(1);
        story.takes_back(seq);
        let again = lastbolt_job::bring_up(&story.case, story.log.records(), None, NODES);
        assert_eq!(again.kept, story.now.kept, "{name}");
        let text = story.now.kept.to_text();
        assert_eq!(KeptPlan::from_text(&text).as_ref(), Some(&story.now.kept), "{name}");
    }
}
