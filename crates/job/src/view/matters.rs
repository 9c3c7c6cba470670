//! What matters besides on and off: what was put in, what fell, what was counted before, what is
//! to be left alone, and what in the record does not look right.

use lastbolt_ledger::{Event, More, Verb};

use crate::view::{Tag, ThingRef};

/// What a tap records: an entry but for its id, sender, counts and time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// What happened.
    pub verb: Verb,
    /// The thing that it is about, if it is about one.
    pub thing: Option<String>,
    /// Where, if that is said.
    pub spot: Option<String>,
    /// In words.
    pub note: Option<String>,
    /// How many pieces.
    pub pieces: Option<u32>,
    /// The id of the earlier entry that it is about.
    pub of: Option<String>,
    /// What it carries besides.
    pub more: Option<More>,
}

impl Said {
    /// Makes one that says nothing but the verb.
    pub fn new(verb: Verb) -> Self {
        Self { verb, thing: None, spot: None, note: None, pieces: None, of: None, more: None }
    }

    /// Puts what it says into an event; an id that cannot be one is left out.
    pub fn fill(&self, event: &mut Event) {
        event.verb = self.verb.clone();
        event.thing.clone_from(&self.thing);
        event.spot.clone_from(&self.spot);
        event.note.clone_from(&self.note);
        event.pieces = self.pieces;
        event.of = self.of.as_deref().and_then(|of| lastbolt_ledger::EventId::new(of).ok());
        event.more.clone_from(&self.more);
    }
}

/// A button that says more than a verb and a thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tap {
    /// Its words: "Rag out", "Found".
    pub text: String,
    /// What it records.
    pub said: Said,
    /// What has to be said in words with it, where a tap alone is not enough: the question.
    pub asks: Option<String>,
    /// The one that settles it; others are other outcomes.
    pub main: bool,
}

/// What sort of matter it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MatterKind {
    /// A rag, cap, plug or tool that is still in.
    StillIn,
    /// Something fell and was not found.
    Fell,
    /// Something fell and stays unfound; somebody said why it may.
    Unfound,
    /// Something came off and left an opening.
    Opening,
    /// Another number was recorded than was counted before.
    Counted,
    /// Something to be left alone.
    LeftAlone,
    /// Perhaps entered twice.
    Twice,
    /// Nothing that holds it was recorded.
    NothingHeld,
    /// The recorded name is no thing of the machine.
    NoSuchThing,
}

impl MatterKind {
    /// Gives the word for data: `still_in`, `fell`, `unfound`, `opening`, `counted`, `left_alone`,
    /// `twice`, `nothing_held`, `no_such_thing`.
    pub fn word(self) -> &'static str {
        match self {
            Self::StillIn => "still_in",
            Self::Fell => "fell",
            Self::Unfound => "unfound",
            Self::Opening => "opening",
            Self::Counted => "counted",
            Self::LeftAlone => "left_alone",
            Self::Twice => "twice",
            Self::NothingHeld => "nothing_held",
            Self::NoSuchThing => "no_such_thing",
        }
    }
}

/// One matter, with what settles it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MatterLine {
    /// What sort.
    pub kind: MatterKind,
    /// The sentence.
    pub text: String,
    /// The things that it is about.
    pub things: Vec<ThingRef>,
    /// What settles it.
    pub taps: Vec<Tap>,
    /// A gate stays shut until it is settled.
    pub blocks: bool,
    /// The number of the record that brought it about, if one did.
    pub seq: Option<u64>,
}

/// Everything that matters besides on and off.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MattersView {
    /// What is still in: rags, caps, plugs, tools.
    pub still_in: Vec<MatterLine>,
    /// What fell: not found, or said to stay unfound.
    pub fell: Vec<MatterLine>,
    /// What the last entry left open, with what can be put in at once.
    pub openings: Vec<MatterLine>,
    /// Where another number was recorded than was counted before.
    pub counted: Vec<MatterLine>,
    /// What is to be left alone.
    pub left_alone: Vec<MatterLine>,
    /// What in the record does not look right.
    pub remarks: Vec<MatterLine>,
}

impl MattersView {
    /// Gives what keeps a gate shut.
    pub fn blocking(&self) -> impl Iterator<Item = &MatterLine> {
        self.still_in.iter().chain(&self.fell).filter(|line| line.blocks)
    }

    /// Gives what stands open until somebody settles it, a gate or not.
    pub fn to_settle(&self) -> impl Iterator<Item = &MatterLine> {
        self.counted.iter().chain(&self.remarks)
    }
}

/// Where a leftover may belong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftoverLine {
    /// The fixing.
    pub thing: String,
    /// "starter screws (2 screws), bag 7".
    pub text: String,
    /// Which bag it came from, if that was said.
    pub bag: Option<String>,
    /// Why it is likely: "done by feel", "not looked at".
    pub why: Vec<String>,
    /// Its tag.
    pub tag: Option<Tag>,
}

/// The answer to "this is over: where does it belong?".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Leftovers {
    /// "One M6 x 20 over: probably bag 7 or 12.".
    pub text: String,
    /// Where it may belong, the likeliest first.
    pub lines: Vec<LeftoverLine>,
    /// What of that kind is still to go home anyway.
    pub still_off: Vec<LeftoverLine>,
}
