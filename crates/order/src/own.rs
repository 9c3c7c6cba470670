//! What a further target surely adds: the minutes of what could be left out of any order with it,
//! and the rest would still be an order without it.
//!
//! Nothing else ever asks for such things: no manner of working names them, they hold, carry and
//! hide nothing that is not one of them, and bear no weight. Leaving out their steps leaves every
//! other step as legal as it was, and where changes obey the triangle no change gets dearer. So
//! the least with them is at least the least without them and their own cheapest minutes.

use lastbolt_machine::{End, Kernel, KernelWay, Kind, Minutes, Set, ThingNo};

use crate::answer::Plan;
use crate::local::{is_metric, relevant};

/// Gives the minutes that a kernel's targets surely add to the least for the targets of `base`,
/// which was planned for fewer of them on the same machine under the same wishes.
pub(crate) fn own_minutes(kernel: &Kernel, base: &Plan, strip_only: bool) -> Minutes {
    if !is_metric(kernel) {
        return Minutes::ZERO;
    }
    let relevant = relevant(kernel, true);
    let loose = |&thing: &ThingNo| {
        kernel.thing(thing).open_minutes.is_some() && !says_where_and_with_what(kernel, thing)
    };
    if relevant.iter().any(loose) {
        // Without a step before it, a change may come after the sealant is laid (R24).
        return Minutes::ZERO;
    }
    // Whatever the base leaves as it is was not asked for there.
    let mut own = kernel.targets.minus(&base.off).minus(&kernel.leave_off);
    loop {
        let Some(thing) = own.iter().find(|&thing| !is_nobodys(kernel, thing, &own)) else { break };
        own.remove(thing);
    }
    own.iter().map(|thing| cheapest(kernel, thing, strip_only)).sum()
}

/// Whether every step that puts a thing back is done from one place with one tool.
fn says_where_and_with_what(kernel: &Kernel, thing: ThingNo) -> bool {
    kernel.thing(thing).back.iter().all(|way| way.spot.is_some() && way.tool.is_some())
}

/// Whether nothing but what is in `own` can ever ask for a thing.
fn is_nobodys(kernel: &Kernel, thing: ThingNo, own: &Set) -> bool {
    let it = kernel.thing(thing);
    if it.bears || it.open_minutes.is_some() {
        return false;
    }
    let mut others = kernel.all().filter(|&other| !own.has(other));
    let stands_free = match it.kind {
        Kind::Prep => true,
        Kind::Tie => {
            let mut seats = it.joins.iter().map(|end| seat(kernel, *end, own));
            let first = seats.next();
            seats.all(|seat| Some(seat) == first)
        }
        Kind::Part => it.ties.iter().chain(&it.riders).all(|&on_it| own.has(on_it)),
    };
    stands_free && !others.any(|other| names(kernel, other, thing))
}

/// What an end of a fixing sits on as long as nothing in `own` comes off; `None` = the machine.
fn seat(kernel: &Kernel, end: End, own: &Set) -> Option<ThingNo> {
    let End::Part(mut at) = end else { return None };
    while own.has(at) {
        at = kernel.thing(at).rides?;
    }
    Some(at)
}

/// Whether a thing says anything about another, in any of its manners of coming off or going back.
fn names(kernel: &Kernel, thing: ThingNo, other: ThingNo) -> bool {
    let it = kernel.thing(thing);
    let by_ways =
        it.all_ways().flat_map(|way| way.clear.iter().chain(&way.needs).chain(&way.spot_needs));
    it.needs.iter().chain(&it.hidden_by).chain(by_ways).any(|&named| named == other)
}

/// The fewest minutes of opening a thing and, where that is asked, of closing it.
fn cheapest(kernel: &Kernel, thing: ThingNo, strip_only: bool) -> Minutes {
    let it = kernel.thing(thing);
    let least =
        |ways: &[KernelWay]| ways.iter().map(|way| way.minutes).min().unwrap_or(Minutes::ZERO);
    let back = if strip_only || it.by_itself { Minutes::ZERO } else { least(&it.back) };
    least(&it.ways) + back
}
