//! What the drawn machine asks of the way back: every order that it allows is one that answers
//! stand for, or the record backwards where nobody has said.

use crate::bits::Bits;
use crate::known::{Item, Known};
use crate::propose::cheapest;
use crate::risk::Risk;

/// What must be kept to, item by item.
#[derive(Debug, Clone, Default)]
pub(crate) struct Commit {
    /// An order that keeps to everything here.
    pub(crate) order: Vec<usize>,
    /// For each item what must not be home yet when it goes home; what follows from the rest is
    /// left out.
    pub(crate) back: Vec<Bits>,
    /// For each item the parts that must be off when it is undone, likewise.
    pub(crate) open: Vec<Bits>,
    /// For each fixing the parts that may hide it once they are home, the first ones only.
    pub(crate) hidden: Vec<Bits>,
    /// For each fixing the part that it holds.
    pub(crate) holds: Vec<Option<usize>>,
    /// For each thing of the bench the part that it lies in there: of those that were off by then
    /// the first that goes home, since it may be any of them.
    pub(crate) carriers: Vec<Option<usize>>,
}

/// What a mistake costs, in walks, when the way back is settled.
const PRICE: f64 = 30.0;
/// The same when nothing more can be asked.
const PRICE_LAST: f64 = 120.0;

/// Works out what must be kept to.
pub(crate) fn commit(known: &Known) -> Commit {
    let count = known.len();
    let risk = Risk::of(known);
    let left = (known.len() * 3 / 2).saturating_sub(known.answers.len());
    let price = if left == 0 { PRICE_LAST } else { PRICE };
    let order = cheapest(known, &risk, start(known), price);
    let mut place = vec![0; count];
    for (at, &item) in order.iter().enumerate() {
        place[item] = at;
    }
    let holds: Vec<Option<usize>> = (0..count).map(|item| held(known, item, &place)).collect();
    let carriers = carriers(known, &place);
    let before = befores(known, &risk, &order, (&holds, &carriers));
    let back = reduced(known, &before, &order, &holds);
    let hidden = (0..count).map(|item| hiders(known, &before, carriers[item], item)).collect();
    let open = (0..count).map(|item| openers(known, &carriers, item)).collect();
    Commit { order, back, open, hidden, holds, carriers }
}

/// The place where the person stands when it all is off.
pub(crate) fn start(known: &Known) -> usize {
    known.items.last().map_or(0, |item| item.spot)
}

/// The part that a fixing holds: the one that answers leave, else that of its handful, else the
/// next that came off; if that goes on before it, and on the same carrier if on any.
fn held(known: &Known, item: usize, place: &[usize]) -> Option<usize> {
    let of = &known.items[item];
    let told = of.own.or(of.next).filter(|&part| !known.apart[item].has(part));
    let part = known.surely_held(item).or(told)?;
    (place[part] < place[item] && known.items[part].carrier == of.carrier).then_some(part)
}

/// What each thing of the bench lies in there, as far as anybody knows.
fn carriers(known: &Known, place: &[usize]) -> Vec<Option<usize>> {
    let may = |&part: &usize| known.is_part(part) && known.items[part].carrier.is_none();
    let of = |item: &Item| (0..=item.carrier?).filter(may).min_by_key(|&part| place[part]);
    known.items.iter().map(of).collect()
}

/// For each item everything that must not be home yet: what the order has later, but what is
/// known to leave it free.
fn befores(
    known: &Known,
    risk: &Risk,
    order: &[usize],
    (holds, carriers): (&[Option<usize>], &[Option<usize>]),
) -> Vec<Bits> {
    let count = known.len();
    let mut before = vec![Bits::none(count); count];
    for (at, &item) in order.iter().enumerate() {
        let of = &known.items[item];
        for &later in &order[at + 1..] {
            let is_said = known.before[item].has(later)
                || (risk.is_first(item, later) && carriers[item] != Some(later));
            let is_free = known.free[item].has(later)
                && !known.cramped[item].has(later)
                && risk.holds(later, item) == 0.0;
            // Within a handful nobody has said which fixing came first.
            // (At the bench nobody is asked either.)
            let same_handful =
                of.own.is_some() && of.own == known.items[later].own && of.carrier.is_none();
            let is_held = holds[later] == Some(item) || carriers[item] == Some(later);
            if is_said || !(is_free || same_handful || is_held) {
                before[item].add(later);
            }
        }
    }
    before
}

/// Leaves out what follows from the rest.
///
/// What lies on the bench is in nobody's way in the machine (R6): nothing follows from it there.
fn reduced(known: &Known, before: &[Bits], order: &[usize], holds: &[Option<usize>]) -> Vec<Bits> {
    let count = before.len();
    // Everything that comes after an item, by any chain.
    let mut after = vec![Bits::none(count); count];
    for &item in order.iter().rev() {
        let mut all = before[item].clone();
        all.join(&Bits::of(count, (0..count).filter(|&tie| holds[tie] == Some(item))));
        let is_here = |&next: &usize| known.items[next].carrier == known.items[item].carrier;
        for next in all.clone().iter().filter(is_here) {
            let more = after[next].clone();
            all.join(&more);
        }
        after[item] = all;
    }
    let keep = |item: usize| {
        let mut kept = before[item].clone();
        for other in before[item].iter() {
            let is_here = |&by: &usize| known.items[by].carrier == known.items[item].carrier;
            let implied =
                before[item].iter().filter(is_here).any(|by| by != other && after[by].has(other));
            if implied {
                kept.remove(other);
            }
        }
        kept
    };
    (0..count).map(keep).collect()
}

/// The parts that may hide a fixing: those that go on after it and of which nobody has said that
/// it can be seen; of these the ones that are not behind another of them.
///
/// What was made in a part on the bench is looked at before that part goes home, unless somebody
/// said that it is seen there.
fn hiders(known: &Known, before: &[Bits], carrier: Option<usize>, item: usize) -> Bits {
    let count = known.len();
    if known.is_part(item) {
        return Bits::none(count);
    }
    let all = before[item].iter().filter(|&y| known.is_part(y) && !known.seen[item].has(y));
    let all = Bits::of(count, all);
    let first = |&part: &usize| !all.iter().any(|other| other != part && before[other].has(part));
    let carrier = carrier.filter(|&part| !known.seen[item].has(part));
    Bits::of(count, all.iter().filter(first).chain(carrier))
}

/// The parts that came off before a thing and of which nobody has said that it can be reached
/// with them on; the last ones only, since they need the others off.
fn openers(known: &Known, carriers: &[Option<usize>], item: usize) -> Bits {
    let count = known.len();
    let needs = |x: usize| {
        let earlier = (0..x).filter(move |&y| known.is_part(y) && !known.free[x].has(y));
        earlier.filter(move |&y| carriers[x] != Some(y))
    };
    let all = Bits::of(count, needs(item));
    let first =
        |&part: &usize| !all.iter().any(|by| by != part && Bits::of(count, needs(by)).has(part));
    Bits::of(count, all.iter().filter(first))
}
