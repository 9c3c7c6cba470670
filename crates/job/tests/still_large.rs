//! The rest of the list stands still on whole jobs too: after any one legal action out of order
//! no step moves that could have stayed. Lists are too long to try every order, so each moved step
//! is tried alone at every place where more of the list would have kept its order.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use lastbolt_files::Source;
use lastbolt_job::{Case, JobModel, KeptPlan, draft, kernel_from, read_case};
use lastbolt_ledger::Verb;
use lastbolt_machine::{Direction, Set};
use lastbolt_order::{Ask, Forbids, Habit, plan, tidy};
use lastbolt_testkit::{Rng, Size, layered_machine, ruled_machine};

use support::{NODES, Story};

type Key = (&'static str, String);

fn keys(kept: &KeptPlan) -> Vec<Key> {
    kept.steps.iter().map(|s| (s.verb.word(), s.thing.clone())).collect()
}

/// For each step of `b` whether it kept its order: a longest common subsequence with `a`.
fn kept_in_order(a: &[Key], b: &[Key]) -> Vec<bool> {
    let mut table = vec![vec![0; b.len() + 1]; a.len() + 1];
    for (i, x) in a.iter().enumerate().rev() {
        for (j, y) in b.iter().enumerate().rev() {
            let longest = table[i + 1][j].max(table[i][j + 1]);
            table[i][j] = if x == y { table[i + 1][j + 1] + 1 } else { longest };
        }
    }
    let mut kept = vec![false; b.len()];
    let (mut i, mut j) = (0, 0);
    while i < a.len() && j < b.len() {
        if a[i] == b[j] {
            kept[j] = true;
            (i, j) = (i + 1, j + 1);
        } else if table[i + 1][j] >= table[i][j + 1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    kept
}

fn count(kept: &[bool]) -> usize {
    kept.iter().filter(|kept| **kept).count()
}

/// Whether a list goes from where the machine really is, to its end.
fn goes(story: &Story, list: &[Key]) -> bool {
    let (kernel, live) = (&story.case.kernel, &story.now.live);
    let (mut open, mut started) = (live.open.clone(), live.started.clone());
    for (_, thing) in list.iter().filter(|(verb, _)| *verb == "start") {
        started.remove(kernel.find(thing).unwrap());
    }
    let forbids = Forbids::of(kernel, &open);
    let unmet = story.case.targets.iter().zip(&live.met).filter(|(_, met)| met.is_none());
    let mut pending: Vec<&Set> = unmet.map(|(target, _)| &target.things).collect();
    for (verb, name) in list {
        let thing = kernel.find(name).unwrap();
        let opens = matches!(*verb, "off" | "undo" | "prep");
        let direction = if opens { Direction::Strip } else { Direction::Build };
        let ways = kernel.ways(thing, direction);
        let seen = open.minus(&started);
        let legal = match *verb {
            _ if opens => !open.has(thing) && ways.iter().any(|w| kernel.holds(thing, w, &seen)),
            "start" => ways.iter().any(|w| kernel.start_is_allowed(thing, w, &open, &started)),
            _ => {
                !pending.iter().any(|set| set.has(thing))
                    && (kernel.thing(thing).group.is_none() || started.has(thing))
                    && ways.iter().any(|w| kernel.close_is_allowed(thing, w, &open, &started))
            }
        };
        if !legal || !forbids.allow(kernel, direction, thing, &open, &started) {
            return false;
        }
        match *verb {
            _ if opens => {
                open.add(thing);
            }
            "start" => {
                started.add(thing);
            }
            _ => {
                open.remove(thing);
                started.remove(thing);
            }
        }
        pending.retain(|set| !set.is_within(&open));
    }
    let stays = |t| kernel.leave_off.has(t) || kernel.thing(t).by_itself;
    pending.is_empty() && open.iter().all(stays)
}

/// A step that moved and did not have to, if there is one.
fn moved_needlessly(story: &Story, before: &[Key], after: &[Key]) -> Option<Key> {
    let kept = kept_in_order(before, after);
    let is_old = |key: &&Key| before.contains(key);
    for (at, key) in after.iter().enumerate() {
        if kept[at] || !is_old(&key) {
            continue;
        }
        let mut others = after.to_vec();
        others.remove(at);
        for to in 0..=others.len() {
            let mut tried = others.clone();
            tried.insert(to, key.clone());
            if count(&kept_in_order(before, &tried)) > count(&kept) && goes(story, &tried) {
                return Some(key.clone());
            }
        }
    }
    None
}

fn demo(name: &str) -> Case {
    let folder = format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"));
    let file = |name: &str| Source::new(name, std::fs::read(format!("{folder}/{name}")).unwrap());
    read_case(&[file("machine.toml"), file("job.toml")]).expect("it checks clean").case
}

fn cases() -> Vec<(String, Case)> {
    let mut all: Vec<_> = ["kelp", "tussock"].map(|name| (name.to_owned(), demo(name))).into();
    let made = (0..24).map(|seed| match seed % 2 {
        0 => (format!("layered {seed}"), layered_machine(seed, 25)),
        _ => (format!("ruled {seed}"), ruled_machine(seed, &Size::default())),
    });
    for (name, (machine, job)) in made {
        let model = JobModel { machine, job, ..JobModel::default() };
        all.push((name, Case::new(model).expect("it is legal")));
    }
    all
}

/// Things that can be turned over now, besides the one whose turn it is.
fn out_of_order(story: &Story) -> Vec<(Verb, String)> {
    let (case, now) = (&story.case, &story.now);
    let kernel = &case.kernel;
    let (open, started) = (&now.live.open, &now.live.started);
    let next = now.kept.steps.first().map(|step| step.thing.clone());
    let legal = |thing| {
        let strip = kernel.ways(thing, Direction::Strip).iter();
        let build = kernel.ways(thing, Direction::Build).iter();
        strip.into_iter().any(|w| kernel.open_is_allowed(thing, w, open))
            || build.into_iter().any(|w| kernel.close_is_allowed(thing, w, open, started))
    };
    let things = kernel.all().filter(|&thing| legal(thing)).map(|thing| kernel.name(thing));
    let things = things.filter(|name| Some(*name) != next.as_deref());
    things.map(|name| (draft(case, now, name, None).unwrap().verb, name.to_owned())).collect()
}

/// Random legal actions out of order, at random times of each job.
fn each_action(each: &mut dyn FnMut(&str, &[Key], &Story)) {
    let mut rng = Rng::new(5);
    for (name, case) in cases() {
        let mut story = Story::of(case);
        let length = story.now.kept.steps.len();
        if length == 0 {
            continue;
        }
        for _ in 0..8 {
            story.presses(rng.below(1 + length / 9).min(story.now.kept.steps.len() / 2));
            let things = out_of_order(&story);
            let Some((verb, thing)) = rng.pick(&things).cloned() else { continue };
            let mut turned = story.clone();
            let before = keys(&turned.now.kept);
            turned.does(verb, &thing);
            if turned.now.kept.no_order.is_empty() {
                each(&name, &before, &turned);
            }
        }
    }
}

#[test]
fn no_step_moves_that_could_have_stayed() {
    let (mut actions, mut mended) = (0, 0);
    each_action(&mut |name, before, story| {
        let after = keys(&story.now.kept);
        let last = &story.log.records().last().expect("an event").event;
        let did = format!("{name}: {:?} {:?}", last.verb, last.thing);
        assert!(goes(story, &after), "{did}: the list does not go\n{after:?}");
        let moved = moved_needlessly(story, before, &after);
        assert_eq!(moved, None, "{did}\nbefore {before:?}\nafter {after:?}");
        actions += 1;
        mended += usize::from(!after.iter().all(|key| before.contains(key)));
    });
    assert!(actions > 100 && mended > 10, "{actions} actions, {mended} lists mended");
}

/// The wrong twin that takes a new order after every action is caught.
#[test]
fn a_new_order_after_every_action_is_caught() {
    let (mut actions, mut caught) = (0, 0);
    each_action(&mut |_, before, story| {
        let kernel = kernel_from(&story.case, &story.now.live, std::iter::empty());
        let answer = plan(&kernel, &Ask { nodes: NODES, ..Ask::default() });
        let Some(found) = answer.plan() else { return };
        let found = tidy(&kernel, found.clone(), &Habit::default());
        let steps = found.strip.iter().chain(&found.build);
        let after: Vec<Key> =
            steps.map(|s| (s.action.word(), kernel.name(s.thing).to_owned())).collect();
        actions += 1;
        caught += usize::from(moved_needlessly(story, before, &after).is_some());
    });
    assert!(caught * 5 > actions, "caught {caught} times of {actions}");
}
