//! What must be open for a way ever to hold: one member of each clause.

use lastbolt_machine::Kind;

use crate::local::{ANYWHERE, BENCH, Local, LocalWay};
use crate::mask::Mask;

/// A way's clauses: for each, one member must be open for the way to hold.
pub(crate) type Clauses<const W: usize> = Vec<Mask<W>>;

/// What has to be open at the turn for a way ever to hold, and when it is taken.
pub(crate) fn way_clauses<const W: usize>(
    local: &Local<W>,
    thing: usize,
    way: &LocalWay<W>,
) -> Clauses<W> {
    let it = &local.things[thing];
    let mut clauses: Clauses<W> = way.needs.iter().map(|need| Mask::EMPTY.with(need)).collect();
    // What can carry the thing itself away from the machine.
    let movers = if it.kind == Kind::Prep || (way.spot != ANYWHERE && way.spot != BENCH) {
        Mask::EMPTY
    } else {
        local.movers[thing].without(thing)
    };
    for &other in &way.clear {
        let mut clause = Mask::EMPTY.with(other).or(&movers);
        // The thing itself counts as on, whatever carries what is in the way (R7).
        clause = clause.or(&local.movers[other].without(thing));
        clauses.push(clause);
    }
    if way.spot == BENCH && it.kind != Kind::Prep {
        clauses.push(movers);
        // A loose part must not hang on what may stay made (R5).
        for mover in movers.iter() {
            let others = movers.without(mover);
            let load = local.load(mover, &Mask::EMPTY);
            for stay in local.things[mover].stays.iter().filter(|&s| s != thing) {
                if local.is_inside(stay, &load) {
                    continue;
                }
                let ends = local.things[stay].ends.iter().copied().filter(|&e| e != mover);
                let riders = ends.filter(|&e| load.has(e));
                clauses.push(riders.fold(others.with(stay), Mask::with));
            }
        }
    }
    clauses
}

/// What has to be open for a part to leave its seat or take it: every tie across the boundary of
/// all that can ride on it, or the rider that the tie joins.
pub(crate) fn boundary_clauses<const W: usize>(local: &Local<W>, part: usize) -> Clauses<W> {
    let it = &local.things[part];
    if it.kind != Kind::Part {
        return Vec::new();
    }
    let load = local.load(part, &Mask::EMPTY);
    let mut clauses = Vec::new();
    for inner in load.iter() {
        for &tie in &local.things[inner].ties {
            if it.stays.has(tie) || local.is_inside(tie, &load) {
                continue;
            }
            let mut clause = Mask::EMPTY.with(tie);
            for &end in &local.things[tie].ends {
                if end != part && load.has(end) {
                    let chain = local.things[end].chain.iter().copied();
                    let below = chain.take_while(|&c| c != part);
                    clause = below.chain([end]).fold(clause, Mask::with);
                }
            }
            if !clauses.contains(&clause) {
                clauses.push(clause);
            }
        }
    }
    clauses
}
