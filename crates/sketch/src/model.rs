//! The machine that the record implies: by default the way back is the record backwards (R21).

use lastbolt_ledger::Stands;
use lastbolt_machine::model::{Back, Facts};
use lastbolt_machine::{At, Machine, Part, Ref, Sited, Spot, Tie, Way};

use crate::bits::Bits;
use crate::catalogue::{Notes, Sort, Thing};
use crate::commit::Commit;
use crate::known::{BENCH, Known};

/// What things hang on that never comes off, where no file says so.
pub(crate) const MACHINE: &str = "the machine";

/// Draws the machine on top of what a file knows.
pub(crate) fn model(notes: &Notes, known: &Known, commit: &Commit, base: &Machine) -> Machine {
    let mut machine = base.clone();
    if notes.things.is_empty() {
        hang_aside(&mut machine, notes);
        return machine;
    }
    if machine.fixed.is_empty() {
        machine.fixed.push(Ref::bare(MACHINE));
    }
    let fixed = machine.fixed[0].clone();
    let draw = Draw { notes, known, commit, fixed };
    for (at, thing) in notes.present() {
        if let Some(spot) = &thing.spot {
            add_spot(&mut machine, spot);
        }
        match thing.sort {
            Sort::Part => draw.part(&mut machine, at, thing),
            Sort::Tie => machine.ties.push(draw.tie(at, thing)),
        }
    }
    hang_aside(&mut machine, notes);
    machine
}

/// What stayed made while a known part was hung aside need not be undone for that (R8).
fn hang_aside(machine: &mut Machine, notes: &Notes) {
    for (name, stays) in &notes.aside {
        let Some(part) = machine.parts.iter_mut().find(|part| part.id.name() == name) else {
            continue;
        };
        for tie in stays {
            if !part.stays.iter().any(|old| old.name() == tie) {
                part.stays.push(Ref::bare(tie.clone()));
            }
        }
    }
}

fn add_spot(machine: &mut Machine, name: &str) {
    let is_it = |spot: &Spot| spot.id.name() == name;
    if name != BENCH && !machine.spots.iter().any(is_it) {
        machine.spots.push(Spot { id: Ref::bare(name), ..Spot::default() });
    }
}

struct Draw<'a> {
    notes: &'a Notes,
    known: &'a Known,
    commit: &'a Commit,
    fixed: Ref,
}

impl Draw<'_> {
    fn part(&self, machine: &mut Machine, at: usize, thing: &Thing) {
        let (ways, back) = self.ways(at, thing);
        let carrier = self.item(at).and_then(|item| self.commit.carriers[item]);
        let mut part = Part {
            id: Ref::bare(thing.name.clone()),
            ways: Some(ways),
            back,
            rides: carrier.map(|item| self.name(item)),
            facts: facts(thing),
            ..Part::default()
        };
        if thing.aside {
            let name = format!("{} still connected", thing.name);
            part.stays.push(Ref::bare(name.clone()));
            machine.ties.push(Tie {
                id: Ref::bare(name),
                kind: Some(Ref::bare("connection")),
                joins: vec![part.id.clone(), self.fixed.clone()],
                ..Tie::default()
            });
        }
        machine.parts.push(part);
    }

    fn tie(&self, at: usize, thing: &Thing) -> Tie {
        let (ways, back) = self.ways(at, thing);
        let item = self.item(at);
        let hidden = item.map(|item| self.names(&self.commit.hidden[item])).unwrap_or_default();
        Tie {
            id: Ref::bare(thing.name.clone()),
            joins: self.joins(at, thing, item),
            kind: Some(Ref::bare(thing.kind.clone())),
            count: Some(Sited::new(thing.count, At::default())),
            ways: Some(ways),
            back,
            hidden_by: hidden,
            facts: facts(thing),
            ..Tie::default()
        }
    }

    /// What a fixing joins: the part of its handful, else the next that came off (R21), and the
    /// machine, or what lay on the bench.
    fn joins(&self, at: usize, thing: &Thing, item: Option<usize>) -> Vec<Ref> {
        let entry = &self.notes.entries[self.notes.things[at].entry];
        let held = item.and_then(|item| self.commit.holds[item]);
        let is_bench = item.is_some_and(|item| self.known.items[item].carrier.is_some());
        let rides = |part: usize| self.known.items[part].carrier.is_some();
        let part = held.filter(|&part| rides(part) == is_bench).map(|part| self.name(part));
        let slack = || {
            let part = entry.part.filter(|&part| !self.notes.things[part].is_gone)?;
            (thing.stands == Stands::Slack).then(|| self.notes.things[part].name.clone())
        };
        let part = part.or_else(|| slack().map(Ref::bare));
        let part = part.or_else(|| entry.known_part.clone().map(Ref::bare));
        let on = match item.and_then(|item| self.commit.carriers[item]) {
            Some(carrier) => self.name(carrier),
            None => self.fixed.clone(),
        };
        part.into_iter().chain([on]).collect()
    }

    fn ways(&self, at: usize, thing: &Thing) -> (Vec<Way>, Back) {
        let item = self.item(at);
        let is_lost = thing.spot.as_deref() == Some(BENCH)
            && item.is_none_or(|item| self.known.items[item].carrier.is_none());
        let carried = item.is_some_and(|item| self.known.items[item].carrier.is_some());
        // Nobody said where it came off, but it lay at the bench.
        let is_lost = is_lost || (carried && thing.spot.as_deref() != Some(BENCH));
        let entry = &self.notes.entries[thing.entry];
        let off = entry.parts_off.iter().map(|name| Ref::bare(name.clone()));
        let off: Vec<Ref> = off.collect();
        let clear = |set: Option<&Bits>| {
            let own = set.map(|set| self.names(set)).unwrap_or_default();
            own.into_iter().chain(off.clone()).collect::<Vec<_>>()
        };
        let way = Way {
            from: thing.spot.clone().filter(|_| !is_lost).map(Ref::bare),
            clear: clear(item.map(|item| &self.commit.open[item])),
            feel: thing.feel,
            tool: thing.facts.get("tool").cloned().map(Ref::bare),
            ..Way::default()
        };
        let back = clear(item.map(|item| &self.commit.back[item]));
        let moved = item.and_then(|item| self.known.items[item].moved);
        let from = moved.map(|to| self.notes.things[self.known.items[to].thing].spot.clone());
        let same = moved.is_none()
            && back.len() == way.clear.len()
            && back.iter().all(|one| way.clear.iter().any(|other| other.name() == one.name()));
        let back = match same {
            true => Back::Unstated,
            false => {
                let from = from.map_or_else(|| way.from.clone(), |spot| spot.map(Ref::bare));
                Back::Ways(vec![Way { from, clear: back, ..way.clone() }])
            }
        };
        (vec![way], back)
    }

    fn item(&self, at: usize) -> Option<usize> {
        self.known.items.iter().position(|item| item.thing == at)
    }

    fn name(&self, item: usize) -> Ref {
        Ref::bare(self.notes.things[self.known.items[item].thing].name.clone())
    }

    fn names(&self, items: &Bits) -> Vec<Ref> {
        items.iter().map(|item| self.name(item)).collect()
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
