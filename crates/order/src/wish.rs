//! Wishes: what is left alone, tools that are not there, spots not to work from; and which of
//! them, with which statements of the file, forbid every order.

use lastbolt_machine::{At, Kernel, SpotNo, ThingNo, ToolNo};

use crate::answer::{Answer, Ask, Because};
use crate::because::{self, Possible, Statement, TRIAL_NODES};

/// One wish about how a job is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Wish {
    /// This is not opened by itself (it may still go with what carries it).
    Leave(ThingNo),
    /// This tool is not there.
    Without(ToolNo),
    /// Nothing is done from this spot.
    NotFrom(SpotNo),
}

/// Gives the kernel under wishes: whatever they rule out is not among its ways any more.
#[must_use]
pub fn under(mut kernel: Kernel, wishes: &[Wish]) -> Kernel {
    for wish in wishes {
        match *wish {
            Wish::Leave(thing) => kernel.things[thing.0].leave_alone(),
            Wish::Without(_) | Wish::NotFrom(_) => {
                for thing in &mut kernel.things {
                    for ways in [&mut thing.ways, &mut thing.back, &mut thing.left_alone] {
                        ways.retain(|way| !is_ruled_out(*wish, way));
                    }
                }
            }
        }
    }
    kernel
}

fn is_ruled_out(wish: Wish, way: &lastbolt_machine::KernelWay) -> bool {
    match wish {
        Wish::Leave(_) => false,
        Wish::Without(tool) => way.tool == Some(tool),
        Wish::NotFrom(spot) => way.spot == Some(spot),
    }
}

/// Tells why there is no order under wishes: wishes and statements of the file of which none can
/// be left out. `free` is the kernel without the wishes; each wish comes with its place. Empty if
/// it is not known to be impossible.
pub fn why_not(free: &Kernel, wishes: &[(Wish, At)], ask: &Ask<'_>) -> Vec<Because> {
    let trial = Ask { nodes: TRIAL_NODES, ..*ask };
    let all: Vec<Wish> = wishes.iter().map(|(wish, _)| *wish).collect();
    if !under(free.clone(), &all).is_impossible(ask) {
        return Vec::new();
    }
    let needed = needed(free, &all, &trial);
    let kernel = under(free.clone(), &needed);
    let mut reasons: Vec<Because> = needed.iter().map(|wish| told(free, *wish, wishes)).collect();
    match because::core(&kernel, ask) {
        Some(core) => {
            let said = core.into_iter().filter(|s| !is_wish(&needed, *s));
            reasons.extend(said.map(|s| sentence(free, &kernel, s)));
        }
        None if reasons.is_empty() => reasons = because::because(&kernel, ask),
        None => {}
    }
    reasons
}

/// The wishes of which none can be left out.
fn needed(free: &Kernel, wishes: &[Wish], trial: &Ask<'_>) -> Vec<Wish> {
    let mut kept = wishes.to_vec();
    kept.dedup();
    let mut at = 0;
    while at < kept.len() {
        let mut fewer = kept.clone();
        fewer.remove(at);
        if under(free.clone(), &fewer).is_impossible(trial) {
            kept = fewer;
        } else {
            at += 1;
        }
    }
    kept
}

fn told(kernel: &Kernel, wish: Wish, wishes: &[(Wish, At)]) -> Because {
    let at = wishes.iter().find(|(other, _)| *other == wish).map_or(At::default(), |(_, at)| *at);
    let text = match wish {
        Wish::Leave(thing) if kernel.targets.has(thing) => {
            format!("\"{}\" is to be left alone, and was asked for.", kernel.name(thing))
        }
        Wish::Leave(thing) => format!("\"{}\" is to be left alone.", kernel.name(thing)),
        Wish::Without(tool) => format!("There is no \"{}\" to work with.", kernel.tools[tool.0]),
        Wish::NotFrom(spot) => format!("Nothing is to be done from \"{}\".", kernel.spots[spot.0]),
    };
    Because { at, text }
}

/// Whether a statement only repeats a wish.
fn is_wish(wishes: &[Wish], statement: Statement) -> bool {
    matches!(statement, Statement::NoWayOff(thing) if wishes.contains(&Wish::Leave(thing)))
}

/// A statement of the file; where wishes took all ways away, what those ways were.
fn sentence(free: &Kernel, under: &Kernel, statement: Statement) -> Because {
    let (thing, ways, goes) = match statement {
        Statement::NoWayOff(thing) => (thing, &free.thing(thing).ways, "comes off"),
        Statement::NoWayBack(thing) => (thing, &free.thing(thing).back, "goes back"),
        _ => return because::sentence(under, statement),
    };
    let Some(first) = ways.first() else { return because::sentence(under, statement) };
    let mut by: Vec<String> = Vec::new();
    for way in ways {
        let with = way.tool.map(|tool| format!("with \"{}\"", free.tools[tool.0]));
        let from = way.spot.map(|spot| format!("from \"{}\"", free.spots[spot.0]));
        let text = [with, from].into_iter().flatten().collect::<Vec<_>>().join(" ");
        if !by.contains(&text) {
            by.push(text);
        }
    }
    let text = format!("\"{}\" {goes} only {}.", free.name(thing), by.join(", or "));
    let at = if first.at.line == 0 { free.thing(thing).at } else { first.at };
    Because { at, text }
}

/// The planner's answer under wishes, with reasons that name them where there is no order.
pub fn plan_under(free: &Kernel, wishes: &[(Wish, At)], ask: &Ask<'_>) -> Answer {
    let all: Vec<Wish> = wishes.iter().map(|(wish, _)| *wish).collect();
    match crate::order(&under(free.clone(), &all), ask) {
        Answer::Impossible(_) => Answer::Impossible(why_not(free, wishes, ask)),
        answer => answer,
    }
}
