//! The machine, job and garage as written: every key of the contract, nothing resolved.

use crate::at::{At, Ref, Sited};
use crate::minutes::{MinuteTable, Minutes};

/// A value of a free table (`tighten`, `life`, `price`, ...), kept in the digits it was written in.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Text.
    Text(String),
    /// A number, as written.
    Number(String),
    /// Yes or no.
    Flag(bool),
    /// A list.
    List(Vec<Value>),
    /// A table, in the order of the file.
    Table(Vec<(String, Value)>),
}

/// One machine file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Machine {
    /// The machine in a few words.
    pub machine: Option<Ref>,
    /// Parts that never come off.
    pub fixed: Vec<Ref>,
    /// Groups that are started together before any is tightened (R13).
    pub together: Vec<Sited<Vec<Ref>>>,
    /// Where a person stands or lies.
    pub spots: Vec<Spot>,
    /// Conditions of the machine.
    pub preps: Vec<Prep>,
    /// What comes off in one piece.
    pub parts: Vec<Part>,
    /// What holds or joins parts.
    pub ties: Vec<Tie>,
    /// Minutes between spots (R15).
    pub between: PairTable,
    /// Minutes from tool to tool (R15).
    pub tool_change: PairTable,
    /// For prices.
    pub currency: Option<Ref>,
    /// Free text.
    pub note: Option<Ref>,
    /// A job in the machine file.
    pub job: Option<JobSpec>,
}

/// `[between]` or `[tool_change]`: a default and pairs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PairTable {
    /// Where the table starts; nowhere if it is missing.
    pub at: At,
    /// `default = ...`
    pub default: Option<Sited<Minutes>>,
    /// `"A / B" = minutes`, in the order of the file.
    pub pairs: Vec<Pair>,
}

/// `"A / B" = minutes`.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// The one.
    pub a: String,
    /// The other.
    pub b: String,
    /// Minutes between them, both directions.
    pub minutes: Minutes,
    /// Where it is written.
    pub at: At,
}

/// `[spot.S]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Spot {
    /// Its name.
    pub id: Ref,
    /// Minutes to set it up, once (R14).
    pub setup: Option<Sited<Minutes>>,
    /// Minutes to pack it up again (R14).
    pub pack: Option<Sited<Minutes>>,
    /// Minutes to get there from anywhere (R15).
    pub reach: Option<Sited<Minutes>>,
    /// Preps that all work here needs (R9).
    pub needs: Vec<Ref>,
    /// Spots where nobody else may work meanwhile (crew schedule).
    pub not_with: Vec<Ref>,
    /// Cautions shown with every step here.
    pub cautions: Vec<Ref>,
    /// What it is, by the words of [`crate::HAZARDS`], in whatever language it is named.
    pub hazards: Vec<Ref>,
}

/// How something goes back.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Back {
    /// Not stated: an error for a prep, "as it came off" for parts and ties.
    #[default]
    Unstated,
    /// `back = "by itself"` (preps only).
    ByItself(At),
    /// `back = [ways]`; replaces all ways.
    Ways(Vec<Way>),
}

/// `{ name = "coolant", litres = 7.5 }`.
#[derive(Clone, Debug, PartialEq)]
pub struct Fluid {
    /// Which fluid.
    pub name: String,
    /// How much, in the digits it was written in; empty if not stated.
    pub litres: String,
    /// Where it is written.
    pub at: At,
}

/// `[prep.P]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prep {
    /// Its name.
    pub id: Ref,
    /// Ways of bringing it into force; none written = one way by hand in 0 minutes.
    pub ways: Option<Vec<Way>>,
    /// How it ends (R10).
    pub back: Back,
    /// Minutes that run unattended after it was done.
    pub wait: Option<Sited<Minutes>>,
    /// Preps it needs itself.
    pub needs: Vec<Ref>,
    /// The fluid that goes back in.
    pub fluid: Option<Fluid>,
    /// Who may do it.
    pub who: Option<Ref>,
    /// Cautions shown with the step.
    pub cautions: Vec<Ref>,
    /// What it is, by the words of [`crate::HAZARDS`], in whatever language it is named.
    pub hazards: Vec<Ref>,
    /// The question "how was it done".
    pub ask: Option<Ref>,
    /// Free text.
    pub note: Option<Ref>,
}

/// `[part.P]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Part {
    /// Its name.
    pub id: Ref,
    /// Ways of taking it off; `None` = one way by hand, `Some([])` = only with its carrier.
    pub ways: Option<Vec<Way>>,
    /// How it goes back, where that differs.
    pub back: Back,
    /// The part it rides on (R3).
    pub rides: Option<Ref>,
    /// Ties that may stay made when it comes off: it is put aside on them (R8).
    pub stays: Vec<Ref>,
    /// Preps that must be in force (R9).
    pub needs: Vec<Ref>,
    /// Weight in kilograms.
    pub kg: Option<Sited<f64>>,
    /// Awkward to hold.
    pub awkward: bool,
    /// How many people it takes (default 1).
    pub people: Option<Sited<u32>>,
    /// Who may do it.
    pub who: Option<Ref>,
    /// What to buy each time it comes off (R19).
    pub renew: Vec<Ref>,
    /// Minutes between laying the sealant and the last fixing (R24).
    pub open_minutes: Option<Sited<Minutes>>,
    /// `after = "leak look"` (R28).
    pub after: Option<Ref>,
    /// Facts for people: how it sits, what it is wetted with, the mark to make, the support.
    pub facts: Facts,
    /// Cautions shown with the step.
    pub cautions: Vec<Ref>,
    /// What it is, by the words of [`crate::HAZARDS`], in whatever language it is named.
    pub hazards: Vec<Ref>,
    /// Price, kept as written.
    pub price: Option<Value>,
    /// Days until it can be there.
    pub lead_days: Option<Value>,
    /// Usual life and early failure, kept as written.
    pub life: Option<Value>,
}

/// Facts for people, without effect on planning (R26).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// How it sits.
    pub sits: Option<Ref>,
    /// Dry, or wetted with what.
    pub wetted: Option<Ref>,
    /// A mark to be made before undoing.
    pub mark: Option<Ref>,
    /// What carries it meanwhile.
    pub support: Option<Ref>,
    /// Free text.
    pub note: Option<Ref>,
    /// A picture.
    pub photo: Option<Ref>,
    /// What the tag says.
    pub label: Option<Ref>,
}

/// `[tie.T]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tie {
    /// Its name.
    pub id: Ref,
    /// What it joins: parts or fixed parts, one or more.
    pub joins: Vec<Ref>,
    /// Screw, plug, hose, ...; missing = "fixing".
    pub kind: Option<Ref>,
    /// How many pieces (default 1).
    pub count: Option<Sited<u32>>,
    /// Ways of undoing it.
    pub ways: Option<Vec<Way>>,
    /// How it is made again, where that differs.
    pub back: Back,
    /// Preps that must be in force (R9).
    pub needs: Vec<Ref>,
    /// Parts that cover it once they are home (R12).
    pub hidden_by: Vec<Ref>,
    /// What to buy each time it is undone (R19).
    pub renew: Vec<Ref>,
    /// Minutes until it counts as made for the end of preps (R19).
    pub sets: Option<Sited<Minutes>>,
    /// Minutes between laying the sealant and the last fixing (R24).
    pub open_minutes: Option<Sited<Minutes>>,
    /// It carries weight (R23).
    pub bears: bool,
    /// Tightening facts, kept as written.
    pub tighten: Option<Value>,
    /// Symptoms if it was missed.
    pub missed: Vec<Missed>,
    /// How many people it takes (default 1).
    pub people: Option<Sited<u32>>,
    /// Who may do it.
    pub who: Option<Ref>,
    /// Facts for people.
    pub facts: Facts,
    /// Cautions shown with the step.
    pub cautions: Vec<Ref>,
    /// What it is, by the words of [`crate::HAZARDS`], in whatever language it is named.
    pub hazards: Vec<Ref>,
}

/// `missed = [{ symptom, chance }]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Missed {
    /// What is noticed.
    pub symptom: String,
    /// "likely", "possible", "unlikely" or a number, as written.
    pub chance: Option<String>,
    /// Where it is written.
    pub at: At,
}

/// One way of dealing with a thing (R4).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Way {
    /// Where it is written.
    pub at: At,
    /// From which spot; `None` = wherever one stands.
    pub from: Option<Ref>,
    /// With which tool; `None` = by hand.
    pub tool: Option<Ref>,
    /// In how many minutes; `None` = from the table (R27).
    pub minutes: Option<Sited<Minutes>>,
    /// Parts off and ties undone first (R6).
    pub clear: Vec<Ref>,
    /// Preps this way needs (R9).
    pub needs: Vec<Ref>,
    /// Extra things to have ready (R15).
    pub also: Vec<Ref>,
    /// By feel (R26).
    pub feel: bool,
    /// The chance that something breaks: "likely", "possible" or a number, as written.
    pub breaks: Option<Ref>,
    /// Free text.
    pub note: Option<Ref>,
}

/// `[job]`, in a job file or a machine file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JobSpec {
    /// Where the table starts.
    pub at_line: At,
    /// Parts or ties to renew (R2).
    pub renew: Vec<Ref>,
    /// Parts or ties that must come off; the same piece goes back (R2).
    pub off: Vec<Ref>,
    /// Preps to bring into force (R2).
    pub bring: Vec<Ref>,
    /// Riders that the new part comes with (R2).
    pub comes_fitted: Vec<Ref>,
    /// Found open at the start (R17).
    pub already: Vec<Ref>,
    /// Not put back (R17).
    pub leave_off: Vec<Ref>,
    /// Where the person is at the start.
    pub at: Option<Ref>,
    /// The tool in the hand at the start.
    pub holding: Option<Ref>,
    /// Who works on it.
    pub people: Vec<Ref>,
    /// What the owner said.
    pub complaint: Vec<Ref>,
    /// What was decided.
    pub decided: Vec<Ref>,
    /// What proves the repair.
    pub proof: Vec<Ref>,
    /// Distance or hours, as written.
    pub odometer: Option<Value>,
    /// Wish: tools that are not there.
    pub without_tools: Vec<Ref>,
    /// Wish: things to leave alone.
    pub leave_alone: Vec<Ref>,
    /// Wish: spots not to work from.
    pub not_from: Vec<Ref>,
    /// Candidates to renew while it is open.
    pub consider: Vec<Ref>,
}

/// A garage file. Everything but `minutes` is kept and shown.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct GarageSpec {
    /// `[person.NAME]`, kept as written.
    pub people: Vec<(Ref, Value)>,
    /// `[wrench.NAME]`, kept as written.
    pub wrenches: Vec<(Ref, Value)>,
    /// `[adapter.NAME]`, kept as written.
    pub adapters: Vec<(Ref, Value)>,
    /// `[tool.NAME]`, kept as written.
    pub tools: Vec<(Ref, Value)>,
    /// `[minutes]` by kind (R27).
    pub minutes: MinuteTable,
    /// `[display]`, kept as written.
    pub display: Vec<(Ref, Value)>,
}
