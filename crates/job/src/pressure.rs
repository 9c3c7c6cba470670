//! What is opened under pressure: which connections, and the question that comes before.
//!
//! Connections that hang together are one circuit, with one question: how was the pressure let
//! off, and by whom. Where the machine file has a condition for that, its own question is asked.

use std::collections::BTreeMap;

use lastbolt_ledger::State;
use lastbolt_machine::{End, Kernel, Kind, Ref, ThingNo};

use crate::case::{Book, Case, Written};
use crate::day::Draft;
use crate::hazards::words::Text;
use crate::hazards::{self, Hazard, MAKER_WINS, Pressure, flows, is_electric};
use crate::live::Live;
use crate::picture::Picture;
use crate::view::{Point, StepVerb};
use crate::walk::Todo;
use crate::words;

/// The point of a circuit for which the file has no condition.
pub(crate) const PRESSURE: &str = "ready.pressure";
/// The point of a condition.
pub(crate) const HOW: &str = "ready.how";

/// The most connections that a question names.
const NAMED_MAX: usize = 8;
/// In the name of a fixing these say that it opens what is named beside them.
const OPENS: [&str; 18] = [
    "line",
    "pipe",
    "hose",
    "union",
    "banjo",
    "joint",
    "coupling",
    "coupler",
    "connector",
    "fitting",
    "bleed",
    "bleeder",
    "drain",
    "valve",
    "nipple",
    "sensor",
    "nozzle",
    "return",
];
/// In a name these say that it only holds or covers.
const HOLDS: [&str; 14] = [
    "bracket",
    "holder",
    "support",
    "clip",
    "cover",
    "guard",
    "shield",
    "mount",
    "mounting",
    "strap",
    "cable tie",
    "loom",
    "lid",
    "trim",
];
/// Words of a condition that lets pressure off.
const NO_PRESSURE: [&str; 13] = [
    "depressuri*",
    "unpressuri*",
    "pressureless",
    "refrigerant recovered",
    "refrigerant out",
    "discharged",
    "vented",
    "bled down",
    "blown down",
    "pressure relief done",
    "air let out",
    "air tanks drained",
    "air tank drained",
];
/// With "pressure" beside them these say the same.
const LET_OFF: [&str; 16] = [
    "no", "off", "let", "released", "release", "relieved", "relieve", "gone", "out", "zero",
    "bled", "down", "vented", "dropped", "free", "dumped",
];

/// Connections that hang together and are opened under one question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Circuit {
    /// What flows there; none where only the file's condition says that there is pressure.
    pub(crate) pressure: Option<Pressure>,
    /// The condition of the file that lets it off.
    pub(crate) prep: Option<ThingNo>,
    /// What opens it, in the order of the file.
    pub(crate) things: Vec<ThingNo>,
}

impl Circuit {
    /// What its question is about.
    fn about(&self) -> Option<ThingNo> {
        self.prep.or_else(|| self.things.first().copied())
    }
}

/// The circuits of a machine.
pub(crate) fn circuits(book: Book<'_>) -> Vec<Circuit> {
    let kernel = book.kernel;
    let mut all = by_condition(book);
    let has = |all: &[Circuit], thing| all.iter().any(|c: &Circuit| c.things.contains(&thing));
    let mut of: BTreeMap<ThingNo, Pressure> = BTreeMap::new();
    let is_prep = |thing: ThingNo| kernel.thing(thing).kind == Kind::Prep;
    for thing in kernel.all().filter(|&thing| !is_prep(thing) && !has(&all, thing)) {
        if let Some(pressure) = opened_by(book, thing) {
            of.insert(thing, pressure);
        }
    }
    // A part whose connections are asked about opens nothing by itself.
    let asked: Vec<ThingNo> =
        of.keys().copied().chain(all.iter().flat_map(|c| c.things.clone())).collect();
    of.retain(|&thing, _| {
        let it = kernel.thing(thing);
        let is_marked = hazards::marked(book.marks(thing)).any(|h| h.pressure.is_some());
        it.kind == Kind::Tie || is_marked || !it.ties.iter().any(|tie| asked.contains(tie))
    });
    all.extend(hanging_together(kernel, &of));
    all
}

/// Everything that needs a condition which lets pressure off.
fn by_condition(book: Book<'_>) -> Vec<Circuit> {
    let kernel = book.kernel;
    let lets_off = kernel.all().filter(|&thing| lets_off(book, thing));
    let circuit = |prep: ThingNo| {
        let needs = |thing: &ThingNo| {
            let it = kernel.thing(*thing);
            it.needs.contains(&prep) || it.opening_needs().flatten().any(|&need| need == prep)
        };
        let things = kernel.all().filter(needs).filter(|&t| !kernel.thing(t).is_set_up).collect();
        let pressure = hazards_of(book, prep).into_iter().find_map(|hazard| hazard.pressure);
        Circuit { pressure, prep: Some(prep), things }
    };
    lets_off.map(circuit).filter(|circuit| !circuit.things.is_empty()).collect()
}

/// Whether a condition is that there is no pressure.
pub(crate) fn lets_off(book: Book<'_>, thing: ThingNo) -> bool {
    let Written::Prep(prep) = book.written(thing) else { return false };
    // Marked as what is let off there, whatever it is called.
    if hazards::marked(&prep.hazards).any(|hazard| hazard.pressure.is_some()) {
        return true;
    }
    let text = Text::of(prep.id.name());
    let named = NO_PRESSURE.iter().any(|phrase| text.has(phrase))
        || (text.has("pressure") && LET_OFF.iter().any(|word| text.has(word)));
    let not = ["battery", "capacitor", "tyre", "tire", "pressure plate"];
    named && !not.iter().any(|word| text.has(word))
}

fn hazards_of(book: Book<'_>, thing: ThingNo) -> Vec<&'static Hazard> {
    book.hazards(thing)
}

/// What a fixing, connection or part opens under pressure: as marked, else by its words.
fn opened_by(book: Book<'_>, thing: ThingNo) -> Option<Pressure> {
    let name = Text::of(book.kernel.name(thing));
    let kind = book.kind(thing);
    // Whoever marked it knows more than its name says.
    let marked = hazards::marked(book.marks(thing)).find_map(|hazard| hazard.pressure);
    if marked.is_some() && book.kernel.thing(thing).kind != Kind::Prep {
        return marked;
    }
    let only_holds = HOLDS.iter().any(|word| name.has(word));
    let of_name = || hazards::of_text(book.kernel.name(thing)).into_iter().find_map(|h| h.pressure);
    match book.written(thing) {
        Written::Tie(_) if flows(kind) => {
            let words = book.own_words(thing);
            let of_words = hazards::of_text(&words).into_iter().find_map(|h| h.pressure);
            let of_cautions = || {
                let said = book.cautions(thing).iter().map(Ref::name);
                said.flat_map(hazards::of_text).find_map(|hazard| hazard.pressure)
            };
            of_words.or_else(of_cautions)
        }
        Written::Tie(_) if is_electric(kind) || matches!(kind, "cable tie" | "tape") => None,
        Written::Tie(_) => {
            let opens = OPENS.iter().any(|word| name.has(word));
            of_name().filter(|_| opens && !only_holds)
        }
        Written::Part(_) => of_name().filter(|_| !only_holds),
        Written::Prep(_) | Written::SetUp(_) => None,
    }
}

/// Puts together what shares a part and the same pressure.
fn hanging_together(kernel: &Kernel, of: &BTreeMap<ThingNo, Pressure>) -> Vec<Circuit> {
    let parts = |thing: ThingNo| {
        let it = kernel.thing(thing);
        let joined = it.joins.iter().filter_map(|end| match *end {
            End::Part(part) => Some(part),
            End::Fixed(_) => None,
        });
        joined.chain((it.kind == Kind::Part).then_some(thing)).collect::<Vec<_>>()
    };
    let mut at: BTreeMap<(Pressure, ThingNo), Vec<ThingNo>> = BTreeMap::new();
    for (&thing, &pressure) in of {
        for part in parts(thing) {
            at.entry((pressure, part)).or_default().push(thing);
        }
    }
    let mut seen = kernel.no_things();
    let mut all = Vec::new();
    for (&thing, &pressure) in of {
        let mut things = Vec::new();
        let mut next = vec![thing];
        while let Some(thing) = next.pop() {
            if !seen.add(thing) {
                continue;
            }
            things.push(thing);
            for part in parts(thing) {
                next.extend(at.remove(&(pressure, part)).into_iter().flatten());
            }
        }
        things.sort();
        if !things.is_empty() {
            all.push(Circuit { pressure: Some(pressure), prep: None, things });
        }
    }
    all
}

/// The question of a circuit, answered or not.
pub(crate) fn question(book: Book<'_>, state: &State, circuit: &Circuit) -> Option<Point> {
    let about = circuit.about()?;
    let name = book.kernel.name(about);
    let own = match book.written(about) {
        Written::Prep(prep) => prep.ask.as_ref().map(|ask| ask.name().to_owned()),
        _ => None,
    };
    let asked = own.unwrap_or_else(|| "how was the pressure let off, and by whom?".to_owned());
    let id = if circuit.prep.is_some() { HOW } else { PRESSURE };
    let mut draft = Draft::of(state, id, Some(name), &format!("{}: {asked}", words::large(name)))
        .choice("By the maker's procedure", "by the maker's procedure")
        .choice("Waited", "waited, as long as the maker says")
        .choice("Measured", "measured, none left")
        .asks("Keep these words", "How was it let off, and by whom?");
    for hazard in cautions(book, circuit) {
        draft = draft.caution(hazard.sentence());
    }
    if circuit.prep.is_none() || circuit.things.len() > 1 {
        draft = draft.detail(format!("It comes before: {}.", named(book, &circuit.things)));
    }
    draft = draft.detail(MAKER_WINS);
    if let Some(prep) = circuit.prep {
        draft = draft.or_said_with(prep_note(book, state, prep));
    }
    if let Some(seq) = since(book, state, circuit) {
        draft = draft.stale_before(seq, "It ran, or went back to normal, since that was said.");
    }
    Some(draft.done())
}

/// The hazards of a circuit, each once.
fn cautions(book: Book<'_>, circuit: &Circuit) -> Vec<&'static Hazard> {
    let mut all: Vec<&'static Hazard> = Vec::new();
    for &thing in circuit.prep.iter().chain(&circuit.things) {
        for hazard in hazards_of(book, thing).into_iter().filter(|h| h.pressure.is_some()) {
            if !all.iter().any(|other| other.id == hazard.id) {
                all.push(hazard);
            }
        }
    }
    all
}

fn named(book: Book<'_>, things: &[ThingNo]) -> String {
    let mut names: Vec<&str> = things.iter().map(|&thing| book.kernel.name(thing)).collect();
    let more = names.len().saturating_sub(NAMED_MAX);
    names.truncate(NAMED_MAX);
    let text = names.join(", ");
    if more > 0 { format!("{text} and {more} more") } else { text }
}

/// What was said in words as the condition was brought about.
pub(crate) fn prep_note<'a>(
    book: Book<'_>,
    state: &'a State,
    prep: ThingNo,
) -> Option<&'a lastbolt_ledger::Noted> {
    let name = book.kernel.name(prep);
    let by = state.marks.get(name)?.by;
    state.notes.iter().rev().find(|note| note.seq == by && note.thing.as_deref() == Some(name))
}

/// The record since which an older answer does not count: the engine ran, or the condition ended.
fn since(book: Book<'_>, state: &State, circuit: &Circuit) -> Option<u64> {
    let ran = state.first_starts.iter().map(|start| start.seq).max();
    let mark = circuit.prep.and_then(|prep| state.marks.get(book.kernel.name(prep)));
    let ended = mark.filter(|mark| mark.standing.is_closed() || mark.times_opened > 1);
    ran.max(ended.map(|mark| mark.by))
}

/// The question that comes before a step, while it is not answered.
pub(crate) fn before_step(case: &Case, live: &Live, todo: &Todo) -> Option<Point> {
    if !matches!(todo.verb, StepVerb::Off | StepVerb::Undo | StepVerb::Prep) {
        return None;
    }
    let mut circuits = case.circuits().iter().filter(|c| c.things.contains(&todo.thing));
    circuits.find_map(|circuit| {
        question(Book::of(case), &live.state, circuit).filter(|point| !point.settled)
    })
}

/// Gives the question that comes before a thing is opened, while it is not answered; none where
/// there is none, or the thing is open already.
pub fn asked_first(picture: &Picture, thing: &str) -> Option<Point> {
    let (case, live) = (&picture.case, &picture.now.live);
    let thing = case.kernel.find(thing).filter(|&thing| !live.open.has(thing))?;
    let verb = match case.kernel.thing(thing).kind {
        Kind::Part => StepVerb::Off,
        Kind::Tie => StepVerb::Undo,
        Kind::Prep => StepVerb::Prep,
    };
    before_step(case, live, &Todo { verb, thing, way: 0 })
}

/// The questions of what was opened without them.
pub(crate) fn not_answered(case: &Case, live: &Live) -> Vec<Point> {
    let is_open = |circuit: &&Circuit| circuit.things.iter().any(|&thing| live.open.has(thing));
    let open = case.circuits().iter().filter(is_open);
    let questions = open.filter_map(|circuit| question(Book::of(case), &live.state, circuit));
    questions.filter(|point| !point.settled).collect()
}
