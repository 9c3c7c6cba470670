//! Take-apart and put-back orders, exact, with proof or bound. Pure: values in, values out; the
//! clock is the caller's ([`Ask::stop`]).
//!
//! [`plan`] answers one question about one [`Kernel`]: the cheapest order that takes apart what
//! the targets ask for and puts everything back. It searches over what comes off ([`sets`]), and
//! for each settled set over the ways and both directions as one problem ([`settled`]): the strip
//! forwards, the build back backwards, joined at the turn (`docs/architecture.md`, "order").

mod answer;
mod beads;
mod beam;
mod bearing;
mod because;
mod block;
pub mod changeover;
mod clauses;
mod fail_soft;
mod first_use;
mod forbids;
mod greedy;
mod habit;
mod hash;
mod homes;
mod improve;
mod insert;
mod last_use;
mod leaf;
mod local;
mod mask;
mod near;
mod no_worse;
mod one_change;
mod openings;
mod own;
mod place;
mod plain;
mod relax;
mod search;
mod sets;
mod settled;
mod shorter;
mod side_by_side;
mod steps;
mod surely;
mod turns;
mod untidy;
mod visits;
mod waiting;
mod ways_in;
mod whatif;
mod wish;

pub use answer::{Action, Answer, Ask, Because, Plan, Step};
pub use forbids::Forbids;
pub use habit::{Habit, Tolerance, tidy};
pub use side_by_side::{Hands, Stop, in_turn};
pub use surely::surely;
pub use untidy::untidiness;
pub use ways_in::{Takes, WAYS_MAX, WayIn, WaysIn, are_materially_different, ways_in};
pub use whatif::{More, more, more_also, plan_also, plan_also_soon, plan_to_gap};
pub use wish::{Wish, plan_under, under, why_not};

use lastbolt_machine::{Kernel, Minutes, ThingNo};

use crate::leaf::Leaf;
use crate::local::{Local, Pending, STRIP};
use crate::mask::Mask;
use crate::relax::NEVER;
use crate::settled::{Found, Whole};
use crate::turns::search_sets;

/// How many states are looked at where changes do not obey the triangle.
const DETOUR_NODES: u64 = 60_000;

/// Finds the cheapest order for a kernel, within the limits of the question.
pub fn plan(kernel: &Kernel, ask: &Ask<'_>) -> Answer {
    match order(kernel, ask) {
        Answer::Impossible(_) => Answer::Impossible(because::because(kernel, ask)),
        answer => answer,
    }
}

/// The same without the reasons where it is impossible.
pub(crate) fn order(kernel: &Kernel, ask: &Ask<'_>) -> Answer {
    let metric = local::is_metric(kernel);
    let mut relevant = local::relevant(kernel, metric);
    let sealed = relevant.iter().any(|&thing| kernel.thing(thing).open_minutes.is_some());
    if sealed && !ask.strip_only {
        // Where sealant sets, a step that nothing asks for may save a change in time.
        relevant = kernel.all().collect();
    }
    let case = Case { kernel, relevant: &relevant, metric, sealed: sealed && !ask.strip_only };
    match relevant.len().div_ceil(64).max(1) {
        1 => order_of::<1>(&case, ask),
        2 => order_of::<2>(&case, ask),
        3 => order_of::<3>(&case, ask),
        4 => order_of::<4>(&case, ask),
        5..=8 => order_of::<8>(&case, ask),
        9..=16 => order_of::<16>(&case, ask),
        17..=256 => order_of::<256>(&case, ask),
        _ => Answer::GaveUp { bound: Minutes::ZERO, nodes: 0 },
    }
}

/// What decides which search is needed.
struct Case<'a> {
    kernel: &'a Kernel,
    relevant: &'a [ThingNo],
    /// Changes obey the triangle.
    metric: bool,
    /// Something goes on with sealant (R24).
    sealed: bool,
}

fn order_of<const W: usize>(case: &Case<'_>, ask: &Ask<'_>) -> Answer {
    let Case { kernel, relevant, metric, sealed } = *case;
    let relevant = in_order::<W>(kernel, relevant, metric);
    let local = Local::<W>::new(kernel, &relevant, metric);
    let mut patience = ask.nodes;
    let found = if metric && !sealed {
        search_sets(kernel, &local, None, &mut patience, ask)
    } else {
        in_steps(kernel, &local, &mut patience, ask)
    };
    let nodes = ask.nodes - patience;
    let Some(whole) = found.best else {
        return if found.bound >= NEVER {
            Answer::Impossible(Vec::new())
        } else {
            Answer::GaveUp { bound: Minutes(found.bound), nodes }
        };
    };
    let walked = steps::walk(kernel, &local, &whole)
        .expect("BUG: every searched order is legal by the rules of the kernel");
    debug_assert_eq!(walked.minutes.0, whole.minutes, "BUG: the search and the walk disagree");
    Answer::Possible(Box::new(Plan {
        strip: walked.strip,
        build: walked.build,
        off: walked.off,
        leak_look: walked.leak_look,
        minutes: walked.minutes,
        least: walked.minutes,
        bound: Minutes(found.bound.min(walked.minutes.0)),
        proved: found.bound >= walked.minutes.0,
        nodes,
    }))
}

/// The same things as they can come off one after the other: what is worked out again and again
/// looks at them by their numbers, and then mostly once.
fn in_order<const W: usize>(kernel: &Kernel, relevant: &[ThingNo], metric: bool) -> Vec<ThingNo> {
    let local = Local::<W>::new(kernel, relevant, metric);
    let all: Mask<W> = (0..relevant.len()).collect();
    let leaf = Leaf::partly_settled(kernel, &local, STRIP, all, Mask::EMPTY);
    let ordered = leaf.map_or_else(Vec::new, |leaf| leaf.ordered().to_vec());
    let come_off: Mask<W> = ordered.iter().copied().collect();
    let others = all.minus(&come_off);
    others.iter().chain(ordered).map(|thing| relevant[thing]).collect()
}

/// Where a change by way of a third spot or tool is cheaper than the direct one (R15 refuses that
/// for stated pairs only), doing at once and "nothing useless comes off" no longer hold; nor do
/// they where sealant sets before a change that comes after it only because laying it asks for no
/// spot or no tool (R24). The cheapest order with every change at its cheapest detour and without
/// such changes is then a bound. If it is legal as it is, it is the answer; else what lies between
/// is searched without those two helps, for as long as is worth it.
fn in_steps<const W: usize>(
    kernel: &Kernel,
    local: &Local<W>,
    patience: &mut u64,
    ask: &Ask<'_>,
) -> Found {
    let mut eased = kernel.clone();
    eased.spot_changes = kernel.spot_changes.with_detours();
    eased.tool_changes = kernel.tool_changes.with_detours();
    let as_metric = Local { metric: true, ..local.clone() };
    let found = search_sets(&eased, &as_metric, None, patience, ask);
    let Some(whole) = found.best else { return found };
    let mut known = as_walked(kernel, local, whole);
    if known.as_ref().is_some_and(|whole| whole.minutes <= found.bound) {
        return Found { best: known, bound: found.bound };
    }
    if known.is_none() {
        let strict = Local { metric: true, pending: Pending::Dearest, ..local.clone() };
        let found = search_sets(&eased, &strict, None, patience, ask);
        known = found.best.and_then(|whole| as_walked(kernel, local, whole));
    }
    let kept = patience.saturating_sub(DETOUR_NODES);
    let mut some = *patience - kept;
    let plain = Local { metric: false, pending: Pending::Exact, ..local.clone() };
    let exact = search_sets(kernel, &plain, known, &mut some, ask);
    *patience = kept + some;
    Found { best: exact.best, bound: exact.bound.max(found.bound) }
}

/// An order with its true minutes, if it is legal by all rules.
fn as_walked<const W: usize>(kernel: &Kernel, local: &Local<W>, whole: Whole) -> Option<Whole> {
    let minutes = steps::walk(kernel, local, &whole)?.minutes.0;
    Some(Whole { minutes, ..whole })
}
