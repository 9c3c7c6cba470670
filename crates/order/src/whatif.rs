//! What ifs: what a further target or a wish costs, honest about what is not proved; and limits
//! by the gap.

use lastbolt_machine::{Kernel, Minutes};

use crate::answer::{Answer, Ask, Plan};
use crate::insert::insert;
use crate::own::own_minutes;

/// What a wish or a further target adds to the least minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct More {
    /// The best known with it minus the best known without; `None` where none was found with it.
    pub minutes: Option<Minutes>,
    /// It adds at least this.
    pub at_least: Minutes,
    /// It adds at most this, if an order with it is known.
    pub at_most: Option<Minutes>,
    /// Both ends are the same.
    pub proved: bool,
}

/// Compares an answer under a wish, or with further targets, with the plan without: every order
/// of the former is one for the latter too. `None` if the answer is that there is no order.
pub fn more(with: &Answer, without: &Plan) -> Option<More> {
    match with {
        Answer::Possible(with) => {
            let best = without.minutes.min(with.minutes);
            let at_least = positive(with.bound.max(without.bound) - best);
            let at_most = with.minutes - without.bound;
            Some(More {
                minutes: Some(positive(with.minutes - without.minutes)),
                at_least,
                at_most: Some(at_most),
                proved: at_least == at_most,
            })
        }
        Answer::GaveUp { bound, .. } => Some(More {
            minutes: None,
            at_least: positive(*bound - without.minutes),
            at_most: None,
            proved: false,
        }),
        Answer::Impossible(_) => None,
    }
}

fn positive(minutes: Minutes) -> Minutes {
    minutes.max(Minutes::ZERO)
}

/// The same for further targets, which surely add what nothing else asks for; `kernel` asks for
/// them too.
pub fn more_also(kernel: &Kernel, with: &Answer, without: &Plan, strip_only: bool) -> Option<More> {
    let mut more = more(with, without)?;
    let own = own_minutes(kernel, without, strip_only);
    more.at_least = more.at_least.max(own);
    more.proved = more.at_most == Some(more.at_least);
    Some(more)
}

/// As [`plan_also`], quick enough for many candidates: searched is where the search for `base` was
/// over within these limits itself, so that one for a little more will mostly be too, and where
/// nothing could be put in.
pub fn plan_also_soon(kernel: &Kernel, base: &Plan, ask: &Ask<'_>) -> Answer {
    let is_easy = base.proved && base.nodes <= ask.nodes;
    let nodes = if is_easy { ask.nodes } else { 0 };
    match plan_also(kernel, base, &Ask { nodes, ..*ask }) {
        // Where nothing could be put in, a short search may still find it, or that there is none.
        Answer::GaveUp { .. } if nodes == 0 => crate::order(kernel, ask),
        answer => answer,
    }
}

/// Plans a kernel that asks for more than `base` was planned for, on the same machine under the
/// same wishes. Starts from `base` with what is missing put in; searches within the limits only
/// where that is not proved already. Gives no reasons where there is no order.
pub fn plan_also(kernel: &Kernel, base: &Plan, ask: &Ask<'_>) -> Answer {
    let surely = base.bound + own_minutes(kernel, base, ask.strip_only);
    let known = insert(kernel, base, ask.strip_only).map(|plan| with_bound(plan, surely));
    match &known {
        Some(known) if known.proved || ask.nodes == 0 => {
            return Answer::Possible(Box::new(known.clone()));
        }
        None if ask.nodes == 0 => return Answer::GaveUp { bound: surely, nodes: 0 },
        _ => {}
    }
    match (crate::order(kernel, ask), known) {
        (Answer::Possible(found), Some(known)) => Answer::Possible(Box::new(better(*found, known))),
        (Answer::GaveUp { bound, nodes }, Some(known)) => {
            let bound = bound.max(known.bound);
            Answer::Possible(Box::new(with_bound(Plan { nodes, ..known }, bound)))
        }
        (Answer::Possible(found), None) => {
            let bound = found.bound.max(surely);
            Answer::Possible(Box::new(with_bound(*found, bound)))
        }
        (answer, _) => answer,
    }
}

fn with_bound(plan: Plan, bound: Minutes) -> Plan {
    let bound = bound.min(plan.minutes);
    Plan { bound, proved: bound >= plan.minutes, ..plan }
}

/// The quicker of two orders for the same question, with the better bound of both.
fn better(a: Plan, b: Plan) -> Plan {
    let bound = a.bound.max(b.bound);
    let nodes = a.nodes + b.nodes;
    let mut best = if b.minutes < a.minutes { b } else { a };
    best.bound = bound.min(best.minutes);
    best.proved = best.bound >= best.minutes;
    best.nodes = nodes;
    best
}

/// How many states are looked at before the gap is looked at for the first time.
const FIRST_NODES: u64 = 1_000;

/// Plans until the order found is proved to be within so many per cent of the least, or the limits
/// of the question are reached. The search is begun again with four times the states, so that the
/// same question has the same answer everywhere.
pub fn plan_to_gap(ask: &Ask<'_>, gap: f64, search: &dyn Fn(&Ask<'_>) -> Answer) -> Answer {
    let mut nodes = FIRST_NODES;
    let mut best: Option<Plan> = None;
    loop {
        let is_last = gap <= 0.0 || nodes >= ask.nodes;
        let limit = if is_last { ask.nodes } else { nodes };
        match search(&Ask { nodes: limit, ..*ask }) {
            Answer::Possible(plan) => {
                best = Some(match best.take() {
                    Some(known) => better(known, *plan),
                    None => *plan,
                });
            }
            answer @ Answer::Impossible(_) => return answer,
            answer @ Answer::GaveUp { .. } if best.is_none() && (is_last || (ask.stop)()) => {
                return answer;
            }
            Answer::GaveUp { .. } => {}
        }
        let near = best.as_ref().is_some_and(|plan| is_within(plan, gap));
        if (near || is_last || (ask.stop)())
            && let Some(plan) = best.take()
        {
            return Answer::Possible(Box::new(plan));
        }
        nodes = nodes.saturating_mul(4);
    }
}

fn is_within(plan: &Plan, gap: f64) -> bool {
    let (minutes, bound) = (plan.minutes.as_number(), plan.bound.as_number());
    (minutes - bound) * 100.0 <= gap * minutes
}
