//! Whether all of a set can come off and go back, without a planner: one legal step at a time, the
//! build back backwards from the whole machine.

use lastbolt_machine::model::Back;
use lastbolt_machine::{
    Direction, Extra, JobSpec, Kernel, Kind, Machine, Ref, Set, ThingNo, compile,
};

/// Whether everything in the machine can be taken apart and put back.
///
/// Complete where carriers have bench ways only on what they carry; else a cautious no.
pub fn is_sound(machine: &Machine) -> bool {
    let Some(kernel) = compiled(machine) else { return false };
    let all: Set = kernel.all().collect();
    comes_apart(&kernel, &all) && goes_back(&kernel, &all)
}

/// Whether some thing goes back by other ways than it came off, and names more there.
pub fn has_back_only_need(machine: &Machine) -> bool {
    let asks_more = |ways: &Option<Vec<lastbolt_machine::Way>>, back: &Back| {
        let Back::Ways(back) = back else { return false };
        let clear = ways.iter().flatten().flat_map(|way| &way.clear);
        let known: Vec<&str> = clear.map(Ref::name).collect();
        back.iter().any(|way| way.clear.iter().any(|name| !known.contains(&name.name())))
    };
    machine.parts.iter().any(|part| asks_more(&part.ways, &part.back))
        || machine.ties.iter().any(|tie| asks_more(&tie.ways, &tie.back))
}

/// The machine in numbers, with nothing open.
pub(super) fn compiled(machine: &Machine) -> Option<Kernel> {
    compile(machine, &JobSpec::default(), &Extra::default()).ok()
}

/// Whether the set can be opened, set-ups first.
pub(super) fn comes_apart(kernel: &Kernel, set: &Set) -> bool {
    let mut open = set_ups(kernel, set);
    grow(kernel, set, &mut open, |thing, open| {
        kernel
            .ways(thing, Direction::Strip)
            .iter()
            .any(|way| kernel.open_is_allowed(thing, way, open))
    })
}

/// Whether the set can be closed again: backwards, what is hidden last.
pub(super) fn goes_back(kernel: &Kernel, set: &Set) -> bool {
    let mut open = set_ups(kernel, set);
    let none = kernel.no_things();
    grow(kernel, set, &mut open, |thing, open| {
        let it = kernel.thing(thing);
        let may_be_seen = it.hidden_by.iter().all(|&hider| open.has(hider) || !set.has(hider));
        let before = open.with(thing);
        (it.kind != Kind::Tie || may_be_seen)
            && kernel
                .ways(thing, Direction::Build)
                .iter()
                .any(|way| kernel.close_is_allowed(thing, way, &before, &none))
    })
}

fn set_ups(kernel: &Kernel, set: &Set) -> Set {
    kernel.all().filter(|&t| set.has(t) && kernel.thing(t).kind == Kind::Prep).collect()
}

fn grow(kernel: &Kernel, set: &Set, open: &mut Set, may: impl Fn(ThingNo, &Set) -> bool) -> bool {
    let mut left: Vec<ThingNo> = kernel.all().filter(|&t| set.has(t) && !open.has(t)).collect();
    loop {
        let before = left.len();
        left.retain(|&thing| {
            let opens = may(thing, open);
            if opens {
                open.add(thing);
            }
            !opens
        });
        if left.is_empty() {
            return true;
        }
        if left.len() == before {
            return false;
        }
    }
}
