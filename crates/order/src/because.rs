//! Why there is no order: statements of the file of which none can be left out.
//!
//! One statement after the other is struck out; what does not make it possible stays struck out.
//! What is left at the end is a set from which dropping any one makes an order possible (if the
//! rest of the machine allows it at all).

use std::cmp::Reverse;
use std::collections::BTreeSet;

use lastbolt_machine::kernel::BENCH;
use lastbolt_machine::{End, Kernel, KernelWay, Kind, ThingNo};

use crate::answer::{Answer, Ask, Because};

/// How many states each trial may look at.
pub(crate) const TRIAL_NODES: u64 = 3_000;
/// How many statements are struck out together at first; halved where that is too many.
const FIRST_HANDFUL: usize = 64;

/// A statement that can be struck out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Statement {
    /// `other` in a `clear` of `thing`.
    Clear(ThingNo, ThingNo),
    /// `prep` in the needs of `thing`, its ways or their spots.
    Needs(ThingNo, ThingNo),
    /// `tie` holds what it joins.
    Holds(ThingNo),
    /// `tie` is hidden by `part`.
    HiddenBy(ThingNo, ThingNo),
    /// `thing` has no way of coming off.
    NoWayOff(ThingNo),
    /// `thing` has no way of going back.
    NoWayBack(ThingNo),
    /// `tie` bears what it joins (R23).
    Bears(ThingNo),
    /// `thing` goes on with sealant that sets (R24).
    Sets(ThingNo),
    /// `part` goes on after the leak look (R28).
    AfterLook(ThingNo),
    /// `thing` comes off, or goes back, at the bench only (R5).
    AtBench(ThingNo),
}

/// The statements that make the question impossible, as sentences.
pub(crate) fn because(kernel: &Kernel, ask: &Ask<'_>) -> Vec<Because> {
    match core(kernel, ask) {
        Some(core) => core.into_iter().map(|s| sentence(kernel, s)).collect(),
        None => vec![Because {
            at: kernel.targets.iter().next().map_or_else(Default::default, |t| kernel.thing(t).at),
            text: "What has to come off cannot lie together as the file says.".to_owned(),
        }],
    }
}

/// Statements of which none can be left out; `None` if it is impossible without any of them.
pub(crate) fn core(kernel: &Kernel, ask: &Ask<'_>) -> Option<Vec<Statement>> {
    let trial = Ask { nodes: TRIAL_NODES, ..*ask };
    let all = statements(kernel);
    if all.iter().fold(kernel.clone(), |k, s| without(k, *s)).is_impossible(&trial) {
        return None;
    }
    let mut struck = kernel.clone();
    let mut kept = Vec::new();
    for handful in all.chunks(FIRST_HANDFUL) {
        strike(&mut struck, handful, &mut kept, &trial);
    }
    // What a hanging part leaves to be done depends on its fixings (R23), so striking out one
    // statement can make another needless: again until nothing more goes.
    loop {
        let mut left = Vec::new();
        for &statement in &kept {
            let trial_kernel = without(struck.clone(), statement);
            if trial_kernel.is_impossible(&trial) {
                struck = trial_kernel;
            } else {
                left.push(statement);
            }
        }
        let is_stable = left.len() == kept.len();
        kept = left;
        if is_stable {
            return Some(kept);
        }
    }
}

/// Strikes out as many of the statements as leave it impossible; the others are kept.
fn strike(
    struck: &mut Kernel,
    statements: &[Statement],
    kept: &mut Vec<Statement>,
    trial: &Ask<'_>,
) {
    let without_all = statements.iter().fold(struck.clone(), |k, s| without(k, *s));
    if without_all.is_impossible(trial) {
        *struck = without_all;
    } else if let [one] = statements {
        kept.push(*one);
    } else {
        let (some, others) = statements.split_at(statements.len() / 2);
        strike(struck, some, kept, trial);
        strike(struck, others, kept, trial);
    }
}

/// Whether it is known that there is no order.
pub(crate) trait Possible {
    fn is_impossible(&self, ask: &Ask<'_>) -> bool;
}

impl Possible for Kernel {
    fn is_impossible(&self, ask: &Ask<'_>) -> bool {
        matches!(crate::order(self, ask), Answer::Impossible(_))
    }
}

fn statements(kernel: &Kernel) -> Vec<Statement> {
    let mut all = Vec::new();
    let metric = crate::local::is_metric(kernel);
    for no in crate::local::relevant(kernel, metric) {
        let it = kernel.thing(no);
        let ways = || it.ways.iter().chain(&it.back);
        let mut clear: Vec<ThingNo> = ways().flat_map(|w| w.clear.clone()).collect();
        let mut needs: Vec<ThingNo> = it.needs.clone();
        needs.extend(it.opening_needs().flatten().copied());
        needs.extend(ways().flat_map(|w| w.needs.iter().chain(&w.spot_needs).copied()));
        for list in [&mut clear, &mut needs] {
            list.sort_unstable();
            list.dedup();
        }
        all.extend(clear.into_iter().map(|other| Statement::Clear(no, other)));
        all.extend(needs.into_iter().map(|prep| Statement::Needs(no, prep)));
        all.extend(it.hidden_by.iter().map(|&part| Statement::HiddenBy(no, part)));
        if it.kind == Kind::Tie {
            all.push(Statement::Holds(no));
        }
        if it.bears {
            all.push(Statement::Bears(no));
        }
        if it.open_minutes.is_some() {
            all.push(Statement::Sets(no));
        }
        if it.after_leak_look {
            all.push(Statement::AfterLook(no));
        }
        if is_bench_work(&it.ways) || is_bench_work(&it.back) {
            all.push(Statement::AtBench(no));
        }
        if it.ways.is_empty() {
            all.push(Statement::NoWayOff(no));
        }
        if it.back.is_empty() && !it.by_itself {
            all.push(Statement::NoWayBack(no));
        }
    }
    // What is far from what cannot be done at all goes first: a person follows few links.
    let far = far(kernel);
    let telling = |statement| telling(kernel, statement);
    all.sort_by_key(|statement| (Reverse(reach(&far, *statement)), telling(*statement)));
    all
}

/// Whether there are ways, and all of them are at the bench.
fn is_bench_work(ways: &[KernelWay]) -> bool {
    !ways.is_empty() && ways.iter().all(|way| way.spot == Some(BENCH))
}

/// How many statements lie between each thing and one that has no way of coming off or going back,
/// by the number of the thing; the largest number where none leads there.
fn far(kernel: &Kernel) -> Vec<usize> {
    let mut beside: Vec<Vec<ThingNo>> = vec![Vec::new(); kernel.things.len()];
    for no in kernel.all() {
        let it = kernel.thing(no);
        let of_ways =
            it.all_ways().flat_map(|way| way.clear.iter().chain(&way.needs).chain(&way.spot_needs));
        let parts = it.joins.iter().filter_map(|end| match *end {
            End::Part(part) => Some(part),
            End::Fixed(_) => None,
        });
        let own = it.needs.iter().chain(&it.hidden_by).chain(&it.rides).chain(of_ways).copied();
        for other in own.chain(parts) {
            beside[no.0].push(other);
            beside[other.0].push(no);
        }
    }
    let mut far = vec![usize::MAX; kernel.things.len()];
    let is_stuck = |no: &ThingNo| {
        let it = kernel.thing(*no);
        it.ways.is_empty() || (it.back.is_empty() && !it.by_itself)
    };
    let mut now: Vec<ThingNo> = kernel.all().filter(is_stuck).collect();
    let mut distance = 0;
    while !now.is_empty() {
        for no in &now {
            far[no.0] = distance;
        }
        let next = now.iter().flat_map(|no| &beside[no.0]).copied();
        let next: BTreeSet<ThingNo> = next.filter(|no| far[no.0] == usize::MAX).collect();
        (now, distance) = (next.into_iter().collect(), distance + 1);
    }
    far
}

/// How far the farther end of a statement is.
fn reach(far: &[usize], statement: Statement) -> usize {
    match statement {
        Statement::Clear(one, other)
        | Statement::Needs(one, other)
        | Statement::HiddenBy(one, other) => far[one.0].max(far[other.0]),
        Statement::Holds(thing)
        | Statement::NoWayOff(thing)
        | Statement::NoWayBack(thing)
        | Statement::Bears(thing)
        | Statement::Sets(thing)
        | Statement::AfterLook(thing)
        | Statement::AtBench(thing) => far[thing.0],
    }
}

/// How much a statement tells a person: where one or another would do, the first to be struck out
/// are those that hold for nearly everything.
fn telling(kernel: &Kernel, statement: Statement) -> u8 {
    match statement {
        // What is asked for says more than what holds it.
        Statement::AtBench(thing) if kernel.thing(thing).kind == Kind::Part => 3,
        Statement::Holds(_) => 0,
        Statement::Clear(..) | Statement::Needs(..) | Statement::HiddenBy(..) => 1,
        Statement::Bears(_)
        | Statement::Sets(_)
        | Statement::AfterLook(_)
        | Statement::AtBench(_) => 2,
        Statement::NoWayOff(_) | Statement::NoWayBack(_) => 3,
    }
}

/// The kernel with one statement struck out.
fn without(mut kernel: Kernel, statement: Statement) -> Kernel {
    match statement {
        Statement::Clear(thing, other) => {
            let it = &mut kernel.things[thing.0];
            for way in it.ways.iter_mut().chain(&mut it.back) {
                way.clear.retain(|c| *c != other);
            }
        }
        Statement::Needs(thing, prep) => {
            let it = &mut kernel.things[thing.0];
            it.needs.retain(|n| *n != prep);
            for way in it.ways.iter_mut().chain(&mut it.left_alone).chain(&mut it.back) {
                way.needs.retain(|n| *n != prep);
                way.spot_needs.retain(|n| *n != prep);
            }
        }
        Statement::Holds(tie) => {
            // It lies in the machine then, so that what is done at the bench is done anywhere.
            let it = &mut kernel.things[tie.0];
            it.joins = vec![End::Fixed(0)];
            for way in it.ways.iter_mut().chain(&mut it.back) {
                way.spot = way.spot.filter(|spot| *spot != BENCH);
            }
            for thing in &mut kernel.things {
                thing.ties.retain(|t| *t != tie);
            }
        }
        Statement::HiddenBy(tie, part) => {
            kernel.things[tie.0].hidden_by.retain(|p| *p != part);
        }
        Statement::Bears(tie) => kernel.things[tie.0].bears = false,
        Statement::Sets(thing) => kernel.things[thing.0].open_minutes = None,
        Statement::AfterLook(part) => kernel.things[part.0].after_leak_look = false,
        Statement::AtBench(thing) => {
            let it = &mut kernel.things[thing.0];
            for way in it.ways.iter_mut().chain(&mut it.back) {
                way.spot = way.spot.filter(|spot| *spot != BENCH);
            }
        }
        Statement::NoWayOff(thing) => {
            kernel.things[thing.0].ways = vec![free_way()];
        }
        Statement::NoWayBack(thing) => {
            kernel.things[thing.0].back = vec![free_way()];
        }
    }
    kernel
}

fn free_way() -> KernelWay {
    KernelWay {
        spot: None,
        tool: None,
        minutes: lastbolt_machine::Minutes::ZERO,
        guessed: false,
        clear: Vec::new(),
        needs: Vec::new(),
        spot_needs: Vec::new(),
        feel: false,
        also: Vec::new(),
        at: lastbolt_machine::At::default(),
    }
}

/// A statement with its place in the file.
pub(crate) fn sentence(kernel: &Kernel, statement: Statement) -> Because {
    let name = |no: ThingNo| kernel.name(no);
    let (thing, text) = match statement {
        Statement::Clear(a, b) => {
            (a, format!("\"{}\" can only be reached with \"{}\" off first.", name(a), name(b)))
        }
        Statement::Needs(a, b) => (a, format!("\"{}\" needs \"{}\".", name(a), name(b))),
        Statement::Holds(a) => (a, format!("\"{}\" holds what it joins.", name(a))),
        Statement::HiddenBy(a, b) => {
            (a, format!("\"{}\" is hidden once \"{}\" is home.", name(a), name(b)))
        }
        Statement::NoWayOff(a) => {
            (a, format!("\"{}\" never comes off by itself.{}", name(a), fitted(kernel, a)))
        }
        Statement::Bears(a) => (a, bears(name(a))),
        Statement::Sets(a) => {
            let minutes = kernel.thing(a).open_minutes.unwrap_or_default();
            (a, format!("The sealant of \"{}\" is open for {minutes} minutes only.", name(a)))
        }
        Statement::AfterLook(a) => {
            (a, format!("\"{}\" goes on after the leak look, when all else is home.", name(a)))
        }
        Statement::AtBench(a) => {
            let goes = match kernel.thing(a).kind {
                Kind::Tie => "is undone or made",
                Kind::Part | Kind::Prep => "comes off or goes back",
            };
            (a, format!("\"{}\" {goes} at the bench only.", name(a)))
        }
        Statement::NoWayBack(a) => {
            (a, format!("\"{}\" never goes back by itself.{}", name(a), fitted(kernel, a)))
        }
    };
    let it = kernel.thing(thing);
    let at = match statement {
        Statement::Clear(_, other) => {
            let mut ways = it.ways.iter().chain(&it.back);
            ways.find(|w| w.clear.contains(&other)).map_or(it.at, |w| w.at)
        }
        Statement::AtBench(_) => {
            let mut ways = it.ways.iter().chain(&it.back);
            ways.find(|way| way.spot == Some(BENCH)).map_or(it.at, |way| way.at)
        }
        _ => it.at,
    };
    Because { at: if at.line == 0 { it.at } else { at }, text }
}

/// What to write where something would have to be moved over to a new carrier.
fn fitted(kernel: &Kernel, thing: ThingNo) -> String {
    match kernel.thing(thing).rides.filter(|carrier| kernel.targets.has(*carrier)) {
        Some(carrier) => format!(
            " If the new \"{}\" comes with it, write that under comes_fitted.",
            kernel.name(carrier)
        ),
        None => String::new(),
    }
}

/// What a fixing that bears weight forbids (R23), and what to write if that is not meant.
fn bears(tie: &str) -> String {
    format!(
        "\"{tie}\" bears weight: what it bears comes off next once it is undone, and it is made \
         next once that is on. Write how it is undone and made there, or no bears if it does not \
         carry it."
    )
}

#[cfg(test)]
mod tests {
    use lastbolt_machine::{Extra, compile};
    use lastbolt_testkit::{Size, random_machine, ruled_machine};

    use super::*;

    /// With everything else struck out it is still impossible, and striking out any one more
    /// makes it possible.
    #[test]
    fn no_reason_can_be_left_out() {
        let ask = Ask::default();
        let mut seen = 0;
        for seed in 0..300 {
            let make = if seed % 2 == 0 { random_machine } else { ruled_machine };
            let (machine, job) = make(seed, &Size::default());
            let kernel = compile(&machine, &job, &Extra::default()).expect("it is legal");
            if !kernel.is_impossible(&ask) {
                continue;
            }
            let Some(core) = core(&kernel, &ask) else { continue };
            let others = statements(&kernel).into_iter().filter(|s| !core.contains(s));
            let struck = others.fold(kernel.clone(), without);
            assert!(struck.is_impossible(&ask), "seed {seed}: the reasons are not enough");
            for &reason in &core {
                let more = without(struck.clone(), reason);
                assert!(!more.is_impossible(&ask), "seed {seed}: {reason:?} is not needed");
            }
            seen += 1;
        }
        assert!(seen > 10, "only {seen} were impossible");
    }
}
