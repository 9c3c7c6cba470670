//! The machine that the record implies: by default the way back is the record backwards (R21).

use lastbolt_machine::model::Facts;
use lastbolt_machine::{At, JobSpec, Machine, Part, Ref, Sited, Spot, Tie, Way};

use crate::catalogue::{Notes, Sort, Thing};

/// What things hang on that never comes off, where no file says so.
pub(crate) const MACHINE: &str = "the machine";

/// Draws the machine on top of what a file knows.
pub(crate) fn model(notes: &Notes, base: &Machine, job: &JobSpec) -> (Machine, JobSpec) {
    let mut machine = base.clone();
    if notes.things.is_empty() {
        return (machine, job.clone());
    }
    if machine.fixed.is_empty() {
        machine.fixed.push(Ref::bare(MACHINE));
    }
    let fixed = machine.fixed[0].name().to_owned();
    for (at, thing) in notes.present() {
        if let Some(spot) = &thing.spot {
            add_spot(&mut machine, spot);
        }
        match thing.sort {
            Sort::Part => add_part(&mut machine, notes, at, thing, &fixed),
            Sort::Tie => add_tie(&mut machine, notes, at, thing, &fixed),
        }
    }
    (machine, job.clone())
}

fn add_spot(machine: &mut Machine, name: &str) {
    let is_it = |spot: &Spot| spot.id.name() == name;
    if name != "bench" && !machine.spots.iter().any(is_it) {
        machine.spots.push(Spot { id: Ref::bare(name), ..Spot::default() });
    }
}

fn add_part(machine: &mut Machine, notes: &Notes, at: usize, thing: &Thing, fixed: &str) {
    let mut part = Part {
        id: Ref::bare(thing.name.clone()),
        ways: Some(vec![way(notes, at, thing)]),
        facts: facts(thing),
        ..Part::default()
    };
    if thing.aside {
        let name = format!("{} still connected", thing.name);
        part.stays.push(Ref::bare(name.clone()));
        machine.ties.push(Tie {
            id: Ref::bare(name),
            kind: Some(Ref::bare("connection")),
            joins: vec![part.id.clone(), Ref::bare(fixed)],
            ..Tie::default()
        });
    }
    machine.parts.push(part);
}

fn add_tie(machine: &mut Machine, notes: &Notes, at: usize, thing: &Thing, fixed: &str) {
    let part = held_part(notes, at);
    let joins = part.into_iter().chain([fixed.to_owned()]).map(Ref::bare).collect();
    machine.ties.push(Tie {
        id: Ref::bare(thing.name.clone()),
        joins,
        kind: Some(Ref::bare(thing.kind.clone())),
        count: Some(Sited::new(thing.count, At::default())),
        ways: Some(vec![way(notes, at, thing)]),
        hidden_by: earlier_parts(notes, thing).map(Ref::bare).collect(),
        facts: facts(thing),
        ..Tie::default()
    });
}

/// The part of its handful, else the next part that came off (R21).
fn held_part(notes: &Notes, at: usize) -> Option<String> {
    let entry = notes.things[at].entry;
    notes.entries[entry..].iter().find_map(|entry| {
        let entered = entry.part.filter(|&part| !notes.things[part].is_gone);
        entered.map(|part| notes.things[part].name.clone()).or_else(|| entry.known_part.clone())
    })
}

/// Every part recorded off earlier (R21).
fn earlier_parts<'a>(notes: &'a Notes, thing: &Thing) -> impl Iterator<Item = String> + 'a {
    let (entry, seq) = (thing.entry, thing.seq);
    notes.present().filter_map(move |(_, other)| {
        let earlier = other.entry < entry && other.seq < seq && other.sort == Sort::Part;
        earlier.then(|| other.name.clone())
    })
}

fn way(notes: &Notes, at: usize, thing: &Thing) -> Way {
    debug_assert!(at < notes.things.len(), "BUG: a thing of these notes");
    Way {
        from: thing.spot.clone().map(Ref::bare),
        clear: earlier_parts(notes, thing).map(Ref::bare).collect(),
        feel: thing.feel,
        tool: thing.facts.get("tool").cloned().map(Ref::bare),
        ..Way::default()
    }
}

fn facts(thing: &Thing) -> Facts {
    let said = |word: &str| thing.facts.get(word).cloned();
    let sits = [said("sits"), said("direction"), said("length"), said("new_or_old")];
    let sits: Vec<String> = sits.into_iter().flatten().collect();
    Facts {
        sits: (!sits.is_empty()).then(|| Ref::bare(sits.join(", "))),
        wetted: said("wetted").map(Ref::bare),
        mark: said("mark").map(Ref::bare),
        label: said("label").or_else(|| said("bag")).map(Ref::bare),
        note: said("size").map(Ref::bare),
        ..Facts::default()
    }
}
