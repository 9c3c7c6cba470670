//! Bringing the kept list up to the record: one event after the other, each disturbing it as
//! little as possible.

use std::collections::BTreeMap;

use lastbolt_ledger::{Recorded, Verb};
use lastbolt_machine::{Kernel, Kind, Minutes, Set, ThingNo};
use lastbolt_order::{Answer, Ask, Habit, plan, surely, tidy};

use crate::case::Case;
use crate::kept::KeptPlan;
use crate::live::Live;
use crate::matters::Matters;
use crate::quiet;
use crate::repair::repair;
use crate::stages;
use crate::view::{Quiet, StepVerb};
use crate::walk::{Stand, Todo, Walked, drop_moot, steps_of, walk};

/// More events than this since the last time are not gone through one by one: the list is planned
/// anew.
const EVENTS_MAX: usize = 2000;

/// Where the machine really is, and the list from there.
#[derive(Clone, Debug)]
pub struct Now {
    /// Where the machine really is.
    pub live: Live,
    /// The list that stands still.
    pub kept: KeptPlan,
    /// What reaching each last look that was passed by costs; none where no order was found.
    pub look_costs: BTreeMap<String, Option<Minutes>>,
    /// What matters besides on and off.
    pub matters: Matters,
    /// No order from here takes fewer minutes.
    pub at_least: Minutes,
}

/// Brings the kept list up to the record. `kept` is that of an earlier call with a beginning of
/// the same record, or none; the outcome is the same. `nodes` limits each call of the planner;
/// with none there is a list at once, as it was or with what was done out of order taken back
/// first; [`KeptPlan::is_stopgap`] tells whether the same with more may come out differently.
pub fn bring_up(case: &Case, records: &[Recorded], kept: Option<KeptPlan>, nodes: u64) -> Now {
    let last = records.last().map_or(0, |r| r.seq);
    let kept = kept.filter(|kept| kept.seq <= last);
    let new = |kept: &KeptPlan| records.iter().filter(|r| r.seq > kept.seq).count();
    let mut kept = kept.unwrap_or_else(|| begin(case, nodes));
    kept.is_stopgap = false;
    let (mut kept, live) = if new(&kept) > EVENTS_MAX {
        let live = Live::of(case, records);
        (begin_at(case, &live, kept, last, nodes), live)
    } else {
        follow(case, records, kept, nodes)
    };
    kept.seq = last;
    mend_if_redrawn(case, &live, &mut kept, nodes);
    // What was split off or renamed since has its own tag too.
    for thing in live.disturbed.iter().filter(|&thing| is_tagged(&case.kernel, thing)) {
        kept.tag(case.kernel.name(thing));
    }
    kept.is_stopgap |= nodes == 0 && !live.not_looked_at(&case.kernel).is_empty();
    let look_costs = look_costs(case, &live, nodes);
    let at_least = surely(&kernel_from(case, &live, std::iter::empty()));
    Now { live, kept, look_costs, matters: Matters::of(records), at_least }
}

/// An answer draws the machine anew without anything having moved: a list made before it need not
/// go on the machine as it is known now.
fn mend_if_redrawn(case: &Case, live: &Live, kept: &mut KeptPlan, nodes: u64) {
    let stand = live.stand(case).with_forbids(&case.kernel);
    let list = kept.todo(&case.kernel);
    let still_goes = || walk(&case.kernel, &stand, &drop_moot(&stand, &list)).is_some();
    if list.is_empty() || !kept.no_order.is_empty() || still_goes() {
        return;
    }
    kept.is_stopgap |= nodes == 0;
    if let Ok(list) = relist(case, live, &list, false, nodes) {
        settle(case, kept, &list);
    }
}

/// The list before anything was recorded.
pub fn begin(case: &Case, nodes: u64) -> KeptPlan {
    let live = Live::of(case, &[]);
    let mut kept = KeptPlan::default();
    for thing in live.open.iter().filter(|&t| is_tagged(&case.kernel, t)) {
        kept.tag(case.kernel.name(thing));
    }
    let mut kept = begin_at(case, &live, kept, 0, nodes);
    kept.planned = stages::of_list(case, &live.stand(case), &kept.todo(&case.kernel));
    kept
}

fn begin_at(case: &Case, live: &Live, mut kept: KeptPlan, seq: u64, nodes: u64) -> KeptPlan {
    kept.seq = seq;
    kept.is_stopgap = nodes == 0;
    let stand = live.stand(case).with_forbids(&case.kernel);
    match fresh(case, live, &stand, &[], nodes) {
        Ok(list) => settle(case, &mut kept, &list),
        Err(because) => {
            kept.steps.clear();
            kept.no_order = because;
        }
    }
    kept
}

fn follow(case: &Case, records: &[Recorded], mut kept: KeptPlan, nodes: u64) -> (KeptPlan, Live) {
    let known = records.iter().take_while(|r| r.seq <= kept.seq).count();
    let mut live = Live::of(case, &records[..known]);
    // Several plain records of one entry share a number: they are taken in together.
    let mut upto = known;
    for entry in records[known..].chunk_by(|a, b| a.seq == b.seq) {
        upto += entry.len();
        let after = Live::of(case, &records[..upto]);
        kept = match entry {
            [one] => advance(case, &kept, &live, &after, one, nodes).0,
            more => advance_handful(case, &kept, &live, &after, more, nodes),
        };
        live = after;
    }
    (kept, live)
}

/// Takes one event into the list: what is done leaves it, the rest stands still as far as the
/// real state allows. Gives the list and what the event means where it was out of order.
pub fn advance(
    case: &Case,
    kept: &KeptPlan,
    before: &Live,
    after: &Live,
    recorded: &Recorded,
    nodes: u64,
) -> (KeptPlan, Vec<Quiet>) {
    let kernel = &case.kernel;
    let mut next = kept.clone();
    next.seq = recorded.seq;
    next.said.clear();
    if !recorded.event.verb.sets_standing() && recorded.event.verb != Verb::TakeBack {
        return (next, Vec::new());
    }
    let thing = recorded.event.thing.as_deref().and_then(|name| kernel.find(name));
    if let Some(thing) = thing
        && is_tagged(kernel, thing)
        && after.disturbed.has(thing)
    {
        next.tag(kernel.name(thing));
    }
    let list = kept.todo(kernel);
    let in_order = list.first().map(|t| t.thing) == thing && thing.is_some();
    next.is_stopgap |= nodes == 0 && !in_order;
    match relist(case, after, &list, in_order, nodes) {
        Ok(list) => settle(case, &mut next, &list),
        Err(because) => match taken_back(case, before, after, &list).filter(|_| nodes == 0) {
            Some(list) => {
                settle(case, &mut next, &list);
                next.is_stopgap = true;
            }
            None => {
                next.is_stopgap |= nodes == 0;
                next.keep(kernel, &drop_moot(&after.stand(case), &list));
                next.no_order = because;
            }
        },
    }
    let said = quiet::of_event(case, before, after, &next, recorded);
    next.said.clone_from(&said);
    (next, said)
}

/// Takes an entry about several things into the list.
fn advance_handful(
    case: &Case,
    kept: &KeptPlan,
    before: &Live,
    after: &Live,
    entry: &[Recorded],
    nodes: u64,
) -> KeptPlan {
    let kernel = &case.kernel;
    let mut next = kept.clone();
    let Some(last) = entry.last() else { return next };
    next.seq = last.seq;
    next.said.clear();
    for thing in entry.iter().filter_map(|r| kernel.find(r.event.thing.as_deref()?)) {
        if is_tagged(kernel, thing) && after.disturbed.has(thing) {
            next.tag(kernel.name(thing));
        }
    }
    let list = kept.todo(kernel);
    next.is_stopgap |= nodes == 0;
    match relist(case, after, &list, false, nodes) {
        Ok(list) => settle(case, &mut next, &list),
        Err(because) => {
            next.keep(kernel, &drop_moot(&after.stand(case), &list));
            next.no_order = because;
        }
    }
    // What came off in the same entry before it was not in the way.
    let mut so_far = before.clone();
    for recorded in entry {
        next.said.extend(quiet::of_event(case, &so_far, after, &next, recorded));
        if let Some(thing) = recorded.event.thing.as_deref().and_then(|name| kernel.find(name)) {
            if after.open.has(thing) {
                so_far.open.add(thing);
            } else {
                so_far.open.remove(thing);
            }
        }
    }
    next.said.dedup();
    next
}

fn settle(case: &Case, kept: &mut KeptPlan, list: &Walked) {
    let kernel = &case.kernel;
    kept.no_order.clear();
    kept.keep(kernel, &list.steps);
    for step in &list.steps {
        if step.verb.opens() && is_tagged(kernel, step.thing) {
            kept.tag(kernel.name(step.thing));
        }
    }
}

/// Parts, fixings and connections have paper tags; conditions have none.
fn is_tagged(kernel: &Kernel, thing: ThingNo) -> bool {
    kernel.thing(thing).kind != Kind::Prep
}

/// The list from the real state: unchanged if it still goes, else mended.
fn relist(
    case: &Case,
    live: &Live,
    list: &[Todo],
    in_order: bool,
    nodes: u64,
) -> Result<Walked, Vec<String>> {
    let kernel = &case.kernel;
    let stand = live.stand(case).with_forbids(kernel);
    let rest = drop_moot(&stand, list);
    let walked = match walk(kernel, &stand, &rest) {
        Some(walked) if in_order || nodes == 0 => return Ok(walked),
        Some(walked) => walked,
        None => {
            let legal = fresh(case, live, &stand, &rest, nodes)
                .or_else(|_| fresh(case, live, &stand, &[], nodes))?;
            // What was pointless keeps its place where it is needed after all.
            let mended = repair(kernel, &stand, list, &legal.steps);
            walk(kernel, &stand, &mended).unwrap_or(legal)
        }
    };
    Ok(trim(case, live, &stand, walked))
}

/// The list with what was done out of order taken back first: legal wherever that can be taken
/// back, and there at once.
fn taken_back(case: &Case, before: &Live, after: &Live, list: &[Todo]) -> Option<Walked> {
    let kernel = &case.kernel;
    let stand = after.stand(case).with_forbids(kernel);
    let mut steps = Vec::new();
    let mut back = |things: Set, opens: bool| {
        for thing in things.iter() {
            steps.push(Todo { verb: StepVerb::of(kernel.thing(thing).kind, opens), thing, way: 0 });
        }
    };
    back(before.open.minus(&after.open), true);
    back(after.open.minus(&before.open), false);
    steps.extend(list);
    walk(kernel, &stand, &steps)
}

/// A legal order from the real state in which everything is opened that `list` opens.
fn fresh(
    case: &Case,
    live: &Live,
    stand: &Stand,
    list: &[Todo],
    nodes: u64,
) -> Result<Walked, Vec<String>> {
    if nodes == 0 {
        return Err(vec!["An order from here is being worked out.".to_owned()]);
    }
    let opened = list.iter().filter(|t| t.verb.opens()).map(|t| t.thing);
    let kernel = kernel_from(case, live, opened);
    let ask = Ask { nodes, ..Ask::default() };
    let plan = match plan(&kernel, &ask) {
        // A whole new list is one that is easy to follow; one that mends a list stays as it is.
        Answer::Possible(plan) if list.is_empty() => tidy(&kernel, *plan, &Habit::default()),
        Answer::Possible(plan) => *plan,
        Answer::Impossible(because) => {
            return Err(because.into_iter().map(|b| b.text).collect());
        }
        Answer::GaveUp { .. } => {
            let text = "No order was found from here within the limit of the search.";
            return Err(vec![text.to_owned()]);
        }
    };
    let steps = steps_of(&plan);
    // What is started already need not be started again, where that is legal.
    let started = |t: &Todo| t.verb == StepVerb::Start && live.started.has(t.thing);
    let fewer: Vec<Todo> = steps.iter().filter(|t| !started(t)).copied().collect();
    let walked = walk(&case.kernel, stand, &fewer);
    walked.or_else(|| walk(&case.kernel, stand, &steps)).ok_or_else(|| {
        vec!["The order that was found does not hold from here; look at the record.".to_owned()]
    })
}

/// The kernel of the question "how on from here" (R18): really open things, spot and tool, and
/// what was asked for and is not met, with `more` as further targets.
pub fn kernel_from(case: &Case, live: &Live, more: impl Iterator<Item = ThingNo>) -> Kernel {
    let mut kernel = case.kernel.clone();
    kernel.open_at_start = live.open.clone();
    kernel.spot_at_start = live.spot;
    kernel.tool_at_start = live.tool;
    let mut targets: Set = kernel.no_things();
    for (target, met) in case.targets.iter().zip(&live.met) {
        if met.is_none() {
            targets.extend(target.things.iter());
        }
    }
    for set in live.to_reach(&case.kernel) {
        targets.extend(set.iter());
    }
    targets.extend(more);
    kernel.targets = targets;
    kernel
}

/// Leaves out what nothing asks for any more, as long as the list still goes and costs no more.
fn trim(case: &Case, live: &Live, stand: &Stand, mut walked: Walked) -> Walked {
    let wanted = kernel_from(case, live, std::iter::empty()).targets;
    loop {
        let opened = walked.steps.iter().filter(|t| t.verb.opens()).map(|t| t.thing);
        let shorter = opened.filter(|&t| !wanted.has(t)).find_map(|thing| {
            let fewer: Vec<Todo> =
                walked.steps.iter().filter(|t| t.thing != thing).copied().collect();
            walk(&case.kernel, stand, &fewer).filter(|w| w.minutes <= walked.minutes)
        });
        match shorter {
            Some(fewer) => walked = fewer,
            None => return walked,
        }
    }
}

/// States for each of the plans that say what a look passed by costs: worked out anew after each
/// record, so it has to be quick; a cost that is not known by then is not said.
const LOOK_NODES: u64 = 300;

/// What reaching each look that was passed by costs: the plan from here with its first cover as
/// one more target, minus the plan without.
fn look_costs(case: &Case, live: &Live, nodes: u64) -> BTreeMap<String, Option<Minutes>> {
    let kernel = &case.kernel;
    let missed = live.not_looked_at(kernel);
    if missed.is_empty() || nodes == 0 {
        return BTreeMap::new();
    }
    let nodes = nodes.min(LOOK_NODES);
    let least = |more: Option<ThingNo>| {
        let kernel = kernel_from(case, live, more.into_iter());
        plan(&kernel, &Ask { nodes, ..Ask::default() }).plan().map(|plan| plan.minutes)
    };
    let without = least(None);
    let cost = |covers: &[ThingNo]| {
        let seq = |&part: &ThingNo| live.mark(kernel, part).map_or(0, |mark| mark.by);
        let Some(first) = covers.iter().copied().min_by_key(seq) else {
            return Some(Minutes::ZERO);
        };
        Some((least(Some(first))? - without?).max(Minutes::ZERO))
    };
    let of = |(tie, covers): &(ThingNo, Vec<ThingNo>)| (kernel.name(*tie).to_owned(), cost(covers));
    missed.iter().map(of).collect()
}
