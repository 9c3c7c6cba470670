//! The things that were entered, by handfuls, with everything that was corrected later.

use std::collections::{BTreeMap, BTreeSet};

use lastbolt_ledger::{Event, More, Recorded, Stands, TookTie, Verb, history};
use lastbolt_machine::{JobSpec, Machine, Ref};

use crate::file::Was;
use crate::names::{Names, of_kind, tidy};

/// Tells a part from a fixing or connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    /// Comes off in one piece.
    Part,
    /// Holds or joins parts.
    Tie,
}

/// One thing that was entered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    /// What it is called now.
    pub name: String,
    /// Whether somebody said that name, rather than it being made up.
    pub is_named: bool,
    /// Part or fixing.
    pub sort: Sort,
    /// The kind of a fixing in the trade's word.
    pub kind: String,
    /// How many pieces.
    pub count: u32,
    /// From where it was undone.
    pub spot: Option<String>,
    /// By feel.
    pub feel: bool,
    /// Hung aside: some connections stayed made.
    pub aside: bool,
    /// It is what the job is after.
    pub is_it: bool,
    /// How it stood after the handful.
    pub stands: Stands,
    /// Facts for putting back, by their word, the last said.
    pub facts: BTreeMap<String, String>,
    /// In which of [`Notes::entries`] it was entered.
    pub entry: usize,
    /// The number of the record in which it was entered.
    pub seq: u64,
    /// It was entered by mistake, or has gone into another: it is on no list.
    pub is_gone: bool,
    /// Of which thing it was a part until it was split off, and by which record.
    pub(crate) split_from: Option<(usize, u64)>,
}

/// One handful.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The number of its record.
    pub seq: u64,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// The part, if there is one: a thing that was entered.
    pub part: Option<usize>,
    /// A part that the machine file knows, if it is one of those.
    pub known_part: Option<String>,
    /// Its fixings and connections.
    pub ties: Vec<usize>,
    /// Fixings that the machine file or an earlier entry knows.
    pub known_ties: Vec<String>,
    /// How each of those stood after it.
    pub(crate) known_stands: Vec<Stands>,
    /// From where.
    pub spot: Option<String>,
    /// Who did it, if said.
    pub person: Option<String>,
    /// Parts of the machine file that were off by then.
    pub parts_off: Vec<String>,
}

/// Everything that was entered.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Notes {
    /// The things, in the order in which they were entered.
    pub things: Vec<Thing>,
    /// The handfuls, in order.
    pub entries: Vec<Entry>,
    /// The answers that stand, by the id of the question.
    pub answers: BTreeMap<String, String>,
    /// Taking apart was said to be over.
    pub all_off: bool,
    /// Parts hung aside that were known before, each with what stayed made.
    pub(crate) aside: Vec<(String, Vec<String>)>,
    /// Names that no thing has and that were said to mean one that a file or an entry has.
    pub(crate) meant: Vec<(String, String)>,
    /// Every name that a thing of the file had, with the one of now, where any was corrected.
    pub(crate) in_file: BTreeMap<String, String>,
    /// Each name that a thing had, with the thing; a later thing of that name takes it over.
    pub(crate) called: Vec<(String, usize, u64)>,
}

impl Notes {
    /// Gives the things that are on the list, with their numbers.
    pub fn present(&self) -> impl Iterator<Item = (usize, &Thing)> {
        self.things.iter().enumerate().filter(|(_, thing)| !thing.is_gone)
    }

    /// Finds the thing that a name meant to an entry of this number: the last one called so
    /// before, else one called so since.
    pub(crate) fn find(&self, name: &str, seq: u64) -> Option<usize> {
        let named = || self.called.iter().filter(|(called, ..)| called == name);
        let before = named().filter(|(_, _, since)| *since <= seq).max_by_key(|(.., since)| *since);
        before.or_else(|| named().min_by_key(|(.., since)| *since)).map(|(_, thing, _)| *thing)
    }

    /// Gives what a thing is called now that had this name at any time.
    pub fn now_called(&self, name: &str) -> Option<String> {
        let Some(at) = self.find(name, u64::MAX) else { return self.in_file.get(name).cloned() };
        let thing = &self.things[at];
        (!thing.is_gone).then(|| thing.name.clone())
    }

    /// Gives what a thing of the file is called now; nothing where the record corrects none.
    pub fn called_in_file(&self, name: &str) -> Option<&str> {
        self.in_file.get(name).map(String::as_str)
    }

    /// Finds a thing by what it is called now.
    pub fn named(&self, name: &str) -> Option<&Thing> {
        self.things.iter().find(|thing| !thing.is_gone && thing.name == name)
    }
}

/// Gathers what was entered.
pub(crate) fn gather(base: &Machine, job: &JobSpec, records: &[Recorded], was: &Was) -> Notes {
    let mut book = Gather::new(base, job, was);
    for entry in history(records) {
        if entry.withdrawn_by.is_some() {
            book.reserve(&entry.recorded.event);
        } else {
            book.take(entry.recorded);
        }
    }
    book.notes
}

struct Gather<'a> {
    base: &'a Machine,
    was: &'a Was,
    after: Option<String>,
    names: Names,
    known: BTreeSet<&'a str>,
    /// What is open among what the file knows and what was entered, as far as entries say.
    open: BTreeSet<String>,
    notes: Notes,
}

impl<'a> Gather<'a> {
    fn new(base: &'a Machine, job: &JobSpec, was: &'a Was) -> Self {
        let mut names = Names::default();
        let parts = base.parts.iter().map(|part| part.id.name());
        let ties = base.ties.iter().map(|tie| tie.id.name());
        let known: BTreeSet<&str> = parts.chain(ties).collect();
        let preps = base.preps.iter().map(|prep| prep.id.name());
        let fixed = base.fixed.iter().map(Ref::name);
        for name in known.iter().copied().chain(preps).chain(fixed) {
            names.take(name);
        }
        for spot in &base.spots {
            names.take(&format!("{} set up", spot.id.name()));
        }
        let after = job.decided.first().map(|text| text.value.trim().to_lowercase());
        Self { base, was, after, names, known, open: BTreeSet::new(), notes: Notes::default() }
    }

    fn take(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let seq = recorded.seq;
        match &event.verb {
            Verb::Took => self.took(recorded),
            Verb::Renamed => self.renamed(event, seq),
            Verb::Split => self.split(event, seq),
            Verb::Merged => self.merged(event, seq),
            Verb::Corrected => self.corrected(event, seq),
            Verb::StruckOut => self.with(event, seq, |thing| thing.is_gone = true),
            Verb::Fact => self.fact(event, seq),
            Verb::AllOff => self.notes.all_off = true,
            Verb::Answered => {
                let id = event.thing.clone().unwrap_or_default();
                self.notes.answers.insert(id, event.note.clone().unwrap_or_default());
            }
            verb if verb.sets_standing() => self.stand(event, seq),
            Verb::Home => self.home(event, seq),
            _ => {}
        }
    }

    /// Keeps the names of a handful that was taken back, so that those of later ones do not
    /// change.
    fn reserve(&mut self, event: &Event) {
        let Some(more) = event.more.as_ref().filter(|_| event.verb == Verb::Took) else { return };
        let part = more.part.as_ref().map(|part| self.part_name(part.name.as_deref()).0);
        for tie in &more.ties {
            self.tie_name(tie, part.as_deref());
        }
    }

    fn took(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let empty = More::default();
        let more = event.more.as_ref().unwrap_or(&empty);
        let at = self.notes.entries.len();
        self.notes.entries.push(Entry {
            seq: recorded.seq,
            said_at_ms: event.said_at_ms,
            part: None,
            known_part: None,
            ties: Vec::new(),
            known_ties: Vec::new(),
            known_stands: Vec::new(),
            spot: event.spot.clone(),
            person: event.person.clone(),
            parts_off: self.file_parts_off(),
        });
        let known = more.part.as_ref().and_then(|part| part.name.as_deref()).and_then(|name| {
            let name = tidy(name);
            self.is_home(&name, recorded.seq).then_some(name)
        });
        let part = match (&more.part, known) {
            (Some(_), Some(name)) => {
                self.notes.entries[at].known_part = Some(name.clone());
                self.open.insert(name.clone());
                Some(name)
            }
            (Some(part), None) => {
                let (name, is_named) = self.part_name(part.name.as_deref());
                let is_after = self.after.as_deref() == Some(name.to_lowercase().as_str());
                let thing = Thing {
                    aside: part.aside,
                    is_it: part.is_it || is_after,
                    is_named,
                    ..self.thing(recorded, Sort::Part, name.clone(), at)
                };
                self.notes.entries[at].part = Some(self.add(thing));
                Some(name)
            }
            (None, _) => None,
        };
        for tie in &more.ties {
            self.took_tie(recorded, tie, part.as_deref(), at);
        }
        let is_aside = more.part.as_ref().is_some_and(|part| part.aside);
        if let Some(part) = self.notes.entries[at].known_part.clone().filter(|_| is_aside) {
            let stays = self.still_made(&part);
            self.notes.aside.push((part, stays));
        }
    }

    /// What joins a part and is not undone as far as entries say.
    fn still_made(&self, part: &str) -> Vec<String> {
        let joins = |tie: &&lastbolt_machine::Tie| tie.joins.iter().any(|on| on.name() == part);
        let in_file = self.base.ties.iter().filter(joins).map(|tie| tie.id.name());
        let of_part =
            |entry: &&Entry| entry.part.is_some_and(|at| self.notes.things[at].name == part);
        let entered = self.notes.entries.iter().filter(of_part).flat_map(|entry| &entry.ties);
        let entered = entered.map(|&tie| &self.notes.things[tie]).filter(|tie| !tie.is_gone);
        let all = in_file.chain(entered.map(|tie| tie.name.as_str()));
        all.filter(|name| !self.open.contains(*name)).map(str::to_owned).collect()
    }

    /// The parts of the machine file that are off.
    fn file_parts_off(&self) -> Vec<String> {
        let parts = self.base.parts.iter().map(|part| part.id.name());
        parts.filter(|name| self.open.contains(*name)).map(str::to_owned).collect()
    }

    fn took_tie(&mut self, recorded: &Recorded, tie: &TookTie, part: Option<&str>, at: usize) {
        if let Some(known) = self.known_tie(tie, part, at) {
            self.open.insert(known.clone());
            self.notes.entries[at].known_ties.push(known);
            self.notes.entries[at].known_stands.push(tie.stands);
            return;
        }
        let name = self.tie_name(tie, part);
        let thing = Thing {
            is_named: tie.name.is_some(),
            kind: tidy(&tie.kind),
            count: tie.count.unwrap_or(1),
            stands: tie.stands,
            feel: recorded.event.more.as_ref().is_some_and(|more| more.feel),
            ..self.thing(recorded, Sort::Tie, name, at)
        };
        let thing = self.add(thing);
        self.notes.entries[at].ties.push(thing);
    }

    fn thing(&self, recorded: &Recorded, sort: Sort, name: String, entry: usize) -> Thing {
        Thing {
            name,
            is_named: false,
            sort,
            kind: "part".to_owned(),
            count: 1,
            spot: recorded.event.spot.clone().or_else(|| self.last_spot()),
            feel: false,
            aside: false,
            is_it: false,
            stands: Stands::Off,
            facts: BTreeMap::new(),
            entry,
            seq: recorded.seq,
            is_gone: false,
            split_from: None,
        }
    }

    /// Where the last thing was undone: nobody says the place again for each.
    fn last_spot(&self) -> Option<String> {
        self.notes.things.iter().rev().find_map(|thing| thing.spot.clone())
    }

    fn add(&mut self, thing: Thing) -> usize {
        let at = self.notes.things.len();
        self.open.insert(thing.name.clone());
        self.notes.called.push((thing.name.clone(), at, thing.seq));
        self.notes.things.push(thing);
        at
    }

    /// Whether a part of that name is known and home, so that it came off once more.
    fn is_home(&self, name: &str, seq: u64) -> bool {
        let is_part = |part: &lastbolt_machine::Part| part.id.name() == name;
        let in_file = self.known.contains(name) && self.base.parts.iter().any(is_part);
        let entered = self.notes.find(name, seq).map(|at| &self.notes.things[at]);
        let entered = entered.is_some_and(|thing| !thing.is_gone && thing.sort == Sort::Part);
        (in_file || entered) && !self.open.contains(name)
    }

    /// A fixing that the file or an earlier handful knows and that is home: the one named, else
    /// one of that kind and count on that part.
    fn known_tie(&self, tie: &TookTie, part: Option<&str>, at: usize) -> Option<String> {
        if let Some(name) = &tie.name {
            let name = tidy(name);
            let in_file = self.base.ties.iter().any(|tie| tie.id.name() == name);
            let entered = self.notes.named(&name).is_some_and(|thing| thing.sort == Sort::Tie);
            return ((in_file || entered) && !self.open.contains(&name)).then_some(name);
        }
        let part = part?;
        let count = tie.count.unwrap_or(1);
        let is_home = |name: &str| !self.open.contains(name);
        let in_file = self.base.ties.iter().filter(|known| {
            let kind = known.kind.as_ref().map_or("fixing", Ref::name);
            let pieces = known.count.as_ref().map_or(1, |count| count.value);
            // What was said before it was corrected meant it too.
            let was = self.was.get(known.id.name());
            let before = was.is_some_and(|(kind, pieces)| *kind == tie.kind && *pieces == count);
            let is_it = before || (kind == tie.kind && pieces == count);
            is_it && known.joins.iter().any(|on| on.name() == part)
        });
        let entered = self.notes.present().map(|(_, thing)| thing).filter(|thing| {
            let on = &self.notes.entries[thing.entry];
            let same_part = on.part.is_some_and(|on| self.notes.things[on].name == part);
            thing.entry != at && same_part && thing.kind == tie.kind && thing.count == count
        });
        let mut names = in_file.map(|tie| tie.id.name()).chain(entered.map(|t| t.name.as_str()));
        names.find(|name| is_home(name)).map(str::to_owned)
    }

    fn part_name(&mut self, name: Option<&str>) -> (String, bool) {
        match name {
            Some(name) => (self.names.unique(name), true),
            None => (self.names.next("part"), false),
        }
    }

    fn tie_name(&mut self, tie: &TookTie, part: Option<&str>) -> String {
        let kind = of_kind(&tidy(&tie.kind), tie.count.unwrap_or(1));
        match (&tie.name, part) {
            (Some(name), _) => self.names.unique(name),
            (None, Some(part)) => self.names.unique(&format!("{part} {kind}")),
            (None, None) => self.names.next(&kind),
        }
    }

    fn of(&mut self, event: &Event, seq: u64) -> Option<usize> {
        self.notes.find(event.thing.as_deref()?, seq)
    }

    fn with(&mut self, event: &Event, seq: u64, change: impl FnOnce(&mut Thing)) {
        if let Some(at) = self.of(event, seq) {
            change(&mut self.notes.things[at]);
        }
    }

    fn renamed(&mut self, event: &Event, seq: u64) {
        let (Some(at), Some(name)) = (self.of(event, seq), &event.note) else { return };
        let was = self.notes.things[at].name.clone();
        let name = self.names.unique(name);
        self.call(at, name.clone(), seq);
        // Names that were made from its name go along: "part 1 nuts" are "pump nuts".
        if self.notes.things[at].sort == Sort::Part {
            let ties = self.notes.entries[self.notes.things[at].entry].ties.clone();
            for tie in ties {
                let thing = &self.notes.things[tie];
                let rest = thing.name.strip_prefix(&was).filter(|_| !thing.is_named);
                let rest = rest.map(str::to_owned);
                if let Some(rest) = rest.filter(|rest| rest.starts_with(' ')) {
                    let own = self.names.unique(&format!("{name}{rest}"));
                    self.call(tie, own, seq);
                }
            }
        }
        let thing = &mut self.notes.things[at];
        thing.is_named = true;
        if let Some(after) = &self.after
            && *after == thing.name.to_lowercase()
        {
            thing.is_it = true;
        }
    }

    /// Gives a thing another name; those it had still mean it.
    fn call(&mut self, at: usize, name: String, seq: u64) {
        let was = std::mem::replace(&mut self.notes.things[at].name, name.clone());
        if self.open.remove(&was) {
            self.open.insert(name.clone());
        }
        for old in
            self.notes.aside.iter_mut().flat_map(|(part, ties)| ties.iter_mut().chain([part]))
        {
            if *old == was {
                old.clone_from(&name);
            }
        }
        self.notes.called.push((name, at, seq));
    }

    /// Some of the pieces become a thing of their own, and always were one.
    fn split(&mut self, event: &Event, seq: u64) {
        let (Some(at), Some(pieces)) = (self.of(event, seq), event.pieces) else { return };
        let old = self.notes.things[at].clone();
        if old.sort != Sort::Tie || pieces >= old.count {
            return;
        }
        let name = match &event.note {
            Some(name) => self.names.unique(name),
            None => self.names.unique(&format!("{} apart", old.name)),
        };
        self.notes.things[at].count -= pieces;
        let is_open = self.open.contains(&old.name);
        let new = Thing {
            name: name.clone(),
            is_named: event.note.is_some(),
            count: pieces,
            split_from: Some((at, seq)),
            ..old
        };
        let entry = new.entry;
        let new = self.add(new);
        if !is_open {
            self.open.remove(&name);
        }
        // Entries name it only from now on.
        if let Some(called) = self.notes.called.last_mut() {
            called.2 = seq;
        }
        let ties = &mut self.notes.entries[entry].ties;
        let after = ties.iter().position(|&tie| tie == at).map_or(ties.len(), |place| place + 1);
        ties.insert(after, new);
    }

    /// A thing goes into another of its sort: fixings add up.
    fn merged(&mut self, event: &Event, seq: u64) {
        let named = event.more.as_ref().and_then(|more| more.into.as_deref());
        let into = named.and_then(|name| self.notes.find(name, seq));
        if let (Some(name), Some(named)) = (event.thing.as_deref(), named)
            && self.notes.find(name, seq).is_none()
            && !self.known.contains(name)
            && (into.is_some() || self.known.contains(named))
        {
            self.notes.meant.push((name.to_owned(), named.to_owned()));
        }
        let (Some(from), Some(into)) = (self.of(event, seq), into) else { return };
        let (gone, kept) = (&self.notes.things[from], &self.notes.things[into]);
        if from == into || gone.is_gone || kept.is_gone || gone.sort != kept.sort {
            return;
        }
        let more = if gone.sort == Sort::Tie { gone.count } else { 0 };
        let name = gone.name.clone();
        self.notes.things[into].count += more;
        self.notes.things[from].is_gone = true;
        self.notes.called.push((name, into, seq));
        let (from, into) = (self.notes.things[from].entry, self.notes.things[into].entry);
        // What held the part that is gone holds the one it went into.
        if gone_part(&self.notes, from) && from != into {
            let ties = std::mem::take(&mut self.notes.entries[from].ties);
            for &tie in &ties {
                self.notes.things[tie].entry = into;
            }
            self.notes.entries[into].ties.extend(ties);
        }
    }

    fn corrected(&mut self, event: &Event, seq: u64) {
        let kind = event.more.as_ref().and_then(|more| more.kind.as_deref()).map(tidy);
        let (pieces, spot) = (event.pieces, event.spot.clone());
        self.with(event, seq, |thing| {
            if let (Some(pieces), Sort::Tie) = (pieces, thing.sort) {
                thing.count = pieces;
            }
            if let (Some(kind), Sort::Tie) = (kind, thing.sort) {
                thing.kind = kind;
            }
            if spot.is_some() {
                thing.spot = spot;
            }
        });
    }

    fn fact(&mut self, event: &Event, seq: u64) {
        let fact = event.more.as_ref().and_then(|more| more.fact.clone());
        let (Some(fact), Some(text)) = (fact, event.note.clone()) else { return };
        self.with(event, seq, |thing| {
            thing.facts.insert(fact, text);
        });
    }

    fn stand(&mut self, event: &Event, seq: u64) {
        let Some(name) = event.thing.as_deref() else { return };
        let name = match self.notes.find(name, seq) {
            Some(at) => self.notes.things[at].name.clone(),
            None => name.to_owned(),
        };
        let opens = matches!(event.verb, Verb::Off | Verb::Undo | Verb::ByHand | Verb::Start);
        if opens {
            self.open.insert(name);
        } else if event.pieces.is_none() {
            self.open.remove(&name);
        }
    }

    fn home(&mut self, event: &Event, seq: u64) {
        let Some(name) = event.thing.as_deref() else { return };
        self.open.remove(name);
        let Some(at) = self.notes.find(name, seq) else { return };
        let entry = &self.notes.entries[self.notes.things[at].entry];
        for &thing in entry.ties.iter().chain([&at]) {
            self.open.remove(&self.notes.things[thing].name);
        }
    }
}

fn gone_part(notes: &Notes, entry: usize) -> bool {
    notes.entries[entry].part.is_some_and(|part| notes.things[part].is_gone)
}
