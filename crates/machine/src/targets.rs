//! What has to be open at the turn (R2), what is open at the start (R17, R18), what stays off.

use crate::at::Ref;
use crate::compile::{CompileError, Extra};
use crate::kernel::{End, Kernel, Kind, ThingNo};
use crate::model::JobSpec;
use crate::problem::Problem;
use crate::set::Set;

/// Fills in targets, open things and left-off things of a kernel.
pub(crate) fn set(kernel: &mut Kernel, job: &JobSpec, extra: &Extra) -> Result<(), CompileError> {
    let mut problems = Vec::new();
    let fitted = named(kernel, &job.comes_fitted, &mut problems);
    let mut targets = kernel.no_things();
    for thing in named(kernel, &job.renew, &mut problems).iter() {
        targets.extend(renewed(kernel, thing, &fitted).iter());
    }
    targets.extend(named(kernel, &job.off, &mut problems).iter());
    targets.extend(named(kernel, &job.bring, &mut problems).iter());
    let also: Vec<Ref> = extra.also.iter().map(Ref::bare).collect();
    targets.extend(named(kernel, &also, &mut problems).iter());
    let mut open = named(kernel, &job.already, &mut problems);
    complete_open(kernel, &mut open);
    kernel.leave_off = named(kernel, &job.leave_off, &mut problems);
    kernel.open_at_start = open;
    kernel.targets = targets;
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}

fn named(kernel: &Kernel, names: &[Ref], problems: &mut Vec<Problem>) -> Set {
    let mut set = kernel.no_things();
    for name in names {
        match kernel.find(name.name()) {
            Some(thing) => {
                set.add(thing);
            }
            None => problems.push(Problem::error(
                name.at,
                "unknown-name",
                format!("\"{}\" is not a part, fixing or condition of this machine.", name.name()),
                "Correct the name, or write it in the machine file.",
            )),
        }
    }
    set
}

/// All that renewing a thing asks to be open (R2).
pub(crate) fn renewed(kernel: &Kernel, thing: ThingNo, fitted: &Set) -> Set {
    let mut targets = kernel.no_things();
    targets.add(thing);
    if kernel.thing(thing).kind != Kind::Part {
        return targets;
    }
    // The new part as it comes: itself and the riders that come fitted, again and again.
    let mut new_part = kernel.no_things();
    new_part.add(thing);
    let mut todo = vec![thing];
    while let Some(part) = todo.pop() {
        for &rider in &kernel.thing(part).riders {
            if fitted.has(rider) {
                new_part.add(rider);
                todo.push(rider);
            } else {
                targets.add(rider);
            }
        }
    }
    let comes_fitted = new_part.len() > 1;
    for part in new_part.iter() {
        for &tie in &kernel.thing(part).ties {
            if !(comes_fitted && kernel.is_inside(tie, &new_part)) {
                targets.add(tie);
            }
        }
    }
    targets
}

/// Adds what is open because of what is open: the ties across the boundary of a part that is off
/// (R17), and made ties whose ends lie apart (R18). Says so in the notes.
fn complete_open(kernel: &mut Kernel, open: &mut Set) {
    let mut notes = Vec::new();
    let parts: Vec<ThingNo> = open.iter().filter(|&t| kernel.thing(t).kind == Kind::Part).collect();
    for part in parts {
        for tie in kernel.holding(part, open) {
            open.add(tie);
            let (name, off) = (kernel.name(tie), kernel.name(part));
            notes.push(Problem::note(
                kernel.thing(tie).at,
                "taken-as-undone",
                format!("\"{name}\" is taken as undone, because \"{off}\" is off already."),
                "",
            ));
        }
    }
    for tie in kernel.all() {
        let it = kernel.thing(tie);
        let joins_a_part = it.joins.iter().any(|end| matches!(end, End::Part(_)));
        if it.kind == Kind::Tie
            && joins_a_part
            && !open.has(tie)
            && kernel.place(tie, open).is_none()
        {
            open.add(tie);
            notes.push(Problem::note(
                it.at,
                "taken-as-undone",
                format!("\"{}\" is taken as undone, because what it joins lies apart.", it.name),
                "",
            ));
        }
    }
    kernel.notes.extend(notes);
}
