//! Sorts of conditions, recognised by their words.

use lastbolt_machine::ThingNo;

use crate::case::{Book, Written};
use crate::hazards;
use crate::hazards::words::Text;
use crate::pressure;

/// What a condition does to the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sort {
    Pressure,
    Isolate,
    Supplies,
    Cool,
    Raise,
    Drain,
    Other,
}

/// Words by which a sort is known; the first sort that fits counts.
const WORDS: [(Sort, &[&str]); 5] = [
    (
        Sort::Supplies,
        &[
            "gas",
            "leisure",
            "solar",
            "hook up",
            "hookup",
            "shore power",
            "inverter",
            "mains",
            "second battery",
            "house battery",
            "service battery",
            "auxiliary battery",
            "fuel shut",
            "fuel tap",
            "fuel off",
            "supply off",
            "supply shut",
            "water shut",
            "48 v",
            "48v",
        ],
    ),
    (Sort::Drain, &["drained", "drain", "emptied", "pumped out", "let out", "run out", "siphoned"]),
    (
        Sort::Raise,
        &[
            "raised",
            "lifted",
            "jacked*",
            "on stands",
            "stands",
            "on the lift",
            "hoisted",
            "on ramps",
            "propped",
            "blocked up",
        ],
    ),
    (Sort::Cool, &["cold", "cool", "cooled", "cooled down", "cooling"]),
    (
        Sort::Isolate,
        &[
            "isolated",
            "isolate",
            "isolation",
            "disconnected",
            "unplugged",
            "locked out",
            "lockout",
            "switched off",
            "power off",
            "battery off",
            "key out",
            "lanyard out",
            "de energi*",
            "dead",
            "fuse out",
            "fuse pulled",
            "spark cap",
            "earthed",
            "unpowered",
        ],
    ),
];

impl Sort {
    /// All of them, in the order in which they are shown.
    pub(crate) const ALL: [Sort; 7] = [
        Sort::Isolate,
        Sort::Supplies,
        Sort::Pressure,
        Sort::Raise,
        Sort::Drain,
        Sort::Cool,
        Sort::Other,
    ];

    pub(crate) fn heading(self) -> &'static str {
        match self {
            Self::Pressure => "Let pressure off",
            Self::Isolate => "Isolate",
            Self::Supplies => "Gas and other supplies",
            Self::Cool => "Let it cool",
            Self::Raise => "Raise",
            Self::Drain => "Drain",
            Self::Other => "Also",
        }
    }

    /// What is asked where the file asks nothing.
    pub(crate) fn question(self) -> Option<&'static str> {
        match self {
            Self::Pressure => Some("how was the pressure let off, and by whom?"),
            Self::Isolate => Some("how was it isolated, by whom, and who checked it?"),
            Self::Supplies => Some("how was it shut off, by whom, and who checked it?"),
            Self::Cool => Some("how is it known to be cold, and who felt it?"),
            Self::Raise => Some("on what does it stand, and who set it?"),
            Self::Drain => Some("what came out, how much, and who drained it?"),
            Self::Other => None,
        }
    }

    /// Answers by one tap, where the file asks nothing: what the button says, what is kept.
    pub(crate) fn answers(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Self::Isolate | Self::Supplies => {
                &[("Maker's procedure, checked", "by the maker's procedure, and checked")]
            }
            Self::Cool => &[("Cold by hand", "cold, felt by hand near it")],
            Self::Raise => &[
                ("On the lift", "on the lift, pads at the maker's points"),
                ("On rated stands", "on rated stands, hard floor, chocks"),
            ],
            Self::Pressure | Self::Drain | Self::Other => &[],
        }
    }
}

/// The sort of a condition.
pub(crate) fn of(book: Book<'_>, thing: ThingNo) -> Sort {
    if pressure::lets_off(book, thing) {
        return Sort::Pressure;
    }
    let name = Text::of(book.kernel.name(thing));
    for (sort, phrases) in WORDS {
        let drains = sort == Sort::Drain
            && matches!(book.written(thing), Written::Prep(prep) if prep.fluid.is_some());
        if drains || phrases.iter().any(|phrase| name.has(phrase)) {
            return sort;
        }
    }
    let supplies = |id: &str| matches!(id, "gas" | "supplies");
    let marked = hazards::marked(book.marks(thing));
    let named: Vec<_> =
        hazards::of_text(book.kernel.name(thing)).into_iter().chain(marked).collect();
    match named.iter().any(|hazard| supplies(hazard.id)) {
        true => Sort::Supplies,
        false if named.iter().any(|hazard| hazard.id == "raised") => Sort::Raise,
        false => Sort::Other,
    }
}
