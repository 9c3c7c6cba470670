//! What matters besides on and off, folded from the record: what was put in, what fell, what was
//! counted before, what is to be left alone, and the facts for putting back.

use std::collections::{BTreeMap, BTreeSet};

use lastbolt_ledger::{Event, EventId, Recorded, Verb, history};

use crate::advance::Now;
use crate::case::Case;
use crate::tell::Tell;
use crate::view::{MattersView, Phase};

pub(crate) mod counted;
pub(crate) mod dropped;
pub(crate) mod inside;
pub(crate) mod leftover;
pub(crate) mod put_back;
pub(crate) mod remarks;
pub(crate) mod taps;

/// The most lines of one sort that are shown; there are more only in a damaged record.
const LINES_MAX: usize = 40;

/// A rag, cap, plug or tool that was put in and not taken out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PutIn {
    /// The id of the entry.
    pub event: String,
    /// Its number.
    pub seq: u64,
    /// What left the opening.
    pub thing: Option<String>,
    /// Where, if that was said.
    pub spot: Option<String>,
    /// What it is, in words.
    pub what: String,
    /// rag, cap, plug or tool.
    pub kind: String,
}

/// Something that fell and was not found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dropped {
    /// The id of the entry.
    pub event: String,
    /// Its number.
    pub seq: u64,
    /// What it is, if that was said.
    pub kind: Option<String>,
    /// Where it may be.
    pub spot: Option<String>,
    /// In words.
    pub note: Option<String>,
    /// Why it may stay unfound, and who said so.
    pub stays: Option<(String, Option<String>)>,
}

/// Pieces that were counted before the first bolt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Counted {
    /// The id of the entry.
    pub event: String,
    /// Its number.
    pub seq: u64,
    /// The kind, as it was said.
    pub kind: String,
    /// Where; none: anywhere.
    pub spot: Option<String>,
    /// How many.
    pub pieces: u32,
}

/// Something that is to be left alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftAlone {
    /// The number of the entry.
    pub seq: u64,
    /// The thing, if it is one.
    pub thing: Option<String>,
    /// In words.
    pub note: Option<String>,
}

/// A thing that was opened by an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opened {
    /// The number of the entry.
    pub seq: u64,
    /// The id of the entry.
    pub event: String,
    /// Who sent it.
    pub sender: String,
    /// When it was said \[ms since 1970, UTC\].
    pub said_at_ms: i64,
    /// What was opened.
    pub thing: String,
    /// Where, if that was said.
    pub spot: Option<String>,
}

/// What matters besides on and off.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Matters {
    /// What is still in, in the order in which it was put in.
    pub put_in: Vec<PutIn>,
    /// What fell and was not found, in that order.
    pub dropped: Vec<Dropped>,
    /// What was counted before, the last of each kind and place.
    pub counted: Vec<Counted>,
    /// What is to be left alone.
    pub left_alone: Vec<LeftAlone>,
    /// Facts for putting back, by thing and by their word, the last said.
    pub facts: BTreeMap<String, BTreeMap<String, String>>,
    /// Things of which there is a picture.
    pub pictured: BTreeSet<String>,
    /// What was answered to remarks, by their id.
    pub answered: BTreeMap<String, String>,
    /// Everything that was opened, in order.
    pub opened: Vec<Opened>,
    /// Things of which only some pieces were recorded at some time.
    pub partly: BTreeSet<String>,
    /// Whether anything was said about how a thing stands since the last opening.
    closed_since: bool,
}

impl Matters {
    /// Gives what fell that is meant where nobody says which: the last that is missing, else the
    /// last that may stay unfound.
    pub fn last_fallen(&self) -> Option<&Dropped> {
        let missing = self.dropped.iter().rev().find(|it| it.stays.is_none());
        missing.or_else(|| self.dropped.last())
    }

    /// Folds plain records, the withdrawn ones left out.
    pub fn of(plain: &[Recorded]) -> Self {
        let withdrawn = history(plain).filter(|entry| entry.withdrawn_by.is_some());
        let withdrawn: BTreeSet<&str> =
            withdrawn.map(|entry| entry.recorded.event.id.as_str()).collect();
        let mut all = Self::default();
        for recorded in plain {
            if !withdrawn.contains(recorded.event.id.as_str()) {
                all.take(recorded);
            }
        }
        all
    }

    /// Gives a fact about a thing that was said on the job.
    pub fn fact(&self, thing: &str, word: &str) -> Option<&str> {
        self.facts.get(thing)?.get(word).map(String::as_str)
    }

    /// Gives the number of the last record that makes a gate passed before it void: something was
    /// put in or fell.
    pub(crate) fn last_blocking(&self) -> u64 {
        let fell = self.dropped.iter().filter(|it| it.stays.is_none()).map(|it| it.seq);
        self.put_in.iter().map(|it| it.seq).chain(fell).max().unwrap_or(0)
    }

    fn take(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let of = event.of.as_ref().map(EventId::as_str);
        match &event.verb {
            Verb::PutIn => self.puts_in(recorded),
            Verb::TakenOut => self.put_in.retain(|it| Some(it.event.as_str()) != of),
            Verb::Dropped => self.drops(recorded),
            Verb::Found => self.dropped.retain(|it| Some(it.event.as_str()) != of),
            Verb::NotFound => {
                let why = (event.note.clone().unwrap_or_default(), event.person.clone());
                if let Some(it) = self.dropped.iter_mut().find(|it| Some(it.event.as_str()) == of) {
                    it.stays = Some(why);
                }
            }
            Verb::Expected => self.counts(recorded),
            Verb::LeaveAlone => self.leaves_alone(recorded),
            Verb::Fact => self.says(event),
            Verb::Photo | Verb::Pin => self.pictured.extend(event.thing.clone()),
            Verb::Answered => {
                let id = event.thing.clone().unwrap_or_default();
                self.answered.insert(id, event.note.clone().unwrap_or_default());
            }
            verb if verb.sets_standing() => self.stands(recorded),
            _ => {}
        }
    }

    fn puts_in(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let id = event.id.as_str();
        if self.put_in.iter().any(|it| it.event == id) {
            return;
        }
        let what = event.note.clone().unwrap_or_default();
        let kind = event.more.as_ref().and_then(|more| more.kind.clone());
        self.put_in.push(PutIn {
            event: id.to_owned(),
            seq: recorded.seq,
            thing: event.thing.clone(),
            spot: event.spot.clone(),
            kind: kind.unwrap_or_else(|| what.clone()),
            what,
        });
    }

    fn drops(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let id = event.id.as_str();
        if self.dropped.iter().any(|it| it.event == id) {
            return;
        }
        self.dropped.push(Dropped {
            event: id.to_owned(),
            seq: recorded.seq,
            kind: event.more.as_ref().and_then(|more| more.kind.clone()),
            spot: event.spot.clone(),
            note: event.note.clone(),
            stays: None,
        });
    }

    fn counts(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let kind = event.more.as_ref().and_then(|more| more.kind.clone());
        let (Some(kind), Some(pieces)) = (kind, event.pieces) else { return };
        let spot = event.spot.clone();
        self.counted.retain(|it| !(counted::same_kind(&it.kind, &kind) && it.spot == spot));
        let event = event.id.as_str().to_owned();
        self.counted.push(Counted { event, seq: recorded.seq, kind, spot, pieces });
    }

    fn leaves_alone(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let (thing, note) = (event.thing.clone(), event.note.clone());
        if thing.is_some() {
            self.left_alone.retain(|it| it.thing != thing);
        }
        self.left_alone.push(LeftAlone { seq: recorded.seq, thing, note });
    }

    fn says(&mut self, event: &Event) {
        let word = event.more.as_ref().and_then(|more| more.fact.clone());
        if let (Some(thing), Some(word), Some(text)) = (&event.thing, word, &event.note) {
            self.facts.entry(thing.clone()).or_default().insert(word, text.clone());
        }
    }

    fn stands(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let Some(thing) = event.thing.clone() else { return };
        if event.pieces.is_some() {
            self.partly.insert(thing.clone());
        }
        self.closed_since = !matches!(event.verb, Verb::Off | Verb::Undo);
        if !self.closed_since {
            self.opened.push(Opened {
                seq: recorded.seq,
                event: event.id.as_str().to_owned(),
                sender: event.sender.clone(),
                said_at_ms: event.said_at_ms,
                thing,
                spot: event.spot.clone(),
            });
        }
    }

    /// What the last entry opened, if that was the last that said how something stands.
    pub(crate) fn just_opened(&self) -> &[Opened] {
        let Some(last) = self.opened.last().filter(|_| !self.closed_since) else { return &[] };
        let from = self.opened.iter().rposition(|it| it.seq != last.seq).map_or(0, |at| at + 1);
        &self.opened[from..]
    }
}

/// Gives everything that matters now.
pub(crate) fn view(case: &Case, now: &Now) -> MattersView {
    let tell = Tell { case, live: &now.live, kept: &now.kept };
    let matters = &now.matters;
    let phase = now.live.phase(case);
    let mut view = MattersView {
        still_in: inside::still_in(tell, matters),
        fell: dropped::lines(matters),
        openings: if phase == Phase::Finished {
            Vec::new()
        } else {
            inside::openings(tell, matters)
        },
        counted: counted::lines(tell, matters),
        left_alone: counted::left_alone(tell, matters),
        remarks: remarks::lines(tell, matters),
    };
    for lines in [
        &mut view.still_in,
        &mut view.fell,
        &mut view.openings,
        &mut view.counted,
        &mut view.left_alone,
        &mut view.remarks,
    ] {
        lines.truncate(LINES_MAX);
    }
    view
}
