//! What a file knows, with what the record corrects of it: names, counts and kinds. The file itself
//! stays as it is.

use std::collections::BTreeMap;

use lastbolt_ledger::{Event, Recorded, Verb, history};
use lastbolt_machine::model::Back;
use lastbolt_machine::{At, JobSpec, Machine, Ref, Sited, Way};

use crate::catalogue::Notes;
use crate::names::{Names, tidy};

/// The kind and the count that a fixing has in the file.
pub(crate) type Was = BTreeMap<String, (String, u32)>;

/// A file with its corrections.
#[derive(Debug, Clone, Default)]
pub(crate) struct Corrected {
    pub(crate) machine: Machine,
    pub(crate) job: JobSpec,
    /// The record with the names that things of the file have now.
    pub(crate) records: Vec<Recorded>,
    /// Kind and count that a corrected fixing had, by its name of now.
    pub(crate) was: Was,
    /// Every name that a thing of the file had, with the one of now.
    pub(crate) names: BTreeMap<String, String>,
}

/// Gives the file as it is corrected by the record; nothing where nothing of it is. `entered` are
/// the things that no file knows: their names are taken.
pub(crate) fn corrected(
    base: &Machine,
    job: &JobSpec,
    records: &[Recorded],
    entered: impl FnOnce() -> Notes,
) -> Option<Corrected> {
    let corrects = |event: &Event| matches!(event.verb, Verb::Renamed | Verb::Corrected);
    if !records.iter().any(|recorded| corrects(&recorded.event)) {
        return None;
    }
    let parts = base.parts.iter().map(|part| part.id.name());
    let ids: Vec<&str> = parts.chain(base.ties.iter().map(|tie| tie.id.name())).collect();
    let names = ids.iter().map(|id| ((*id).to_owned(), (*id).to_owned())).collect();
    let mut file =
        Corrected { machine: base.clone(), job: job.clone(), names, ..Corrected::default() };
    let mut taken = Names::default();
    let preps = base.preps.iter().map(|prep| prep.id.name());
    for name in ids.iter().copied().chain(preps).chain(base.fixed.iter().map(Ref::name)) {
        taken.take(name);
    }
    base.spots.iter().for_each(|spot| taken.take(&format!("{} set up", spot.id.name())));
    entered().called.iter().for_each(|(name, ..)| taken.take(name));
    let mut any = false;
    for entry in history(records).filter(|entry| entry.withdrawn_by.is_none()) {
        let event = &entry.recorded.event;
        let now = event.thing.as_ref().and_then(|name| file.names.get(name)).cloned();
        if let Some(now) = now.filter(|_| corrects(event)) {
            any |= file.correct(event, &now, &mut taken);
        }
    }
    any.then(|| {
        file.records = records.iter().map(|recorded| file.in_names_of_now(recorded)).collect();
        file
    })
}

impl Corrected {
    fn correct(&mut self, event: &Event, now: &str, taken: &mut Names) -> bool {
        match (&event.verb, &event.note) {
            (Verb::Renamed, Some(name)) => self.rename(now, name, taken),
            (Verb::Corrected, _) => self.count(event, now),
            _ => false,
        }
    }

    fn rename(&mut self, now: &str, name: &str, taken: &mut Names) -> bool {
        let name = tidy(name);
        // It may get back a name that it had.
        let own = self.names.get(&name).is_some_and(|of| of == now);
        let name = if own { name } else { taken.unique(&name) };
        if name == now {
            return false;
        }
        let mut call = |one: &mut Ref| {
            if one.name() == now {
                one.value.clone_from(&name);
            }
        };
        refs(&mut self.machine, &mut call);
        job_refs(&mut self.job, &mut call);
        self.names.values_mut().filter(|of| *of == now).for_each(|of| of.clone_from(&name));
        self.names.insert(name.clone(), name.clone());
        if let Some(was) = self.was.remove(now) {
            self.was.insert(name, was);
        }
        true
    }

    fn count(&mut self, event: &Event, now: &str) -> bool {
        let Some(tie) = self.machine.ties.iter_mut().find(|tie| tie.id.name() == now) else {
            return false;
        };
        let kind = tie.kind.as_ref().map_or("fixing", Ref::name).to_owned();
        let count = tie.count.as_ref().map_or(1, |count| count.value);
        self.was.entry(now.to_owned()).or_insert((kind, count));
        let said = event.more.as_ref().and_then(|more| more.kind.as_deref()).map(tidy);
        if let Some(kind) = &said {
            let at = tie.kind.as_ref().map_or(At::default(), |old| old.at);
            tie.kind = Some(Sited::new(kind.clone(), at));
        }
        if let Some(pieces) = event.pieces {
            let at = tie.count.as_ref().map_or(At::default(), |old| old.at);
            tie.count = Some(Sited::new(pieces, at));
        }
        said.is_some() || event.pieces.is_some()
    }

    fn in_names_of_now(&self, recorded: &Recorded) -> Recorded {
        let mut recorded = recorded.clone();
        let event = &mut recorded.event;
        if matches!(event.verb, Verb::Answered | Verb::Gate) {
            return recorded;
        }
        let call = |name: &mut Option<String>| {
            if let Some(now) = name.as_ref().and_then(|name| self.names.get(&tidy(name))) {
                *name = Some(now.clone());
            }
        };
        call(&mut event.thing);
        if let Some(more) = &mut event.more {
            call(&mut more.into);
            more.part.iter_mut().for_each(|part| call(&mut part.name));
            more.ties.iter_mut().for_each(|tie| call(&mut tie.name));
        }
        recorded
    }
}

/// Goes through everything that names a part or a fixing.
pub fn refs(machine: &mut Machine, call: &mut impl FnMut(&mut Ref)) {
    machine.together.iter_mut().flat_map(|group| &mut group.value).for_each(&mut *call);
    for spot in &mut machine.spots {
        spot.needs.iter_mut().chain(&mut spot.not_with).for_each(&mut *call);
    }
    for prep in &mut machine.preps {
        prep.needs.iter_mut().for_each(&mut *call);
        ways(&mut prep.ways, &mut prep.back, call);
    }
    for part in &mut machine.parts {
        let own = [&mut part.id].into_iter().chain(&mut part.rides).chain(&mut part.after);
        own.chain(&mut part.stays).chain(&mut part.needs).for_each(&mut *call);
        ways(&mut part.ways, &mut part.back, call);
    }
    for tie in &mut machine.ties {
        let own = [&mut tie.id].into_iter().chain(&mut tie.joins);
        own.chain(&mut tie.needs).chain(&mut tie.hidden_by).for_each(&mut *call);
        ways(&mut tie.ways, &mut tie.back, call);
    }
    if let Some(job) = &mut machine.job {
        job_refs(job, call);
    }
}

fn ways(ways: &mut Option<Vec<Way>>, back: &mut Back, call: &mut impl FnMut(&mut Ref)) {
    let back = match back {
        Back::Ways(back) => Some(back),
        _ => None,
    };
    for way in ways.iter_mut().flatten().chain(back.into_iter().flatten()) {
        way.clear.iter_mut().chain(&mut way.needs).for_each(&mut *call);
    }
}

/// Goes through everything that is asked for.
fn job_refs(job: &mut JobSpec, call: &mut impl FnMut(&mut Ref)) {
    let asked = job.renew.iter_mut().chain(&mut job.off).chain(&mut job.bring);
    let open = job.comes_fitted.iter_mut().chain(&mut job.already).chain(&mut job.leave_off);
    let other = job.leave_alone.iter_mut().chain(&mut job.consider);
    asked.chain(open).chain(other).for_each(call);
}
