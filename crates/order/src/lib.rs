//! Take-apart and put-back orders, exact, with proof or bound. Pure: values in, values out; the
//! clock is the caller's ([`Ask::stop`]).
//!
//! [`plan`] answers one question about one [`Kernel`]: the cheapest order that takes apart what
//! the targets ask for and puts everything back. It searches over what comes off ([`sets`]), and
//! for each settled set over the ways and both directions as one problem ([`settled`]): the strip
//! forwards, the build back backwards, joined at the turn (`docs/architecture.md`, "order").

mod answer;
mod because;
mod leaf;
mod local;
mod mask;
mod relax;
mod search;
mod sets;
mod settled;
mod steps;

pub use answer::{Action, Answer, Ask, Because, Plan, Step};

use lastbolt_machine::{Kernel, Minutes, ThingNo};

use crate::local::{BUILD, Local, STRIP};
use crate::relax::NEVER;
use crate::sets::Sets;
use crate::settled::Whole;

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
    let relevant = local::relevant(kernel, metric);
    let size = relevant.len().div_ceil(64).max(1);
    match size {
        1 => order_of::<1>(kernel, ask, &relevant, metric),
        2 => order_of::<2>(kernel, ask, &relevant, metric),
        3 => order_of::<3>(kernel, ask, &relevant, metric),
        4 => order_of::<4>(kernel, ask, &relevant, metric),
        5..=8 => order_of::<8>(kernel, ask, &relevant, metric),
        9..=16 => order_of::<16>(kernel, ask, &relevant, metric),
        17..=256 => order_of::<256>(kernel, ask, &relevant, metric),
        _ => Answer::GaveUp { bound: Minutes::ZERO, nodes: 0 },
    }
}

fn order_of<const W: usize>(
    kernel: &Kernel,
    ask: &Ask<'_>,
    relevant: &[ThingNo],
    metric: bool,
) -> Answer {
    let local = Local::<W>::new(kernel, relevant, metric);
    let directions: &[usize] = if ask.strip_only { &[STRIP] } else { &[STRIP, BUILD] };
    let mut sets = Sets::new(&local, directions);
    let mut patience = ask.nodes;
    let mut best: Option<Whole> = None;
    let mut below = NEVER;
    // The least bound of the sets that were not searched to their end.
    let mut unfinished = NEVER;
    while let Some(node) = sets.next(below, &mut patience) {
        let found = settled::solve(kernel, &local, node.inside, below, &mut patience, ask);
        if let Some(whole) = found.best {
            below = whole.minutes;
            best = Some(whole);
        }
        if found.bound < below {
            unfinished = unfinished.min(found.bound);
        }
        if patience == 0 {
            break;
        }
    }
    if patience == 0 {
        unfinished = unfinished.min(sets.lowest_bound().unwrap_or(NEVER));
    }
    let nodes = ask.nodes - patience;
    let bound = unfinished.min(below);
    let Some(whole) = best else {
        return if bound >= NEVER {
            Answer::Impossible(Vec::new())
        } else {
            Answer::GaveUp { bound: Minutes(bound), nodes }
        };
    };
    let walked = steps::walk(kernel, &local, &whole)
        .expect("BUG: every searched order is legal by the rules of the kernel");
    debug_assert_eq!(walked.minutes.0, whole.minutes, "BUG: the search and the walk disagree");
    Answer::Possible(Box::new(Plan {
        strip: walked.strip,
        build: walked.build,
        off: walked.off,
        minutes: walked.minutes,
        bound: Minutes(bound),
        proved: bound >= walked.minutes.0,
        nodes,
    }))
}
