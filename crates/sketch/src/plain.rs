//! Each entry in plain words: one record a thing, under the names that the things have now.

use lastbolt_ledger::{Event, Recorded, Stands, Verb, history};
use lastbolt_machine::Machine;

use crate::catalogue::{Notes, Sort};

/// Unfolds a record. Withdrawn entries stay, so that take-backs find them; they have no effect.
pub(crate) fn unfold(notes: &Notes, base: &Machine, records: &[Recorded]) -> Vec<Recorded> {
    let mut unfold = Unfold { notes, base, plain: Vec::new(), open: Vec::new() };
    for entry in history(records) {
        unfold.take(entry.recorded, entry.withdrawn_by.is_none());
    }
    unfold.plain
}

struct Unfold<'a> {
    notes: &'a Notes,
    base: &'a Machine,
    plain: Vec<Recorded>,
    /// Names that are open as far as the entries say.
    open: Vec<String>,
}

impl Unfold<'_> {
    fn take(&mut self, recorded: &Recorded, stands: bool) {
        let event = &recorded.event;
        match &event.verb {
            Verb::Took if stands => self.took(recorded),
            Verb::Home if stands => self.home(recorded),
            _ => {
                let Some(name) = event.thing.as_deref() else {
                    self.plain.push(recorded.clone());
                    return;
                };
                if matches!(event.verb, Verb::Answered | Verb::Gate) {
                    self.plain.push(recorded.clone());
                    return;
                }
                let names = self.names_now(name, recorded.seq);
                if names.is_empty() {
                    // About nothing that is on a list any more; it was said all the same.
                    self.push(recorded, Event { thing: None, ..event.clone() });
                }
                for name in names {
                    let event = Event { thing: Some(name), ..event.clone() };
                    self.push(recorded, event);
                }
            }
        }
    }

    /// What a name in an entry of this number means now: nothing if it was struck out, and what
    /// was split off since as well.
    fn names_now(&self, name: &str, seq: u64) -> Vec<String> {
        let Some(at) = self.notes.find(name, seq) else {
            let meant = self.notes.meant.iter().rev().find(|(said, _)| said == name);
            let Some((_, meant)) = meant else { return vec![name.to_owned()] };
            let is_entered = self.notes.find(meant, seq).is_some();
            return if is_entered { self.names_now(meant, seq) } else { vec![meant.clone()] };
        };
        let mut all = Vec::new();
        let thing = &self.notes.things[at];
        if !thing.is_gone {
            all.push(thing.name.clone());
        }
        for (_, other) in self.notes.present() {
            if other.split_from.is_some_and(|(from, since)| from == at && since > seq) {
                all.push(other.name.clone());
            }
        }
        all
    }

    fn took(&mut self, recorded: &Recorded) {
        let Some(entry) = self.notes.entries.iter().find(|e| e.seq == recorded.seq) else { return };
        let before = self.plain.len();
        for (name, stands) in entry.known_ties.iter().zip(&entry.known_stands) {
            self.undone(recorded, name, *stands);
        }
        let things = self.notes.things.iter();
        let own = things.filter(|thing| thing.seq == recorded.seq && !thing.is_gone);
        let own: Vec<_> = own.cloned().collect();
        for tie in own.iter().filter(|thing| thing.sort == Sort::Tie) {
            self.undone(recorded, &tie.name, tie.stands);
        }
        let known = entry.known_part.iter().flat_map(|name| self.names_now(name, recorded.seq));
        let known: Vec<String> = known.collect();
        let own = own.iter().filter(|thing| thing.sort == Sort::Part);
        for name in own.map(|part| part.name.clone()).chain(known) {
            self.say(recorded, Verb::Off, name);
        }
        if self.plain.len() == before {
            // All of it was struck out; the entry still counts for take-backs and what was seen.
            self.push(recorded, Event { thing: None, ..recorded.event.clone() });
        }
    }

    fn undone(&mut self, recorded: &Recorded, name: &str, stands: Stands) {
        let verb = match stands {
            Stands::Off => Verb::Undo,
            Stands::Slack => Verb::Slack,
            Stands::ByHand => Verb::ByHand,
        };
        for name in self.names_now(name, recorded.seq) {
            self.say(recorded, verb.clone(), name);
        }
    }

    /// The part, then everything open that holds it.
    fn home(&mut self, recorded: &Recorded) {
        let Some(name) = recorded.event.thing.as_deref() else { return };
        let parts = self.names_now(name, recorded.seq);
        for part in &parts {
            self.say(recorded, Verb::On, part.clone());
        }
        for part in &parts {
            for tie in self.ties_of(part) {
                if self.open.contains(&tie) {
                    self.say(recorded, Verb::Make, tie);
                }
            }
        }
    }

    fn ties_of(&self, part: &str) -> Vec<String> {
        let in_file =
            self.base.ties.iter().filter(|tie| tie.joins.iter().any(|j| j.name() == part));
        let mut all: Vec<String> = in_file.map(|tie| tie.id.name().to_owned()).collect();
        let of_part = |entry: &&crate::catalogue::Entry| {
            let entered = entry.part.is_some_and(|at| self.notes.things[at].name == part);
            entered || entry.known_part.as_deref() == Some(part)
        };
        for entry in self.notes.entries.iter().filter(of_part) {
            let own = entry.ties.iter().map(|&tie| &self.notes.things[tie]);
            all.extend(own.filter(|tie| !tie.is_gone).map(|tie| tie.name.clone()));
        }
        all.dedup();
        all
    }

    fn say(&mut self, recorded: &Recorded, verb: Verb, name: String) {
        let event =
            Event { verb, thing: Some(name), more: None, note: None, ..recorded.event.clone() };
        self.push(recorded, event);
    }

    fn push(&mut self, recorded: &Recorded, event: Event) {
        if let Some(name) = &event.thing {
            match event.verb {
                Verb::Off | Verb::Undo | Verb::ByHand | Verb::Start | Verb::Slack => {
                    self.open.push(name.clone());
                }
                Verb::On | Verb::Make | Verb::Tighten if event.pieces.is_none() => {
                    self.open.retain(|open| open != name);
                }
                _ => {}
            }
        }
        self.plain.push(Recorded { event, ..recorded.clone() });
    }
}
