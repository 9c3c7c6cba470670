//! The next action, with everything that a person needs to do it.

use lastbolt_machine::Minutes;

use crate::view::{Button, Caution, MatterLine, Point, StepLine, Tap, ThingRef, ThingSort};

/// What to do with eyes and fingers at a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PromptKind {
    /// Last look: look, push, tug, before a cover goes on.
    LastLook,
    /// It cannot be seen afterwards: pull on it, listen for the click, now.
    MadeUnseen,
    /// Something is tested before this part covers it.
    TestFirst,
    /// The machine runs for this look: is it dry, or does it weep.
    LeakLook,
}

/// A prompt that stands on the action until it is answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prompt {
    /// Which one.
    pub kind: PromptKind,
    /// The sentence: "Look, push, tug: the cowl covers it next."
    pub text: String,
    /// The part that covers it, where one is known; for a leak look the gate that comes first.
    pub before: Option<String>,
}

/// The next action, with everything that a person needs to do it.
#[derive(Clone, Debug, PartialEq)]
pub struct ActionCard {
    /// The same as in a list.
    pub line: StepLine,
    /// What sort of thing it is about.
    pub sort: ThingSort,
    /// The kind in the trade's word: "screw", "plug"; "part" for parts.
    pub kind: String,
    /// How many pieces.
    pub pieces: u32,
    /// Pieces that are done already, where only some were recorded.
    pub pieces_done: Option<u32>,
    /// The buttons; the first is the main one.
    pub buttons: Vec<Button>,
    /// What must be off or undone and is not yet.
    pub off_first: Vec<ThingRef>,
    /// Any other reason why it will not go yet, in sentences.
    pub not_yet: Vec<String>,
    /// Extra things to have ready.
    pub also: Vec<String>,
    /// Cautions of the spot, of the thing and of conditions.
    pub cautions: Vec<Caution>,
    /// Who may do it.
    pub who: Option<String>,
    /// The mark to be made before it is undone (taking apart only).
    pub mark: Option<String>,
    /// How it sits.
    pub sits: Option<String>,
    /// Dry, or wetted with what.
    pub wetted: Option<String>,
    /// What carries it meanwhile.
    pub support: Option<String>,
    /// Rounds of tightening as the file states them (putting back only).
    pub rounds: Vec<String>,
    /// What is new each time (putting back) or to be bought (taking apart).
    pub renew: Vec<String>,
    /// The file's own notes on the way and on the thing.
    pub notes: Vec<String>,
    /// A question to answer in words: "how was it done".
    pub ask: Option<String>,
    /// What its own label says.
    pub label: Option<String>,
    /// Done by feel.
    pub by_feel: bool,
    /// It carries weight.
    pub bears: bool,
    /// How many people it takes.
    pub people: u32,
    /// "11 kg", "24 kg: helper or hoist".
    pub lift: Option<String>,
    /// Minutes to change place and tool before it.
    pub change: Minutes,
    /// The maker's minutes to wait unattended afterwards; 0 for none, or where nobody knows them.
    pub wait: Minutes,
    /// The wait that begins with it, in words; minutes only where they are the maker's.
    pub then_wait: Option<String>,
    /// The question that stands in place of its main button until it is answered.
    pub asks_first: Option<Point>,
    /// Look, push, tug; or pull and click.
    pub prompt: Option<Prompt>,
    /// Rags, caps, plugs and tools that this step would close in: they come out first.
    pub first_out: Vec<MatterLine>,
    /// How it goes back, in one line: "arm up · dry · lip inwards · new" (putting back only).
    pub put_back: Option<String>,
    /// It is to be left alone, and why.
    pub leave_alone: Option<String>,
    /// A mark has to be made first, and there is no picture of it yet.
    pub wants_picture: bool,
    /// States between and other outcomes that say more than a button does.
    pub taps: Vec<Tap>,
}
